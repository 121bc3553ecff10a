"""The app's mark as pictures: a diamond on a stem, white on black. Run it to draw them anew."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image, ImageDraw

ICONS = Path(__file__).resolve().parents[2] / "web" / "icons"
# Name → edge [px] and the share of it that the mark takes: a maskable one may be cut to a circle.
SIZES = {
    "mark-180.png": (180, 0.74),
    "mark-192.png": (192, 0.74),
    "mark-512.png": (512, 0.74),
    "mark-maskable-512.png": (512, 0.56),
}
_FINER = 4  # drawn larger and made smaller, for smooth edges
# On a field of 100: corners of the diamond, its hollow, the stem, the ground.
_DIAMOND = ((50, 8), (79, 37), (50, 66), (21, 37))
_HOLLOW = ((50, 24), (63, 37), (50, 50), (37, 37))
_STEM = (45.5, 60, 54.5, 92)
_GROUND = (18, 84, 82, 92)


def drawing(edge: int, share: float) -> Image.Image:
    """Draw the mark."""
    wide = edge * _FINER
    size, left = wide * share, wide * (1 - share) / 2

    def at(value: float) -> float:
        return left + value * size / 100

    picture = Image.new("L", (wide, wide), 0)
    draw = ImageDraw.Draw(picture)
    draw.rectangle([at(value) for value in _STEM], fill=255)
    draw.rectangle([at(value) for value in _GROUND], fill=255)
    draw.polygon([(at(x), at(y)) for x, y in _DIAMOND], fill=255)
    draw.polygon([(at(x), at(y)) for x, y in _HOLLOW], fill=0)
    return picture.resize((edge, edge), Image.Resampling.LANCZOS)


def vector() -> str:
    """Write the mark as a drawing of lines."""
    share = 0.74
    move = 50 * (1 - share)
    points = " ".join(f"{x},{y}" for x, y in _DIAMOND)
    hollow = " ".join(f"{x},{y}" for x, y in _HOLLOW)
    boxes = "".join(
        f'<rect x="{x}" y="{y}" width="{right - x}" height="{low - y}"/>'
        for x, y, right, low in (_STEM, _GROUND)
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100"><rect width="100" '
        f'height="100"/><g transform="translate({move} {move}) scale({share})" fill="#fff">{boxes}'
        f'<polygon points="{points}"/><polygon points="{hollow}" fill="#000"/></g></svg>\n'
    )


def png(picture: Image.Image) -> bytes:
    """Write a picture as a small PNG file."""
    held = io.BytesIO()
    picture.save(held, "PNG", optimize=True)
    return held.getvalue()


if __name__ == "__main__":
    ICONS.mkdir(exist_ok=True)
    for name, (edge, share) in SIZES.items():
        (ICONS / name).write_bytes(png(drawing(edge, share)))
    (ICONS / "mark.svg").write_text(vector(), "utf-8")
