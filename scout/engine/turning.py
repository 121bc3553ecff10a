"""Turning points: when a sightline's light changes state, found by root, not minute by minute.

A year has half a million minutes and a few thousand changes. Within a session only three things
change a state: the sun passes the skyline, the light reaches what the shutter needs, or the sun
goes round from one side of the animal to another. Not for: one session in full (`minutes`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import ceil, cos, log, radians
from typing import Literal, cast

from attrs import frozen

from scout.engine.light import Daylight, Face
from scout.engine.minutes import CASES, DARK, GOOD, SKY_LIGHT, SUN, Needs, side_word
from scout.engine.reading import ComparedReading, site_correction
from scout.engine.side import BACK_ABOVE_DEG, FRONT_BELOW_DEG, horizontal_angle_deg
from scout.engine.sun import SunPath

SCAN_S = 900.0  # the light turns far more slowly
WITHIN_S = 3.0

_SIDES_DEG = (FRONT_BELOW_DEG - 0.5, BACK_ABOVE_DEG + 0.5)  # angles are rounded before a word


@frozen
class Piece:
    """From when to when [seconds since 1970-01-01 UTC] a sightline is in one state."""

    start_s: float
    end_s: float
    state: str


@frozen(kw_only=True)
class Track:
    """What of a sightline stays the same through the sessions of a season in one leaf.

    bearing_deg: true, vantage to perch. leaf: in leaf or bare, which readings must share.
    """

    path: SunPath
    bearing_deg: float
    face: Face
    light_wanted: str
    needs: Needs
    readings: Sequence[ComparedReading]
    leaf: str


@frozen
class _Stretch:
    """A time with the sun on the perch or off it throughout, sampled."""

    on: bool
    at: list[float]
    angles: list[float]
    lux: list[tuple[float, float, float, float]]


def turning(
    track: Track, start_s: float, end_s: float, sun_s: Sequence[tuple[float, float]], yearday: int
) -> dict[str, tuple[Piece, ...]]:
    """Return the pieces of a session under each case of CASES, end to end.

    sun_s: from when to when the sun stands above the skyline, in order and within the session.
    yearday: day of the year. Each change is found to 3 s.
    """
    cuts = [start_s, *(edge for span in sun_s for edge in span), end_s]
    kept = [start_s]
    for cut in cuts[1:]:
        if cut > kept[-1]:
            kept.append(cut)
    stretches = [
        _sampled(track, first, last, _is_on((first + last) / 2.0, sun_s), yearday)
        for first, last in pairwise(kept)
    ]
    needed = _needed(track, stretches)
    found = {}
    for place, case in enumerate(CASES):
        pieces: list[Piece] = []
        for stretch in stretches:
            for piece in _pieces(track, stretch, place, needed[place], yearday):
                if pieces and pieces[-1].state == piece.state:
                    pieces[-1] = Piece(pieces[-1].start_s, piece.end_s, piece.state)
                else:
                    pieces.append(piece)
        found[case] = tuple(pieces)
    return found


def _sampled(track: Track, first: float, last: float, on: bool, yearday: int) -> _Stretch:
    count = max(1, ceil((last - first) / SCAN_S))
    at = [first + (last - first) * place / count for place in range(count)] + [last]
    angles, lux = [], []
    for seconds in at:
        angle, amounts = _light(track, seconds, on, yearday)
        angles.append(angle)
        lux.append(amounts)
    return _Stretch(on, at, angles, lux)


def _light(
    track: Track, seconds: float, on: bool, yearday: int
) -> tuple[float, tuple[float, float, float, float]]:
    altitude, azimuth = track.path.position(seconds)
    angle = horizontal_angle_deg(track.bearing_deg, azimuth)
    light = Daylight(altitude, yearday)
    return angle, light.upright_lux(track.face, cos(radians(angle)), on)


def _needed(track: Track, stretches: Sequence[_Stretch]) -> list[float]:
    """The model's light from which the shutter is reached in each case, the site corrected.

    Corrected as the card does it: where the model reaches the slowest shutter, at the lowest sun.
    """
    need = track.needs.lux[track.needs.chosen]
    if not track.readings:
        return [need] * len(CASES)
    by_sky: dict[str, float] = {}
    found = []
    for place, case in enumerate(CASES):
        sky = {"clear": "clear", "overcast": "overcast"}.get(case, "in and out")
        if sky not in by_sky:
            by_sky[sky] = _gain(track, stretches, place, sky)
        found.append(need / by_sky[sky])
    return found


def _gain(track: Track, stretches: Sequence[_Stretch], place: int, sky: str) -> float:
    samples = [
        (track.path.altitude_deg(at), amounts[place])
        for stretch in stretches
        for at, amounts in zip(stretch.at, stretch.lux, strict=True)
    ]
    slowest = track.needs.lux[0]
    there = [altitude for altitude, amount in samples if amount >= slowest]
    altitude = min(there) if there else max(samples, key=lambda one: one[1])[0]
    leaf = cast(Literal["in leaf", "bare"], track.leaf)
    correction = site_correction(track.readings, sky=sky, sun_altitude_deg=altitude, leaf=leaf)
    return float(2.0 ** (correction.correction_ev or 0.0))


def _pieces(track: Track, stretch: _Stretch, place: int, need: float, yearday: int) -> list[Piece]:
    beam = stretch.on and place < 2
    any_light = track.light_wanted == "any"
    heights = [log(amounts[place] / need) for amounts in stretch.lux]

    def height(seconds: float) -> float:
        return log(_light(track, seconds, stretch.on, yearday)[1][place] / need)

    turns = _roots(stretch.at, heights, height)
    flips = list(turns)
    if beam and not any_light:
        for level in _SIDES_DEG:
            offs = [abs(angle) - level for angle in stretch.angles]

            def off(seconds: float, level: float = level) -> float:
                azimuth = track.path.position(seconds)[1]
                return abs(horizontal_angle_deg(track.bearing_deg, azimuth)) - level

            flips += _roots(stretch.at, offs, off)
    edges = [stretch.at[0], *sorted(flips), stretch.at[-1]]
    pieces = []
    for first, last in pairwise(edges):
        if last <= first:
            continue
        passed = len([turn for turn in turns if turn <= first])
        reached = (heights[0] >= 0.0) == (passed % 2 == 0)
        if reached:
            good = any_light
            if beam and not any_light:
                azimuth = track.path.position((first + last) / 2.0)[1]
                angle = horizontal_angle_deg(track.bearing_deg, azimuth)
                good = side_word(angle) == track.light_wanted
            state = GOOD if good else SKY_LIGHT
        else:
            state = SUN if beam else DARK
        pieces.append(Piece(first, last, state))
    return pieces


def _roots(
    at: Sequence[float], heights: Sequence[float], height: Callable[[float], float]
) -> list[float]:
    """Where the height passes zero between samples, by the Illinois variant of false position."""
    found = []
    for place in range(len(at) - 1):
        low, high = at[place], at[place + 1]
        f_low, f_high = heights[place], heights[place + 1]
        if (f_low >= 0.0) == (f_high >= 0.0):
            continue
        side = 0
        while high - low > WITHIN_S:
            middle = low + (high - low) * f_low / (f_low - f_high)
            middle = min(max(middle, low + WITHIN_S / 2.0), high - WITHIN_S / 2.0)
            value = height(middle)
            if (value >= 0.0) == (f_low >= 0.0):
                low, f_low = middle, value
                f_high = f_high / 2.0 if side == 1 else f_high
                side = 1
            else:
                high, f_high = middle, value
                f_low = f_low / 2.0 if side == -1 else f_low
                side = -1
        found.append((low + high) / 2.0)
    return found


def _is_on(seconds: float, sun_s: Sequence[tuple[float, float]]) -> bool:
    return any(start <= seconds < end for start, end in sun_s)
