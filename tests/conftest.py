"""What every test shares: how large property tests are, where zones come from, outside programs."""

from __future__ import annotations

import os
import shutil
import zoneinfo
from collections.abc import Iterator
from pathlib import Path

import pytest
from cheroot.server import HTTPServer
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, Playwright, sync_playwright

FULL = os.environ.get("SCOUT_FULL") == "1"
# For faults whose proof takes long; a quicker one of their kind runs every time.
only_full = pytest.mark.skipif(not FULL, reason="takes long: runs with SCOUT_FULL=1")
ON_CI = os.environ.get("CI", "").lower() in ("1", "true")

# The profiles: a quick look at every run, a long one with SCOUT_FULL=1. No deadline and no
# slowness check, for a busy machine would fail sound code.
settings.register_profile(
    "quick",
    max_examples=25,
    deadline=None,
    derandomize=ON_CI,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("full", settings.get_profile("quick"), max_examples=1000)
settings.load_profile("full" if FULL else "quick")

# A server looks for its end only so often, and every test that has one waits for that [s].
HTTPServer.expiration_interval = 0.02

# Zones come from the tzdata package, as on the phone, and not from the machine.
zoneinfo.reset_tzpath(())


@pytest.fixture(scope="session")
def chromium() -> Path:
    """Return the Chromium to drive; without one, skip on a person's machine and fail on CI."""
    return program(("chromium", "chromium-browser", "google-chrome"), "chromium")


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """Return the one driver of browsers: a second in the same process is refused."""
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(playwright: Playwright, chromium: Path) -> Iterator[Browser]:
    """Return one browser for all tests that need one."""
    started = playwright.chromium.launch(executable_path=chromium)
    yield started
    started.close()


@pytest.fixture(scope="session")
def pdftotext() -> Path:
    """Return the program that reads a printed page back (its brother pdfinfo lies beside it)."""
    return program(("pdftotext",), "poppler-utils")


def program(names: tuple[str, ...], debian_package: str) -> Path:
    found = next(filter(None, map(shutil.which, names)), None)
    if found is not None:
        return Path(found)
    trouble = (
        f"This test needs the program {names[0]}, and it is not on the PATH. "
        f"On Debian or Ubuntu install the package {debian_package}."
    )
    if ON_CI:
        pytest.fail(trouble)
    pytest.skip(trouble)
