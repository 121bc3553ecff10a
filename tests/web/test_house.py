"""The app on a phone over real TLS: Chromium with our root in its trust store, and without it.

The trust store is NSS, as Chromium on Linux uses it; certutil is NSS's own program.
"""

from __future__ import annotations

import datetime as dt
import os
import subprocess
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Playwright, expect

from scout.notebook.notebook import Notebook, open_notebook
from scout.server.certificates import FOLDER, ROOT_FILE, authority
from tests.conftest import program
from tests.server.house import Opened, free_ports, opened

from .app_page import PHONE, AppPage

PATIENCE_MS = 60_000  # of a busy machine


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "n", lambda: dt.datetime.now(dt.UTC), create=True) as opened_one:
        yield opened_one


@contextmanager
def browser_of(
    playwright: Playwright, chromium: Path, home: Path, root: Path | None
) -> Iterator[Browser]:
    """A browser of a person whose trust store holds our root, or (None) does not."""
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    certutil = program(("certutil",), "libnss3-tools")
    run = [str(certutil), "-d", f"sql:{store}"]
    subprocess.run([*run, "-N", "--empty-password"], check=True)
    if root is not None:
        add = ["-A", "-t", "C,,", "-n", "Scouting notebook", "-i", str(root)]
        subprocess.run([*run, *add], check=True)
    started = playwright.chromium.launch(
        executable_path=chromium,
        env={**os.environ, "HOME": str(home)},
        args=["--host-resolver-rules=MAP scout.local 127.0.0.1"],
    )
    try:
        yield started
    finally:
        started.close()


def owner(house: Opened, method: str, path: str, body: dict[str, Any] | None = None) -> Any:
    """Ask as the owner at the machine."""
    with house.app.test_client() as client:
        said = client.open(f"/api/v1/{path}", method=method, json=body, headers={"X-Scout": "1"})
        assert said.status_code == 200, said.data
        return said.json


def test_a_phone_trusts_installs_pairs_records_without_signal_and_syncs(
    playwright: Playwright, chromium: Path, notebook: Notebook, tmp_path: Path
) -> None:
    first, second = free_ports(2)
    ports = (first, second)
    root = notebook.folder / FOLDER / ROOT_FILE
    with ExitStack() as serving:
        house = serving.enter_context(opened(notebook, ports))
        with browser_of(playwright, chromium, tmp_path / "home", root) as browser:
            context = browser.new_context(viewport=PHONE, has_touch=True)
            app = AppPage(context, f"{house.house.place.by_name}/")
            page = app.page

            # The page says that the padlock holds, and leads on.
            page.goto(f"{house.trust_page}/android")
            expect(page.locator("#result")).to_contain_text(
                "Yes: this phone trusts", timeout=PATIENCE_MS
            )
            page.get_by_role("link", name="Open the notebook and pair").click()
            expect(page.locator("h1")).to_have_text("Pair this phone", timeout=PATIENCE_MS)
            assert page.url.startswith(f"https://scout.local:{ports[0]}/")

            # It shows a code; the owner at the machine agrees.
            app.button("Show a code").click()
            code = page.locator(".door-code").inner_text()
            anna = owner(house, "POST", "people", {"name": "Anna", "role": "editor"})
            person = anna["person"]["id"]
            assert owner(house, "POST", "pair/look", {"user_code": code})["address"] == "127.0.0.1"
            owner(house, "POST", "pair/grant", {"user_code": code, "person": person})
            expect(page.locator("h1")).not_to_have_text("Pair this phone", timeout=PATIENCE_MS)
            cookie = next(one for one in context.cookies() if one["name"] == "__Host-scout")
            assert cookie["httpOnly"]
            assert cookie["secure"]
            assert cookie["sameSite"] == "Strict"
            assert page.evaluate("document.cookie") == ""
            page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
            wait = (
                "() => navigator.serviceWorker.controller !== null || "
                "new Promise((done) => navigator.serviceWorker.addEventListener("
                "'controllerchange', () => done(1)))"
            )
            page.evaluate(wait)

            # The server dies; the app opens all the same, and records.
            serving.close()
            page.reload()
            page.locator("main h1").wait_for()
            write_down(app, "Stonechat at the gate")
            app.go("sync")
            expect(page.locator(".honest")).to_contain_text("1 change", timeout=PATIENCE_MS)
            assert texts(notebook) == []

            # It is served again, and what was written goes.
            house = serving.enter_context(opened(notebook, ports))
            sync(app)
            assert texts(notebook) == ["Stonechat at the gate"]

            # The owner takes the phone off: it is told so, keeps what it has, and offers the file.
            device = owner(house, "GET", "devices")["devices"][0]["id"]
            owner(house, "POST", f"devices/{device}/revoke", {"wipe": True})
            write_down(app, "Wren at the gate")
            sync(app)
            page.get_by_role("link", name="Pair this phone", exact=True).click()
            expect(page.locator("main")).to_contain_text(
                "taken off the notebook", timeout=PATIENCE_MS
            )
            expect(page.locator("main")).to_contain_text("asks you to clear", timeout=PATIENCE_MS)
            app.link("Rescue file").click()
            with page.expect_download() as download:
                page.get_by_role("button", name="Make", exact=False).first.click()
            assert b"Wren" in Path(download.value.path()).read_bytes()

            # It is cleared on its holder's second tap, and begins as a new phone.
            device = page.evaluate("indexedDB.databases().then((held) => held.length)")
            assert device > 0
            app.go("pair")
            app.button("Clear this phone").click()
            with page.expect_event("load"):
                page.locator("dialog").get_by_role("button", name="Clear this phone").click()
            page.locator("main h1").wait_for()
            app.go("book/note")
            expect(page.locator("main")).not_to_contain_text("at the gate", timeout=PATIENCE_MS)
            assert texts(notebook) == ["Stonechat at the gate"]
            assert app.faults == []


