"""The engine as the phone fetches it: the runtime's files and the packs, each under its own name.

Every address carries a hash of what is behind it, so that a phone may keep it for good and an old
engine and a new one never mix. Not for: packing (`packing`), or the front end's files (`web`).
"""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from attrs import frozen
from flask import Blueprint, Response, abort, current_app, jsonify, request

from scout.engine.calls import ENGINE_VERSION
from scout.installed import web_folder
from scout.packing import engine_packs
from scout.server.shell import ENGINE_FOLDER, Served, integrity, served

# What the runtime loads, in this order; nothing else of it is needed.
RUNTIME: Final = (
    "pyodide.mjs",
    "pyodide.asm.mjs",
    "pyodide.asm.wasm",
    "python_stdlib.zip",
    "pyodide-lock.json",
)
_FOR_GOOD: Final = "public, max-age=31536000, immutable"
_LOCK = threading.Lock()

routes = Blueprint("packs", __name__, url_prefix="/engine")


@frozen
class Packed:
    """Every file of the engine by its address, and the list of them that a phone asks for."""

    files: Mapping[str, bytes]
    listed: Mapping[str, Any]


def packed(runtime: Path) -> Packed:
    """Make the engine ready to be handed out. Raises FileNotFoundError without the runtime."""
    contents = {name: (runtime / name).read_bytes() for name in RUNTIME}
    mark = hashlib.sha256()
    for name, content in contents.items():
        mark.update(f"{name}\0{len(content)}\0".encode() + content)
    folder = f"runtime-{mark.hexdigest()[:16]}"
    files = {f"{folder}/{name}": content for name, content in contents.items()}
    packs = engine_packs()
    files |= {pack.name: pack.content for pack in packs}
    whole = hashlib.sha256("\n".join(files).encode())
    listed = {
        "version": whole.hexdigest()[:16],
        "engine": ENGINE_VERSION,
        "runtime": f"{folder}/",
        "packs": [pack.name for pack in packs],
        "files": [
            {"name": name, "bytes": len(content), "integrity": integrity(content)}
            for name, content in files.items()
        ],
    }
    return Packed(files, listed)


@lru_cache(maxsize=32)
def _ready(content: bytes, suffix: str) -> Served:
    # Seconds of gzip on a small machine: done where a file is asked for, once a process.
    return served(content, suffix)


def _kept() -> Packed:
    with _LOCK:
        kept = current_app.extensions.get("scout_packs")
        if not isinstance(kept, Packed):
            try:
                kept = packed(web_folder() / ENGINE_FOLDER)
            except FileNotFoundError:
                abort(404)
            current_app.extensions["scout_packs"] = kept
        return kept


@routes.get("/packs.json")
def listed() -> Response:
    """Name the engine's files, their sizes and hashes, in the order in which they are fetched."""
    answer = jsonify(_kept().listed)
    answer.headers["Cache-Control"] = "no-cache"
    return answer


@routes.get("/<name>.zip")
def pack(name: str) -> Response:
    """Give one pack."""
    return _answer(f"{name}.zip")


@routes.get("/runtime-<mark>/<name>")
def runtime(mark: str, name: str) -> Response:
    """Give one file of the runtime."""
    return _answer(f"runtime-{mark}/{name}")


def _answer(name: str) -> Response:
    content = _kept().files.get(name)
    if content is None:
        abort(404)
    found = _ready(content, Path(name).suffix)
    zipped = found.zipped if request.accept_encodings["gzip"] > 0 else None
    answer = Response(found.plain if zipped is None else zipped, content_type=found.type)
    if zipped is not None:
        answer.headers["Content-Encoding"] = "gzip"
    answer.headers["Vary"] = "Accept-Encoding"
    answer.headers["Cache-Control"] = _FOR_GOOD
    return answer
