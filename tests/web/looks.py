"""A screen looked at in every look and size: what is cut, too small, too pale, or lit at night."""

from __future__ import annotations

from collections.abc import Sequence

from playwright.sync_api import Page

from .node_packages import packages
from .shell_page import lowest_contrast, pixels, put_look, put_size, too_small, too_wide

LOOKS = ("day", "dark", "night")
# Width [px] and the person's own size of letters: WCAG 2.2, 1.4.10 (320 px) and 1.4.4 (200 %).
SIZES = ((390, 1.0), (320, 1.0), (390, 2.0))
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
# WCAG 2.2: 7:1 is 1.4.6; red of full strength on black is 5.25:1, and 4.5:1 is 1.4.3.
LEAST_CONTRAST = {"day": 7.0, "dark": 7.0, "night": 4.5}
# In the night look, the share of the screen's full light that is lit, as read on it.
MOST_LIGHT = 0.06

_AXE = """async (tags) => {
  const rules = { 'target-size': { enabled: true } };
  const { violations } = await axe.run(document, { runOnly: { type: 'tag', values: tags }, rules });
  const said = (id) => (one) => `${id}: ${one.html.slice(0, 160)}`;
  return violations.flatMap(({ id, nodes }) => nodes.map(said(id)));
}"""


def against_rules(page: Page) -> list[str]:
    """Answer what breaks the rules of WCAG as axe-core checks them."""
    if not page.evaluate("() => 'axe' in globalThis"):
        page.evaluate((packages() / "node_modules/axe-core/axe.min.js").read_text("utf-8"))
    found: list[str] = page.evaluate(_AXE, TAGS)
    return found


def looked_at(page: Page, looks: Sequence[str] = LOOKS, tall_px: int | None = None) -> list[str]:
    """Answer what is wrong with the screen that is shown; leaves it by day, in the first size.

    A look changes colours alone and a size the layout alone: by day it is looked at in every size,
    the other looks are looked at in the first. `tall_px`: the height of the screen on which the
    night's light is read, so that what lies below the edge is seen too.
    """
    wrong = []
    for look in looks:
        put_look(page, look)
        for wide, letters in SIZES if look == "day" else SIZES[:1]:
            put_size(page, wide, letters)
            found = [f"wider than the screen: {what}" for what in too_wide(page)]
            found += [f"small: {what}" for what in too_small(page)]
            contrast, text = lowest_contrast(page)
            if contrast < LEAST_CONTRAST[look]:
                found.append(f"contrast {contrast:.2f} of {text!r}")
            found += against_rules(page)
            if look == "night":
                found += _lit(page, wide, tall_px)
            wrong += [f"{look}, {wide} px, letters × {letters:g}: {what}" for what in found]
    put_look(page, "day")
    put_size(page, SIZES[0][0])
    return wrong


def _lit(page: Page, wide: int, tall_px: int | None) -> list[str]:
    if tall_px is not None:
        page.set_viewport_size({"width": wide, "height": tall_px})
    shot = pixels(page)
    light = shot[:, :, 0].mean() / 255 * 0.2126
    found = [] if shot[:, :, 1:].max() == 0 else ["not red alone"]
    return found if light < MOST_LIGHT else [*found, f"lit: {light:.3f}"]
