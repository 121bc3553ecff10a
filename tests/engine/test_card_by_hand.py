"""One card, worked out again step by step from what it prints and what was measured.

Nothing of the engine is used on this side: the sun is pvlib's SPA (Reda & Andreas 2004), every
other formula is written out here from its source. The figures typed below are the card's printed
ones; the first tests hold the card to them, the others arrive at them.

Sources: Janiczek & DeYoung, USNO Circular 171 (1987); IES, Recommended Practice for the
Calculation of Daylight Availability (1984), coefficients from memory; Kasten & Young, Applied
Optics 28 (1989); Saemundsson, Sky & Telescope 72 (1986); ISO 2720:1974, C = 250; the thin lens.
How the two light sources are joined, and what a good minute is, are the card's own rules.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import pairwise
from math import acos, cos, degrees, exp, log2, pi, radians, sin, sqrt, tan
from typing import Any

import pandas as pd
import pvlib
import pytest

from .cards import bird, card, ident, measurement, moved, sightline, skyline, vantage

# What was measured and noted in the field.
LAT, LON, DAY = 52.1, 0.2, datetime(2026, 5, 12, tzinfo=UTC)
NODES = [(45.0, 6.0), (75.0, 4.0), (110.0, 5.0)]
GROUND, CANOPY_EV, GLASS_EV = 0.2, 0.5, 1.0 / 3.0  # grass; test shots; a long zoom's usual loss
SENSOR_MM, PIXELS, LENGTH_M = 36.0, 6000, 0.18
BRITISH_SUMMER = timedelta(hours=1)

# What the card prints, by sightline.
PRINTED: dict[str, dict[str, Any]] = {
    "Bank → Stump": {
        "bearing": 262,
        "distance": 12.0,
        "gap": 40.0,
        "wanted": "front",
        "arrivals": {
            "1/250": {"clear": "05:12", "sun out": "05:28", "sun in": "05:28", "overcast": "06:02"},
            "1/1000": {
                "clear": "05:34",
                "sun out": "05:49",
                "sun in": "05:53",
                "overcast": "07:38",
            },
            "1/3200": {"clear": "05:49", "sun out": "05:50", "sun in": "06:55", "overcast": None},
        },
        "good": {"clear": 141, "in and out": 70, "overcast": 0, "sun out": 141, "sun in": 0},
        "blur": "blur a third as long as the bird",
        "percent": "22 % of the frame; 1304 px long",
    },
    "Wall → Stump": {
        "bearing": 180,
        "distance": 14.0,
        "gap": 9.0,
        "wanted": "any",
        "arrivals": {
            "1/250": {"clear": "05:15", "sun out": "05:33", "sun in": "05:33", "overcast": "06:00"},
            "1/1000": {
                "clear": "05:45",
                "sun out": "05:49",
                "sun in": "06:16",
                "overcast": "07:33",
            },
            "1/3200": {"clear": "06:07", "sun out": "06:15", "sun in": None, "overcast": None},
        },
        "good": {"clear": 175, "in and out": 157, "overcast": 130, "sun out": 157, "sun in": 157},
        "blur": "blur a fifth as long as the bird",
        "percent": "19 % of the frame; 1111 px long",
    },
}
CLEARS = "05:49"
START, SUNRISE, END = "03:32", "05:10", "08:10"
F_NUMBER, FOCAL_MM, ISO = 7.1, 500.0, 6400.0
NEEDS_EV = {"1/250": 7.95, "1/1000": 9.95, "1/3200": 11.63}
CASES = ("clear", "sun out", "sun in", "overcast")


@pytest.fixture(scope="module")
def printed() -> dict[str, Any]:
    """Return the card itself."""
    return card(
        species=bird(length_m=LENGTH_M),
        vantages=[
            vantage("Bank"),
            vantage("Wall", position=moved(0, 14)),
            vantage("Gate", position=moved(9, -2)),
        ],
        sightlines=[
            sightline("Bank"),
            sightline("Wall", light_wanted="any", gap={"m": 9}, background="branches"),
            sightline("Gate"),
        ],
        measurements=[
            measurement("Bank", bearing_deg=262),
            measurement("Wall", bearing_deg=180, m=14),
            measurement("Gate", bearing_deg=283, m=9.2),
        ],
        skylines=[skyline(NODES)],
        canopies=[
            {
                "id": ident("canopy"),
                "perch": ident("Stump"),
                "loss_ev": CANOPY_EV,
                "leaf": "in leaf",
            }
        ],
    )


def by_name(whole: dict[str, Any], name: str) -> dict[str, Any]:
    return next(one for one in whole["sightlines"] if one["name"] == name)


@pytest.mark.parametrize("name", PRINTED)
def test_the_card_prints_these_figures(printed: dict[str, Any], name: str) -> None:
    line, typed = by_name(printed, name), PRINTED[name]
    assert line["line"]["bearing_deg"] == typed["bearing"]
    assert line["line"]["distance_m"] == typed["distance"]
    assert line["line"]["gap_m"] == typed["gap"]
    assert line["light_wanted"] == typed["wanted"]
    assert line["good_min"] == typed["good"]
    assert line["clears"]["at"]["clock"] == CLEARS
    for row in line["arrivals"]:
        clocks = {case: row[case] and row[case]["clock"] for case in CASES}
        assert clocks == typed["arrivals"][row["shutter"]]
    assert line["light"]["needs_ev100"] == list(NEEDS_EV.values())
    assert line["light"]["canopy_loss_ev"] == CANOPY_EV
    assert line["light"]["ground_reflectance"] == GROUND
    assert typed["blur"] in line["background"]
    assert typed["percent"] in line["size"]
    assert printed["title"]["optic"] == "500 mm f/7.1, ISO to 6400"
    clocks = {one: printed["session"][one]["clock"] for one in ("start", "sun_level", "end")}
    assert clocks == {"start": START, "sun_level": SUNRISE, "end": END}


# The sun.


@cache
def suns() -> list[tuple[datetime, float, float]]:
    """Return UTC minute, geometric altitude and azimuth [deg] from 2 h to 8 h, by SPA."""
    times = pd.date_range(DAY + timedelta(hours=2), DAY + timedelta(hours=8), freq="1min")
    found = pvlib.solarposition.get_solarposition(times, LAT, LON, method="nrel_numpy")
    altitudes, azimuths = found["elevation"].to_numpy(), found["azimuth"].to_numpy()
    stamps = [stamp.to_pydatetime() for stamp in times]
    return list(zip(stamps, altitudes.tolist(), azimuths.tolist(), strict=True))


def apparent(altitude: float) -> float:
    """Saemundsson's refraction, degrees in and out."""
    return altitude + max(0.0, 1.02 / tan(radians(altitude + 10.3 / (altitude + 5.11))) / 60.0)


