"""People and their devices over HTTP: who is in, what they may do, what was done at the door.

Not for: letting a device in (`way_in`), or what a role may do (`roles`).
"""

from __future__ import annotations

from typing import Any, Final

import attrs
from flask import Blueprint, Response, jsonify, request

from scout.notebook.clock import milliseconds, new_id, written
from scout.notebook.scoped import Sites
from scout.notebook.store import journal, people
from scout.notebook.store.people import Device, Person
from scout.records.fields import read_identity
from scout.records.trouble import Refused
from scout.server import audit
from scout.server.bodies import json_body
from scout.server.codes import named
from scout.server.errors import Problem
from scout.server.roles import ROLES
from scout.server.way_in import text
from scout.server.who import asker, notebook

LARGEST_BYTES: Final = 65_536
MOST_EVENTS: Final = 200
MOST_SITES: Final = 500

routes = Blueprint("members", __name__, url_prefix="/api/v1")


# -- devices


@routes.get("/devices")
def devices() -> Response:
    """List the devices: all for an owner, their own for anybody else."""
    who = asker()
    with notebook().store.reading() as db:
        names = {one.id: one.name for one in people.persons(db)}
        listed = [
            _device(one, names, who.device, journal.written_by(db, one.id))
            for one in people.devices(db)
            if who.role == "owner" or one.person_id == who.person
        ]
    return _json({"devices": listed})


@routes.post("/devices/<device>/revoke")
def revoke(device: str) -> Response:
    """Take a device off the notebook, at once; `wipe`: ask its holder to clear it."""
    wipe = json_body(LARGEST_BYTES).get("wipe") is True
    who = asker()
    now = notebook().clock()
    with notebook().store.writing() as db:
        found = _own(people.device(db, device))
        people.revoke(db, found.id, written(now), wipe=wipe)
        detail = "asked to clear itself" if wipe else ""
        audit.note(db, now, "device_revoked", person=who.person, device=found.id, detail=detail)
    return _json({"device": found.id})


@routes.post("/devices/<device>/name")
def rename(device: str) -> Response:
    """Give a device another name."""
    name = named(text(json_body(LARGEST_BYTES), "name"))
    who = asker()
    now = notebook().clock()
    with notebook().store.writing() as db:
        found = _own(people.device(db, device))
        people.store_device_name(db, found.id, name)
        audit.note(db, now, "device_named", person=who.person, device=found.id, detail=name)
    return _json({"device": found.id, "name": name})


@routes.get("/devices/<device>/wrote")
def wrote(device: str) -> Response:
    """List the Saves of a device, the latest first."""
    with notebook().store.reading() as db:
        return _json({"saves": journal.saves_of(db, device, MOST_EVENTS)})


@routes.post("/devices/<device>/undo")
def undo(device: str) -> Response:
    """Take back every Save of a device, the latest first; what others changed since is left."""
    json_body(LARGEST_BYTES)
    who = asker()
    with notebook().store.reading() as db:
        groups = [one["group"] for one in journal.saves_of(db, device, None)]
    undone = 0
    left: list[str] = []
    for group in groups:
        saved, kept = notebook().undo(group, via="owner")
        undone += saved is not None
        left.extend(kept)
    now = notebook().clock()
    with notebook().store.writing() as db:
        detail = f"{undone} of {len(groups)}"
        audit.note(db, now, "group_undone", person=who.person, device=device, detail=detail)
    return _json({"saves": len(groups), "undone": undone, "left": left[:MOST_EVENTS]})


# -- people


@routes.get("/people")
def persons() -> Response:
    """List the people with their roles and sites."""
    with notebook().store.reading() as db:
        return _json({"people": [_person(one) for one in people.persons(db)]})


@routes.post("/people")
def add() -> Response:
    """Add a person: `name`, `role`, and `sites` (a list of ids, or null for all)."""
    asked = json_body(LARGEST_BYTES)
    now = notebook().clock()
    made = Person(
        id=new_id(milliseconds(now)),
        name=named(text(asked, "name")),
        role=_role(asked.get("role")),
        added_at=written(now),
        removed_at=None,
        sites=_sites(asked.get("sites")),
    )
    _refuse_scoped_owner(made)
    with notebook().store.writing() as db:
        people.store_person(db, made)
        detail = f"{made.name}, {made.role}"
        audit.note(db, now, "person_added", person=asker().person, detail=detail)
    return _json({"person": _person(made)})


