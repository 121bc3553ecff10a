"""A place in the journal as a phone holds it: `epoch:seq:chain`, opaque to the phone.

A journal restored from a backup has another epoch, and one copied back by hand another chain.
Not for: the journal's rows (`store.journal`).
"""

from __future__ import annotations

import re

from sqlite_utils import Database

from scout.notebook.store import journal
from scout.notebook.store.journal import Place

_SEQ = re.compile(r"[0-9]{1,15}")
_CHAIN_SHOWN = 16  # of its 64 digits: enough to tell two journals apart


class CursorInvalid(Exception):
    """A place of another epoch, beyond the end, or of another chain.

    The phone forgets every seq, offers all it holds, and pulls from the start.
    """

    code = "cursor_invalid"

    def __init__(self) -> None:
        super().__init__(
            "This place is not in the server's journal; offer everything and start again."
        )


def cursor(epoch: str, place: Place) -> str:
    """Write a place of an epoch."""
    return f"{epoch}:{place.seq}:{place.chain[:_CHAIN_SHOWN]}"


def checked(db: Database, epoch: str, text: str) -> Place:
    """Answer the place that a cursor means; raises CursorInvalid."""
    parts = text.split(":")
    if len(parts) != 3 or parts[0] != epoch or not _SEQ.fullmatch(parts[1]):
        raise CursorInvalid
    place = journal.place(db, int(parts[1]))
    if place is None or place.chain[:_CHAIN_SHOWN] != parts[2]:
        raise CursorInvalid
    return place