def skyline_at(azimuth: float) -> float:
    """The line between the nodes, straight from one to the next."""
    for (a, low), (b, high) in pairwise(NODES):
        if a <= azimuth <= b:
            return low + (high - low) * (azimuth - a) / (b - a)
    raise AssertionError("the sun leaves the nodes")


def minute_of(clock: str) -> datetime:
    """Turn the card's local clock into UTC."""
    return datetime.strptime(f"{DAY:%Y-%m-%d} {clock}+0000", "%Y-%m-%d %H:%M%z") - BRITISH_SUMMER


def test_session_runs_from_nautical_dawn_to_three_hours_after_sunrise() -> None:
    first = next(at for at, altitude, _ in suns() if altitude >= -12.0)
    rise = next(at for at, altitude, _ in suns() if altitude >= -0.833)
    assert abs(first - minute_of(START)) <= timedelta(minutes=1)
    assert abs(rise - minute_of(SUNRISE)) <= timedelta(minutes=1)
    assert minute_of(END) - minute_of(SUNRISE) == timedelta(hours=3)


def test_sun_clears_the_measured_line(printed: dict[str, Any]) -> None:
    at, altitude, azimuth = next(
        row for row in suns() if row[1] > -1.0 and apparent(row[1]) >= skyline_at(row[2])
    )
    assert abs(at - minute_of(CLEARS)) <= timedelta(minutes=1)
    clears = printed["sightlines"][0]["clears"]
    # A minute is 0.15 degrees of altitude and 0.2 of azimuth here.
    assert clears["altitude_deg"] == pytest.approx(apparent(altitude), abs=0.25)
    assert clears["azimuth_deg"] == pytest.approx(azimuth, abs=0.3)
    # ± : half a degree of altitude and two of heading, on a line falling 2 degrees in 30.
    rate = (apparent(suns()[210][1]) - apparent(suns()[190][1])) / 20.0
    turn = (suns()[210][2] - suns()[190][2]) / 20.0
    slope = (4.0 - 6.0) / 30.0
    closing = rate - slope * turn
    spread = sqrt(0.5**2 + (2.0 * slope) ** 2) / closing
    assert clears["plus_minus_min"] == pytest.approx(spread, abs=0.6)


# The light.

CIRCULAR_171 = [
    (-18.0, 13.84, 262.72, 1447.42, 2797.93),
    (-12.0, 2.70, 12.17, -431.69, -1899.83),
    (-5.0, 2.88, 21.81, -258.11, -858.36),
    (-0.8, 2.88, 22.26, -207.64, 1034.30),
    (5.0, 3.05, 13.28, -45.98, 64.33),
    (20.0, 3.74, 3.97, -4.07, 1.47),
]