@routes.post("/people/<person>")
def change(person: str) -> Response:
    """Change a person's name, role or sites: what is left out stays."""
    asked = json_body(LARGEST_BYTES)
    now = notebook().clock()
    with notebook().store.writing() as db:
        held = _standing(people.person(db, person))
        made = attrs.evolve(
            held,
            name=named(text(asked, "name")) if "name" in asked else held.name,
            role=_role(asked["role"]) if "role" in asked else held.role,
            sites=_sites(asked["sites"]) if "sites" in asked else held.sites,
        )
        _refuse_scoped_owner(made)
        if made.role != "owner":
            _refuse_last_owner(people.persons(db), held)
        people.store_person(db, made)
        some = "all sites" if made.sites is None else f"{len(made.sites)} sites"
        detail = f"{made.name}, {made.role}, {some}"
        audit.note(db, now, "person_changed", person=asker().person, detail=detail)
    return _json({"person": _person(made)})


@routes.post("/people/<person>/remove")
def remove(person: str) -> Response:
    """Remove a person and all their devices; what they wrote stays, and what their phones hold."""
    json_body(LARGEST_BYTES)
    now = notebook().clock()
    with notebook().store.writing() as db:
        held = _standing(people.person(db, person))
        _refuse_last_owner(people.persons(db), held)
        people.store_person(db, attrs.evolve(held, removed_at=written(now)))
        for device in people.devices(db):
            if device.person_id == held.id:
                people.revoke(db, device.id, written(now), wipe=False)
        audit.note(db, now, "person_removed", person=asker().person, detail=held.name)
    return _json({"person": held.id})


@routes.get("/audit")
def events() -> Response:
    """List what happened at the door, the latest first, from `before` a number on."""
    before = request.args.get("before", "")
    if before and not (before.isascii() and before.isdigit() and len(before) < 16):
        raise Problem(400, "shape", "before: give the number of an event.")
    with notebook().store.reading() as db:
        found = audit.listed(db, int(before) if before else None, MOST_EVENTS)
    return _json({"events": found})


def _own(device: Device | None) -> Device:
    """Answer a device that the asker may change: an owner any, anybody else their own."""
    who = asker()
    if device is None or device.person_id is None:
        raise Problem(404, "no_device", "There is no such device.")
    if who.role != "owner" and device.person_id != who.person:
        raise Problem(403, "not_allowed", "This device is another person's.")
    return device


def _standing(person: Person | None) -> Person:
    if person is None or person.removed_at is not None:
        raise Problem(404, "no_person", "There is no such person (any more).")
    return person


def _refuse_last_owner(persons: list[Person], leaving: Person) -> None:
    owners = [one for one in persons if one.role == "owner" and one.removed_at is None]
    if owners == [leaving]:
        raise Problem(409, "last_owner", "This is the last owner; make somebody else one first.")


def _refuse_scoped_owner(person: Person) -> None:
    if person.role == "owner" and person.sites is not None:
        raise Problem(400, "shape", "sites: an owner has all sites; choose another role.")


def _role(value: object) -> str:
    if value not in ROLES:
        raise Problem(400, "shape", f"role: give one of: {', '.join(ROLES)}.")
    return str(value)


def _sites(value: object) -> Sites | None:
    if value is None:
        return None
    if not isinstance(value, list) or len(value) > MOST_SITES:
        raise Problem(400, "shape", "sites: give a list of ids of sites, or null for all.")
    try:
        return frozenset(read_identity(one) for one in value)
    except Refused as refusal:
        raise Problem(400, "shape", f"sites: {refusal}") from None


def _device(one: Device, names: dict[str, str], asking: str | None, changes: int) -> dict[str, Any]:
    return {
        "id": one.id,
        "name": one.name,
        "person": one.person_id,
        "person_name": names.get(one.person_id or ""),
        "paired_at": one.paired_at,
        "seen_at": one.seen_at,
        "revoked_at": one.revoked_at,
        "wipe_asked_at": one.wipe_asked_at,
        "this_one": one.id == asking,
        "changes": changes,
    }


def _person(one: Person) -> dict[str, Any]:
    return {
        "id": one.id,
        "name": one.name,
        "role": one.role,
        "added_at": one.added_at,
        "removed_at": one.removed_at,
        "sites": None if one.sites is None else sorted(one.sites),
    }


def _json(value: dict[str, Any]) -> Response:
    answer = jsonify(value)
    answer.headers["Cache-Control"] = "no-store"
    return answer
