"""The engine as two zip files, packed out of what is installed, for the phone to unpack.

`scout` holds scout.records and scout.engine and changes with every release; `libraries` holds
the packages they need and changes seldom, so that a phone seldom fetches it again. The name of
each carries the hash of its content. Nothing is compiled: the phone's Python is another version.
Not for serving the zips, and not for the front end's own files.
"""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections.abc import Iterator, Mapping
from fnmatch import fnmatchcase
from importlib.util import find_spec
from pathlib import Path

from attrs import frozen

# Package -> which of its files, relative to the package. tzdata is all data, and of pygeomag's
# models only the one in force is taken: it weighs 12 kB, the others 2 MB. geopy is left out on
# purpose: to import it is to import asyncio and sockets, and its geodesics are geographiclib's.
_OURS = {
    "scout": ("__init__.py", "records/*.py", "engine/*.py"),
}
_LIBRARIES = {
    "astral": ("*.py",),
    "attr": ("*.py",),
    "attrs": ("*.py",),
    "cattrs": ("*.py",),
    "geographiclib": ("*.py",),
    "pygeomag": ("*.py", "wmm/WMM_2025.COF"),
    "typing_extensions": ("*.py",),
    "tzdata": ("*.py", "zoneinfo/*"),
}
_NEVER = ("__pycache__/*", "*/__pycache__/*", "test/*", "tests/*", "*.pyc", "wmm/*.py")

# Zip files cannot hold an earlier time; a fixed one keeps the bytes the same on every machine.
_FIXED_TIME = (1980, 1, 1, 0, 0, 0)

_NOT_INSTALLED = "The package {name!r} is not installed, and the engine needs it. Run pip again."


@frozen
class Pack:
    """One zip file: its name, which carries the hash of what is in it, and its bytes."""

    name: str
    content: bytes


def engine_packs() -> tuple[Pack, Pack]:
    """Return the engine's own pack and the pack of the libraries it needs.

    The same installed files give the same names everywhere, and the same bytes wherever the
    compressor is the same. Raises ModuleNotFoundError, in a sentence, for a missing package.
    """
    return _pack("scout", _OURS), _pack("libraries", _LIBRARIES)


def _pack(title: str, wanted: Mapping[str, tuple[str, ...]]) -> Pack:
    members = sorted(member for item in wanted.items() for member in _members(*item))
    mark = hashlib.sha256()
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for path, file in members:
            content = file.read_bytes()
            mark.update(f"{path}\0{len(content)}\0".encode() + content)
            entry = zipfile.ZipInfo(path, _FIXED_TIME)
            entry.create_system = 3  # Unix, so that Windows packs the same bytes
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, content, zipfile.ZIP_DEFLATED, compresslevel=9)
    return Pack(f"{title}-{mark.hexdigest()[:16]}.zip", packed.getvalue())


def _members(package: str, patterns: tuple[str, ...]) -> Iterator[tuple[str, Path]]:
    """Yield path in the zip and file on the disk, for a package or for a single module."""
    spec = find_spec(package)
    if spec is None or spec.origin is None:
        raise ModuleNotFoundError(_NOT_INSTALLED.format(name=package))
    origin = Path(spec.origin)
    if spec.submodule_search_locations is None:
        yield origin.name, origin
        return
    for file in origin.parent.rglob("*"):
        inside = file.relative_to(origin.parent).as_posix()
        # In these patterns * reaches across folders.
        if (
            file.is_file()
            and any(fnmatchcase(inside, pattern) for pattern in patterns)
            and not any(fnmatchcase(inside, pattern) for pattern in _NEVER)
        ):
            yield f"{package}/{inside}", file