def level_lux(altitude: float) -> float:
    """Circular 171: the whole light on level ground under a clear sky."""
    x = altitude / 90.0
    _, a, b, c, d = [row for row in CIRCULAR_171 if altitude >= row[0]][-1]
    return float(10.0 ** (a + b * x + c * x**2 + d * x**3))


def beam_lux(altitude: float) -> float:
    """IES: the direct sun on a face turned to it, without the earth's distance; disc by disc."""
    if altitude <= -0.833:
        return 0.0
    mass = 1.0 / (sin(radians(altitude)) + 0.50572 * (altitude + 6.07995) ** -1.6364)
    return 127_500.0 * exp(-0.21 * mass) * min(1.0, (altitude + 0.833) / 0.533)


def face_sky_factor(bearing: float) -> float:
    """What the line leaves of an upright face's sky; where nobody looked, it is open.

    The half circle before the face, weighted by the cosine; the outermost nodes speak 3 degrees
    beyond themselves.
    """
    seen = weights = 0.0
    for tenth in range(-900, 900):
        off = (tenth + 0.5) / 10.0
        azimuth = (bearing + 180.0 + off) % 360.0
        height = 0.0
        if 42.0 <= azimuth <= 113.0:
            height = skyline_at(min(110.0, max(45.0, azimuth)))
        g = radians(height)
        weights += cos(radians(off))
        seen += cos(radians(off)) * (1.0 - 2.0 / pi * (g + sin(g) * cos(g)))
    return seen / weights


def face_lux(altitude: float, angle: float, sunny: bool, factor: float) -> dict[str, float]:
    """The light on the lens's side of the animal, by case."""
    # The even skyline that would leave a face as much, and what it leaves to level ground.
    even = next(
        g / 1000.0
        for g in range(90_000)
        if 1.0 - 2.0 / pi * (radians(g / 1000) + sin(radians(g / 1000)) * cos(radians(g / 1000)))
        <= factor
    )
    to_ground = cos(radians(even)) ** 2
    bounce = (GROUND + 0.1 * (1.0 - factor)) / 2.0
    day = 132  # 12 May
    distance = 1.0 + 0.034 * cos(2.0 * pi * (day - 2) / 365.0)

    h = radians(max(1.0, altitude))
    s, c = sin(h), cos(h)
    sky = {
        "clear": 800 + 15_500 * sqrt(s),
        "partly": 300 + 45_000 * s,
        "overcast": 300 + 21_000 * s,
    }
    amount = level_lux(altitude) / (sky["clear"] + beam_lux(max(1.0, altitude)) * s)
    trusted = amount ** (1.0 - min(1.0, max(0.0, (altitude - 10.0) / 10.0)))
    night = min(1.0, max(0.0, -altitude / 12.0))
    toward = cos(radians(angle))
    clear = (1 - night) * trusted * (4_000 * h**1.3 + 12_000 * s**0.3 * c**1.3)
    clear *= (2.0 + toward) / (3.0 - toward)
    partly = (1 - night) * trusted * (12_000 * h + 30_200 * s**0.8 * c)
    partly = max(partly * (1 + toward) / (3 - toward), clear * (1 - toward) / 2)
    overcast = trusted * sky["overcast"] * ((1 - night) * 8.5 / 21.4 + night * 0.5)
    on_face = {
        "clear": clear + night * 0.5 * amount * sky["clear"],
        "partly": partly + night * 0.5 * amount * sky["partly"],
        "overcast": overcast,
    }
    lux = {
        kind: factor * on_face[kind] + to_ground * bounce * amount * sky[kind] for kind in on_face
    }
    sun = 0.0
    if sunny:
        straight = beam_lux(altitude) * distance
        sun = bounce * amount * straight * sin(radians(altitude))
        sun += max(0.0, toward) * trusted * straight * cos(radians(altitude))
    dimmed = 2.0**-CANOPY_EV
    return {
        "clear": dimmed * (lux["clear"] + sun),
        "sun out": dimmed * (lux["partly"] + sun),
        "sun in": dimmed * lux["partly"],
        "overcast": dimmed * lux["overcast"],
    }


def between_sun_and_lens(bearing: float, azimuth: float) -> float:
    """Horizontal angle at the perch, by vectors: the lens lies back along the line."""
    lens = (sin(radians(bearing + 180.0)), cos(radians(bearing + 180.0)))
    sun = (sin(radians(azimuth)), cos(radians(azimuth)))
    return degrees(acos(max(-1.0, min(1.0, lens[0] * sun[0] + lens[1] * sun[1]))))


