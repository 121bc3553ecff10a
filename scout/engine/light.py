"""How much light falls on the side of an animal that the lens sees.

The animal is an upright face turned to the lens. Two published sources are joined here: Circular
171 for how much light there is, the IES practice for how it is shared between beam, sky and face
(`scout.engine.daylight` holds both as printed). This module knows no clock, no place and no
skyline: the sun's altitude, "the sun is above the skyline" and the sky factor are arguments. It is
*not* a weather forecast: all three skies are always answered. Sides and words are in
`scout.engine.side`, shutters in `scout.engine.exposure`.
"""

from __future__ import annotations

from math import cos, isfinite, pi, radians, sin

from attrs import field, frozen

from scout.engine.daylight import (
    NIGHT_FLOOR_LUX,
    beam_lux,
    circular_171_lux,
    level_sky_lux,
    require_altitude,
    upright_sky_lux,
)

SKIES = ("clear", "in and out", "overcast")
SUN_SHARE = 0.5  # of the time that the sun is out under "in and out"; common practice, a setting

# Share of the light that the ground throws back; common practice. Water mirrors a low sun, which
# this leaves out: the answer errs towards too little light.
GROUND_REFLECTANCE = {
    "grass": 0.2,
    "dry reed": 0.25,
    "water": 0.1,
    "sand": 0.35,
    "snow": 0.8,
    "old snow": 0.5,
    "earth": 0.15,
}
LEAF_REFLECTANCE = 0.1  # of what hides the sky, ours

_FROZEN_BELOW_DEG = 1.0  # the IES sky has no meaning nearer the horizon
_EVEN_AT_DEG = -12.0  # where the twilight sky is taken as even: a face gets half of level ground
_AMOUNT_171_TO_DEG, _AMOUNT_IES_FROM_DEG = 10.0, 20.0
_OVERCAST_FACE = 8.5 / 21.4  # IES 1984: face against twice its half-sky; the same at every altitude


def _share(name: str, value: float) -> float:
    if not 0.0 <= value <= 1.0:
        raise ValueError(f"{name}: {value!r} is not a share; give a number from 0 to 1.")
    return value


def _stops(name: str, value: float) -> float:
    if not isfinite(value) or abs(value) > 20.0:
        raise ValueError(f"{name}: {value!r} is no number of stops; give one between -20 and 20.")
    return value


def uniform_sky_factor(skyline_deg: float) -> float:
    """Return the part of an upright face's sky left above an even skyline [unitless].

    `skyline_deg` 0 to 90 [degrees]; 1 with nothing in the way, 0 at 90. Raises ValueError outside.
    An even sky is assumed; geometry.
    """
    if not 0.0 <= skyline_deg <= 90.0:
        raise ValueError(f"skyline_deg: {skyline_deg!r} is outside 0 to 90 degrees.")
    g = radians(skyline_deg)
    return max(0.0, 1.0 - 2.0 / pi * (g + sin(g) * cos(g)))


def level_sky_factor(face_sky_factor: float) -> float:
    """Return the part of the sky left to level ground where an upright face has `face_sky_factor`.

    Found through the even skyline that would leave the face as much: cos² of its altitude. Raises
    ValueError outside 0 to 1. Geometry, by bisection.
    """
    _share("sky_factor", face_sky_factor)
    low, high = 0.0, 90.0
    for _ in range(40):
        middle = (low + high) / 2.0
        if uniform_sky_factor(middle) > face_sky_factor:
            low = middle
        else:
            high = middle
    return cos(radians((low + high) / 2.0)) ** 2 if face_sky_factor < 1.0 else 1.0


@frozen(kw_only=True)
class Face:
    """Hold what is particular to the lens's side of an animal at one perch, all day long.

    `sky_factor` is the part of its sky left above the skyline, 0 to 1; `ground_reflectance` 0 to 1;
    `canopy_loss_ev` what hangs above the skyline takes [stops, 0 or more]; `correction_ev` the
    site's own correction [stops, positive is brighter], applied last. Never count the same trees
    twice: the skyline is opaque, the canopy is only what hangs above it. Raises ValueError outside
    these ranges.
    """

    sky_factor: float = 1.0
    ground_reflectance: float = GROUND_REFLECTANCE["grass"]
    canopy_loss_ev: float = 0.0
    correction_ev: float = 0.0
    level_factor: float = field(init=False)
    bounce: float = field(init=False)
    gain: float = field(init=False)

    def __attrs_post_init__(self) -> None:
        _share("ground_reflectance", self.ground_reflectance)
        level = level_sky_factor(self.sky_factor)
        if not 0.0 <= self.canopy_loss_ev <= 20.0:
            raise ValueError(
                f"canopy_loss_ev: {self.canopy_loss_ev!r} is no loss; give stops from 0 to 20."
            )
        _stops("correction_ev", self.correction_ev)
        # Half of what an upright face sees is ground; what hides its sky shines back like leaf.
        leaf = LEAF_REFLECTANCE * (1.0 - self.sky_factor)
        object.__setattr__(self, "level_factor", level)
        object.__setattr__(self, "bounce", (self.ground_reflectance + leaf) / 2.0)
        object.__setattr__(self, "gain", 2.0 ** (self.correction_ev - self.canopy_loss_ev))


@frozen
class UprightLight:
    """Say what falls on a face under the three skies; "in and out" has two answers [lux].

    The sun is out in `with_beam_lux` and behind a cloud in `without_beam_lux`; they are the same
    where the skyline hides the sun.
    """

    clear_lux: float
    with_beam_lux: float
    without_beam_lux: float
    overcast_lux: float

    def in_and_out_lux(self, sun_share: float = SUN_SHARE) -> float:
        """Return the middle of sun in and out by the share of sunny time, 0 to 1 [lux].

        The middle is taken in stops, as exposure is.
        """
        _share("sun_share", sun_share)
        return float(self.with_beam_lux**sun_share * self.without_beam_lux ** (1.0 - sun_share))


