"""The app with its engine in real Chromium, beside a server in which faults can be played."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from flask import Flask, Response, request
from playwright.sync_api import Browser

from scout.notebook.folder import read_folder
from scout.notebook.notebook import Notebook
from scout.server import serving
from scout.server.app import create_app
from tests.parity.cases import all_cases
from tests.server.pages import SAMPLE

from .app_page import PHONE, AppPage

EngineOpen = Callable[..., "EnginePage"]

# The workers that a page makes, for the tests to end; with `fatal` each call ends the one asked.
WATCHED_WORKERS = """globalThis.made = [];
const Real = globalThis.Worker;
globalThis.Worker = class extends Real {
  constructor(url, options) {
    super(url, options);
    if (options?.name === 'engine') globalThis.made.push(this);
  }
  postMessage(message) {
    super.postMessage(message);
    if (globalThis.fatal && 'name' in message) this.terminate();
  }
};"""
_STATE = "async () => (await import('/engine/engine.js')).engine().state"
_AWAKE = """async () => {
  const here = (await import('/engine/engine.js')).engine();
  await here.wake();
  return here.state;
}"""
_ASKED = """async ([name, request, how]) => {
  const here = (await import('/engine/engine.js')).engine();
  try { return await here.ask(name, request, how); }
  catch (trouble) { return { trouble: trouble.name, sentences: trouble.sentences ?? [] }; }
}"""


class Faults:
    """What goes wrong between phone and server; `asked` has the paths as they came."""

    def __init__(self) -> None:
        self.policy: str | None = None
        self.missing: tuple[str, ...] = ()
        self.cut: tuple[str, ...] = ()
        self.before_worker = ""
        self.asked: list[str] = []

    def put_into(self, app: Flask) -> None:
        @app.before_request
        def _asked() -> None:
            self.asked.append(request.path)

        @app.after_request
        def _spoilt(answer: Response) -> Response:
            if self.policy is not None:
                answer.headers["Content-Security-Policy"] = self.policy
            if any(part in request.path for part in self.missing):
                answer.direct_passthrough = False
                answer.status_code = 404
                answer.set_data(b"")
            if any(part in request.path for part in self.cut):
                answer.direct_passthrough = False
                answer.headers.pop("Content-Encoding", None)
                answer.set_data(answer.get_data()[:1000])
            if self.before_worker and request.path.endswith("engine/worker.js"):
                answer.direct_passthrough = False
                answer.headers.pop("Content-Encoding", None)
                text = (Path(__file__).parents[2] / "web/engine/worker.js").read_text("utf-8")
                answer.set_data(self.before_worker + text)
            return answer


class EnginePage(AppPage):
    """The app, asked about its engine."""

    faulty: Faults
    app: Flask
    listening: serving.Listening
    thread: threading.Thread

    def kill_server(self) -> None:
        """End the server: nothing listens at its address any more."""
        self.listening.stop()
        self.thread.join()

    def state(self) -> dict[str, Any]:
        said: dict[str, Any] = self.page.evaluate(_STATE)
        return said

    def awake(self) -> dict[str, Any]:
        """Start the engine, and wait until it has started or failed."""
        said: dict[str, Any] = self.page.evaluate(_AWAKE)
        return said

    def started(self) -> EnginePage:
        """Start the engine, and see that it has started."""
        state = self.awake()
        assert state["phase"] == "ready", state
        return self

    def ask(self, name: str, asked: Any, how: dict[str, Any] | None = None) -> dict[str, Any]:
        said: dict[str, Any] = self.page.evaluate(_ASKED, [name, asked, how or {}])
        return said

    def run(self, body: str, given: Any = None) -> Any:
        """Run the body of an async function."""
        return self.page.evaluate(f"async (given) => {{ {body} }}", given)

    def until(self, body: str, given: Any = None) -> None:
        """Wait until the body of an async function returns what is true."""
        for _ in range(600):
            if self.run(body, given):
                return
            self.page.wait_for_timeout(100)
        raise AssertionError(f"never true: {body}")

    def caches(self) -> list[str]:
        names: list[str] = self.run("return (await caches.keys()).sort()")
        return [name for name in names if name.startswith("engine-")]


def load_sample(notebook: Notebook) -> dict[str, str]:
    """Load the sample site; answers the id of each of its words."""
    folder = read_folder(SAMPLE)
    notebook.load(folder, folder.photo_paths)
    return {word: id_ for id_, word in folder.words.items()}


@contextmanager
def engine_page(browser: Browser, notebook: Notebook, **more: Any) -> Iterator[EnginePage]:
    """Answer the app in a browser of its own beside a server in which faults can be played."""
    app = create_app(notebook)
    faults = Faults()
    faults.put_into(app)
    listening = serving.listen(app, 0)
    thread = threading.Thread(target=listening.run, daemon=True)
    thread.start()
    context = browser.new_context(viewport=PHONE, has_touch=True, **more)
    try:
        context.add_init_script(WATCHED_WORKERS)
        page = EnginePage(context, f"{listening.address}/")
        page.faulty, page.app, page.listening, page.thread = faults, app, listening, thread
        yield page
    finally:
        context.close()
        with suppress(Exception):
            page.kill_server()


def kits_request() -> dict[str, Any]:
    """Answer a request that every engine can answer."""
    cases = [one for one in all_cases() if one.call == "kit_table" and not one.refused]
    return dict(cases[0].request)
