"""Every screen of writing and of a visit as it is seen and touched, in every look and size."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser

from scout.notebook.notebook import Notebook

from .app_page import AppPage, phone_context, served
from .node_packages import packages
from .shell_page import lowest_contrast, pixels, put_look, put_size, too_small, too_wide
from .test_shell import _AXE, LEAST_CONTRAST, LOOKS, MOST_LIGHT, SIZES, TAGS
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


def start(app: AppPage) -> None:
    app.go("visiting")
    tap(app, "Start the visit")
    app.button("Here now").wait_for()


def running(app: AppPage) -> None:
    start(app)
    tap(app, "Here now", "Kingfisher", "Here now", "Otter")
    app.page.locator(".present-one").nth(1).wait_for()
    tap(app, "Good")


def sheet(name: str) -> Callable[[AppPage], None]:
    def opens(app: AppPage) -> None:
        running(app)
        tap(app, name)
        app.page.locator("dialog").wait_for()

    return opens


def ended(app: AppPage) -> None:
    start(app)
    tap(app, "End")
    app.page.get_by_role("heading", name="Visit ended").wait_for()
    tap(app, "Good")


SCREENS: dict[str, Callable[[AppPage], object]] = {
    "write": lambda app: app.go("write"),
    "a visit begins": lambda app: app.go("visiting"),
    "a visit runs": running,
    "here now": sheet("Here now"),
    "noticed me": sheet("Noticed me"),
    "weather": sheet("Weather"),
    "moved": sheet("Moved"),
    "a visit ends": ended,
    "note": lambda app: app.go("note-here"),
    "photo": lambda app: app.go("photo-here"),
}


@pytest.mark.parametrize("screen", SCREENS)
def test_every_look_and_size(one: AppPage, screen: str) -> None:
    page = one.page
    SCREENS[screen](one)
    page.evaluate((packages() / "node_modules" / "axe-core" / "axe.min.js").read_text("utf-8"))
    for look in LOOKS:
        put_look(page, look)
        for wide, letters in SIZES:
            put_size(page, wide, letters)
            at = f"{screen}, {look}, {wide} px, letters × {letters:g}"
            assert too_wide(page) == [], at
            assert too_small(page) == [], at
            contrast, text = lowest_contrast(page)
            assert contrast >= LEAST_CONTRAST[look], f"{at}: {text!r}"
            # The rules look at names, roles and colours: a look changes colours, a size targets.
            if (wide, letters) == SIZES[0] or look == "day":
                assert page.evaluate(_AXE, TAGS) == [], at
            if look == "night":
                shot = pixels(page)
                assert shot[:, :, 1:].max() == 0, at
                assert shot[:, :, 0].mean() / 255 * 0.2126 < MOST_LIGHT, at
