"""The app and the page of all its parts, served together; what the eye would check, in figures."""

from __future__ import annotations

import io
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from flask import Flask, Response, send_from_directory
from playwright.sync_api import Page

from scout.notebook.notebook import Notebook
from scout.server import serving
from scout.server.app import create_app

GALLERY = Path(__file__).parent / "gallery"
HIGH = 844

# Resolves when the shell is kept and in charge of the page.
KEPT = """async () => {
  await navigator.serviceWorker.ready;
  while (!navigator.serviceWorker.controller) await new Promise((done) => setTimeout(done, 50));
  return (await caches.keys()).filter((key) => key.startsWith('shell-'));
}"""

# What can be touched and is too small: name, width, height. A link within a sentence may be as
# high as its line (WCAG 2.2, 2.5.8, "inline"); a keyboard's own keys are narrower than high.
_SMALL = """([least, large]) => {
  const found = [];
  for (const one of document.querySelectorAll('a[href], button, input, textarea')) {
    const box = one.getBoundingClientRect();
    const hidden = box.width === 0 || one.closest('[hidden], .hidden') || one.matches('.skip');
    if (hidden || one.matches('p > a') || one.closest('.pad')) continue;
    const in_field = one.matches('.act.main, .act.large, .step, .large > .chip, .snack button');
    if (box.height < (in_field ? large : least) - 0.5 || box.width < least - 0.5) {
      const name = one.textContent.trim().slice(0, 30);
      found.push(`${name} ${Math.round(box.width)}×${Math.round(box.height)}`);
    }
  }
  return found;
}"""

# Every text on the page with its contrast (WCAG 2.2, relative luminance), the lowest first.
_CONTRAST = """() => {
  const parse = (text) => (text.match(/[\\d.]+/g) ?? []).map(Number);
  const light = ([r, g, b]) => [r, g, b].map((v) => v / 255)
    .map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4))
    .reduce((sum, v, at) => sum + v * [0.2126, 0.7152, 0.0722][at], 0);
  const ground = (one) => {
    for (let at = one; at; at = at.parentElement) {
      const said = parse(getComputedStyle(at).backgroundColor);
      if (said.length === 3 || said[3] === 1) return said;
    }
    return parse(getComputedStyle(document.documentElement).backgroundColor);
  };
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const one = walk.currentNode.parentElement;
    if (!walk.currentNode.data.trim() || one.closest('svg, noscript, script')) continue;
    if (one.getBoundingClientRect().width === 0) continue;
    const [a, b] = [light(parse(getComputedStyle(one).color)), light(ground(one))];
    const contrast = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    found.push([contrast, walk.currentNode.data.trim().slice(0, 30)]);
  }
  return found.sort((one, other) => one[0] - other[0]);
}"""

_WIDE = """() => [...document.querySelectorAll('html, body, main, .dock, .bar')]
  .filter((one) => one.scrollWidth > one.clientWidth + 1)
  .map((one) => one.className || one.tagName)"""


@contextmanager
def served(app: Flask) -> Iterator[str]:
    """Serve an app while it is needed; answers the address."""
    listening = serving.listen(app, 0)
    thread = threading.Thread(target=listening.run, daemon=True)
    thread.start()
    try:
        yield f"{listening.address}/"
    finally:
        listening.stop()
        thread.join()


def with_gallery(notebook: Notebook) -> Flask:
    """Answer the server with the page of all parts beside the app."""
    app = create_app(notebook)

    @app.get("/gallery/<path:name>")
    def _gallery(name: str) -> Response:
        return send_from_directory(GALLERY, name)

    return app


def put_look(page: Page, look: str, **more: Any) -> None:
    """Set what the phone is set to, as its own screen does."""
    page.evaluate(
        "async (wanted) => (await import('/phone.js')).setPhone(wanted)", {"look": look, **more}
    )


def put_size(page: Page, wide: int, letters: float = 1.0) -> None:
    """Set the width of the screen [px], and the person's own size of letters."""
    page.set_viewport_size({"width": wide, "height": HIGH})
    size = "" if letters == 1.0 else f"{112.5 * letters}%"
    page.evaluate("size => { document.documentElement.style.fontSize = size; }", size)


def too_small(page: Page, least_px: int = 48, large_px: int = 64) -> list[str]:
    found: list[str] = page.evaluate(_SMALL, [least_px, large_px])
    return found


def lowest_contrast(page: Page) -> tuple[float, str]:
    found: list[tuple[float, str]] = page.evaluate(_CONTRAST)
    return found[0][0], found[0][1]


def too_wide(page: Page) -> list[str]:
    found: list[str] = page.evaluate(_WIDE)
    return found


def pixels(page: Page) -> np.ndarray[Any, np.dtype[np.uint8]]:
    """What is on the screen: rows × columns × red, green, blue."""
    from PIL import Image

    with Image.open(io.BytesIO(page.screenshot())) as shot:
        return np.asarray(shot.convert("RGB"))
