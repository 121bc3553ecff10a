"""Drawing in ink: SVG in millimetres, black on white, that stands in a page by itself.

Not for: what is drawn (`sketch`, `strip`).
"""

from __future__ import annotations

from xml.etree import ElementTree as Tree

from markupsafe import Markup

INK = "#000"
PAPER = "#fff"

# Of the letter height, for an ordinary sans letter: only for finding room.
_LETTER_WIDTH = 0.54


def sheet(width_mm: float, height_mm: float, name: str) -> Tree.Element:
    """Make an empty drawing of a size in millimetres, with what it is in words."""
    made = Tree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {_n(width_mm)} {_n(height_mm)}",
            "role": "img",
            "aria-label": _plain(name),
            "style": f"width:{_n(width_mm)}mm;height:{_n(height_mm)}mm",
        },
    )
    return made


def draw(on: Tree.Element, shape: str, **marks: float | str | None) -> Tree.Element:
    """Draw a shape; numbers are rounded to a hundredth of a millimetre, `_` in a name is `-`."""
    return Tree.SubElement(
        on,
        shape,
        {
            name.rstrip("_").replace("_", "-"): _n(value) if not isinstance(value, str) else value
            for name, value in marks.items()
            if value is not None
        },
    )


def letter(
    on: Tree.Element, text: str, x: float, y: float, size_mm: float, **marks: float | str | None
) -> Tree.Element:
    """Letter a text with a white edge, so that it stays readable across a line."""
    drawn = draw(
        on,
        "text",
        x=x,
        y=y,
        font_size=size_mm,
        fill=INK,
        stroke=PAPER,
        stroke_width=0.7,
        stroke_linejoin="round",
        paint_order="stroke",
        **marks,
    )
    drawn.text = _plain(text)
    return drawn


def path(points: list[tuple[float, float]], *, closed: bool = False) -> str:
    """Write straight strokes through points [mm]."""
    strokes = " L".join(f"{_n(x)} {_n(y)}" for x, y in points)
    return f"M{strokes}{'Z' if closed else ''}"


def length_mm(text: str, size_mm: float) -> float:
    """Guess how long a lettered text will be [mm]."""
    return len(text) * size_mm * _LETTER_WIDTH


def written(drawing: Tree.Element) -> Markup:
    """Write a drawing as markup; every text in it is escaped by the writer."""
    return Markup(Tree.tostring(drawing, encoding="unicode"))


def _plain(text: str) -> str:
    return "".join(one for one in text if one.isprintable())


def _n(value: float) -> str:
    # Adding 0.0 keeps a minus from standing before a zero.
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")
