"""A browser, phones in it, and a server with a notebook."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page

from scout.notebook.notebook import Notebook, open_notebook

from .small_server import SmallServer

Opener = Callable[..., "PhonePage"]


# The app takes two taps within 40 ms for a drop of water and does not heed the second.
THUMB_S = 0.06


@pytest.fixture(scope="session", autouse=True)
def thumb() -> Iterator[None]:
    """Let every tap of a test come no sooner after the last one than a thumb's."""
    tapped_s = 0.0

    def paced(act: Callable[..., None]) -> Callable[..., None]:
        def wrapped(self: Locator, *given: Any, **more: Any) -> None:
            nonlocal tapped_s
            time.sleep(max(0.0, tapped_s + THUMB_S - time.monotonic()))
            try:
                act(self, *given, **more)
            finally:
                tapped_s = time.monotonic()

        return wrapped

    with pytest.MonkeyPatch.context() as patch:
        for name in ("click", "tap", "check", "uncheck"):
            patch.setattr(Locator, name, paced(getattr(Locator, name)))
        yield


def wall_clock() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "server", wall_clock, create=True) as opened:
        yield opened


@pytest.fixture
def server(notebook: Notebook) -> Iterator[SmallServer]:
    started = SmallServer(notebook)
    yield started
    started.close()


class PhonePage:
    """A page with the notebook opened as `notebook`; what goes wrong in it is kept in `faults`."""

    def __init__(self, page: Page, url: str) -> None:
        self.page = page
        self.url = url
        self.faults: list[str] = []
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.on("console", self._heard)

    def _heard(self, message: Any) -> None:
        if "Content Security Policy" in message.text or "Uncaught" in message.text:
            self.faults.append(message.text)

    def open(self, options: str = "{ sync: false }") -> PhonePage:
        self.page.goto(self.url + "blank.html")
        self.page.evaluate(
            f"""async () => {{
                const {{ openNotebook }} = await import('/notebook/notebook.js');
                globalThis.notebook = await openNotebook({options});
            }}"""
        )
        return self

    def run(self, body: str, given: Any = None) -> Any:
        """Run the body of an async function with `notebook` and `given`."""
        return self.page.evaluate(
            f"async (given) => {{ const notebook = globalThis.notebook; {body} }}", given
        )

    def save(self, kind: str, values: dict[str, Any], record: str | None = None) -> dict[str, Any]:
        edit = {"kind": kind, "set": values} | ({} if record is None else {"record": record})
        saved: dict[str, Any] = self.run("return notebook.save([given])", edit)
        return saved

    def sync(self) -> dict[str, Any]:
        state: dict[str, Any] = self.run("await notebook.sync.now(); return notebook.state()")
        return state


@pytest.fixture
def phone(browser: Browser, server: SmallServer) -> Iterator[Opener]:
    """Open phones: each its own store. Fails where a page had an error or a breach of the CSP."""
    contexts: list[BrowserContext] = []
    pages: list[PhonePage] = []

    def opened(
        context: BrowserContext | None = None, options: str = "{ sync: false }"
    ) -> PhonePage:
        if context is None:
            context = browser.new_context()
            contexts.append(context)
        one = PhonePage(context.new_page(), server.url)
        pages.append(one)
        return one.open(options)

    yield opened
    for context in contexts:
        context.close()
    assert [fault for one in pages for fault in one.faults] == []