@cache
def followed(name: str) -> list[tuple[datetime, bool, str, tuple[tuple[str, float], ...]]]:
    """Return each minute of the session: whether the sun is on it, from where, the light."""
    bearing = float(PRINTED[name]["bearing"])
    factor = face_sky_factor(bearing)
    rows = []
    for at, altitude, azimuth in suns():
        if not minute_of(START) <= at < minute_of(END):
            continue
        sunny = altitude > -1.0 and apparent(altitude) > skyline_at(azimuth)
        angle = between_sun_and_lens(bearing, azimuth)
        word = "front" if round(angle) < 45 else "back" if round(angle) > 135 else "side"
        light = face_lux(altitude, angle, sunny, factor)
        rows.append((at, sunny, word, tuple(light.items())))
    return rows


@pytest.mark.parametrize("name", PRINTED)
def test_sky_left_to_the_face(printed: dict[str, Any], name: str) -> None:
    shown = by_name(printed, name)["light"]["sky_factor"]
    assert shown == pytest.approx(face_sky_factor(PRINTED[name]["bearing"]), abs=0.002)


@pytest.mark.parametrize("shutter", NEEDS_EV)
def test_light_that_a_shutter_needs(shutter: str) -> None:
    # ISO 2720: E t S = C N², and the glass on top; EV 0 is 2.5 lux.
    seconds = 1.0 / float(shutter.split("/")[1])
    need = 250.0 * F_NUMBER**2 * 2.0**GLASS_EV / (ISO * seconds)
    assert round(log2(need / 2.5), 2) == NEEDS_EV[shutter]


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("shutter", NEEDS_EV)
@pytest.mark.parametrize("name", PRINTED)
def test_shutters_arrive_in_the_minute_printed(name: str, shutter: str, case: str) -> None:
    need = 2.5 * 2.0 ** NEEDS_EV[shutter]
    there = [at for at, _, _, light in followed(name) if dict(light)[case] >= need]
    shown = PRINTED[name]["arrivals"][shutter][case]
    if shown is None:
        assert not there
    else:
        assert abs(there[0] - minute_of(shown)) <= timedelta(minutes=1)


@pytest.mark.parametrize("name", PRINTED)
def test_good_minutes_are_those_with_the_wanted_light_and_shutter(name: str) -> None:
    need = 2.5 * 2.0 ** NEEDS_EV["1/250"]
    wanted, shown = PRINTED[name]["wanted"], PRINTED[name]["good"]
    good = dict.fromkeys(CASES, 0)
    for _, sunny, word, light in followed(name):
        for case in CASES:
            beam = sunny and case in ("clear", "sun out")
            right = wanted == "any" or (beam and word == wanted)
            good[case] += right and dict(light)[case] >= need
    for case in CASES:
        assert good[case] == pytest.approx(shown[case], abs=1)
    # Sun in and out: half of the time with, half without (printed as `sun_share`), half to even.
    assert shown["in and out"] == round(0.5 * shown["sun out"] + 0.5 * shown["sun in"])


# The picture.


@pytest.mark.parametrize("name", PRINTED)
def test_blur_and_size_by_the_thin_lens(name: str) -> None:
    typed = PRINTED[name]
    s, gap = 1000.0 * typed["distance"], 1000.0 * typed["gap"]
    blur = FOCAL_MM**2 / F_NUMBER * gap / ((s + gap) * (s - FOCAL_MM))
    image = 1000.0 * LENGTH_M * FOCAL_MM / (s - FOCAL_MM)
    ratio = blur / image
    words = {"a fifth": 0.2, "a quarter": 0.25, "a third": 1 / 3, "half": 0.5}
    nearest = min(words, key=lambda word: abs(words[word] / ratio - 1.0))
    assert typed["blur"] == f"blur {nearest} as long as the bird"
    percent, pixels = 100.0 * image / SENSOR_MM, image / SENSOR_MM * PIXELS
    assert typed["percent"] == f"{percent:.0f} % of the frame; {pixels:.0f} px long"


# The order.


def test_rank_follows_from_what_is_printed(printed: dict[str, Any]) -> None:
    # Nothing typed, no routine: sun in and out, then clear, then overcast, then name.
    def key(name: str) -> tuple[Any, ...]:
        good = PRINTED[name]["good"]
        return (-good["in and out"], -good["clear"], -good["overcast"], name)

    assert [one["name"] for one in printed["sightlines"]] == sorted(PRINTED, key=key)
    assert [one["rank"] for one in printed["sightlines"]] == [1, 2]
    (barred,) = printed["barred"]
    assert barred["name"] == "Gate → Stump"
    assert barred["rank"] is None
    assert barred["line"]["distance_m"] < 10
    assert barred["barred"] == ["9.2 m is nearer than your keep-distance of 10 m in the open."]
