"""A device's token: made at pairing, known by its hash alone, changed every month, ended at once.

256 random bits in a cookie that no script reads. A new token is given while the old one still
works, so that an answer lost in a dead spot locks nobody out; the old one ends a week after the new
one was first used. What ends is sync: nothing on the device depends on a token. Not for: pairing.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets
from contextlib import suppress
from typing import Final

import attrs
from flask import Flask, Response, g, request
from sqlite_utils import Database

from scout.notebook.clock import written
from scout.notebook.notebook import Notebook
from scout.notebook.store import door as rows
from scout.notebook.store import people
from scout.notebook.store.door import Token
from scout.notebook.store.people import Device, Person
from scout.notebook.store.trouble import StoreTrouble
from scout.server.errors import Problem

COOKIE: Final = "__Host-scout"
ROTATED_AFTER: Final = dt.timedelta(days=30)
OVERLAP: Final = dt.timedelta(days=7)
IDLE: Final = dt.timedelta(days=90)
LONGEST: Final = dt.timedelta(days=400)
_NOTED_EVERY = dt.timedelta(hours=1)
_BYTES = 32


@attrs.frozen
class Known:
    """Whose token it is."""

    person: Person
    device: Device


_STAYS = "What is on it stays on it."
NOT_PAIRED: Final = f"This device is not paired with the notebook; open Pair this phone. {_STAYS}"
_REVOKED = (
    f"This device was taken off the notebook. {_STAYS} It can be written to a rescue file; to sync "
    "again, an owner has to pair it anew."
)
_WIPE = (
    "An owner asks you to clear this phone: in the app, Pair this phone \N{RIGHTWARDS ARROW} Clear "
    "this phone."
)
_ENDED = f"This device was away for too long; pair it again. {_STAYS}"


def hashed(secret: str) -> str:
    """Answer the hash under which a secret is kept."""
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()


def make(db: Database, device: str, now: dt.datetime) -> str:
    """Make a new token for a device, beside those that it has."""
    token = secrets.token_urlsafe(_BYTES)
    made = Token(
        sha256=hashed(token), device_id=device, made_at=written(now), used_at=None, ends_at=None
    )
    rows.store_token(db, made)
    return token


def known(notebook: Notebook, token: str | None) -> Known:
    """Answer whose token it is; raises Problem where it opens nothing (any more)."""
    if not token:
        raise Problem(401, "not_paired", NOT_PAIRED)
    now = notebook.clock()
    with notebook.store.reading() as db:
        held = rows.token(db, hashed(token))
        found = None if held is None else _judged(db, held, now)
    if held is None or found is None:
        raise Problem(401, "not_paired", NOT_PAIRED)
    if _is_to_be_noted(held, now):
        with suppress(StoreTrouble):  # a notebook that can only be read is read all the same
            _note(notebook, held.sha256, now)
    return found


def still_stands(db: Database, device: str) -> None:
    """Look again, within a writing transaction, whether a device may still write.

    Raises Problem: then nothing of what it sent is kept.
    """
    held = people.device(db, device)
    person = None if held is None or held.person_id is None else people.person(db, held.person_id)
    if held is None or person is None or held.revoked_at or person.removed_at:
        raise _revoked(held)


def _judged(db: Database, held: Token, now: dt.datetime) -> Known:
    device = people.device(db, held.device_id)
    person = (
        None if device is None or device.person_id is None else people.person(db, device.person_id)
    )
    if device is None or person is None:
        raise Problem(401, "not_paired", NOT_PAIRED)
    if device.revoked_at is not None or person.removed_at is not None:
        raise _revoked(device)
    made = dt.datetime.fromisoformat(held.made_at)
    used = dt.datetime.fromisoformat(held.used_at or held.made_at)
    ended = held.ends_at is not None and held.ends_at <= written(now)
    if ended or now - used > IDLE or now - made > LONGEST:
        raise Problem(401, "token_ended", _ENDED)
    return Known(person, device)


def _revoked(device: Device | None) -> Problem:
    if device is None or device.wipe_asked_at is None:
        return Problem(401, "device_revoked", _REVOKED)
    problem = Problem(401, "device_revoked", f"{_REVOKED} {_WIPE}")
    problem.more["wipe"] = True
    return problem


def _is_to_be_noted(held: Token, now: dt.datetime) -> bool:
    return held.used_at is None or now - dt.datetime.fromisoformat(held.used_at) > _NOTED_EVERY


def _note(notebook: Notebook, sha256: str, now: dt.datetime) -> None:
    """Write down that a token was used; on its first use the older ones begin to end.

    A token that is old enough gets a successor, given with this answer.
    """
    at = written(now)
    with notebook.store.writing() as db:
        held = rows.token(db, sha256)
        if held is None:
            return
        if held.used_at is None:
            rows.end_older(db, held, written(now + OVERLAP))
        rows.store_token(db, attrs.evolve(held, used_at=at))
        rows.drop_ended_tokens(db, written(now - IDLE))
        people.store_seen(db, held.device_id, at)
        newest = rows.tokens_of(db, held.device_id)[0]
        if (
            newest.sha256 == sha256
            and now - dt.datetime.fromisoformat(held.made_at) < ROTATED_AFTER
        ):
            return
        if newest.sha256 != sha256 and newest.used_at is not None:
            return  # the device has its new one; this is an old answer's echo
        if newest.sha256 != sha256:
            rows.drop_token(db, newest.sha256)  # given, and lost on its way
        give(make(db, held.device_id, now))


def give(token: str | None) -> None:
    """Have the present answer carry a token to the device, or (None) take it away."""
    g.token = token


def carry(app: Flask) -> None:
    """Put tokens into the answers of an app, in a cookie that only TLS and no script sees."""

    @app.after_request
    def _cookie(answer: Response) -> Response:
        if "token" in g:
            answer.set_cookie(
                COOKIE,
                g.token or "",
                max_age=LONGEST if g.token else 0,
                path="/",
                secure=True,
                httponly=True,
                samesite="Strict",
            )
            answer.headers["Cache-Control"] = "no-store"
        return answer


def sent() -> str | None:
    """Answer the token that the present request carries."""
    return request.cookies.get(COOKIE)
