"""Pairing over HTTP: what anybody may ask at the door, and what an owner answers.

Secrets and codes are in bodies, never in addresses. Not for: the rules (`pairing`, `limits`).
"""

from __future__ import annotations

from typing import Any, Final

from flask import Blueprint, Response, current_app, jsonify, request

from scout.notebook.clock import written
from scout.notebook.store import people
from scout.server import audit, pairing, tokens
from scout.server.bodies import json_body
from scout.server.doors import HERE, door
from scout.server.errors import Problem
from scout.server.lan import Place
from scout.server.pairing import Paired
from scout.server.roles import ROLES
from scout.server.sync import SERVICE
from scout.server.who import Asker, asker, notebook

LARGEST_BYTES: Final = 4096

routes = Blueprint("way_in", __name__, url_prefix="/api/v1")


@routes.get("/door")
def state() -> Response:
    """Say whose server this is, and whether this device is paired with it."""
    told: dict[str, Any] = {"service": SERVICE, "through": door().kind, "paired": False}
    place = current_app.config.get("SCOUT_PLACE")
    if isinstance(place, Place) and door().kind != "proxy":
        told |= {"help": place.help, "name": place.by_name, "address": place.by_address}
    try:
        told |= {"paired": True, "me": _told(asker())}
    except Problem as problem:
        if problem.status != 401:
            raise
        told |= {"code": problem.code, "message": problem.message, **problem.more}
    return _json(told)


@routes.post("/door/leave")
def leave() -> Response:
    """Take the asking device off the notebook, and its token with it."""
    who = asker()
    if who.device is None:
        raise Problem(409, "at_the_machine", "The machine itself is not paired and cannot leave.")
    now = notebook().clock()
    with notebook().store.writing() as db:
        people.revoke(db, who.device, written(now), wipe=False)
        audit.note(db, now, "device_left", person=who.person, device=who.device)
    tokens.give(None)
    return _json({"paired": False})


@routes.post("/pair/start")
def start() -> Response:
    """Begin a pairing: the device keeps `device_code` and shows `user_code`."""
    asked = json_body(LARGEST_BYTES)
    begun = pairing.start(
        notebook(), device=text(asked, "device"), name=text(asked, "name"), address=address()
    )
    return _json(
        {
            "device_code": begun.device_code,
            "user_code": begun.user_code,
            "expires_in": int(pairing.LIVES.total_seconds()),
            "interval": int(pairing.INTERVAL.total_seconds()),
        }
    )


@routes.post("/pair/poll")
def poll() -> Response:
    """Give the device that holds the secret its token, once an owner has agreed."""
    return _let_in(pairing.poll(notebook(), text(json_body(LARGEST_BYTES), "device_code")))


@routes.post("/pair/claim")
def claim() -> Response:
    """Let a device in that brings a printed secret, or the code printed beside it."""
    asked = json_body(LARGEST_BYTES)
    return _let_in(
        pairing.claim(
            notebook(),
            typed=text(asked, "typed"),
            device=text(asked, "device"),
            name=text(asked, "name"),
            address=address(),
        )
    )


@routes.post("/pair/look")
def look() -> Response:
    """Say which device shows a code."""
    found = pairing.look(notebook(), text(json_body(LARGEST_BYTES), "user_code"), address())
    return _json(
        {
            "name": found.name,
            "address": found.address,
            "started_at": found.started_at,
            "known_as": found.known_as,
        }
    )


@routes.post("/pair/grant")
def grant() -> Response:
    """Make the device that shows a code a person's."""
    asked = json_body(LARGEST_BYTES)
    device = pairing.grant(
        notebook(),
        text(asked, "user_code"),
        address(),
        person=text(asked, "person"),
        by=asker().person,
    )
    return _json({"device": device})


@routes.post("/pair/deny")
def deny() -> Response:
    """Refuse the device that shows a code."""
    code = text(json_body(LARGEST_BYTES), "user_code")
    pairing.deny(notebook(), code, address(), by=asker().person)
    return _json({})


def text(asked: dict[str, Any], name: str, longest: int = 200) -> str:
    """Answer a text of a body; raises Problem."""
    value = asked.get(name)
    if not isinstance(value, str) or not 0 < len(value) <= longest:
        raise Problem(400, "shape", f"{name}: give a text of at most {longest} signs.")
    return value


def address() -> str:
    """Answer where the request came from: what tries are counted by."""
    return request.remote_addr or "nowhere"


def _let_in(paired: Paired) -> Response:
    tokens.give(paired.token)
    with notebook().store.reading() as db:
        person = people.person(db, paired.person)
    assert person is not None
    return _json(
        {"paired": True, "me": _told(Asker(person.id, person.role, paired.device, person.sites))}
    )


def _told(who: Asker) -> dict[str, Any]:
    with notebook().store.reading() as db:
        person = None if who.person is None else people.person(db, who.person)
        device = None if who.device is None else people.device(db, who.device)
    assert who.role in ROLES
    return {
        "person": who.person,
        "name": None if person is None else person.name,
        "role": who.role,
        "sites": None if who.sites is None else sorted(who.sites),
        "device": who.device,
        "device_name": None if device is None else device.name,
        "at_the_machine": door().kind == HERE,
    }


def _json(value: dict[str, Any]) -> Response:
    answer = jsonify(value)
    answer.headers["Cache-Control"] = "no-store"
    return answer
