"""A code that was typed, sought among the pairings that wait for it.

A wrong one counts against its address, and burns what waits when five have come. Not for: what
follows a right one (`pairing`).
"""

from __future__ import annotations

import datetime as dt
import hmac
from typing import Final

import attrs
from sqlite_utils import Database

from scout.notebook.clock import written
from scout.notebook.notebook import Notebook
from scout.notebook.store import door as rows
from scout.notebook.store.door import Pairing
from scout.server import audit, codes, limits
from scout.server.errors import Problem
from scout.server.tokens import hashed

MOST_WRONG: Final = 5


def found(
    notebook: Notebook, way: str, typed: str, address: str, *, long_secret: bool = False
) -> Pairing:
    """Answer the waiting pairing of a code; a wrong one is counted, and burns what waits."""
    now = notebook.clock()
    wanted = hashed(codes.plain(typed))
    secret = hashed(typed.strip())
    with notebook.store.writing() as db:
        limits.refuse_beyond(db, way, address, now)
        fits = None
        waiting = rows.waiting(db, way, written(now))
        for one in waiting:  # all are compared, so that the time taken says nothing
            is_code = hmac.compare_digest(one.code_sha256, wanted)
            is_secret = long_secret and hmac.compare_digest(one.secret_sha256, secret)
            if is_code or is_secret:
                fits = one
        if fits is not None:
            return fits
        limits.count(db, way, address, now)
        _burn(db, way, waiting, address, now)
    raise wrong()


def _burn(db: Database, way: str, waiting: list[Pairing], address: str, now: dt.datetime) -> None:
    audit.note(db, now, "wrong_code", detail=f"from {address}")
    for one in waiting:
        state = "burnt" if one.wrong + 1 >= MOST_WRONG else "waiting"
        rows.store_pairing(db, attrs.evolve(one, wrong=one.wrong + 1, state=state))
        if state == "burnt":
            audit.note(db, now, "pairing_burnt", detail=one.device_name or "")
    if (until := rows.paused_until(db, way)) is not None and until > written(now):
        audit.note(db, now, "tries_paused")


def wrong() -> Problem:
    """Answer the trouble with a code that nothing waits for."""
    return Problem(
        404, "no_code", "No device waits with this code; compare it, or let it begin again."
    )
