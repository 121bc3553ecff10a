"""What a kit makes of one distance and one background, alone or beside another kit.

Not for: where to stand so that it comes out as wished (`standing`).
"""

from __future__ import annotations

from math import inf
from typing import Any

from scout.engine.background import background_look, blur_over_animal, blur_sentence, blur_share
from scout.engine.carried import noun_of, optic_of, shutters_of
from scout.engine.exposure import (
    TRANSMISSION_LOSS_EV,
    crop_factor,
    ev_of_lux,
    hand_held_s,
    loss_ev,
    lux_needed,
    lux_of_ev,
    shutter_s,
    shutter_word,
)
from scout.engine.motion import (
    MOMENTS_S,
    chance_of_frame,
    frames_sentence,
    residual_speed_mps,
    smear_px,
)
from scout.engine.optics import (
    Optic,
    blur_mm,
    diffraction_mm,
    field_m,
    frame_share,
    nearest_focus_sentence,
    sharp_range_m,
    sharp_sentence,
)
from scout.engine.reach import framing, reach_m
from scout.engine.request import Request
from scout.records.fields import number_reader
from scout.records.kit import Kit, Species
from scout.records.places import BACKGROUNDS, TONES
from scout.records.settings import Settings
from scout.records.trouble import Refused, shown

# From deep dusk to full sun; the light on the animal, EV at ISO 100.
LIGHTS_EV = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14)


def kit_table(request: dict[str, Any]) -> dict[str, Any]:
    """Answer blur, subject size, reach, shutters and frames of one kit, or of several beside it.

    The request has `kits`, a list of kit records; `species`; `distance_m`; `gap_m`, metres behind
    the animal or "sky"; `background` and `tone` where known; `speed_mps` across the line of sight,
    and the `residue` that panning leaves of it, for smear. Raises ValueError with a sentence a
    line.
    """
    asked = Request(request)
    kits = asked.records("kits", "kit")
    species = asked.record("species", "species")
    distance = asked.number("distance_m", low=0.01, high=5000, unit="m")
    gap = asked.plain("gap_m", read_gap)
    background = asked.word("background", BACKGROUNDS) if asked.has("background") else None
    tone = asked.word("tone", TONES) if asked.has("tone") else None
    shade = asked.flag("in_shade")
    speed = asked.number("speed_mps", low=0, high=100, unit="m/s", needed=False)
    residue = asked.number("residue", low=0, high=1, needed=False)
    settings = asked.record("settings", "settings", needed=False) or Settings()
    for name in ("background", "tone"):
        asked.part(name)
    if gap == inf:
        background = "sky"  # whatever else was noted, nothing stands there
    if request.get("kits") in (None, []):
        asked.fault("is an empty list; give at least one kit", "kits")
    asked.close()
    return {
        "species": species.name,
        "distance_m": round(distance, 2),
        "gap": gap_words(gap),
        "kits": [
            {
                "id": kit.id,
                "name": kit.name,
                **_picture(kit, species, distance, gap, settings),
                "look": background_look(
                    100.0 * _share(kit, species, distance, gap, settings),
                    background,
                    tone,
                    in_shade=shade,
                ).sentence(background),
                **_time(kit, species, distance, speed, residue),
            }
            for kit in kits
        ],
    }


def read_gap(raw: object) -> float:
    """Read a gap: metres behind the animal, or "sky" for nothing at all."""
    if raw == "sky":
        return inf
    try:
        return float(number_reader(low=0, high=100_000, unit="m")(raw))
    except Refused:
        raise Refused.one(f'{shown(raw)} is no gap; give metres, or "sky"') from None


def gap_words(gap: float) -> str:
    """Say a gap: "60 m" or "sky"."""
    return "sky" if gap == inf else f"{gap:g} m"


def _share(kit: Kit, species: Species, distance: float, gap: float, settings: Settings) -> float:
    optic = optic_of(kit)
    kept = framing(optic, species.length_m, distance, settings.frame_share).kept_width
    return blur_share(optic, distance, gap, kept)


