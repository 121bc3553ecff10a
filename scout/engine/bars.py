"""What bars a sightline before any light is counted: what law, owner and animal ask.

Closed periods, lapsed permission, the keep-distance, the bearings a vantage can use, the wind. No
answer pushes a person at an animal. Not for: weighing one sightline against another (`outing`).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import attrs

from scout.engine.angles import between
from scout.engine.asked import Asked, within_year
from scout.engine.carried import noun_of, optic_of
from scout.engine.optics import frame_share
from scout.engine.sightline import Sight
from scout.engine.wind import Wind, legs_to, scent, walk_in_scent, winds_words
from scout.records.places import ClosedPeriod, Perch, Permission, Vantage, WalkIn


@attrs.frozen(kw_only=True)
class Bars:
    """Sentences: what bars a sightline, what speaks against it, what only has to be said."""

    barred: tuple[str, ...]
    against: tuple[str, ...]
    notes: tuple[str, ...]
    bad_winds: str


def permission_words(permissions: Sequence[Permission], day: date) -> tuple[str, bool]:
    """Say what permission covers a day, and whether it has lapsed: a sentence and true for lapsed.

    No permission recorded is not a lapse: it is said among what is not known.
    """
    if not permissions:
        return "No permission recorded: ask the landowner.", False
    for one in sorted(permissions, key=lambda one: one.id):
        begun = one.starts_on is None or one.starts_on <= day
        ended = one.ends_on is not None and one.ends_on < day
        if begun and not ended:
            until = "" if one.ends_on is None else f", until {one.ends_on.isoformat()}"
            what = f" for {one.for_what}" if one.for_what else ""
            terms = f". {one.conditions.rstrip('.')}" if one.conditions else ""
            return f"Permission from {one.from_whom}{what}{until}{terms}.", False
    ends = [one.ends_on for one in permissions if one.ends_on is not None and one.ends_on < day]
    if ends:
        return f"Permission lapsed on {max(ends).isoformat()}: ask again before going.", True
    starts = [one.starts_on for one in permissions if one.starts_on is not None]
    return f"Permission begins only on {min(starts).isoformat()}.", True


def closed_words(periods: Sequence[ClosedPeriod], day: date, what: str) -> str | None:
    """Say that a place is closed on a day, or None."""
    today = day.isoformat()[5:]
    for period in periods:
        if within_year(today, period.from_day, period.to_day):
            why = f": {period.why.rstrip('.')}" if period.why else ""
            return f"{what} is closed from {period.from_day} to {period.to_day}{why}."
    return None


def bars_of(
    asked: Asked,
    vantage: Vantage,
    perch: Perch,
    sight: Sight,
    walk_in: WalkIn | None,
) -> Bars:
    """Judge one sightline against what forbids it on the day asked for."""
    barred: list[str] = []
    against: list[str] = []
    notes: list[str] = []
    for periods, what in ((asked.site.closed, "The site"), (perch.closed, "The perch")):
        closed = closed_words(periods, asked.date, what)
        if closed is not None:
            barred.append(closed)
    permission, lapsed = permission_words(asked.permissions, asked.date)
    if lapsed:
        barred.append(permission)
    _keep_distance(asked, vantage, sight, barred, notes)
    bearing = sight.bearing_deg.value
    if vantage.usable is not None and not between(
        round(bearing), vantage.usable.from_deg, vantage.usable.to_deg
    ):
        barred.append(
            f"The perch lies at {round(bearing) % 360}°, outside the bearings that this vantage "
            "can use "
            f"({vantage.usable.from_deg:.0f}° to {vantage.usable.to_deg:.0f}°)."
        )
    too_far = _too_far(asked, sight)
    if too_far is not None:
        barred.append(too_far)
    words = _winds(asked, sight, walk_in, barred, against)
    if perch.kind == "nest or den":
        notes.append(
            "A nest or den: not while it is in use, unless the law and a licence allow it."
        )
    return Bars(barred=tuple(barred), against=tuple(against), notes=tuple(notes), bad_winds=words)


def _too_far(asked: Asked, sight: Sight) -> str | None:
    """An animal that is a speck in the frame is no picture, however good the light."""
    optic = optic_of(asked.kit)
    distance = max(sight.distance_m.value, 2.0 * optic.focal_mm / 1000.0)
    share = round(frame_share(optic, asked.species.length_m, distance), 3)
    if share >= asked.settings.least_frame_share:
        return None
    return (
        f"Too far for this kit: {noun_of(asked.species)} {100 * share:.1f} % of the frame at "
        f"{distance:.0f} m; a picture of the place at most."
    )


def _keep_distance(
    asked: Asked, vantage: Vantage, sight: Sight, barred: list[str], notes: list[str]
) -> None:
    """A hide lowers the distance only where a person has noted one for a settled hide."""
    species = asked.species
    in_hide = vantage.cover == "hide" and species.keep_distance_hide_m is not None
    keep = species.keep_distance_hide_m if in_hide else species.keep_distance_open_m
    distance = round(sight.distance_m.value, 1)
    unsure = max(1, round(sight.distance_m.plus_minus))
    if keep is None:
        notes.append("No keep-distance of your own is set for this animal: set one first.")
        return
    where = "from a settled hide" if in_hide else "in the open"
    if distance < keep:
        pins = sight.distance_m.source == "pins"
        how = f" (from two pins, ±{unsure} m: measure it)" if pins else ""
        barred.append(
            f"{distance:g} m{how} is nearer than your keep-distance of {keep:g} m {where}."
        )
        return
    outside = species.keep_distance_open_m
    if in_hide and outside is not None and distance < outside:
        notes.append("Nearer than your open keep-distance: only from the hide, and settled.")
    if round(distance - sight.distance_m.plus_minus, 1) < keep:
        notes.append(
            f"Within its ±{unsure} m the distance may be less than your "
            f"keep-distance of {keep:g} m {where}: measure it."
        )


def _winds(
    asked: Asked,
    sight: Sight,
    walk_in: WalkIn | None,
    barred: list[str],
    against: list[str],
) -> str:
    settings, wind = asked.settings, asked.wind
    bearing = sight.bearing_deg.value
    words = winds_words(asked.species.animal, bearing, settings.scent_half_width_deg)
    if wind is None or asked.species.animal != "mammal":
        return words
    judged = scent(
        bearing,
        wind,
        "mammal",
        settings.scent_half_width_deg,
        settings.scent_light_half_width_deg,
    )
    if judged.veto:
        barred.append(judged.reason)
    elif judged.verdict in ("near", "unknown"):
        against.append(judged.reason)
    against.extend(_walk_in_winds(asked, sight, walk_in, wind))
    return words


def _walk_in_winds(asked: Asked, sight: Sight, walk_in: WalkIn | None, wind: Wind) -> list[str]:
    if walk_in is None or not walk_in.legs:
        return []
    legs = legs_to(
        [(leg.bearing_deg, leg.distance_m) for leg in walk_in.legs],
        sight.bearing_deg.value,
        sight.distance_m.value,
    )
    judged = walk_in_scent(
        legs,
        wind,
        "mammal",
        asked.settings.scent_half_width_deg,
        asked.settings.scent_light_half_width_deg,
    )
    return [one.reason for one in judged if one.verdict == "bad"]
