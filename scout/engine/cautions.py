"""The cautions that a card shows: those of the place and the hour, and those that always hold.

Local law, landowners and licensed practice decide; nothing here replaces them. Not for: bars
(`bars`).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from scout.engine.asked import Asked
from scout.engine.conditions import STRONG_WIND_FORCE
from scout.engine.geodesy import LocalPlane
from scout.engine.prospect import Prospect
from scout.engine.sessions import Session

HAZARD_WITHIN_M = 300.0

ALWAYS = (
    "Go back at the first sign of alert behaviour; no active nests, baiting or playback unless the "
    "law and a licence allow it.",
    "Leave your plan and time of return with somebody; carry light and a spare; mind dark ground, "
    "water, tides, cliffs, roads, the shooting season and the cold.",
    "Times and skylines are planning aids, not navigation; local law, the landowner and licensed "
    "practice decide.",
)


def cautions_of(asked: Asked, open_ones: Sequence[Prospect], session: Session) -> list[str]:
    """Answer a card's cautions, those of this place and session first."""
    said: list[str] = []
    for prospect in open_ones:
        if prospect.sun_caution is not None:
            said.append(
                f"{prospect.vantage.name} → {prospect.perch.name}: {_lowered(prospect.sun_caution)}"
            )
    force = None if asked.wind is None else asked.wind.force
    if force is not None and force >= STRONG_WIND_FORCE:
        said.append(
            f"Wind force {force}: keep from under trees, mind the water's edge; perches sway and a "
            "long lens shakes, so expect to need a faster shutter than the animal does."
        )
    if asked.site.cautions:
        said.append(asked.site.cautions)
    best = open_ones[0] if open_ones else None
    if best is not None and best.approach is not None and best.approach.walk_in is not None:
        way = best.approach.walk_in
        if way.cautions:
            said.append(f"Walk-in: {way.cautions}")
        if any(leg.seen_from for leg in way.legs):
            how = (
                "walk it while it is dark"
                if session.kind == "dawn"
                else "make sure that nothing is there before you walk it"
            )
            said.append(f"Part of the walk-in is seen from a perch: {how}.")
    if best is not None:
        said.extend(_hazards(asked, best))
        slope = best.vantage.slope_deg
        if session.kind == "dawn" and slope is not None and slope > 5.0:
            said.append(
                f"{best.vantage.name} stands on a slope: in a calm, clear dawn cold air slides "
                "downhill until about an hour after the sun is on it, and carries scent."
            )
    return [*dict.fromkeys(said), *ALWAYS]


def _hazards(asked: Asked, prospect: Prospect) -> list[str]:
    """Hazard pins near the vantage to be taken."""
    plane = LocalPlane(prospect.vantage.position.lat, prospect.vantage.position.lon)
    found = []
    for mark in asked.landmarks:
        if mark.kind != "hazard":
            continue
        away = hypot(*plane.to_plane(mark.position.lat, mark.position.lon))
        if away <= HAZARD_WITHIN_M:
            note = f": {mark.note}" if mark.note else ""
            name = f" {mark.name}" if mark.name else ""
            found.append((round(away), f"Hazard{name}, {away:.0f} m from the vantage{note}"))
    return [f"{words.rstrip('.')}." for _, words in sorted(found)]


def _lowered(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]
