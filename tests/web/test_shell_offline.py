"""The app kept on the phone: it starts with the server dead, and a new version waits its turn."""

from __future__ import annotations

import shutil
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from flask import Flask, Response, request
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect

from scout.installed import web_folder
from scout.notebook.notebook import Notebook
from scout.server.app import create_app
from scout.server.shell import Shell
from scout.server.web import made_texts
from tests.server import served as server_process

from .app_page import PHONE
from .shell_page import KEPT, served

_LOOK_AGAIN = """async () => {
  const registration = await navigator.serviceWorker.getRegistration();
  await registration.update().catch(() => {});
  const settled = () => registration.installing === null;
  while (!settled()) await new Promise((done) => setTimeout(done, 50));
  return registration.waiting !== null;
}"""


def opened(context: BrowserContext, url: str, path: str = "phone") -> Page:
    page = context.new_page()
    page.goto(f"{url}index.html#/{path}")
    page.locator("main h1").wait_for()
    return page


def test_a_cold_start_with_the_server_dead(
    playwright: Playwright, chromium: Path, tmp_path: Path
) -> None:
    process, address = server_process.start(tmp_path / "notebook")
    profile = tmp_path / "profile"

    @contextmanager
    def browser() -> Iterator[BrowserContext]:
        context = playwright.chromium.launch_persistent_context(
            profile, executable_path=chromium, viewport=PHONE, has_touch=True
        )
        yield context
        context.close()

    try:
        with browser() as context:
            page = opened(context, f"{address}/")
            assert len(page.evaluate(KEPT)) == 1
    finally:
        server_process.kill(process)
    with browser() as context:
        failed: list[str] = []
        context.on("requestfailed", lambda request: failed.append(request.url))
        page = opened(context, f"{address}/", "new/note")
        page.get_by_label("Text").fill("Two at the dead branch before the sun")
        page.get_by_role("button", name="Save").click()
        expect(page.get_by_text("Saved on this phone")).to_be_visible()
        away = "1 change waiting · no server in reach · last sync"
        expect(page.locator(".sync-line")).to_contain_text(away)
        page.evaluate("() => { location.hash = '#/phone'; }")
        expect(page.get_by_text("Opens without signal.")).to_be_visible()
        # The server's own address is asked for sync and for the engine's runtime, which was not
        # kept in that short visit; every file of the app comes from the phone.
        asked_home = ("/api/", "/engine/packs.json")
        assert [url for url in failed if not any(part in url for part in asked_home)] == []
        # A start at the bare address is the app too.
        page.goto(f"{address}/")
        page.locator("main h1").wait_for()


def test_a_network_that_takes_calls_and_never_answers_holds_nothing_up(
    playwright: Playwright, chromium: Path, tmp_path: Path
) -> None:
    process, address = server_process.start(tmp_path / "notebook")
    profile = tmp_path / "profile"

    def browser() -> BrowserContext:
        return playwright.chromium.launch_persistent_context(
            profile, executable_path=chromium, viewport=PHONE, has_touch=True
        )

    try:
        context = browser()
        opened(context, f"{address}/").evaluate(KEPT)
        context.close()
    finally:
        server_process.kill(process)
    port = int(address.rpartition(":")[2])
    # Calls are taken by the listening queue, and nobody ever picks one up.
    with socket.create_server(("localhost", port), backlog=64) as silent:
        assert silent.getsockname()[1] == port
        context = browser()
        page = opened(context, f"{address}/", "new/note")
        page.get_by_label("Text").fill("Two at the dead branch before the sun")
        page.get_by_role("button", name="Save").click()
        expect(page.get_by_text("Saved on this phone")).to_be_visible()
        page.get_by_role("link", name="Map").click()
        expect(page.locator(".map-ground.leaflet-container")).to_be_visible()
        page.get_by_role("link", name="Book").click()
        page.get_by_role("link", name="Notes").click()
        expect(page.get_by_text("Two at the dead branch")).to_be_visible()
        expect(page.locator(".sync-line")).to_contain_text("1 change waiting")
        context.close()


class Deploy:
    """A server whose front end can be changed under it."""

    def __init__(self, app: Flask, folder: Path, url: str) -> None:
        self.app = app
        self.folder = folder
        self.url = url
        self.portal = False

    def new_version(self) -> None:
        words = self.folder / "words.js"
        text = words.read_text("utf-8")
        words.write_text(text.replace("title: 'This phone'", "title: 'This very phone'"), "utf-8")


