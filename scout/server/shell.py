"""The front end's files as they are handed out: read once, compressed once, each known by its hash.

A file that has changed on the disk is read again, so that an upgrade under a running server is one
change of version and never half of one. Not for: HTTP (`web`), or the engine's zips (`packing`).
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
import threading
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

from attrs import frozen

from scout.server.imports import imported

TYPES: Final = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".json": "application/json",
    ".webmanifest": "application/manifest+json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".woff2": "font/woff2",
    ".wasm": "application/wasm",
    ".zip": "application/zip",
    ".txt": "text/plain; charset=utf-8",
}
_ALREADY_SMALL = (".png", ".woff2", ".zip")
# What only a build or an editor reads.
_NOT_SERVED = ("package.json", "package-lock.json", "tsconfig.json", "tsconfig.sw.json")
_NOT_ENTERED = ("node_modules", "vendor.new", "__pycache__")
# The runtime of the engine is kept apart on the phone, for it is large and changes seldom.
ENGINE_FOLDER: Final = "vendor/pyodide/"
WORKER: Final = "sw.js"
FIRST_PAGE: Final = "index.html"
FIRST_PROGRAM: Final = "main.js"
_NOT_OURS = "vendor/"
# Comments for readers and for the type checker, and those that have a line to themselves. A test
# holds what is left against what a parser makes of it.
_COMMENTS: Final = {
    ".js": re.compile(rb"/\*\*(?:(?!\*/).)*\*/ ?|^[ \t]*//[^\n]*$", re.MULTILINE | re.DOTALL),
    ".css": re.compile(rb"/\*(?:(?!\*/).)*\*/", re.DOTALL),
}
# Given out, and not needed on the phone without signal: the licences, letters of far names (drawn
# with the phone's own then), the icons that an installation fetches, controls that no map here has.
NOT_ON_THE_PHONE: Final = (
    "vendor/licences.txt",
    "vendor/letters/latin-more.woff2",
    "vendor/leaflet/images/layers.png",
    "vendor/leaflet/images/layers-2x.png",
    "vendor/leaflet/images/marker-icon.png",
    "icons/mark-180.png",
    "icons/mark-192.png",
    "icons/mark-512.png",
    "icons/mark-maskable-512.png",
)


@frozen
class Served:
    """One file: its bytes plain and gzipped (None where that gains nothing), type and hash."""

    plain: bytes
    zipped: bytes | None
    type: str
    sha256: bytes

    @property
    def integrity(self) -> str:
        """The hash in the form that a browser checks (W3C Subresource Integrity)."""
        return _integrity(self.sha256)


def integrity(content: bytes) -> str:
    """Answer the hash of some bytes in the form that a browser checks."""
    return _integrity(hashlib.sha256(content).digest())


def _integrity(sha256: bytes) -> str:
    return f"sha256-{base64.b64encode(sha256).decode()}"


def served(content: bytes, suffix: str) -> Served:
    """Make a file ready to be handed out."""
    zipped = None if suffix in _ALREADY_SMALL else gzip.compress(content, 9, mtime=0)
    if zipped is not None and len(zipped) >= len(content):
        zipped = None
    return Served(content, zipped, TYPES[suffix], hashlib.sha256(content).digest())


def without_comments(content: bytes, suffix: str) -> bytes:
    """Leave out of a file of ours what is for its readers alone; the count of lines stays."""
    comment = _COMMENTS.get(suffix)
    if comment is None:
        return content
    return comment.sub(lambda found: b"\n" * found[0].count(b"\n"), content)


class Shell:
    """The front end in one folder, with texts made by the server beside its files."""

    def __init__(self, folder: Path, made: Mapping[str, str] | None = None) -> None:
        """`made`: name → text of JSON files that are not on the disk."""
        self._folder = folder.resolve()
        self._made = {
            name: served(text.encode(), Path(name).suffix) for name, text in (made or {}).items()
        }
        self._read: dict[str, tuple[tuple[int, int], Served]] = {}
        self._lock = threading.Lock()

    def file(self, name: str) -> Served | None:
        """Answer a file by its path in the folder; None where there is none to be served."""
        if name == WORKER:
            return self.worker()
        if name == FIRST_PAGE:
            return self.first_page()
        return self._made.get(name) or self._file(name)

    def files(self) -> dict[str, Served]:
        """Answer what the phone keeps to start without a server, in the order of their names."""
        found = {
            name: file
            for name in self._names()
            if not name.startswith(ENGINE_FOLDER)
            if name != WORKER and name not in NOT_ON_THE_PHONE
            if (file := self.file(name)) is not None
        }
        return dict(sorted((found | self._made).items()))

    def first_page(self) -> Served | None:
        """Answer the first page with the names of all modules that its program starts with.

        A browser then asks for all of them at once, and not for one floor after the other.
        """
        page = self._file(FIRST_PAGE)
        if page is None:
            return None
        named = imported(self._text, FIRST_PROGRAM)
        lines = "".join(f'<link rel="modulepreload" href="{name}">\n' for name in named)
        return served(page.plain.replace(b"</head>", lines.encode() + b"</head>"), ".html")

    def _text(self, name: str) -> str:
        file = self._file(name)
        return "" if file is None else file.plain.decode()

    def worker(self) -> Served | None:
        """Answer the service worker with its version and the files it keeps put before it."""
        program = self._file(WORKER)
        if program is None:
            return None
        hashes = {name: file.integrity for name, file in self.files().items()}
        listed = json.dumps(hashes, separators=(",", ":"))
        mark = hashlib.sha256(listed.encode() + program.sha256).hexdigest()[:12]
        head = f'const VERSION = "{mark}";\nconst FILES = {listed};\n'
        return served(head.encode() + program.plain, ".js")

    def _file(self, name: str) -> Served | None:
        path = self._folder / name
        if not self._is_served(name) or not path.is_file():
            return None
        state = path.stat()
        mark = (state.st_mtime_ns, state.st_size)
        with self._lock:
            known = self._read.get(name)
            if known is None or known[0] != mark:
                content = path.read_bytes()
                if not name.startswith(_NOT_OURS):
                    content = without_comments(content, path.suffix)
                known = (mark, served(content, path.suffix))
                self._read[name] = known
        return known[1]

    def _names(self) -> Iterator[str]:
        for path in self._folder.rglob("*"):
            name = path.relative_to(self._folder).as_posix()
            if self._is_served(name) and path.is_file():
                yield name

    def _is_served(self, name: str) -> bool:
        parts = name.split("/")
        return (
            not any(part in ("", "..") or part.startswith(".") for part in parts)
            and "\\" not in name
            and ":" not in name
            and not any(part in _NOT_ENTERED for part in parts)
            and parts[-1] not in _NOT_SERVED
            and Path(name).suffix in TYPES
        )