class Daylight:
    """Hold the light of one moment, before anything about a sightline is known.

    `altitude_deg` is the sun's geometric altitude, without refraction, -90 to 90 [degrees];
    `day_of_year` 1 to 366 moves the beam by the earth's distance from the sun (up to 3.4 %), None
    is the year's mean. Raises ValueError otherwise. Build one per moment, then ask it once per
    sightline.
    """

    __slots__ = (
        "_face_beam",
        "_level_beam",
        "_sky_clear",
        "_sky_even_clear",
        "_sky_even_partly",
        "_sky_overcast",
        "_sky_partly",
        "altitude_deg",
        "level_clear_sky_lux",
        "level_overcast_lux",
        "level_partly_sky_lux",
    )

    def __init__(self, altitude_deg: float, day_of_year: int | None = None) -> None:
        require_altitude(altitude_deg)
        self.altitude_deg = altitude_deg
        known_deg = max(altitude_deg, _FROZEN_BELOW_DEG)
        mean_beam = beam_lux(known_deg) * sin(radians(known_deg))
        reference = level_sky_lux(known_deg, "clear") + mean_beam
        # IES gives only proportions here; the amount is Circular 171's.
        amount = circular_171_lux(altitude_deg) / reference
        # From 20 degrees the face is IES's own amount, which is what its table is for; in between
        # the two are faded in stops, so that nothing jumps.
        trust = (altitude_deg - _AMOUNT_171_TO_DEG) / (_AMOUNT_IES_FROM_DEG - _AMOUNT_171_TO_DEG)
        face_amount = amount ** (1.0 - min(1.0, max(0.0, trust)))
        even = min(1.0, max(0.0, altitude_deg / _EVEN_AT_DEG))

        beam = beam_lux(altitude_deg, "clear", day_of_year)
        h = radians(altitude_deg)
        self._face_beam = face_amount * beam * cos(h)
        self._level_beam = amount * beam * max(0.0, sin(h))

        self.level_clear_sky_lux = amount * level_sky_lux(known_deg, "clear")
        self.level_partly_sky_lux = amount * level_sky_lux(known_deg, "partly")
        self.level_overcast_lux = amount * level_sky_lux(known_deg, "overcast")

        self._sky_clear = (1.0 - even) * face_amount * upright_sky_lux(known_deg, "clear")
        self._sky_partly = (1.0 - even) * face_amount * upright_sky_lux(known_deg, "partly")
        self._sky_even_clear = even * 0.5 * self.level_clear_sky_lux
        self._sky_even_partly = even * 0.5 * self.level_partly_sky_lux
        overcast = face_amount * level_sky_lux(known_deg, "overcast")
        self._sky_overcast = overcast * ((1.0 - even) * _OVERCAST_FACE + even * 0.5)

    @property
    def level_clear_lux(self) -> float:
        """Return the light on open level ground under a clear sky, beam included [lux]."""
        return max(NIGHT_FLOOR_LUX, self.level_clear_sky_lux + self._level_beam)

    def upright_lux(
        self, face: Face, cos_angle: float, sun_on_it: bool
    ) -> tuple[float, float, float, float]:
        """Return the lux on a face: clear, with the beam, without the beam, overcast.

        `cos_angle` is the cosine of the horizontal angle at the perch between the sun and the lens,
        -1 to 1 (1 is front light); `sun_on_it` says that the sun stands above the skyline. "With"
        and "without the beam" are the two answers of "in and out". Unchecked and plain, because a
        card asks thousands of times; `upright` is the same with names. Sources: Circular 171
        (1987), IES (1984).
        """
        toward = 3.0 - cos_angle
        clear = self._sky_clear * (2.0 + cos_angle) / toward
        # The printed partly cloudy sky is black away from the sun. A broken sky there is at least
        # as bright as a clear one; the floor comes in with the turn away, so no angle is a step.
        partly = self._sky_partly * (1.0 + cos_angle) / toward
        floor = clear * (1.0 - cos_angle) / 2.0
        if partly < floor:
            partly = floor
        sky_factor, bounce, gain = face.sky_factor, face.bounce, face.gain
        ground = face.level_factor * bounce
        clear_lux = sky_factor * (clear + self._sky_even_clear) + ground * self.level_clear_sky_lux
        without = sky_factor * (partly + self._sky_even_partly) + ground * self.level_partly_sky_lux
        overcast = sky_factor * self._sky_overcast + ground * self.level_overcast_lux
        if not sun_on_it:
            shade = gain * without
            return gain * clear_lux, shade, shade, gain * overcast
        beam = bounce * self._level_beam
        if cos_angle > 0.0:
            beam += cos_angle * self._face_beam
        return gain * (clear_lux + beam), gain * (without + beam), gain * without, gain * overcast

    def upright(self, face: Face, angle_deg: float, *, sun_on_it: bool) -> UprightLight:
        """Return what falls on the lens's side of the animal under the three skies.

        `angle_deg` is the horizontal angle at the perch between sun and lens, 0 front to 180 back
        [degrees, either sign]. In back light this is the shaded side.
        """
        if not isfinite(angle_deg):
            raise ValueError(f"angle_deg: {angle_deg!r} is no angle; give degrees.")
        return UprightLight(*self.upright_lux(face, cos(radians(angle_deg)), sun_on_it))