@pytest.fixture
def deploy(notebook: Notebook, tmp_path: Path) -> Iterator[Deploy]:
    folder = tmp_path / "web"
    shutil.copytree(web_folder(), folder, ignore=shutil.ignore_patterns("pyodide", "node_modules"))
    app = create_app(notebook)
    app.extensions["scout_shell"] = Shell(folder, made_texts())
    with served(app) as url:
        one = Deploy(app, folder, url)

        @app.after_request
        def _portal(answer: Response) -> Response:
            if one.portal and request.path != "/sw.js":
                answer.direct_passthrough = False
                answer.status_code = 200
                answer.headers.pop("Content-Encoding", None)
                answer.set_data("<html>Welcome to our network</html>")
                answer.headers["Content-Type"] = "text/html"
            return answer

        yield one


@pytest.fixture
def phone(browser: Browser) -> Iterator[Callable[[], BrowserContext]]:
    contexts: list[BrowserContext] = []

    def fresh() -> BrowserContext:
        contexts.append(browser.new_context(viewport=PHONE, has_touch=True))
        return contexts[-1]

    yield fresh
    for context in contexts:
        context.close()


def test_a_new_version_waits_for_what_is_half_written(deploy: Deploy, phone: Any) -> None:
    context = phone()
    page = opened(context, deploy.url, "new/note")
    (first,) = page.evaluate(KEPT)
    other = opened(context, deploy.url, "phone")
    page.get_by_label("Text").fill("half a sentence")
    deploy.new_version()
    assert page.evaluate(_LOOK_AGAIN) is True
    page.wait_for_timeout(2500)  # longer than the app takes to ask again
    # Neither where it is written nor in another page of the app.
    for one in (page, other):
        expect(one.get_by_text("A new version is ready")).to_have_count(0)
    expect(page.get_by_label("Text")).to_have_value("half a sentence")
    page.evaluate("() => { location.hash = '#/phone'; }")
    expect(page.get_by_role("heading", level=1)).to_have_text("This phone")
    expect(page.get_by_text("A new version is ready")).to_be_visible()
    page.get_by_role("button", name="Use it now").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("This very phone")
    (second,) = page.evaluate(KEPT)
    assert first != second
    # The draft is still there, in the new version.
    page.evaluate("() => { location.hash = '#/new/note'; }")
    expect(page.get_by_label("Text")).to_have_value("half a sentence")


def test_later_is_later(deploy: Deploy, phone: Any) -> None:
    page = opened(phone(), deploy.url)
    page.evaluate(KEPT)
    deploy.new_version()
    assert page.evaluate(_LOOK_AGAIN) is True
    page.get_by_role("button", name="Later").click()
    page.wait_for_timeout(2500)
    expect(page.get_by_text("A new version is ready")).to_have_count(0)
    expect(page.get_by_role("heading", level=1)).to_have_text("This phone")
    page.reload()
    expect(page.get_by_text("A new version is ready")).to_be_visible()
    expect(page.get_by_role("heading", level=1)).to_have_text("This phone")


def test_half_a_new_version_is_none(deploy: Deploy, phone: Any) -> None:
    page = opened(phone(), deploy.url)
    kept = page.evaluate(KEPT)
    deploy.new_version()
    deploy.portal = True  # the list of files came through, the files are a portal's page
    assert page.evaluate(_LOOK_AGAIN) is False
    page.reload()
    expect(page.get_by_role("heading", level=1)).to_have_text("This phone")
    deploy.portal = False
    assert page.evaluate(_LOOK_AGAIN) is True
    assert set(kept) < set(page.evaluate(KEPT))


def test_an_unchanged_file_is_not_fetched_again(deploy: Deploy, phone: Any) -> None:
    asked: list[str] = []

    @deploy.app.before_request
    def _asked() -> None:
        asked.append(request.path)

    page = opened(phone(), deploy.url)
    page.evaluate(KEPT)
    deploy.new_version()
    asked.clear()
    assert page.evaluate(_LOOK_AGAIN) is True
    assert [path for path in asked if not path.startswith("/api/")] == ["/sw.js", "/words.js"]


def test_the_api_is_never_kept(deploy: Deploy, phone: Any) -> None:
    page = opened(phone(), deploy.url)
    page.evaluate(KEPT)
    urls = page.evaluate(
        """async () => {
            await fetch('/api/v1/ping', { headers: { 'X-Scout': '1' } });
            const found = [];
            for (const key of await caches.keys()) {
                for (const one of await (await caches.open(key)).keys()) found.push(one.url);
            }
            return found;
        }"""
    )
    assert len(urls) > 50
    assert not [url for url in urls if "/api/" in url]
