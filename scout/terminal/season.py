"""A sightline's year in the terminal: a row a week, counted from the sun over the skyline.

Not for: working the states out (the engine's rows carry them).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scout.terminal.page import Page
from scout.terminal.strip import legend, row_of_pieces

_NAME = 21
_BESIDE = 14
_WIDEST = 100
_STEP_MIN = 60


def print_season(page: Page, said: Mapping[str, Any]) -> None:
    """Print the engine's answer."""
    page.heading(f"{said['title']['site']} · {said['name']} · {said['session']}")
    event = "clears the skyline" if said["session"] == "dawn" else "goes behind the skyline"
    page.flowing((f"skyline: {said['skyline']}", f"light: {said['case']}"))
    rows = [row for row in said["rows"] if row["states"]]
    if not rows:
        page.line("It stays too dark through all these weeks.")
        return
    pieces = [piece for row in rows for piece in row["states"][said["case"]]]
    low, high = min(piece[0] for piece in pieces), max(piece[1] for piece in pieces)
    width = min(_WIDEST, page.width - _NAME - _BESIDE - 2)
    page.line()
    page.line(f"0: the sun {event}, at the time in the second column; minutes from then")
    page.exactly(" " * (_NAME + 1) + _scale(low, high, width))
    for row in said["rows"]:
        page.exactly(_row(page, row, said["case"], low, high, width))
    if any(row["counted_from"] is not None and row["clears"] is None for row in said["rows"]):
        level = "sunrise" if said["session"] == "dawn" else "sunset"
        page.line(
            f"level: the sun does not cross the skyline then; counted from {level} on a level "
            "horizon, or where there is none from the session's first minute"
        )
    page.line(legend(page.all_letters))
    page.line(
        f"beside it: on how many watched {said['session']}s there was a stay in good light; "
        "in brackets: of the whole year"
    )
    page.line()
    page.heading(said["low_sun_words"])
    spans = [_span(span) for span in said["low_sun_spans"]]
    page.flowing(spans, 3)


def _row(page: Page, row: Mapping[str, Any], case: str, low: float, high: float, width: int) -> str:
    if row["counted_from"] is None:
        return f"{row['date']}  no session".ljust(_NAME)
    mark = "" if row["clears"] is not None else " level"
    name = f"{row['date']} {row['counted_from']['clock']}{mark}"
    cells = row_of_pieces(row["states"][case], low, high, width, page.all_letters)
    known = row["presence"]
    beside = "" if known is None else f"{known['k']} of {known['n']}"
    if known is not None and not known["season"]:
        beside = f"({beside})"
    return f"{name:<{_NAME}}[{cells}] {beside}".rstrip()


def _scale(low: float, high: float, width: int) -> str:
    line = [" "] * (width + 4)
    first = -(-int(low) // _STEP_MIN) * _STEP_MIN
    for minute in range(first, int(high) + 1, _STEP_MIN):
        at = int((minute - low) / (high - low) * width)
        word = f"|{minute}"
        if at + len(word) <= len(line):
            line[at : at + len(word)] = word
    return "".join(line).rstrip()


def _span(span: Mapping[str, Any]) -> str:
    if span["days"] == 1:
        return str(span["from"])
    return f"{span['from']} to {span['to']}"
