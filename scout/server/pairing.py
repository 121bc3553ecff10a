"""How a device becomes a person's: it shows a code that an owner types, or types a printed one.

The shape of the first is RFC 8628; its alphabet has no vowels, so that no code is a word. Codes are
kept as hashes and live ten minutes; a device that knows its long secret may ask again, so that a
lost answer costs nothing. Not for: a code that was typed (`code_tries`), HTTP (`way_in`), or who
may approve (`roles`).
"""

from __future__ import annotations

import datetime as dt
import secrets
from typing import Final

import attrs
from sqlite_utils import Database

from scout.notebook.clock import milliseconds, new_id, written
from scout.notebook.notebook import Notebook
from scout.notebook.store import door as rows
from scout.notebook.store import people
from scout.notebook.store.door import Pairing
from scout.records.fields import read_identity
from scout.records.trouble import Refused
from scout.server import audit, code_tries, codes, limits, tokens
from scout.server.errors import Problem
from scout.server.tokens import hashed

SHOWN_LETTERS: Final = 8
TYPED_LETTERS: Final = 13
LIVES: Final = dt.timedelta(minutes=10)
INTERVAL: Final = dt.timedelta(seconds=5)
MOST_WAITING: Final = 5
MOST_OF_ADDRESS: Final = 2
_SECRET_BYTES = 32
_PRINTED_BYTES = 24
_KEPT = dt.timedelta(hours=1)
_EARLY = dt.timedelta(milliseconds=500)  # of network jitter is no hurry


@attrs.frozen
class Started:
    """What the asking device holds: its secret, and the code that it shows."""

    device_code: str
    user_code: str


@attrs.frozen
class Printed:
    """What the machine prints: a secret for a link, and a code to be typed instead."""

    secret: str
    code: str
    person: str


@attrs.frozen
class Asking:
    """A device that waits for an owner's word."""

    name: str
    address: str
    started_at: str
    known_as: str | None


@attrs.frozen
class Paired:
    """A device that is in."""

    token: str
    device: str
    person: str


# -- the device shows a code


def start(notebook: Notebook, *, device: str, name: str, address: str) -> Started:
    """Begin a pairing for a device that will show its code. Raises Problem."""
    device, name = _device(device), codes.named(name)
    now = notebook.clock()
    secret, code = secrets.token_urlsafe(_SECRET_BYTES), codes.made(SHOWN_LETTERS)
    with notebook.store.writing() as db:
        limits.refuse_beyond(db, limits.STARTS, address, now)
        limits.count(db, limits.STARTS, address, now)
        rows.drop_ended_pairings(db, written(now - _KEPT))
        waiting = rows.waiting(db, "shown", written(now))
        own = [one for one in waiting if one.device_id == device]
        near = [one for one in waiting if one.address == address and one not in own]
        gone = [*own, *near[: max(0, len(near) - MOST_OF_ADDRESS + 1)]]
        for one in gone:
            rows.store_pairing(db, attrs.evolve(one, state="denied"))
        if len(waiting) - len(gone) >= MOST_WAITING:
            raise Problem(
                429,
                "too_many_waiting",
                "Other devices are waiting to be paired; try again in ten minutes.",
                Retry_After=str(int(LIVES.total_seconds())),
            )
        made = _waiting("shown", secret, code, now)
        rows.store_pairing(
            db, attrs.evolve(made, device_id=device, device_name=name, address=address)
        )
        audit.note(db, now, "pairing_asked", detail=f"{name}, from {address}")
    return Started(secret, codes.shown(code))


def poll(notebook: Notebook, device_code: str) -> Paired:
    """Answer the device that holds the secret; raises Problem while there is nothing for it."""
    now = notebook.clock()
    with notebook.store.writing() as db:
        held = rows.pairing(db, hashed(device_code))
        if held is None or held.way != "shown":
            raise Problem(400, "expired_token", "This code is not known (any more); begin again.")
        trouble = _not_yet(db, held, now)
        if trouble is None:
            assert held.device_id is not None
            assert held.person_id is not None
            rows.drop_tokens(db, held.device_id)  # of an answer that was lost
            token = tokens.make(db, held.device_id, now)
            return Paired(token, held.device_id, held.person_id)
        rows.store_pairing(db, attrs.evolve(held, polled_at=written(now)))
    raise trouble


def _not_yet(db: Database, held: Pairing, now: dt.datetime) -> Problem | None:
    """Say what stands between a device and its token, or None."""
    if held.state == "denied":
        return Problem(400, "access_denied", "This device was refused; ask the notebook's owner.")
    if held.state in ("burnt", "done") or held.ends_at <= written(now):
        return Problem(400, "expired_token", "The code has ended; begin again.")
    if held.state == "granted":
        assert held.device_id is not None
        if any(one.used_at is not None for one in rows.tokens_of(db, held.device_id)):
            return Problem(400, "expired_token", "This code was used; begin again.")
        return None
    if held.polled_at is not None and (
        now - dt.datetime.fromisoformat(held.polled_at) < INTERVAL - _EARLY
    ):
        return Problem(400, "slow_down", "Asked too often; wait longer between two questions.")
    return Problem(400, "authorization_pending", "Nobody has typed the code yet.")


