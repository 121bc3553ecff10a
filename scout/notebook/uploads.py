"""Photos coming in piece by piece: appended, synced to the disk, and only then acknowledged.

What was acknowledged stands in the table; bytes beyond that are a piece cut short by a crash and
are written over. At the end the whole file is hashed, and takes the name of its hash only if it is
that. Not for: HTTP, or what the bytes show (`photos`).
"""

from __future__ import annotations

import datetime as dt
import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import attrs

from scout.notebook.blobs import hash_of, sync_folder
from scout.notebook.clock import written
from scout.notebook.notebook import Notebook
from scout.notebook.pictures import LARGEST_BYTES
from scout.notebook.store import ledger, uploads
from scout.notebook.store.trouble import told_in_words
from scout.notebook.store.uploads import Upload
from scout.records.trouble import Refused

LARGEST_PIECE_BYTES = 1_048_576
MOST_UNDERWAY = 1000
_KEPT_FOR = dt.timedelta(days=60)  # a phone may be away for a season; its photos it still has


class WrongOffset(Exception):
    """A piece that does not join on; `offset` is where the next one belongs."""

    def __init__(self, offset: int) -> None:
        self.offset = offset
        super().__init__(f"The next piece belongs at {offset}; send it from there.")


class NotItsHash(Exception):
    """All bytes came, and they are not what their name says: the upload begins anew."""

    def __init__(self) -> None:
        super().__init__(
            "All pieces are here and they are not the photo that the hash names; "
            "read the file again and send it under its own hash."
        )


@attrs.frozen
class Progress:
    """How much of a blob is here, of how much (None where nobody has said)."""

    offset: int
    size: int | None
    whole: bool


class Uploads:
    """What is on its way into one notebook."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook
        self._held: set[str] = set()
        self._free = threading.Condition()

    def progress(self, sha256: str) -> Progress:
        """Answer how much of a blob is here."""
        with self._notebook.store.reading() as db:
            upload = uploads.underway(db, sha256)
        whole = self._notebook.holdings.verified(sha256)
        if whole is not None:
            return Progress(whole.size_bytes, whole.size_bytes, True)
        if upload is None:
            return Progress(0, None, False)
        return Progress(min(upload.offset_bytes, self._length(sha256)), upload.size_bytes, False)

    @told_in_words()
    def append(
        self,
        sha256: str,
        offset: int,
        size: int,
        piece: bytes,
        *,
        media_type: str | None = None,
        device: str | None = None,
    ) -> Progress:
        """Append one piece; answers once it is on the disk. A whole blob needs none and says so.

        Raises WrongOffset, NotItsHash, Refused for a size that cannot be, StoreTrouble.
        """
        with self._alone(sha256):
            here = self.progress(sha256)
            if here.whole:
                return here
            self._refuse(here, offset, size, piece)
            self._write(sha256, offset, piece)
            at = written(self._notebook.clock())
            end = offset + len(piece)
            if end == size:  # killed on the way, it goes on before the last piece
                self._finish(sha256, size, media_type, at)
            else:
                with self._notebook.store.writing() as db:
                    uploads.store(db, Upload(sha256, size, end), device, at)
            return Progress(end, size, end == size)

    def sweep(self) -> int:
        """Drop what was begun and not touched for two months; answers how many."""
        before = written(self._notebook.clock() - _KEPT_FOR)
        with self._notebook.store.reading() as db:
            old = uploads.before(db, before)
        for sha256 in old:
            with self._alone(sha256):
                self._drop(sha256)
        return len(old)

    def _refuse(self, here: Progress, offset: int, size: int, piece: bytes) -> None:
        if not 0 < size <= LARGEST_BYTES:
            raise Refused.one(
                f"the photo is {size} bytes large; 1 to {LARGEST_BYTES} are taken, make it smaller"
            )
        if here.offset and here.size is not None and here.size != size:
            raise Refused.one(f"the photo was begun as {here.size} bytes and is now {size}")
        if offset != here.offset:
            raise WrongOffset(here.offset)
        if not piece or len(piece) > LARGEST_PIECE_BYTES or offset + len(piece) > size:
            raise Refused.one(
                f"a piece has 1 to {LARGEST_PIECE_BYTES} bytes and ends where the photo ends; "
                f"this one has {len(piece)} from {offset} on of {size}"
            )
        if here.size is None:
            with self._notebook.store.reading() as db:
                if uploads.count(db) >= MOST_UNDERWAY:
                    raise Refused.one(
                        f"{MOST_UNDERWAY} photos are on their way already; send one of them to its "
                        "end first"
                    )

    def _write(self, sha256: str, offset: int, piece: bytes) -> None:
        path = self._path(sha256)
        made = not path.exists()
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o644)
        with os.fdopen(handle, "r+b") as file:
            file.truncate(offset)
            file.seek(offset)
            file.write(piece)
            file.flush()
            os.fsync(file.fileno())
        if made:
            sync_folder(path.parent)

    def _finish(self, sha256: str, size: int, media_type: str | None, at: str) -> None:
        path = self._path(sha256)
        if hash_of(path) != sha256:
            self._drop(sha256)
            raise NotItsHash
        target = self._notebook.blobs.path_of(sha256)
        target.parent.mkdir(parents=True, exist_ok=True)
        os.replace(path, target)
        sync_folder(target.parent)
        sync_folder(target.parent.parent)
        with self._notebook.store.writing() as db:
            ledger.store_blob(db, sha256, size, media_type, at)
            uploads.drop(db, sha256)

    def _drop(self, sha256: str) -> None:
        self._path(sha256).unlink(missing_ok=True)
        with self._notebook.store.writing() as db:
            uploads.drop(db, sha256)

    def _length(self, sha256: str) -> int:
        try:
            return self._path(sha256).stat().st_size
        except FileNotFoundError:
            return 0

    def _path(self, sha256: str) -> Path:
        return self._notebook.folder / "incoming" / f"{sha256}.part"

    @contextmanager
    def _alone(self, sha256: str) -> Iterator[None]:
        """Let one request at a time write to one blob; others go on."""
        with self._free:
            self._free.wait_for(lambda: sha256 not in self._held)
            self._held.add(sha256)
        try:
            yield
        finally:
            with self._free:
                self._held.discard(sha256)
                self._free.notify_all()
