"""On what a card's verdict hangs: what would make a person who read it alone go wrongly.

Not for: the verdict itself (`verdict`) or the reasons of every sightline (`reasons`).
"""

from __future__ import annotations

from scout.engine.asked import Asked
from scout.engine.carried import noun_of, optic_of
from scout.engine.first_sun import edge_of, unsure_deg
from scout.engine.prospect import Prospect
from scout.engine.ranking import Card
from scout.engine.reach import framing
from scout.engine.reasons import focusable_m

STRONG_WIND_FORCE = 6  # perches sway, lenses shake, limbs fall: common practice, no source


def conditions_of(card: Card) -> list[str]:
    """Answer short sentences for the first sightline: rest, size, skyline, wind."""
    best = card.best
    if best is None:
        return []
    asked, prospect = card.asked, best.prospect
    said: list[str] = []
    if best.wear.rest:
        said.append(f"But rest {prospect.vantage.name}: see the reactions.")
    small = _small(asked, prospect)
    if small is not None:
        said.append(small)
    edge = edge_of(prospect, card.session.kind == "dawn")
    if edge is not None and edge.assumed_level:
        said.append("No skyline is recorded where the sun stands: trees make it less.")
    if asked.wind is None and asked.scents:
        said.append(f"Not if the wind comes from {prospect.bars.bad_winds}: none is typed.")
    unsure = unsure_deg(prospect, card.session.kind == "dawn")
    if unsure is not None:
        said.append(f"Its skyline is known only to ±{unsure}° there: aim it on the spot first.")
    force = None if asked.wind is None else asked.wind.force
    if force is not None and force >= STRONG_WIND_FORCE:
        said.append(f"But force {force}: perches sway, lenses shake, limbs fall.")
    return said


def _small(asked: Asked, prospect: Prospect) -> str | None:
    frame = framing(
        optic_of(asked.kit),
        asked.species.length_m,
        focusable_m(asked, prospect),
        asked.settings.frame_share,
    )
    if frame.enough(asked.settings.output_px):
        return None
    return (
        f"But the {noun_of(asked.species)} stays small there: cropped to {frame.picture_px:.0f} of "
        f"the {asked.settings.output_px} px wanted."
    )
