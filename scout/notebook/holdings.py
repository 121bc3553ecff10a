"""Which photos' bytes are here, and are still what their names say.

A disk may change a byte and say nothing. Three looks, by what they cost: the table and the file's
size; the bytes hashed, once for as long as the file looks the same; and the check, which hashes all
of them. What is not its name any more is marked, counts as not here, and is wanted again. Not for:
taking bytes in (`uploads`, `blobs`).
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Final

from scout.notebook.blobs import BlobFolder, hash_of
from scout.notebook.clock import Clock, written
from scout.notebook.store import ledger, uploads
from scout.notebook.store.database import Store
from scout.notebook.store.trouble import StoreTrouble
from scout.notebook.store.uploads import Whole

_TRUSTED_FOR_S: Final = 600.0  # so a picture read by ranges is hashed once and not at each range
_MOST_KNOWN: Final = 10_000

Look = tuple[int, int, int]


class Holdings:
    """The photos' bytes of one notebook, held against their names."""

    def __init__(self, store: Store, blobs: BlobFolder, clock: Clock) -> None:
        self._store = store
        self._blobs = blobs
        self._clock = clock
        self._known: dict[str, tuple[Look, bool, float]] = {}
        self._lock = threading.Lock()

    def whole(self, sha256: str) -> Whole | None:
        """Answer a blob that is here by the table and its size; None if not or marked damaged."""
        with self._store.reading() as db:
            row = uploads.whole(db, sha256)
        if row is None or row.damaged:
            return None
        look = _look(self._blobs.path_of(sha256))
        return row if look is not None and look[0] == row.size_bytes else None

    def verified(self, sha256: str) -> Whole | None:
        """Answer a blob whose bytes were hashed and are what it says; write down what was found.

        A file that took its name before a crash, or was mended by hand, is made known.
        """
        path = self._blobs.path_of(sha256)
        look = _look(path)
        if look is None:
            return None
        with self._store.reading() as db:
            row = uploads.whole(db, sha256)
        marked = row is not None and row.damaged
        if self._is_sound(sha256, path, look, doubted=marked):
            if row is None or marked or row.size_bytes != look[0]:
                self._note_whole(sha256, look[0])
            return Whole(sha256, look[0], None if row is None else row.media_type)
        if row is not None and not marked:
            self.note([], [sha256])
        return None

    def states(self, hashes: Iterable[str]) -> dict[str, str]:
        """Answer `missing`, `here` or `backed_up` for each blob; none is hashed for it."""
        wanted = list(hashes)
        if not wanted:
            return {}
        with self._store.reading() as db:
            kept = {row["sha256"]: row for row in ledger.blobs(db)}
        return {sha256: self._state(sha256, kept.get(sha256)) for sha256 in wanted}

    def note(self, sound: list[str], damaged: list[str]) -> None:
        """Write down which bytes were hashed and right, and which are gone or changed.

        A notebook that cannot be written goes without.
        """
        if not sound and not damaged:
            return
        at = written(self._clock())
        with suppress(StoreTrouble), self._store.writing() as db:
            ledger.mark_blobs_checked(db, sound, at)
            ledger.mark_blobs_damaged(db, damaged, at)

    def _state(self, sha256: str, row: dict[str, object] | None) -> str:
        if row is None or row["completed_at"] is None or row["damaged_at"] is not None:
            return "missing"
        look = _look(self._blobs.path_of(sha256))
        if look is None or look[0] != row["size_bytes"]:
            return "missing"
        return "here" if row["backed_up_at"] is None else "backed_up"

    def _note_whole(self, sha256: str, size: int) -> None:
        with suppress(StoreTrouble), self._store.writing() as db:
            ledger.store_blob(db, sha256, size, None, written(self._clock()))
            uploads.drop(db, sha256)

    def _is_sound(self, sha256: str, path: Path, look: Look, *, doubted: bool) -> bool:
        with self._lock:
            known = self._known.get(sha256)
        if known is not None and known[0] == look:
            _, sound, at = known
            if not sound or (not doubted and time.monotonic() - at < _TRUSTED_FOR_S):
                return sound
        try:
            sound = hash_of(path) == sha256
        except OSError:  # a disk that cannot read it back has lost it too
            return False
        with self._lock:
            if len(self._known) >= _MOST_KNOWN:
                self._known.clear()
            self._known[sha256] = (look, sound, time.monotonic())
        return sound


def _look(path: Path) -> Look | None:
    """Answer what changes when a file is written: size, time and place; None if there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns, found.st_ino
