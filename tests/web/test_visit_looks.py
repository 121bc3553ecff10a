"""A visit's screens and sheets as they are seen and touched, in every look and size."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from scout.notebook.notebook import Notebook

from .app_page import AppPage, phone_context, served
from .looks import looked_at
from .test_visit import carr, tap


@pytest.fixture
def one(notebook: Notebook, browser: Browser) -> Iterator[AppPage]:
    carr(notebook)
    with served(notebook) as url:
        context = phone_context(browser)
        app = AppPage(context, url)
        yield app.open("sync").synced()
        context.close()
    assert app.faults == []


def test_every_look_and_size(one: AppPage) -> None:
    one.go("visiting")
    tap(one, "Start the visit", "Here now", "Kingfisher", "Here now", "Otter")
    one.page.locator(".present-one").nth(1).wait_for()
    tap(one, "Good")
    assert looked_at(one.page) == [], "a visit runs"
    for sheet in ("Here now", "Noticed me", "Weather", "Moved"):
        tap(one, sheet)
        one.page.locator("dialog").wait_for()
        assert looked_at(one.page) == [], sheet
        one.page.keyboard.press("Escape")
        one.page.locator("dialog").wait_for(state="detached")
    tap(one, "End")
    one.page.get_by_role("heading", name="Visit ended").wait_for()
    tap(one, "Good")
    assert looked_at(one.page) == [], "a visit ends"
