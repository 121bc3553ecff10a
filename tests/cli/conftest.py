"""A place to stand for the command's tests: an empty folder with the sample site beside."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from scout.cli import main
from scout.installed import sample_site_folder

Run = Callable[..., Result]


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the current folder of a test, in which the sample site can be named."""
    (tmp_path / "sample_site").symlink_to(sample_site_folder())
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    for name in ("FORCE_COLOR", "TTY_COMPATIBLE", "SCOUT_TRACE"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


@pytest.fixture
def run(place: Path) -> Run:
    """Return a way to run the command in this process."""
    return lambda *arguments: CliRunner().invoke(main, list(arguments))


@pytest.fixture
def program(place: Path) -> Callable[..., subprocess.CompletedProcess[str]]:
    """Return a way to run the installed command as a program of its own."""
    script = Path(sys.executable).with_name("scout")

    def start(*arguments: str, **env: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [str(script), *arguments],
            capture_output=True,
            encoding="utf-8",
            env={**os.environ, **env},
            cwd=place,
            check=False,
        )

    return start


@pytest.fixture
def own_site(place: Path) -> Path:
    """Return a copy of the sample site that a test may spoil."""
    copy = place / "own"
    shutil.copytree(
        sample_site_folder(), copy, ignore=shutil.ignore_patterns("making", "__pycache__")
    )
    return copy
