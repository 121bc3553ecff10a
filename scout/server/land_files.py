"""Elevation models coming in from a browser, piece by piece, into the notebook's folder.

They may be gigabytes, so a piece is small and joins on where the last one ended. Not for: taking
the whole file in as a model (`scout.terrain.taking_in`).
"""

from __future__ import annotations

import re
import shutil
import time
import uuid
from pathlib import Path
from typing import Final

from scout.notebook.uploads import WrongOffset
from scout.records.trouble import Refused, shown
from scout.terrain.incoming import DRIVERS

LARGEST_BYTES: Final = 8 * 1024**3
LARGEST_PIECE_BYTES: Final = 4 * 1_048_576
MOST_UNDERWAY: Final = 4
_NAME = re.compile(r"[^A-Za-z0-9._ -]+")
_ID = re.compile(r"[0-9a-f]{32}")
_KEPT_S: Final = 24 * 3600.0


class Incoming:
    """The folder of what is on its way in."""

    def __init__(self, root: Path) -> None:
        self.folder = root / "land" / "incoming"

    def begin(self, name: str, size: int) -> str:
        """Make room for a file; answers its id. Raises Refused."""
        plain = _NAME.sub("_", Path(name).name)[-80:]
        if Path(plain).suffix.lower() not in DRIVERS:
            raise Refused.one(
                f"{shown(name)} is no elevation model that is read here; give a GeoTIFF (.tif), an "
                "SRTM tile (.hgt) or an ESRI ASCII grid (.asc)"
            )
        if not 0 < size <= LARGEST_BYTES:
            raise Refused.one(f"a model may have up to {LARGEST_BYTES // 1024**3} GB", "size")
        self._sweep()
        self.folder.mkdir(parents=True, exist_ok=True)
        if len(list(self.folder.iterdir())) >= MOST_UNDERWAY:
            raise Refused.one("too many files are on their way in; let one end first")
        if shutil.disk_usage(self.folder).free < 2 * size:
            raise Refused.one("the disk has no room for it twice over; make room first")
        mark = uuid.uuid4().hex
        (self.folder / mark).mkdir()
        (self.folder / mark / plain).touch()
        return mark

    def append(self, mark: str, offset: int, piece: bytes) -> int:
        """Join a piece on; answers where the next one belongs. Raises WrongOffset, Refused."""
        path = self.file(mark)
        here = path.stat().st_size
        if offset != here:
            raise WrongOffset(here)
        if here + len(piece) > LARGEST_BYTES:
            raise Refused.one(f"a model may have up to {LARGEST_BYTES // 1024**3} GB", "size")
        with path.open("ab") as file:
            file.write(piece)
        return here + len(piece)

    def file(self, mark: str) -> Path:
        """Answer the file of an id; raises Refused where there is none."""
        home = self.folder / mark
        if not _ID.fullmatch(mark) or not home.is_dir():
            raise Refused.one("this upload is not known (any more); begin it again", "upload")
        return next(home.iterdir())

    def drop(self, mark: str) -> None:
        """Forget an upload."""
        if _ID.fullmatch(mark):
            shutil.rmtree(self.folder / mark, ignore_errors=True)

    def _sweep(self) -> None:
        """Drop what was begun a day ago and never ended."""
        if not self.folder.is_dir():
            return
        for home in self.folder.iterdir():
            if home.stat().st_mtime < time.time() - _KEPT_S:
                self.drop(home.name)
