"""From light to shutter and back: what a kit's noise ceiling buys.

Incident exposure after ISO 2720. Light comes in as lux on the animal (`scout.engine.light`); how
sharp a shutter leaves a moving animal is `scout.engine.motion`. It is *not* a meter: a reading
taken in the field is `scout.engine.reading`.
"""

from __future__ import annotations

from math import isfinite, log2, sqrt

from attrs import frozen

INCIDENT_CONSTANT = 250.0  # C of ISO 2720:1974, flat receptor
TRANSMISSION_LOSS_EV = 1.0 / 3.0  # a long zoom's glass; common practice, a setting

# The third-stop shutter dial: what each step is called and its place in thirds of a stop from 1 s.
_DIAL = (
    *(f"1/{part}" for part in (8000, 6400, 5000, 4000, 3200, 2500, 2000, 1600, 1250, 1000)),
    *(f"1/{part}" for part in (800, 640, 500, 400, 320, 250, 200, 160, 125, 100, 80, 60)),
    *(f"1/{part}" for part in (50, 40, 30, 25, 20, 15, 13, 10, 8, 6, 5, 4)),
    *("0.3", "0.4", "0.5", "0.6", "0.8", "1", "1.3", "1.6", "2", "2.5", "3.2", "4", "5", "6", "8"),
    *("10", "13", "15", "20", "25", "30"),
)
_ONE_SECOND = _DIAL.index("1")


@frozen
class WantedShutter:
    """Hold the shutter wanted for one behaviour: the usual range and the default [s]."""

    behaviour: str
    slowest_s: float
    fastest_s: float
    default_s: float


def _wanted(behaviour: str, slowest: int, fastest: int, default: int) -> WantedShutter:
    return WantedShutter(behaviour, 1.0 / slowest, 1.0 / fastest, 1.0 / default)


# Common practice, no source; all settings.
WANTED_SHUTTERS = {
    row.behaviour: row
    for row in (
        _wanted("supported and still", 60, 125, 125),
        _wanted("perched", 250, 500, 250),
        _wanted("fidgeting", 1000, 1000, 1000),
        _wanted("large bird in flight", 1600, 2000, 2000),
        _wanted("small bird in flight", 3200, 3200, 3200),
        _wanted("standing", 200, 320, 250),
        _wanted("walking", 500, 500, 500),
        _wanted("running", 1250, 1600, 1600),
        _wanted("quartering owl", 1250, 1600, 1600),
    )
}


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


def require_positive(name: str, value: float, unit: str = "") -> float:
    """Return a finite number above 0, or raise ValueError naming the field."""
    if not (_is_number(value) and value > 0.0):
        raise ValueError(f"{name}: {value!r} must be a number above 0{unit and ' ' + unit}.")
    return value


def require_finite(name: str, value: float, unit: str = "") -> float:
    """Return a finite number, or raise ValueError naming the field."""
    if not _is_number(value):
        raise ValueError(f"{name}: {value!r} must be a plain number{unit and ' of ' + unit}.")
    return value


def ev_of_lux(light_lux: float) -> float:
    """Return the exposure value at ISO 100 of an incident light [EV].

    `light_lux` above 0. Source: ISO 2720:1974, C = 250; EV 0 is 2.5 lux.
    """
    return log2(require_positive("light_lux", light_lux, "lux") * 100.0 / INCIDENT_CONSTANT)


def lux_of_ev(light_ev: float) -> float:
    """Return the incident light of an exposure value at ISO 100 [lux]; undoes `ev_of_lux`."""
    return INCIDENT_CONSTANT / 100.0 * float(2.0 ** require_finite("light_ev", light_ev, "stops"))