def look(notebook: Notebook, user_code: str, address: str) -> Asking:
    """Say who shows a code, so that the owner can compare before granting. Raises Problem."""
    held = code_tries.found(notebook, "shown", user_code, address)
    assert held.device_name is not None
    assert held.device_id is not None
    with notebook.store.reading() as db:
        before = people.device(db, held.device_id)
        known = None
        if before is not None and before.person_id is not None:
            person = people.person(db, before.person_id)
            known = None if person is None else f"{before.name} ({person.name})"
    return Asking(held.device_name, held.address or "", held.started_at, known)


def grant(notebook: Notebook, user_code: str, address: str, *, person: str, by: str | None) -> str:
    """Make the device that shows a code a person's; answers its id. Raises Problem."""
    held = code_tries.found(notebook, "shown", user_code, address)
    now = notebook.clock()
    with notebook.store.writing() as db:
        again = rows.pairing(db, held.secret_sha256)
        if again is None or again.state != "waiting":
            raise Problem(409, "ended", "The code has ended meanwhile; let the phone begin again.")
        assert held.device_id is not None
        assert held.device_name is not None
        _let_in(db, held.device_id, held.device_name, person, now, by=by)
        rows.store_pairing(db, attrs.evolve(again, state="granted", person_id=person))
    return held.device_id


def deny(notebook: Notebook, user_code: str, address: str, *, by: str | None) -> None:
    """Refuse the device that shows a code. Raises Problem."""
    held = code_tries.found(notebook, "shown", user_code, address)
    now = notebook.clock()
    with notebook.store.writing() as db:
        rows.store_pairing(db, attrs.evolve(held, state="denied"))
        audit.note(db, now, "pairing_denied", person=by, detail=held.device_name or "")


# -- the machine prints a code


def print_one(notebook: Notebook, person: str) -> Printed:
    """Make a one-time secret and code for a person's next device; an older one of theirs ends."""
    now = notebook.clock()
    secret, code = secrets.token_urlsafe(_PRINTED_BYTES), codes.made(TYPED_LETTERS)
    with notebook.store.writing() as db:
        rows.drop_ended_pairings(db, written(now - _KEPT))
        for one in rows.waiting(db, "printed", written(now)):
            if one.person_id == person:
                rows.store_pairing(db, attrs.evolve(one, state="denied"))
        made = _waiting("printed", secret, code, now)
        rows.store_pairing(db, attrs.evolve(made, person_id=person))
        audit.note(db, now, "pairing_printed", person=person)
    return Printed(secret, codes.shown(code), person)


def claim(notebook: Notebook, *, typed: str, device: str, name: str, address: str) -> Paired:
    """Let a device in that brings a printed secret or code, once. Raises Problem."""
    device, name = _device(device), codes.named(name)
    now = notebook.clock()
    held = code_tries.found(notebook, "printed", typed, address, long_secret=True)
    with notebook.store.writing() as db:
        again = rows.pairing(db, held.secret_sha256)
        if again is None or again.state != "waiting" or held.person_id is None:
            raise code_tries.wrong()
        _let_in(db, device, name, held.person_id, now, by=None)
        rows.store_pairing(
            db, attrs.evolve(again, state="done", device_id=device, device_name=name)
        )
        token = tokens.make(db, device, now)
    return Paired(token, device, held.person_id)


# -- both


def _waiting(way: str, secret: str, code: str, now: dt.datetime) -> Pairing:
    return Pairing(
        id=new_id(milliseconds(now)),
        way=way,
        secret_sha256=hashed(secret),
        code_sha256=hashed(code),
        state="waiting",
        started_at=written(now),
        ends_at=written(now + LIVES),
    )


def _let_in(
    db: Database, device: str, name: str, person: str, now: dt.datetime, *, by: str | None
) -> None:
    to = people.person(db, person)
    if to is None or to.removed_at is not None:
        raise Problem(409, "no_person", "This person is not in the notebook (any more).")
    before = people.device(db, device)
    if before is not None and before.person_id is None:
        raise Problem(409, "device_taken", "This device's id is the notebook's own; begin anew.")
    anothers = before is not None and before.person_id != person
    if anothers and before is not None and (before.revoked_at is None or by is None):
        raise Problem(
            409,
            "device_taken",
            "This device is paired for another person; take it off there first.",
        )
    rows.drop_tokens(db, device)
    rows.end_pairings(db, device)  # a code granted before would be answered with a token again
    people.store_paired(db, device, person, name, written(now))
    audit.note(db, now, "paired", person=person, device=device, detail=name if by is None else "")


def _device(device: str) -> str:
    try:
        return read_identity(device)
    except Refused:
        raise Problem(400, "shape", "device: give the device's own id, a UUID.") from None
