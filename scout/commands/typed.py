"""What a person types as an option, read strictly: numbers, rough distances, days, times, places.

Not for: names of records (`opened`), or bounds that the engine checks itself.
"""

from __future__ import annotations

import math
import re
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import click

from scout.commands.refusal import Refusal
from scout.records import coordinates, rough, ways
from scout.records.rough import Rough
from scout.records.times import read_date, read_time
from scout.records.trouble import Refused, shown

_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")
# What degrees were read with where nobody says: the less sure compass, or the map.
_USUAL_WAY = {"magnetic": "phone compass", "true": "map"}


def now() -> datetime:
    """Answer the machine's time: the only place where it is asked."""
    return datetime.now(UTC)


class Number(click.ParamType[float]):
    """A finite decimal number, written with a point, in a unit; bounds included."""

    name = "number"

    def __init__(
        self, unit: str = "", *, low: float | None = None, high: float | None = None
    ) -> None:
        self._unit, self._low, self._high = unit, low, high

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the number or say how to write it."""
        if isinstance(value, (int, float)):
            return value
        typed = str(value).strip().replace("\N{MINUS SIGN}", "-")
        of = f" of {self._unit}" if self._unit else ""
        if not _NUMBER.fullmatch(typed):
            raise _refused(param, f"{shown(value)} is not a number{of}; write it like 12 or 12.5.")
        number = float(typed)
        low = -math.inf if self._low is None else self._low
        high = math.inf if self._high is None else self._high
        if not low <= number <= high or not math.isfinite(number):
            raise _refused(param, f"{shown(value)} is out of range; give {self._bounds()}.")
        return number

    def _bounds(self) -> str:
        unit = f" {self._unit}" if self._unit else ""
        if self._low is None and self._high is None:
            return "a smaller number"
        if self._high is None:
            return f"{self._low:g}{unit} or more"
        return f"{self._low:g} to {self._high:g}{unit}"


class Count(click.ParamType[int]):
    """How many, from 1 to the most that is taken."""

    name = "count"

    def __init__(self, of: str, most: int) -> None:
        self._of, self._number = of, Number(of, low=1, high=most)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Read the count or say how to write it."""
        number = self._number.convert(value, param, ctx)
        if number != int(number):
            raise _refused(param, f"{number:g} is not a whole number of {self._of}.")
        return int(number)


class Metres(click.ParamType[Rough]):
    """A distance as it is said: "12", "about 12 m", "30 to 40 m", "sky" where that is allowed."""

    name = "metres"

    def __init__(self, *, sky: bool = False) -> None:
        self._sky = sky

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Rough:
        """Read the distance with its ±, or say how to write it."""
        if isinstance(value, Rough):
            return value
        try:
            read = rough.distance(str(value))
        except ValueError as trouble:
            raise _refused(param, f"{shown(value)} is not read. {trouble}") from None
        if not math.isfinite(read.value) and not (self._sky and "sky" in read.words):
            raise _refused(param, f"{shown(value)} is no distance; give metres.")
        return read


def _refused(param: click.Parameter | None, says: str) -> Refusal:
    return Refusal(says if param is None else f"{param.opts[0]}: {says}")


def metres_or_sky(gap: Rough) -> float | str:
    """Answer a gap as a request has it."""
    return "sky" if math.isinf(gap.value) else gap.value


def day_typed(typed: str, zone: str, option: str) -> date:
    """Read a day: 2026-05-12, today or tomorrow by the clock of the place."""
    word = typed.strip().lower()
    ahead = {"today": 0, "tomorrow": 1}.get(word)
    if ahead is not None:
        return now().astimezone(ZoneInfo(zone)).date() + timedelta(days=ahead)
    try:
        return read_date(word)
    except Refused as refusal:
        raise Refusal(
            f"{option}: {refusal.troubles[0].says}, or write today or tomorrow."
        ) from None


def time_typed(typed: str | None, option: str) -> str:
    """Read a time with its offset from UTC; now where none was typed."""
    if typed is None:
        return now().isoformat(timespec="seconds")
    try:
        return read_time(typed.strip()).isoformat()
    except Refused as refusal:
        raise Refusal(f"{option}: {refusal.troubles[0].says}.") from None


def position_typed(typed: str, option: str) -> dict[str, Any]:
    """Read latitude and longitude."""
    try:
        read = coordinates.parse(typed)
    except ValueError as trouble:
        raise Refusal(f"{option}: {trouble}") from None
    return {"lat": read.lat_deg, "lon": read.lon_deg, "source": "typed"}


def bearing_typed(typed: str, option: str, north: str | None, how: str | None) -> dict[str, Any]:
    """Read a bearing: a compass word is by eye and true; degrees need the north they are from."""
    try:
        read = rough.bearing(typed, how=how or "guess")
    except ValueError as trouble:
        raise Refusal(f"{option}: {trouble}") from None
    about = not typed.strip()[:1].isdigit()
    if re.search(r"[0-9]", typed):
        if north is None:
            raise Refusal(
                f"--north: say from which north {shown(typed)} was read, "
                "--north magnetic (a compass) or --north true (a map)."
            )
        how = how or _USUAL_WAY[north]
        spread = ways.plus_minus(how, "bearing")
        if about:
            spread = max(spread, ways.plus_minus("guess", "bearing"))
        return {
            "read_deg": read.value,
            "reference": north,
            "how": how,
            "plus_minus_deg": spread,
        }
    return {
        "read_deg": read.value,
        "reference": north or "true",
        "how": how or "compass word",
        "plus_minus_deg": read.plus_minus,
    }
