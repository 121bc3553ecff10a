"""Files bound together: shared pictures without what their files say, and the whole notebook.

A shared picture is made anew from its pixels, small, under a number, in the child process that
opens all pictures of strangers. Not for: which pictures may go (`outgoing`).
"""

from __future__ import annotations

import tempfile
import zipfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import IO

from scout.notebook.folder import Folder
from scout.notebook.folder_writing import write_back
from scout.notebook.thumbnails import develop

MEDIA_TYPE = "application/zip"
NOT_IN_IT = "NOT_IN_IT.txt"
# A fixed time, for the minute of writing is nobody's business and the same bytes come out twice.
_MADE = (1980, 1, 1, 0, 0, 0)


def sheets_into(stream: IO[bytes], sheets: Mapping[str, str]) -> None:
    """Bind text files together."""
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as bundle:
        for name, text in sheets.items():
            bundle.writestr(zipfile.ZipInfo(name, _MADE), text.encode())


def pictures_into(stream: IO[bytes], photos: Iterable[Path]) -> tuple[int, int]:
    """Bind pictures made anew; answer how many went and how many could not be read."""
    went = unread = 0
    with (
        tempfile.TemporaryDirectory(prefix="scout-") as scratch,
        zipfile.ZipFile(stream, "w", zipfile.ZIP_STORED) as bundle,
    ):
        for photo in photos:
            small = Path(scratch) / "small.jpg"
            if develop(photo, small).get("state") != "read":
                unread += 1
                continue
            went += 1
            bundle.writestr(zipfile.ZipInfo(f"{went:03}.jpg", _MADE), small.read_bytes())
    return went, unread


def everything_into(stream: IO[bytes], folder: Folder, beside: str | None = None) -> int:
    """Bind the whole notebook as a folder of records with its photos; answer how many records.

    It holds exact positions and originals: for its owner's own keeping. `beside`: what is not in
    it, said in a file of its own.
    """
    with tempfile.TemporaryDirectory(prefix="scout-") as scratch:
        out = Path(scratch) / "notebook"
        write_back(out, folder)
        with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as bundle:
            for path in sorted(out.rglob("*")):
                if path.is_file():
                    bundle.write(path, path.relative_to(out).as_posix())
            if beside is not None:
                bundle.writestr(zipfile.ZipInfo(NOT_IN_IT, _MADE), f"{beside}\n")
    return sum(len(of) for of in folder.records.values())
