"""A browser, phones in it, and a server with a notebook."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator

from scout.notebook.notebook import Notebook, open_notebook

from .app_page import AppPage, phone_context, served
from .engine_page import EngineOpen, EnginePage, engine_page, load_sample
from .field_page import FEELS, FIX, FieldPage, Outdoors
from .phone_page import PhonePage
from .small_server import SmallServer

Opener = Callable[..., PhonePage]


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


@pytest.fixture
def url(notebook: Notebook) -> Iterator[str]:
    with served(notebook) as address:
        yield address


@pytest.fixture
def opened(browser: Browser, url: str) -> Iterator[Callable[..., AppPage]]:
    """Open the app on phones of their own; fails on an error, a dialog or a CSP report."""
    contexts: list[BrowserContext] = []
    pages: list[AppPage] = []

    def fresh(
        context: BrowserContext | None = None,
        at: str = url,
        page: type[AppPage] = AppPage,
        **more: Any,
    ) -> AppPage:
        if context is None:
            context = phone_context(browser, **more)
            contexts.append(context)
        pages.append(page(context, at))
        return pages[-1]

    yield fresh
    for context in contexts:
        context.close()
    assert [fault for one in pages for fault in one.faults] == []


@pytest.fixture
def outdoors(opened: Callable[..., FieldPage]) -> Outdoors:
    """Open the app on a phone that feels how it is turned and, if it may, where it is."""

    def fresh(context: BrowserContext | None = None, fix: bool = True) -> FieldPage:
        place = {"geolocation": FIX} if fix else {}
        permissions = [*FEELS, *(["geolocation"] if fix else [])]
        return opened(context, page=FieldPage, permissions=permissions, **place)

    return fresh


@pytest.fixture
def engine_phone(browser: Browser, notebook: Notebook) -> Iterator[EngineOpen]:
    """Open the app beside a server in which faults can be played, with the sample site in it."""
    load_sample(notebook)
    with ExitStack() as kept:
        pages: list[EnginePage] = []

        def fresh(**more: Any) -> EnginePage:
            pages.append(kept.enter_context(engine_page(browser, notebook, **more)))
            return pages[-1]

        yield fresh
    assert [fault for page in pages for fault in page.faults] == []
