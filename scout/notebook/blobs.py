"""Bytes kept under the SHA-256 of themselves: `blobs/ab/<sha256>`, whole or not there at all.

A file is written in `incoming/`, hashed, synced, and only then takes its name. Not for: what the
bytes show, nor the table that lists them (`store.ledger`).
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path

from scout.notebook.store.trouble import told_in_words
from scout.records.trouble import Refused

_PIECE = 1 << 20


class BlobFolder:
    """The blobs of one notebook, or of one backup."""

    def __init__(self, root: Path) -> None:
        self.root = root

    def path_of(self, sha256: str) -> Path:
        """Answer where a blob's bytes lie, or would."""
        return self.root / "blobs" / sha256[:2] / sha256

    def is_sound(self, sha256: str) -> bool:
        """Tell whether a blob's bytes are here and hash to their name."""
        path = self.path_of(sha256)
        return path.is_file() and hash_of(path) == sha256

    @told_in_words()
    def keep(self, pieces: Iterable[bytes], sha256: str) -> int:
        """Keep bytes under their name and answer how many; raises Refused if they differ."""
        incoming = self.root / "incoming"
        incoming.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=incoming)
        try:
            digest, size = hashlib.sha256(), 0
            with os.fdopen(handle, "wb") as file:
                for piece in pieces:
                    file.write(piece)
                    digest.update(piece)
                    size += len(piece)
                file.flush()
                os.fsync(file.fileno())
            if digest.hexdigest() != sha256:
                raise Refused.one(
                    f"the bytes of {sha256[:12]}… are not what their hash says; send them again"
                )
            target = self.path_of(sha256)
            target.parent.mkdir(parents=True, exist_ok=True)
            os.replace(name, target)
            for folder in (target.parent, target.parent.parent):
                sync_folder(folder)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        return size


def pieces_of(path: Path) -> Iterator[bytes]:
    """Read a file piece by piece."""
    with path.open("rb") as file:
        while piece := file.read(_PIECE):
            yield piece


def hash_of(path: Path) -> str:
    """Answer the SHA-256 of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def sync_folder(folder: Path) -> None:
    """Make the names in a folder outlive a loss of power, where the system lets one."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:  # a system on which a folder cannot be opened
        return
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
