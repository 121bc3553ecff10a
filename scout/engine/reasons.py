"""A sightline's figures in sentences: what it is like, what speaks for and against it.

Every number is rounded to what is printed before it is compared or put into words. Not for:
ranking.
"""

from __future__ import annotations

from math import inf

from scout.engine.angles import compass_letters
from scout.engine.asked import Asked
from scout.engine.background import (
    BackgroundLook,
    background_look,
    blur_over_animal,
    blur_sentence,
    blur_share,
)
from scout.engine.carried import noun_of, optic_of
from scout.engine.exposure import ev_of_lux, shutter_word
from scout.engine.first_sun import edge_of, unsure_deg
from scout.engine.level import (
    ON_GROUND,
    gap_behind_m,
    highest_lens_m,
    level_word,
    shooting_down_sentence,
)
from scout.engine.optics import frame_share, nearest_focus_sentence, sharp_sentence
from scout.engine.prospect import DEFAULT_GROUND, LitLine, Prospect
from scout.engine.reach import framing
from scout.records.places import Perch

EYE_HEIGHT_SHARE = 0.6  # of the animal's length, for one standing on ground or water: ours


def line_words(prospect: LitLine) -> str:
    """Say where the sightline points, how long it is, and how surely that is known."""
    sight = prospect.sight
    bearing, distance = sight.bearing_deg, sight.distance_m
    words = (
        f"{round(bearing.value) % 360}° ({compass_letters(bearing.value)}) "
        f"± {max(1, round(bearing.plus_minus))}°, "
        f"{distance.value:.0f} m ± {max(1.0, distance.plus_minus):.0f} m"
    )
    sources = sorted({bearing.source, distance.source})
    how = {"measured": "measured", "pins": "from two pins"}
    return f"{words}, {' and '.join(how[source] for source in sources)}"


def level_words(asked: Asked, prospect: Prospect) -> str:
    """Say whether the lens is on the animal's level."""
    tilt = prospect.sight.tilt_deg
    if tilt is None:
        return "level not known: no tilt measured"
    word = _level(asked, prospect)
    source = "measured" if tilt.source == "measured" else "from the pins"
    shown = round(tilt.value)
    sign = "+" if shown > 0 else "−" if shown < 0 else ""
    return f"{word} ({sign}{abs(shown)}° ± {max(1, round(tilt.plus_minus))}°, {source})"


def _level_limits(asked: Asked, prospect: Prospect) -> tuple[float, float]:
    settings = asked.settings
    if prospect.perch.kind in ON_GROUND:
        return settings.level_ground_deg, settings.slight_ground_deg
    return settings.level_perch_deg, settings.slight_perch_deg


def _level(asked: Asked, prospect: Prospect) -> str:
    """The word for the lens's level, empty where no tilt is known."""
    tilt = prospect.sight.tilt_deg
    if tilt is None:
        return ""
    return level_word(tilt.value, prospect.perch.kind, _level_limits(asked, prospect))


def lens_words(asked: Asked, prospect: Prospect) -> str | None:
    """Say how high the lens may stand and still be level, on ground and water only."""
    if prospect.perch.kind not in ON_GROUND:
        return None
    eye = asked.species.length_m * EYE_HEIGHT_SHARE
    over = "water" if prospect.perch.ground == "water" else "ground there"
    highest = highest_lens_m(
        prospect.sight.distance_m.value, eye, prospect.perch.kind, _level_limits(asked, prospect)
    )
    return f"level while the lens is at most {highest:.2f} m above the {over}"


def gap_m(asked: Asked, prospect: Prospect) -> float | None:
    """Answer the gap that counts [m]: to the background, or to the ground that comes before it."""
    tilt, gap = prospect.sight.tilt_deg, prospect.sight.gap_m
    if prospect.perch.kind in ON_GROUND and tilt is not None and round(tilt.value) < 0:
        eye = asked.species.length_m * EYE_HEIGHT_SHARE
        return gap_behind_m(tilt.value, eye, inf if gap is None else gap.value)
    return None if gap is None else gap.value