def write_down(app: AppPage, text: str) -> None:
    app.go("new/note")
    app.page.get_by_label("Text").fill(text)
    app.page.get_by_role("button", name="Save").click()
    expect(app.page.locator(".snack")).to_contain_text("aved", timeout=PATIENCE_MS)


def sync(app: AppPage) -> None:
    """Sync by the person's own button, however long a busy machine takes."""
    app.go("sync")
    app.button("Sync now").click(timeout=90_000)
    app.page.get_by_role("button", name="Sync now", disabled=False).wait_for(timeout=90_000)


def texts(notebook: Notebook) -> list[str]:
    return [one.text for one in notebook.contents().records["note"].values()]


def test_without_our_root_the_phone_is_told_what_is_missing(
    playwright: Playwright, chromium: Path, notebook: Notebook, tmp_path: Path
) -> None:
    with (
        opened(notebook) as house,
        browser_of(playwright, chromium, tmp_path / "home", None) as browser,
    ):
        page = browser.new_page(viewport=PHONE)
        page.goto(f"{house.trust_page}/iphone")
        page.get_by_role("button", name="Try the padlock").click()
        expect(page.locator("#result")).to_contain_text("does not trust", timeout=PATIENCE_MS)
        expect(page.locator("#result")).to_contain_text(
            "Certificate Trust Settings", timeout=PATIENCE_MS
        )
        expect(page.locator("#onward")).to_be_hidden()


def test_another_notebooks_root_is_not_enough(
    playwright: Playwright, chromium: Path, notebook: Notebook, tmp_path: Path
) -> None:
    (tmp_path / "other").mkdir()
    authority(tmp_path / "other", notebook.clock())
    root = tmp_path / "other" / FOLDER / ROOT_FILE
    with (
        opened(notebook) as house,
        browser_of(playwright, chromium, tmp_path / "home", root) as browser,
    ):
        page = browser.new_page(viewport=PHONE)
        page.goto(house.trust_page)
        page.get_by_role("button", name="Try the padlock").click()
        expect(page.locator("#result")).to_contain_text("does not trust", timeout=PATIENCE_MS)


def test_behind_a_warning_that_was_clicked_away_the_app_says_so(
    playwright: Playwright, chromium: Path, notebook: Notebook, tmp_path: Path
) -> None:
    with (
        opened(notebook) as house,
        browser_of(playwright, chromium, tmp_path / "home", None) as browser,
    ):
        page = browser.new_page(viewport=PHONE)
        with pytest.raises(Exception, match="ERR_CERT_AUTHORITY_INVALID"):
            page.goto(f"{house.address}/#/pair")
        page.get_by_role("button", name="Advanced").click()
        page.locator("#proceed-link").click()
        expect(page.locator("main")).to_contain_text("padlock does not hold", timeout=PATIENCE_MS)
        expect(page.locator("main")).to_contain_text(house.trust_page, timeout=PATIENCE_MS)
