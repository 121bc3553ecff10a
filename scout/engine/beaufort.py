"""The Beaufort scale: its words, its speeds, and how people and forecasts write them.

A force is what counts in the field; a speed is turned into one. Not for: where a wind comes from or
what it does (`wind`).
"""

from __future__ import annotations

import math
import re

BEAUFORT: tuple[tuple[str, float], ...] = (
    ("calm", 0.0),
    ("light air", 0.3),
    ("light breeze", 1.6),
    ("gentle breeze", 3.4),
    ("moderate breeze", 5.5),
    ("fresh breeze", 8.0),
    ("strong breeze", 10.8),
    ("near gale", 13.9),
    ("gale", 17.2),
    ("strong gale", 20.8),
    ("storm", 24.5),
    ("violent storm", 28.5),
    ("hurricane", 32.7),
)
"""Beaufort force by index: its word and the speed it begins at [m/s at 10 m] (WMO code 1100)."""

LEAST_SPEEDS: dict[str, tuple[float, ...]] = {
    "m/s": tuple(least for _, least in BEAUFORT),
    "kn": (0, 1, 4, 7, 11, 17, 22, 28, 34, 41, 48, 56, 64),
    "km/h": (0, 1, 6, 12, 20, 29, 39, 50, 62, 75, 89, 103, 118),
    "mph": (0, 1, 4, 8, 13, 19, 25, 32, 39, 47, 55, 64, 73),
}
"""The speed each force begins at, in whole units but for m/s: the same code's columns, which are
rounded each for itself, so that a speed is looked up in its own unit."""

_MOST_SPEED = 400.0
_TENTHS = {"m/s": 10.0}  # what a unit's column is given to; the others to whole units
_SAME = {
    "mps": "m/s",
    "kt": "kn",
    "kts": "kn",
    "knot": "kn",
    "knots": "kn",
    "kmh": "km/h",
    "kph": "km/h",
}
_WORDS: dict[str, int] = {
    **{word: force for force, (word, _) in enumerate(BEAUFORT)},
    "light": 2,
    "gentle": 3,
    "moderate": 4,
    "fresh": 5,
    "strong": 6,
}

_SPAN = r"(?<![0-9.-])(?P<low>[0-9]+{0})(?: ?(?:-|\u2013|to) ?(?P<high>[0-9]+{0}))?"
_WHOLE, _DECIMAL = _SPAN.format(""), _SPAN.format(r"(?:\.[0-9]+)?")
_UNIT = "|".join(sorted((*LEAST_SPEEDS, *_SAME), key=len, reverse=True))
_SPEED = re.compile(rf"{_DECIMAL} ?(?P<unit>{_UNIT})(?![a-z0-9/])")
_NAMED = (
    re.compile(rf"\b(?:force|bft|beaufort|f) ?{_WHOLE}(?![0-9.])"),
    re.compile(rf"{_WHOLE} ?(?:bft|beaufort)\b"),
)
# Three figures are degrees, so that the figure after them can only be a force.
_LAST = re.compile(rf"(?:(?<=[a-z°])|(?<=[a-z°] )|(?<=^[0-9]{{3}} )){_WHOLE}$")
_FIRST_WORD = re.compile(rf"(?:{'|'.join(sorted(_WORDS, key=len, reverse=True))})\b ?")


def force_words(force: int) -> str:
    """Give the word of a Beaufort force [0 to 12], such as "gentle breeze"."""
    return BEAUFORT[known_force(force)][0]


def known_force(force: int) -> int:
    """Return a Beaufort force, or refuse what is none."""
    if isinstance(force, bool) or not isinstance(force, int) or not 0 <= force < len(BEAUFORT):
        raise ValueError("The Beaufort force must be a whole number from 0 to 12.")
    return force


def take_forces(said: str) -> tuple[list[int], str]:
    """Take each strength out of a wind in small letters: the forces, and the text that is left.

    A force as a figure, named or last of all; a word at the beginning; a speed in mph, km/h, m/s
    or kn. Of a span the higher counts. Raises ValueError for a figure that no wind reaches, and
    for a span that runs downwards.
    """
    found: list[int] = []

    def speed(match: re.Match[str]) -> str:
        unit = _SAME.get(match["unit"], match["unit"])
        most = _higher(match)
        if most > _MOST_SPEED:
            raise ValueError(f"No wind blows at {most:g} {unit}.")
        found.append(_force_of(most, unit))
        return " "

    def figure(match: re.Match[str]) -> str:
        most = _higher(match)
        if most >= len(BEAUFORT):
            raise ValueError(f"The force of a wind goes up to 12, not {most:g}.")
        found.append(int(most))
        return " "

    left = " ".join(_SPEED.sub(speed, said).split())
    for pattern in (*_NAMED, _LAST):
        left = " ".join(pattern.sub(figure, left).split())
    word = _FIRST_WORD.match(left)
    if word:
        found.append(_WORDS[word.group().strip()])
        left = left[word.end() :]
    return found, left


def _higher(match: re.Match[str]) -> float:
    low = float(match["low"])
    high = low if match["high"] is None else float(match["high"])
    if high < low:
        raise ValueError("A span of winds runs from the weaker to the stronger.")
    return high


def _force_of(speed: float, unit: str) -> int:
    tenths = _TENTHS.get(unit, 1.0)
    shown = math.floor(round(speed * tenths, 6) + 0.5) / tenths
    return max(force for force, least in enumerate(LEAST_SPEEDS[unit]) if shown >= least)
