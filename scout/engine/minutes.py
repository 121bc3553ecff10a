"""One session minute by minute: the sun, the light, and the state of each sightline.

The light of a minute is worked out once and asked by every sightline. Four states, no more: dark,
sky light (the shutter is reached, but not the light wanted), sun (it is on the perch, the shutter
is not reached yet), good.
Not for: reasons and words about them (`stretches`, `reasons`).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from math import ceil, cos, radians

import attrs

from scout.engine.light import Daylight, Face
from scout.engine.side import BACK_ABOVE_DEG, FRONT_BELOW_DEG, horizontal_angle_deg
from scout.engine.sun import SunPath

DARK, SKY_LIGHT, SUN, GOOD = "dark", "sky light", "sun", "good"

# The light of a minute is computed for four cases; "in and out" has two of them.
CASES = ("clear", "sun out", "sun in", "overcast")


@attrs.frozen
class Minute:
    """One minute of a session: its start, the sun [deg], and the light before any sightline."""

    at_utc: datetime
    altitude_deg: float
    azimuth_deg: float
    daylight: Daylight


@attrs.frozen
class Needs:
    """The light on the animal from which each wanted shutter is reached [lux], fastest last.

    `wanted_s` are the shutters themselves [s], shortened where a lens is held by hand.
    """

    lux: tuple[float, ...]
    chosen: int
    wanted_s: tuple[float, ...] = ()
    by_hand: bool = False


@attrs.frozen
class Lit:
    """A sightline through a session, one entry a minute.

    `angle_deg` between sun and lens at the perch [deg, −180 to 180, positive from the right];
    `sun_on` whether the sun stands above the skyline; `lux` for each case of CASES; `states`
    likewise.
    """

    angle_deg: tuple[float, ...]
    sun_on: tuple[bool, ...]
    lux: tuple[tuple[float, ...], ...]
    states: tuple[tuple[str, ...], ...]

    def good_counts(self, first: int = 0) -> tuple[int, ...]:
        """Count the good minutes of each case from the minute at a place in the session on."""
        return tuple(series[first:].count(GOOD) for series in self.states)

    def good_minutes(self, sun_share: float, first: int = 0) -> dict[str, int]:
        """Count the good minutes under each sky; under "in and out" by the share of sunny time."""
        good = self.good_counts(first)
        mixed = sun_share * good[1] + (1.0 - sun_share) * good[2]
        return {"clear": good[0], "in and out": round(mixed), "overcast": good[3]}


def minutes_of(
    lat_deg: float, lon_deg: float, start_utc: datetime, end_utc: datetime
) -> tuple[Minute, ...]:
    """Work out sun and light for every whole minute that begins from start on and before end."""
    path = SunPath(lat_deg, lon_deg)
    first = start_utc.replace(second=0, microsecond=0)
    if first < start_utc:
        first += timedelta(minutes=1)
    count = ceil((end_utc - first).total_seconds() / 60)
    found = []
    for place in range(max(0, count)):
        at = first + timedelta(minutes=place)
        altitude, azimuth = path.position(at.timestamp())
        found.append(
            Minute(
                at,
                altitude,
                azimuth,
                Daylight(altitude, at.timetuple().tm_yday),
            )
        )
    return tuple(found)


def lit(
    minutes: Sequence[Minute],
    bearing_deg: float,
    face: Face,
    sun_on: Sequence[bool],
    light_wanted: str,
    needs: Needs,
) -> Lit:
    """Follow one sightline through a session.

    `bearing_deg` true, vantage to perch; `sun_on` one entry a minute; `light_wanted` front, side,
    back or any. A minute is good when the chosen shutter is reached and the light is the light
    wanted; sky light counts when any will do.
    """
    angles = [horizontal_angle_deg(bearing_deg, minute.azimuth_deg) for minute in minutes]
    lux: tuple[list[float], ...] = ([], [], [], [])
    for minute, angle, on in zip(minutes, angles, sun_on, strict=True):
        amounts = minute.daylight.upright_lux(face, cos(radians(angle)), on)
        for series, amount in zip(lux, amounts, strict=True):
            series.append(amount)
    return _stated(tuple(angles), tuple(sun_on), lux, light_wanted, needs)


def restated(plain: Lit, gains: Sequence[float], light_wanted: str, needs: Needs) -> Lit:
    """Answer the same sightline with the light of each case made brighter by a factor."""
    lux = [
        [amount * gain for amount in series] for series, gain in zip(plain.lux, gains, strict=True)
    ]
    return _stated(plain.angle_deg, plain.sun_on, lux, light_wanted, needs)


def _stated(
    angles: tuple[float, ...],
    sun_on: tuple[bool, ...],
    lux: Sequence[Sequence[float]],
    light_wanted: str,
    needs: Needs,
) -> Lit:
    need = needs.lux[needs.chosen]
    any_light = light_wanted == "any"
    # In the beam: good where its side is the one wanted; out of it: good where any light will do.
    sunny = [any_light or side_word(angle) == light_wanted for angle in angles]
    states = []
    for case, series in enumerate(lux):
        row = []
        for amount, on, wanted in zip(series, sun_on, sunny, strict=True):
            beam = on and case < 2
            if amount >= need:
                row.append(GOOD if any_light or (beam and wanted) else SKY_LIGHT)
            else:
                row.append(SUN if beam else DARK)
        states.append(tuple(row))
    return Lit(angles, sun_on, tuple(tuple(series) for series in lux), tuple(states))


def side_word(angle_deg: float) -> str:
    """Answer front, side or back for the signed horizontal angle between sun and lens [deg]."""
    angle = round(abs(angle_deg))
    if angle < FRONT_BELOW_DEG:
        return "front"
    return "back" if angle > BACK_ABOVE_DEG else "side"


def reached(
    minutes: Sequence[Minute], lux: Sequence[float], need_lux: float, *, first: bool
) -> datetime | None:
    """Answer when a light is first reached, or last: the end of that minute; None for never."""
    pairs = zip(minutes, lux, strict=True)
    found = [minute.at_utc for minute, amount in pairs if amount >= need_lux]
    if not found:
        return None
    return found[0] if first else found[-1] + timedelta(minutes=1)
