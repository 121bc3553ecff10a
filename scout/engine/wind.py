"""Which wind carries a person's scent to the animal, and how hard it blows.

A wind is named by where it comes FROM. A sightline's bearing runs from the vantage to the perch.
Wind from the bearing plus 180° therefore comes from behind the photographer, blows along the
sightline, and carries the scent to the animal: that is the bad wind. Wind from the bearing itself
blows in the photographer's face. Not for forecasts: the wind is typed by a person.

The rules are common practice, no source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Literal

import attrs

from scout.engine.angles import (
    apart_deg,
    bearing,
    compass_letters,
    finite,
    opposite_deg,
    range_words,
    wrap_deg,
)
from scout.engine.beaufort import force_words, known_force, take_forces
from scout.records import rough

HALF_WIDTH_DEG = 45.0
LIGHT_HALF_WIDTH_DEG = 60.0
LIGHT_FORCE = 2  # up to a light breeze the air wavers, so more winds are bad

Verdict = Literal["bad", "near", "good", "unknown", "not tested"]
Nose = Literal["mammal", "bird"]

_REMEDY = (
    "Write where it comes from and its force, for example SW 3, light from NE, W 15 mph or calm."
)


@attrs.frozen
class Wind:
    """Hold a wind: where it comes from [deg true, None if calm or shifting], its plus-minus [deg],
    and its Beaufort force [0 to 12, None if not known]."""

    from_deg: float | None
    plus_minus_deg: float = 0.0
    force: int | None = None


@attrs.frozen
class BadWinds:
    """Hold the winds that carry scent along a sightline: clockwise range [deg] and its words."""

    from_deg: float
    to_deg: float
    words: str


@attrs.frozen
class Scent:
    """Hold what the wind does with a person's scent: verdict, whether it bars, and the reason.

    "near" is a wind that may be bad within its plus-minus: a caution, never a bar.
    """

    verdict: Verdict
    veto: bool
    reason: str


@attrs.frozen
class Leg:
    """Hold one leg of a walk-in: the bearing walked [deg true] and the bearings at which the perch
    stands along it [deg true, at least one]. Scent depends on the latter alone."""

    bearing_deg: float
    perch_bearings_deg: tuple[float, ...]


def read_wind(text: str) -> Wind:
    """Read a wind as a person says it or a forecast writes it, all of it or not at all.

    "SW", "from the SW", "wind from south-west 3", "light breeze from NE", "force 4 SW", "225°",
    "225 3", "W 15 mph", "8 m/s from W", "calm", "var 2". Of a span ("SW 3-4", "W 10-15 kn") the
    higher counts: the stronger wind asks more of a person. A speed becomes the force within whose
    limits it falls. Raises ValueError with how to write it.
    """
    if not isinstance(text, str):
        raise ValueError(f"The wind must be a text. {_REMEDY}")
    said = " ".join(text.lower().replace(",", " ").split())
    said = re.sub(r"^winds? ", "", said)
    if said == "calm":
        return Wind(None, 0.0, 0)
    said = re.sub(r"(north|south|east|west)(?:erly|ern)\b", r"\1", said)
    try:
        forces, direction = take_forces(said)
    except ValueError as trouble:
        raise ValueError(f"{trouble} {_REMEDY}") from None
    if len(forces) > 1:
        raise ValueError(f"The force of the wind was not understood. {_REMEDY}")
    force = forces[0] if forces else None
    direction = re.sub(r"^(?:wind )?(?:from )?(?:the )?", "", direction)
    if direction in ("variable", "var", "vrb", "shifting"):
        return Wind(None, 180.0, force)
    if re.fullmatch(r"1?[0-9]", direction):
        raise ValueError(f"{direction} may be a force or a direction of the wind. {_REMEDY}")
    try:
        from_where = rough.bearing(direction, how="guess")
    except ValueError as trouble:
        raise ValueError(f"The wind was not understood. {_REMEDY}") from trouble
    if force == 0:
        raise ValueError("A calm has no direction. Write calm alone, or a force of 1 or more.")
    return Wind(from_where.value, from_where.plus_minus, force)


def wind_words(wind: Wind) -> str:
    """Put a wind into words that go after "wind", such as "gentle breeze from SW (3)"."""
    strength = None if wind.force is None else force_words(wind.force)
    if wind.force == 0:
        return "calm"
    if wind.from_deg is None:
        return "shifting" if strength is None else f"shifting, {strength} ({wind.force})"
    origin = f"from {compass_letters(wind.from_deg)}"
    return origin if strength is None else f"{strength} {origin} ({wind.force})"


def bad_winds(sightline_bearing_deg: float, half_width_deg: float = HALF_WIDTH_DEG) -> BadWinds:
    """Give the winds that carry scent from the vantage to the perch.

    The sightline's bearing [deg true, vantage to perch] plus 180°, give or take the half width
    [deg, above 0, below 180]: for a perch due west, an east wind, "NE to SE".
    """
    half = finite(half_width_deg, "half width of the bad winds")
    if not 0.0 < half < 180.0:
        raise ValueError("The half width of the bad winds must lie between 0 and 180 degrees.")
    centre = opposite_deg(bearing(sightline_bearing_deg, "bearing of the sightline"))
    start, end = wrap_deg(centre - half), wrap_deg(centre + half)
    return BadWinds(start, end, range_words(start, end))


def winds_words(animal: str, sightline_bearing_deg: float, half_width_deg: float) -> str:
    """Say the bad winds of a sightline, or that there are none to test: they are a mammal's alone.

    The sightline's bearing [deg true] and the half width [deg] as `bad_winds` takes them.
    """
    if animal == "mammal":
        return bad_winds(sightline_bearing_deg, half_width_deg).words
    return "none (bird)" if animal == "bird" else "not tested (no mammal)"


def scent(
    sightline_bearing_deg: float,
    wind: Wind,
    nose: Nose = "mammal",
    half_width_deg: float = HALF_WIDTH_DEG,
    light_half_width_deg: float = LIGHT_HALF_WIDTH_DEG,
) -> Scent:
    """Judge one wind on one sightline [deg true, vantage to perch].

    For mammals a bad wind is a veto; birds are not tested. Up to force 2 the wider half width
    counts; in a calm or a shifting wind nobody knows where the scent goes.
    """
    line = bearing(sightline_bearing_deg, "bearing of the sightline")
    if nose == "bird":
        return Scent("not tested", False, "Birds are not tested for scent.")
    if nose != "mammal":
        raise ValueError(f"Scent is judged for a mammal or a bird, not {nose!r}.")
    if wind.force == 0:
        return Scent("unknown", False, "Calm: where the scent drifts is not known.")
    if wind.from_deg is None:
        return Scent("unknown", False, "Shifting wind: where the scent drifts is not known.")
    light = wind.force is not None and known_force(wind.force) <= LIGHT_FORCE
    half = light_half_width_deg if light else half_width_deg
    bad = bad_winds(line, half)
    # Rounded to whole degrees before it is compared: nobody knows a wind better.
    off = round(apart_deg(opposite_deg(line), bearing(wind.from_deg, "wind")))
    name = compass_letters(wind.from_deg)
    if off <= half:
        return Scent(
            "bad", True, f"Wind from {name} carries scent to the perch (bad: {bad.words})."
        )
    if off - finite(wind.plus_minus_deg, "plus-minus of the wind") <= half:
        return Scent(
            "near", False, f"Wind from {name} is close to the bad winds ({bad.words}): check there."
        )
    return Scent("good", False, f"Wind from {name} keeps scent off the perch.")


def walk_in_scent(
    legs: Sequence[Leg],
    wind: Wind,
    nose: Nose = "mammal",
    half_width_deg: float = HALF_WIDTH_DEG,
    light_half_width_deg: float = LIGHT_HALF_WIDTH_DEG,
) -> tuple[Scent, ...]:
    """Judge the wind on every leg of a walk-in, each by its worst moment."""
    order: tuple[Verdict, ...] = ("bad", "near", "unknown", "good", "not tested")
    judged = []
    for number, leg in enumerate(legs, 1):
        if not leg.perch_bearings_deg:
            raise ValueError(f"Leg {number} of the walk-in needs the bearing to the perch.")
        moments = [
            scent(one, wind, nose, half_width_deg, light_half_width_deg)
            for one in leg.perch_bearings_deg
        ]
        worst = min(moments, key=lambda moment: order.index(moment.verdict))
        judged.append(
            attrs.evolve(
                worst,
                reason=f"Walk-in leg {number}, heading "
                f"{compass_letters(leg.bearing_deg)}: {worst.reason}",
            )
        )
    return tuple(judged)


def legs_to(
    legs: Sequence[tuple[float, float]], sightline_bearing_deg: float, sightline_m: float
) -> tuple[Leg, ...]:
    """Work out where the perch stands along each leg of a walk-in that ends at the vantage.

    Legs in walking order as (bearing [deg true], length [m, above 0]); the sightline's bearing
    [deg true, vantage to perch] and ground distance [m]. Flat ground, five looks a leg. A look
    from the perch itself has no bearing and is left out.
    """
    direction = math.radians(bearing(sightline_bearing_deg, "bearing of the sightline"))
    reach = finite(sightline_m, "distance of the sightline")
    east, north = reach * math.sin(direction), reach * math.cos(direction)
    found: list[Leg] = []
    for heading, length_m in reversed(legs):
        heading_deg, length = bearing(heading, "bearing of a leg"), finite(length_m, "leg")
        if length <= 0.0:
            raise ValueError("The length of a walk-in leg must be above 0 m.")
        step_east = length * math.sin(math.radians(heading_deg))
        step_north = length * math.cos(math.radians(heading_deg))
        looks = []
        for quarter in (4, 3, 2, 1, 0):
            # Seen from further back on the leg the perch lies further along the way walked.
            to_east, to_north = east + step_east * quarter / 4, north + step_north * quarter / 4
            if math.hypot(to_east, to_north) > 1e-6:
                looks.append(wrap_deg(math.degrees(math.atan2(to_east, to_north))))
        found.append(Leg(heading_deg, tuple(looks)))
        east, north = east + step_east, north + step_north
    return tuple(reversed(found))
