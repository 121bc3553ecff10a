"""A trail camera's folder read into watches and sightings to look through.

Pictures within five minutes of each other are one presence. Its running time is taken from the
first picture to the last, for the folder says no more; whoever knows when it was hung up mends
that. Its clock mostly has no zone: the site's is taken, and said. Not for: saying what animal it
was, which a person does.
"""

from __future__ import annotations

import datetime as dt
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, Final
from zoneinfo import ZoneInfo

import attrs

from scout.notebook.blobs import hash_of
from scout.notebook.thumbnails import develop

GAP_MIN: Final = 5  # common practice, no source
MOST_PICTURES: Final = 20_000
_ENDS: Final = (".jpg", ".jpeg", ".png", ".webp")


@attrs.frozen(kw_only=True)
class Shot:
    """One picture of the camera."""

    path: Path
    sha256: str
    at: dt.datetime
    is_zone_assumed: bool


@attrs.frozen(kw_only=True)
class Presence:
    """Pictures that belong together, in order of time."""

    shots: tuple[Shot, ...]


@attrs.frozen(kw_only=True)
class CameraFolder:
    """What a folder held: presences in order, and a sentence on each file that said no time."""

    presences: tuple[Presence, ...]
    passed_over: tuple[str, ...]


def camera_folder(
    folder: Path,
    zone: str,
    *,
    clock_fast_s: float = 0.0,
    progress: Callable[[int, int], object] = lambda done, of: None,
) -> CameraFolder:
    """Read a folder of pictures, names sorted; `clock_fast_s` is by how much its clock is fast."""
    paths = sorted(
        path for path in folder.rglob("*") if path.suffix.lower() in _ENDS and path.is_file()
    )[:MOST_PICTURES]
    shots: list[Shot] = []
    passed_over: list[str] = []
    with tempfile.TemporaryDirectory(prefix="scout-") as scratch:
        for done, path in enumerate(paths, 1):
            told = develop(path, Path(scratch) / "small.jpg")
            at = (told.get("says") or {}).get("at")
            name = path.relative_to(folder).as_posix()
            if told["state"] != "read":
                passed_over.append(f"{name}: {told['why']}")
            elif at is None:
                passed_over.append(f"{name}: says nothing of when it was taken.")
            else:
                taken = _instant(at, zone) - dt.timedelta(seconds=clock_fast_s)
                shots.append(
                    Shot(
                        path=path,
                        sha256=hash_of(path),
                        at=taken,
                        is_zone_assumed=at["offset"] is None,
                    )
                )
            progress(done, len(paths))
    return CameraFolder(presences=tuple(grouped(shots)), passed_over=tuple(passed_over))


def grouped(shots: Iterable[Shot]) -> list[Presence]:
    """Put pictures together that are no more than the gap apart."""
    groups: list[list[Shot]] = []
    for shot in sorted(shots, key=lambda one: (one.at, one.sha256)):
        if groups and shot.at - groups[-1][-1].at <= dt.timedelta(minutes=GAP_MIN):
            groups[-1].append(shot)
        else:
            groups.append([shot])
    return [Presence(shots=tuple(group)) for group in groups]


def _instant(at: dict[str, Any], zone: str) -> dt.datetime:
    offset = at["offset"]
    if offset is not None:
        return dt.datetime.fromisoformat(f"{at['local']}{offset}")
    return dt.datetime.fromisoformat(at["local"]).replace(tzinfo=ZoneInfo(zone))