def look(asked: Asked, prospect: Prospect) -> BackgroundLook | None:
    """Judge the background in the finished picture, None where no gap is noted."""
    gap = gap_m(asked, prospect)
    if gap is None:
        return None
    optic = optic_of(asked.kit)
    distance = focusable_m(asked, prospect)
    kept = framing(optic, asked.species.length_m, distance, asked.settings.frame_share).kept_width
    return background_look(
        100.0 * blur_share(optic, distance, gap, kept),
        _behind(prospect),
        prospect.line.tone,
        in_shade=bool(prospect.line.background_in_shade),
    )


def _behind(prospect: Prospect) -> str | None:
    """What stands behind the perch; where nothing does, the sky."""
    gap = prospect.sight.gap_m
    return "sky" if gap is not None and gap.value == inf else prospect.line.background


def background_words(asked: Asked, prospect: Prospect) -> str:
    """Say what stands behind the perch and how far it dissolves."""
    gap, line = gap_m(asked, prospect), prospect.line
    kind = line.background or "background"
    if gap is None:
        return f"{kind} behind it, gap not noted"
    seen = look(asked, prospect)
    ratio = blur_over_animal(
        optic_of(asked.kit), focusable_m(asked, prospect), gap, asked.species.length_m
    )
    if gap == inf:
        where = "sky behind it"
    elif round(gap, 1) == 0.0:
        where = f"{kind} touching it"
    else:
        where = f"{kind} {_metres(gap)} behind it"
    shade = ", in shade" if line.background_in_shade else ""
    word = "" if seen is None else f": {seen.word}"
    return f"{where}{shade}{word}, {blur_sentence(ratio, noun_of(asked.species))}"


def size_words(asked: Asked, prospect: Prospect) -> str:
    """Say how large the animal is in the picture and what is left after cropping."""
    optic, species = optic_of(asked.kit), asked.species
    distance = focusable_m(asked, prospect)
    share = 100.0 * frame_share(optic, species.length_m, distance)
    frame = framing(optic, species.length_m, distance, asked.settings.frame_share)
    picture = frame.sentence("the wanted picture", asked.settings.output_px)
    return f"{species.name} {share:.0f} % of the frame; {picture}"


def for_it(asked: Asked, prospect: Prospect) -> list[str]:
    """Say what speaks for a sightline."""
    said = []
    seen = look(asked, prospect)
    if seen is not None and seen.word in ("plain", "soft"):
        said.append(f"{background_words(asked, prospect)}.")
    if "level" in _level(asked, prospect):
        said.append(f"{level_words(asked, prospect)}.")
    frame = framing(
        optic_of(asked.kit),
        asked.species.length_m,
        focusable_m(asked, prospect),
        asked.settings.frame_share,
    )
    if frame.enough(asked.settings.output_px):
        said.append(f"{size_words(asked, prospect)}.")
    return [_capital(one) for one in said]


def against_it(asked: Asked, prospect: Prospect) -> list[str]:
    """Say what speaks against a sightline."""
    said = []
    seen = look(asked, prospect)
    if seen is not None and seen.word == "busy":
        said.append(f"{background_words(asked, prospect)}.")
    tilt = prospect.sight.tilt_deg
    if tilt is not None and "level" not in _level(asked, prospect):
        said.append(f"{level_words(asked, prospect)}.")
        down = _shooting_down(asked, prospect)
        if down is not None:
            said.append(f"{down}.")
    optic, distance = optic_of(asked.kit), focusable_m(asked, prospect)
    frame = framing(optic, asked.species.length_m, distance, asked.settings.frame_share)
    if not frame.enough(asked.settings.output_px):
        said.append(f"{size_words(asked, prospect)}.")
    near = nearest_focus_sentence(optic, prospect.sight.distance_m.value)
    if near is not None:
        said.append(f"{near}.")
    said.extend(prospect.bars.against)
    return [_capital(one) for one in said]


