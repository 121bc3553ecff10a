"""What a person demands beyond light: a level line, a quiet background, an animal large enough.

Nothing of this takes away a minute by itself; it bars only where it was asked for. Not for: what
the law, the owner and the animal ask (`bars`).
"""

from __future__ import annotations

from scout.engine.asked import Asked
from scout.engine.carried import noun_of, optic_of
from scout.engine.level import level_word
from scout.engine.prospect import Prospect
from scout.engine.reach import framing
from scout.engine.reasons import focusable_m, look


def unmet(asked: Asked, prospect: Prospect) -> tuple[str, ...]:
    """Answer a sentence for each demand that a sightline does not meet or cannot be judged by."""
    said: list[str] = []
    if "level" in asked.demands:
        tilt = prospect.sight.tilt_deg
        if tilt is None:
            said.append("You ask for a level line, and no tilt is measured.")
        elif "level" not in (word := level_word(tilt.value, prospect.perch.kind)):
            said.append(f"You ask for a level line: the lens is {word}.")
    if "background" in asked.demands:
        seen = look(asked, prospect)
        if seen is None:
            said.append("You ask for a quiet background, and no gap is noted.")
        elif seen.word == "busy":
            said.append("You ask for a quiet background: it is busy.")
    if "size" in asked.demands:
        frame = framing(
            optic_of(asked.kit),
            asked.species.length_m,
            focusable_m(asked, prospect),
            asked.settings.frame_share,
        )
        if not frame.enough(asked.settings.output_px):
            said.append(
                f"You ask for {asked.settings.output_px} px: cropped to the "
                f"{noun_of(asked.species)} it has {frame.picture_px:.0f}."
            )
    return tuple(said)
