"""After the outings: what costs the most pictures, which vantages earn them, what the animal told.

Plain counts from visits that noted frames and keepers, the keep-distance that one's own reactions
ask for, and the shutter as predicted beside the shutter as it was. Not for: correcting the light
(`correction`) or barring a sightline (`bars`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import ceil, fsum
from typing import Any

import attrs

from scout.engine.asked import Asked, read_asked
from scout.engine.carried import optic_of
from scout.engine.clocks import zone_of
from scout.engine.correction import compared
from scout.engine.exposure import (
    TRANSMISSION_LOSS_EV,
    loss_ev,
    lux_of_ev,
    shutter_s,
    shutter_word,
)
from scout.engine.holding import median
from scout.engine.printed import Printed
from scout.engine.prospect import horizons_of
from scout.engine.reading import FEWEST_READINGS
from scout.engine.veil import is_sensitive, veiled
from scout.records.visits import FAILURES, Reaction, Visit, Watch

ALERT_FACTOR = 1.25  # of the greatest distance at which it took notice; ours


def after_outings(request: dict[str, Any]) -> dict[str, Any]:
    """Answer what a site's outings have taught.

    The request is a card's without `session`. A visit's frames are noted for no animal in
    particular, so what failed and what was earned counts them all; `scope` says so. The answer:
    `scope`; `visits`, `frames`, `keepers` (totals of the visits that noted both); `failed`, a row
    for each cause, the costliest first {"what", "visits", "pictures", "words"}; `lost_words`, of
    what those pictures are and what no cause was noted for; `vantages`, the
    best earner first {"id", "name", "visits", "hours", "frames", "keepers", "words"};
    `keep_distances` {"open", "hide"}, each null or {"proposed_m", "greatest_m", "reactions",
    "own_m", "words"}; `shutters`, a row for each test shot, and `shutter_words`. Raises ValueError
    with a sentence a line.
    """
    asked = read_asked({**request, "session": "dawn"})
    if asked.discreet and is_sensitive(asked):
        asked = veiled(asked)
    noted = [visit for visit in asked.visits if _lost(visit) is not None]
    failed = _failed(asked.visits)
    rows, words = _shutters(asked)
    return {
        "scope": "Frames and what failed: every visit to this site, whichever animal it was for. "
        f"Keep-distances and shutters: {asked.species.name} alone.",
        "visits": len(asked.visits),
        "frames": _whole(visit.frames or 0 for visit in noted),
        "keepers": _whole(visit.keepers or 0 for visit in noted),
        "failed": failed,
        "lost_words": _lost_words(noted, failed, len(asked.visits)),
        "vantages": _vantages(asked),
        "keep_distances": {
            "open": _keep_distance(asked, in_hide=False),
            "hide": _keep_distance(asked, in_hide=True),
        },
        "shutters": rows,
        "shutter_words": words,
    }


def _whole(counts: Iterable[int]) -> int:
    return int(fsum(counts))


def _lost(visit: Visit) -> int | None:
    """Frames that were not kept; None where frames or keepers were not noted."""
    if visit.frames is None or visit.keepers is None:
        return None
    return max(0, visit.frames - visit.keepers)


def _lost_words(
    noted: Sequence[Visit], failed: Sequence[Mapping[str, Any]], visits: int
) -> str | None:
    """Say of what the lost pictures are, so that the rows add up; None where none was lost."""
    lost = _whole(_lost(visit) or 0 for visit in noted)
    told = min(lost, _whole(row["pictures"] for row in failed))  # rounded, as a reader adds them
    said = []
    if lost:
        said.append(
            f"Lost: {lost} frames were not kept. {told} of them stand in the rows, a visit's "
            "shared evenly among what failed on it"
            + (f"; for the other {lost - told} no cause was noted." if lost > told else ".")
        )
    for row in failed:
        if row["what"] == "absence" and not row["pictures"]:
            said.append(f"Absence cost {row['visits']} of {visits} outings and no frames.")
    return " ".join(said) or None


def _failed(visits: Sequence[Visit]) -> list[dict[str, Any]]:
    """Frames that were not kept, shared evenly among what failed on that visit."""
    counts = dict.fromkeys(FAILURES, 0)
    pictures: dict[str, list[float]] = {what: [] for what in FAILURES}
    for visit in visits:
        causes = list(dict.fromkeys(visit.failed_by))
        for what in causes:
            counts[what] += 1
            if (lost := _lost(visit)) is not None:
                pictures[what].append(lost / len(causes))
    rows = []
    for what in FAILURES:
        if counts[what]:
            lost = round(fsum(pictures[what]))
            on = f"on {counts[what]} visit{'' if counts[what] == 1 else 's'}"
            said = f"{what}: {lost} pictures, {on}" if lost else f"{what}: {on}"
            rows.append({"what": what, "visits": counts[what], "pictures": lost, "words": said})
    return sorted(
        rows, key=lambda row: (-row["pictures"], -row["visits"], FAILURES.index(row["what"]))
    )


def _vantages(asked: Asked) -> list[dict[str, Any]]:
    """What each vantage earned; a visit to several shares its frames by the time at each."""
    hours: dict[str, dict[str, float]] = {}
    for watch in asked.watches:
        if watch.visit is not None and watch.vantage in asked.vantages and not watch.trail_camera:
            there = hours.setdefault(watch.visit, {})
            there[watch.vantage] = there.get(watch.vantage, 0.0) + _hours(watch, asked)
    rows = []
    for vantage in sorted(asked.vantages.values(), key=lambda one: one.id):
        mine = [visit for visit in asked.visits if vantage.id in hours.get(visit.id, {})]
        if not mine:
            continue
        frames, keepers = (
            round(
                fsum(
                    (getattr(visit, name) or 0) * _part(hours[visit.id], vantage.id)
                    for visit in mine
                )
            )
            for name in ("frames", "keepers")
        )
        spent = round(fsum(hours[visit.id][vantage.id] for visit in mine), 1)
        count = f"{len(mine)} visit{'' if len(mine) == 1 else 's'}"
        rows.append(
            {
                "id": vantage.id,
                "name": vantage.name,
                "visits": len(mine),
                "hours": spent,
                "frames": frames,
                "keepers": keepers,
                "words": f"{vantage.name}: {keepers} kept of {frames} on {count}, {spent:g} h",
            }
        )
    return sorted(rows, key=lambda row: (-row["keepers"], row["hours"], row["id"]))


def _hours(watch: Watch, asked: Asked) -> float:
    visit = next((one for one in asked.visits if one.id == watch.visit), None)
    end = watch.end or (None if visit is None else visit.end)
    if end is None or end.at <= watch.start.at:
        return 0.0
    return (end.at - watch.start.at).total_seconds() / 3600.0


def _part(there: Mapping[str, float], vantage: str) -> float:
    whole = fsum(there.values())
    return there[vantage] / whole if whole > 0.0 else 1.0 / len(there)


def _keep_distance(asked: Asked, *, in_hide: bool) -> dict[str, Any] | None:
    """Propose one from one's own reactions, never below the person's own."""
    species = asked.species
    stood = {watch.id: asked.vantages.get(watch.vantage or "") for watch in asked.watches}
    own = species.keep_distance_hide_m if in_hide else species.keep_distance_open_m

    def mine(reaction: Reaction) -> bool:
        vantage = stood.get(reaction.watch)
        hidden = vantage is not None and vantage.cover == "hide"
        told = reaction.species == species.id and reaction.cause != "other"
        return told and hidden is in_hide and reaction.distance_m is not None

    distances = [one.distance_m or 0.0 for one in asked.reactions if mine(one)]
    if not distances:
        return None
    greatest = max(distances)
    proposed = float(ceil(round(greatest * ALERT_FACTOR, 3)))
    where = "from a hide" if in_hide else "in the open"
    count = f"{len(distances)} reaction{'' if len(distances) == 1 else 's'}"
    said = f"{count} {where}, the furthest at {greatest:g} m: {proposed:g} m proposed"
    if own is not None and own >= proposed:
        proposed = own
        said = f"{count} {where}, the furthest at {greatest:g} m: your own {own:g} m stands"
    return {
        "proposed_m": proposed,
        "greatest_m": greatest,
        "reactions": len(distances),
        "own_m": own,
        "words": f"{said}.",
    }


def _shutters(asked: Asked) -> tuple[list[dict[str, Any]], str]:
    """Test shots beside the model without any correction, as shutters at this kit's ceiling."""
    shots = [one for one in asked.light_readings if one.source == "test shot" and one.sky]
    if not shots:
        return [], "No test shot that qualifies yet: the light model is as it is."
    shots.sort(key=lambda one: (one.at.at, one.id))
    only = attrs.evolve(asked, light_readings=tuple(shots))
    found = compared(only, horizons_of(asked, shots[-1].at.at))
    kit, optic = asked.kit, optic_of(asked.kit)
    glass = TRANSMISSION_LOSS_EV if kit.transmission_ev is None else kit.transmission_ev
    lost = loss_ev(glass, asked.species.trim_ev or 0.0)
    printed = Printed(zone_of(asked.site.zone))
    rows, errors = [], []
    for shot, one in zip(shots, found, strict=True):
        predicted, actual = (
            shutter_word(shutter_s(lux_of_ev(ev), optic.f_number, kit.iso_ceiling, lost))
            for ev in (one.model_ev, one.measured_ev)
        )
        error = round(one.measured_ev - one.model_ev, 1) + 0.0  # never -0.0
        errors.append(error)
        rows.append(
            {
                "id": shot.id,
                "at": printed.moment(shot.at.at),
                "sky": shot.sky,
                "predicted": predicted,
                "actual": actual,
                "error_ev": error,
                "words": f"{predicted} predicted, {actual} as shot: {_off(error)}",
            }
        )
    middle = round(median(errors), 1)
    count = f"{len(errors)} test shot{'' if len(errors) == 1 else 's'}"
    used = f"Used on the card where {FEWEST_READINGS} or more are alike in sky, sun and leaf."
    return rows, f"{count}: in the middle {_off(middle)}. {used}"


def _off(error_ev: float) -> str:
    if error_ev == 0.0:
        return "as predicted"
    way = "brighter" if error_ev > 0.0 else "darker"
    return f"{abs(error_ev):.1f} stops {way} than predicted"