def details(asked: Asked, prospect: Prospect) -> list[str]:
    """Say the rest that a figure can be opened to."""
    said = [
        sharp_sentence(optic_of(asked.kit), focusable_m(asked, prospect), asked.species.length_m)
    ]
    needs = prospect.needs
    ev = ev_of_lux(needs.lux[needs.chosen])
    held = ", held by hand" if needs.by_hand else ""
    said.append(
        f"{shutter_word(needs.wanted_s[needs.chosen])} from EV {ev:.1f} on at ISO "
        f"{asked.kit.iso_ceiling:.0f}{held}"
    )
    lens = lens_words(asked, prospect)
    if lens is not None:
        said.append(lens)
    seen = look(asked, prospect)
    if seen is not None:
        said.append(seen.sentence(_behind(prospect)))
    if prospect.leaves.readings:
        said.append(
            f"leaves above it take {prospect.leaves.loss_ev:.1f} stops ({prospect.leaves.leaf})"
        )
    said.append(
        f"sky left to the lens's side: {100.0 * prospect.face.sky_factor:.0f} %; ground in front: "
        f"{prospect.perch.ground or DEFAULT_GROUND + ' assumed'}"
    )
    for sky, correction in prospect.corrected.by_sky.items():
        if correction.count:
            said.append(f"{sky}: {correction.sentence()}")
    return [_capital(f"{one.rstrip('.')}.") for one in said]


def not_known(prospect: Prospect, dawn: bool) -> list[str]:
    """Say what is missing for a sightline, and how to find it out."""
    name = name_of(prospect)
    said = [f"{name}: {remark}" for remark in prospect.sight.remarks]
    said += [f"{prospect.perch.name}: {remark}" for remark in prospect.horizon.remarks]
    edge = edge_of(prospect, dawn)
    if prospect.horizon.line is None or (edge is not None and edge.assumed_level):
        said.append(
            f"{prospect.perch.name}: no skyline where the sun comes; aim it, or tap when the sun "
            "is on it."
        )
    unsure = unsure_deg(prospect, dawn)
    if unsure is not None:
        said.append(
            f"{prospect.perch.name}: skyline known only to ±{unsure}° where the sun comes; aim it."
        )
    if prospect.sight.tilt_deg is None:
        said.append(f"{name}: no tilt; lay the phone along the line of sight.")
    if prospect.sight.gap_m is None:
        said.append(f"{name}: gap behind the perch not noted.")
    if prospect.leaves.other_only:
        said.append(
            f"{prospect.perch.name}: light under the leaves measured only in the other season."
        )
    if prospect.line.light_wanted is None:
        said.append(f"{name}: light wanted not noted; any light counts.")
    return said


def name_of(prospect: LitLine) -> str:
    """Name a sightline by its ends."""
    return f"{prospect.vantage.name} → {prospect.perch.name}"


def _shooting_down(asked: Asked, prospect: Prospect) -> str | None:
    tilt = prospect.sight.tilt_deg
    if tilt is None or not _stands_on_ground(prospect.perch):
        return None
    eye = asked.species.length_m * EYE_HEIGHT_SHARE
    noun = noun_of(asked.species)
    if prospect.perch.ground == "water":
        return shooting_down_sentence(tilt.value, eye, "water", noun)
    return shooting_down_sentence(tilt.value, eye, "ground", noun)


def _stands_on_ground(perch: Perch) -> bool:
    return perch.kind in ON_GROUND


def focusable_m(asked: Asked, prospect: Prospect) -> float:
    """Answer a distance that a lens can focus on [m], whatever two pins make of it."""
    # A distance from two pins can come out shorter than the lens itself.
    return max(prospect.sight.distance_m.value, 2.0 * optic_of(asked.kit).focal_mm / 1000.0)


def _metres(value_m: float) -> str:
    return f"{value_m:.1f} m" if value_m < 10 else f"{value_m:.0f} m"


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