def _picture(
    kit: Kit, species: Species, distance: float, gap: float, settings: Settings
) -> dict[str, Any]:
    optic = optic_of(kit)
    frame = framing(optic, species.length_m, distance, settings.frame_share)
    ratio = blur_over_animal(optic, distance, gap, species.length_m)
    near, far = sharp_range_m(optic.focal_mm, optic.f_number, optic.circle_mm, distance)
    reach = reach_m(optic, species.length_m, settings.output_px, settings.frame_share)
    return {
        "focal_mm": round(optic.focal_mm),
        "f_number": round(optic.f_number, 1),
        "frame_width_m": round(field_m(optic.sensor_width_mm, optic.focal_mm, distance), 2),
        "frame_height_m": round(field_m(optic.sensor_height_mm, optic.focal_mm, distance), 2),
        "subject_percent": round(100.0 * frame_share(optic, species.length_m, distance), 1),
        "subject_px": round(frame.subject_px),
        "framing": frame.sentence("the wanted picture", settings.output_px),
        "enough": frame.enough(settings.output_px),
        "reach_m": None if reach is None else round(reach, 1),
        "blur_mm": round(blur_mm(optic.focal_mm, optic.f_number, distance, gap), 3),
        "blur_percent": round(100.0 * blur_share(optic, distance, gap), 1),
        "blur_over_animal": round(ratio, 2),
        "blur": blur_sentence(ratio, noun_of(species)),
        "diffraction_px": round(1000.0 * diffraction_mm(optic.f_number) / optic.pixel_um, 1),
        "sharp_m": [round(near, 2), None if far == inf else round(far, 2)],
        "sharp": sharp_sentence(optic, distance, species.length_m),
        "nearest_focus": nearest_focus_sentence(optic, distance),
    }


def _time(
    kit: Kit, species: Species, distance: float, speed: float, residue: float
) -> dict[str, Any]:
    optic = optic_of(kit)
    glass = TRANSMISSION_LOSS_EV if kit.transmission_ev is None else kit.transmission_ev
    lost = loss_ev(glass, species.trim_ev or 0.0)
    crop = crop_factor(kit.sensor_width_mm, kit.sensor_height_mm)
    steady = hand_held_s(optic.focal_mm, crop, kit.stabiliser_ev or 0.0)
    wanted = []
    for shutter in shutters_of(species):
        need = lux_needed(shutter.wanted_s, optic.f_number, kit.iso_ceiling, lost)
        row: dict[str, Any] = {
            "behaviour": shutter.behaviour,
            "shutter": shutter_word(shutter.wanted_s),
            "needs_ev100": round(ev_of_lux(need), 1),
        }
        if speed > 0.0:
            row["smear_px"] = round(_smear(optic, speed, residue, shutter.wanted_s, distance), 1)
        wanted.append(row)
    return {
        "iso_ceiling": kit.iso_ceiling,
        "hand_held": shutter_word(steady),
        "wanted": wanted,
        "shutters": [
            {
                "ev100": ev,
                "shutter": shutter_word(
                    shutter_s(lux_of_ev(ev), optic.f_number, kit.iso_ceiling, lost)
                ),
            }
            for ev in LIGHTS_EV
        ],
        "frames": []
        if kit.frame_rate_fps is None
        else [
            {
                "words": frames_sentence(kit.frame_rate_fps, seconds, name),
                "chance": round(chance_of_frame(kit.frame_rate_fps, seconds), 2),
            }
            for name, seconds in MOMENTS_S.items()
        ],
    }


def _smear(optic: Optic, speed: float, residue: float, seconds: float, distance: float) -> float:
    # A lens that follows the animal leaves only part of its speed; 0 means the usual part.
    left = residual_speed_mps(speed, residue) if residue > 0.0 else residual_speed_mps(speed)
    return smear_px(left, seconds, optic.focal_mm, distance, optic.pixel_um)