def shutter_s(light_lux: float, f_number: float, iso: float, loss_ev: float = 0.0) -> float:
    """Return the exposure time that the light gives [s].

    `light_lux` on the animal, `f_number` as set (times the extender, if one is on), `iso` the
    ceiling; `loss_ev` [stops] is all that has to be made up by time: glass, and a coat's trim
    (positive is a longer exposure). Raises ValueError where light, f-number or ISO is not above 0.
    Source: ISO 2720:1974.
    """
    require_positive("light_lux", light_lux, "lux")
    require_positive("f_number", f_number)
    require_positive("iso", iso)
    need = float(2.0 ** require_finite("loss_ev", loss_ev, "stops"))
    return f_number * f_number * INCIDENT_CONSTANT * need / (light_lux * iso)


def lux_needed(wanted_s: float, f_number: float, iso: float, loss_ev: float = 0.0) -> float:
    """Return the light from which on a wanted shutter is reached [lux].

    Work it out once for a kit and a behaviour, then compare light with it. Undoes `shutter_s`.
    """
    require_positive("wanted_s", wanted_s, "seconds")
    return shutter_s(wanted_s, f_number, iso, loss_ev)  # the law is symmetric in light and time


def loss_ev(transmission_loss_ev: float = TRANSMISSION_LOSS_EV, trim_ev: float = 0.0) -> float:
    """Return all that the shutter has to make up beside the f-number [stops]."""
    return require_finite("transmission_loss_ev", transmission_loss_ev) + require_finite(
        "trim_ev", trim_ev
    )


def with_extender(focal_mm: float, f_number: float, extender: float) -> tuple[float, float]:
    """Return the focal length [mm] and the f-number behind an extender.

    `extender` 1 (none) or more, for example 1.4; both are multiplied by it.
    """
    require_positive("focal_mm", focal_mm, "mm")
    require_positive("f_number", f_number)
    if not 1.0 <= extender <= 4.0:
        raise ValueError(f"extender: {extender!r} is no extender; give 1 for none, 1.4 or 2.")
    return focal_mm * extender, f_number * extender


def grain_factor(kept_width: float) -> float:
    """Return by how much cropping multiplies the ISO as seen in the picture's grain [unitless].

    `kept_width` is the part of the frame's width that is kept, above 0 to 1. Half the width is
    grain at 4 times the ISO.
    """
    if not 0.0 < kept_width <= 1.0:
        raise ValueError(f"kept_width: {kept_width!r} must be a part of the width, up to 1.")
    return 1.0 / (kept_width * kept_width)


def hand_held_s(focal_mm: float, crop: float = 1.0, stabiliser_ev: float = 0.0) -> float:
    """Return the slowest shutter to hold by hand [s]: 1 / (focal length x crop), less stabiliser.

    `crop` against a 36 x 24 mm frame; `stabiliser_ev` 0 or more [stops]. It says nothing about the
    animal's own movement. Common practice, no source.
    """
    require_positive("focal_mm", focal_mm, "mm")
    require_positive("crop", crop)
    if not 0.0 <= stabiliser_ev <= 10.0:
        raise ValueError(f"stabiliser_ev: {stabiliser_ev!r} must be stops from 0 to 10.")
    return float(2.0**stabiliser_ev) / (focal_mm * crop)


def crop_factor(sensor_width_mm: float, sensor_height_mm: float) -> float:
    """Return the crop against a 36 x 24 mm frame, by the diagonals [unitless]."""
    w = require_positive("sensor_width_mm", sensor_width_mm, "mm")
    h = require_positive("sensor_height_mm", sensor_height_mm, "mm")
    return sqrt((36.0 * 36.0 + 24.0 * 24.0) / (w * w + h * h))


def shutter_word(exposure_s: float) -> str:
    """Return a shutter as the dial calls it, to the nearest third of a stop: "1/250", "0.5 s".

    Above 0 seconds; beyond the dial "shorter than 1/8000" and "longer than 30 s". Common practice.
    """
    require_positive("exposure_s", exposure_s, "seconds")
    place = _ONE_SECOND + round(3.0 * log2(exposure_s))
    if place < 0:
        return f"shorter than {_DIAL[0]}"
    if place >= len(_DIAL):
        return f"longer than {_DIAL[-1]} s"
    word = _DIAL[place]
    return word if "/" in word else f"{word} s"
