"""The whole app on a phone's screen, against the real server on a port of its own."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Locator, Page

from scout.notebook.notebook import Notebook
from scout.server import serving
from scout.server.app import create_app

PHONE = {"width": 390, "height": 844}


@contextmanager
def served(notebook: Notebook) -> Iterator[str]:
    """Serve a notebook while it is needed; answers the address."""
    listening = serving.listen(create_app(notebook), 0)
    thread = threading.Thread(target=listening.run, daemon=True)
    thread.start()
    try:
        yield f"{listening.address}/"
    finally:
        listening.stop()
        thread.join()


class AppPage:
    """The app as a person has it in hand; what goes wrong in it is kept in `faults`."""

    def __init__(self, context: BrowserContext, url: str) -> None:
        self.context = context
        self.page: Page = context.new_page()
        self.url = url
        self.faults: list[str] = []
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        self.page.on("console", self._heard)
        self.page.on("dialog", self._asked)

    def _heard(self, message: Any) -> None:
        if (
            (message.type == "error" and "Failed to load resource" not in message.text)
            or "Content Security Policy" in message.text
            or "Uncaught" in message.text
        ):
            self.faults.append(message.text)

    def _asked(self, dialog: Any) -> None:
        self.faults.append(f"a dialog: {dialog.message}")
        dialog.dismiss()

    def open(self, path: str = "book") -> AppPage:
        self.page.goto(f"{self.url}index.html#/{path}")
        self.page.locator("main h1").wait_for()
        return self

    def go(self, path: str) -> AppPage:
        """Follow an address within the app."""
        follow = "async (path) => (await import('/route.js')).go(path)"
        self.page.evaluate(follow, path)
        self.page.locator("main:not([aria-busy]) h1").wait_for()
        return self

    def button(self, name: str) -> Locator:
        return self.page.get_by_role("button", name=name, exact=True)

    def link(self, name: str) -> Locator:
        return self.page.get_by_role("link", name=name)

    def text(self) -> str:
        return self.page.locator("main").inner_text()

    def synced(self) -> AppPage:
        """Sync now, by the person's own button, and wait until nothing is on its way."""
        self.go("sync")
        self.button("Sync now").click()
        self.page.get_by_role("button", name="Sync now", disabled=False).wait_for()
        return self


def phone_context(browser: Browser, **more: Any) -> BrowserContext:
    return browser.new_context(viewport=PHONE, has_touch=True, service_workers="block", **more)


def kill(context: BrowserContext, profile: Path) -> None:
    """Kill every process of the browser on a profile, as a phone does that needs the room."""
    mine = f"--user-data-dir={profile}".encode()
    for one in Path("/proc").iterdir():
        with suppress(OSError, ValueError):
            if mine in (one / "cmdline").read_bytes().split(b"\0"):
                os.kill(int(one.name), signal.SIGKILL)
    with suppress(Exception):
        context.close()
