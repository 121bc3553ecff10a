"""The light through a day in the terminal: a strip for each sky, then a row every half hour.

Not for: working out any of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from scout.terminal.page import Page
from scout.terminal.strip import cells, hours, legend, utc_of

CASES = ("clear", "sun out", "sun in", "overcast")
_NAME = 10
_WIDEST_STRIP = 120


def print_light(page: Page, day: Mapping[str, Any]) -> None:
    """Print the engine's answer for one day."""
    page.heading(f"{day['name']} · {day['date']}")
    page.flowing((day["line"], f"skyline: {day['skyline']}"))
    page.flowing(f"{need['behaviour']} {need['shutter']}" for need in day["needs"])
    page.line(_sun(day["sun"]))
    page.line()
    if day["rows"]:
        _strips(page, day)
        page.line()
        _rows(page, day)
    else:
        page.line("The sun stays more than 12° below the horizon all day.")
    page.line()
    for sentence in day["sector"]:
        page.line(sentence)


def _sun(sun: Mapping[str, Any]) -> str:
    spans = [f"{_edge(span['from'])}–{_edge(span['to'])}" for span in sun["times"]]
    words = f"sun on it {', '.join(spans)}" if spans else "the sun is never on it"
    return f"{words}; level horizon assumed" if sun["assumed_level"] else words


def _edge(edge: Mapping[str, Any]) -> str:
    spread = edge["plus_minus_min"]
    clock = str(edge["at"]["clock"])
    return clock if spread is None else f"{clock} (± {spread} min)"


def _strips(page: Page, day: Mapping[str, Any]) -> None:
    start = utc_of(day["rows"][0]["at"])
    end = utc_of(day["rows"][-1]["at"]) + timedelta(minutes=30)
    width = min(_WIDEST_STRIP, page.width - _NAME - 2)
    page.exactly(" " * (_NAME + 1) + hours(start, end, width, day["zone"]))
    for case in CASES:
        strip = cells(day["stretches"][case], start, end, width, page.all_letters)
        page.exactly(f"{case:<{_NAME}}[{strip}]")
    page.line(legend(page.all_letters))


def _rows(page: Page, day: Mapping[str, Any]) -> None:
    page.table(
        ("at", "sun", "light on the animal", *CASES),
        (
            (
                row["at"]["clock"],
                f"{_whole(row['sun_altitude_deg'])}° in {row['sun_azimuth_deg']:.0f}°",
                row["side"],
                *(_short(row["shutter"][case]) for case in CASES),
            )
            for row in day["rows"]
        ),
        whole=(0, 1, 3, 4, 5, 6),
    )
    page.line("sun: its height, and the bearing it stands in. < shorter, > longer than.")


def _short(shutter: str) -> str:
    return shutter.replace("shorter than ", "< ").replace("longer than ", "> ")


def _whole(degrees: float) -> str:
    return f"{round(degrees)}".replace("-", "−")
