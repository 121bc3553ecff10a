"""The calls beside the card: choice table, light through a day, kits, where to stand, readings."""

from __future__ import annotations

from datetime import date, datetime
from math import log2, sqrt
from typing import Any

import pandas as pd
import pvlib
import pytest
from geographiclib.geodesic import Geodesic

from scout.engine.calls import call

from .cards import bird, card, ident, kit, mammal, refusal, request, site, skyline, vantage
from .logs import LogBook

BASE = {name: part for name, part in request().items() if name not in ("date", "session")}


def answer(name: str, **asked: Any) -> dict[str, Any]:
    found = call(name, asked)
    assert "error" not in found, found["error"]
    return found


# The choice table.


def test_every_cell_is_what_the_card_says() -> None:
    far_off = {**BASE, "site": site(id=ident("other"), name="Other Flat"), "sightlines": []}
    table = answer("choice_table", sites=[BASE, far_off], first="2026-05-11", days=3)
    assert table["days"] == ["2026-05-11", "2026-05-12", "2026-05-13"]
    assert table["day_words"] == ["Mon 11 May", "Tue 12 May", "Wed 13 May"]
    rows = [(row["site_name"], row["session"]) for row in table["rows"]]
    assert rows == [
        ("Sallow Flat", "dawn"),
        ("Sallow Flat", "dusk"),
        ("Other Flat", "dawn"),
        ("Other Flat", "dusk"),
    ]
    for row in table["rows"][:2]:
        for day, cell in zip(table["days"], row["cells"], strict=True):
            one = card(date=day, session=row["session"])
            assert cell["verdict"] == one["verdict"]
            first = one["sightlines"][0]
            assert cell["sightline"] == first["name"]
            assert cell["best"] == first["best_words"]
            assert cell["good_min"] == {
                sky: first["good_min"][sky] for sky in ("clear", "in and out", "overcast")
            }
            what = "get up" if row["session"] == "dawn" else "leave home"
            up = next(entry["at"] for entry in one["timeline"] if entry["what"] == what)
            word = "up" if row["session"] == "dawn" else "go"
            assert cell["words"] == (
                f"{first['good_min']['in and out']} min · {word} {up['clock']}"
            )
    assert {cell["words"] for row in table["rows"][2:] for cell in row["cells"]} == {""}


def test_a_cell_says_k_of_n_or_barred() -> None:
    log = LogBook()
    for number in range(12):
        watch = log.watch(on := date(2025, 5, 6 + number), -20, 185)
        if number < 7:
            log.seen(watch, on, 90, 95)
    presence = answer("presence", **log.request())
    del presence["engine"]
    table = answer(
        "choice_table",
        sites=[{**BASE, "presence": presence}],
        first="2026-05-12",
        days=1,
        sessions=["dawn"],
    )
    (cell,) = table["rows"][0]["cells"]
    assert cell["k_of_n"] == [7, 12]
    assert cell["words"].startswith("7 of 12 · up ")
    shy = {**BASE, "species": bird(keep_distance_open_m=50)}
    table = answer("choice_table", sites=[shy], first="2026-05-12", days=1, sessions=["dawn"])
    assert table["rows"][0]["cells"][0]["words"] == "barred"


# Light through a day.


def through(**parts: Any) -> dict[str, Any]:
    asked = {**BASE, "date": "2026-05-12", **parts}
    if "perch" not in asked:
        asked["sightline"] = ident("Bank to Stump")
    return answer("light_day", **asked)


def test_rows_agree_with_spa_and_iso_2720() -> None:
    day = through()
    times = pd.DatetimeIndex([row["at"]["utc"] for row in day["rows"]])
    suns = pvlib.solarposition.get_solarposition(times, 52.1, 0.2, method="nrel_numpy")
    for row, altitude, azimuth in zip(day["rows"], suns["elevation"], suns["azimuth"], strict=True):
        assert row["sun_altitude_deg"] == pytest.approx(altitude, abs=0.07)
        assert row["sun_azimuth_deg"] == pytest.approx(azimuth, abs=0.08)
        for case, ev in row["ev100"].items():
            # N²/t = 2^EV · ISO/100, the glass on top; the dial has thirds of a stop.
            thirds = 3 * (log2(7.1**2) + 1 / 3 - ev - log2(64))
            word = row["shutter"][case]
            if word.startswith("1/"):
                shown = -3 * log2(float(word[2:]))
                assert shown == pytest.approx(thirds, abs=0.9), (word, ev)
    assert [row["at"]["clock"][-2:] for row in day["rows"]] == ["00", "30"] * (
        len(day["rows"]) // 2
    ) + ["00"] * (len(day["rows"]) % 2)


def test_the_day_has_the_cards_dawn_in_it() -> None:
    day, dawn = through(), card()["sightlines"][0]
    (span,) = day["sun"]["times"]
    assert span["from"]["at"] == dawn["clears"]["at"]
    assert span["from"]["plus_minus_min"] == dawn["clears"]["plus_minus_min"]
    assert span["to"]["assumed_level"] is True
    spans = {entry["from"]["utc"]: entry["state"] for entry in day["stretches"]["clear"]}
    for stretch in dawn["stretches"]["clear"][1:]:
        assert spans[stretch["from"]["utc"]] == stretch["state"]


def test_a_perch_dropped_a_minute_ago_needs_no_vantage() -> None:
    bare = {"vantages": [], "sightlines": [], "measurements": [], "walk_ins": []}
    day = through(perch=ident("Stump"), from_deg=270, **bare)
    assert day["name"] == "seen from here → Stump"
    assert day["line"] == "270° (W)"
    measured = through()
    assert [row["side"] for row in day["rows"]] == [row["side"] for row in measured["rows"]]


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({"sightline": "nothing"}, "sightline: is not among the sightlines"),
        ({"perch": ident("Stump")}, "from_deg: give the true bearing"),
        ({"perch": ident("Stump"), "from_deg": 361}, "from_deg: 361 is out of range"),
        ({"perch": ident("Stump"), "from_deg": True}, "from_deg: give the true bearing"),
        ({"perch": ident("Bank"), "from_deg": 1}, "perch: give the id of a perch"),
        ({}, "perch: give the id of a perch"),
    ],
)
def test_what_to_look_at_has_to_be_said(parts: dict[str, Any], words: str) -> None:
    assert words in refusal("light_day", {**BASE, "date": "2026-05-12", **parts})


def test_a_sensitive_place_is_veiled_by_day_too() -> None:
    day = through(site=site(sensitivity="high", code_name="Slate"), discreet=True)
    assert day["name"] == "vantage A → perch A"


# Kits.


def picture(**parts: Any) -> dict[str, Any]:
    asked = {"kits": [kit()], "species": bird(), "distance_m": 12, "gap_m": 40, **parts}
    (found,) = answer("kit_table", **asked)["kits"]
    assert isinstance(found, dict)
    return found


def test_a_kits_figures_by_the_thin_lens() -> None:
    found = picture(background="reeds")
    f, n, s, gap = 500.0, 7.1, 12_000.0, 40_000.0
    m = f / (s - f)
    assert found["frame_width_m"] == round(36 / m / 1000, 2)
    assert found["subject_percent"] == pytest.approx(100 * 200 * m / 36, abs=0.06)
    assert found["subject_px"] == round(200 * m / 36 * 6000)
    blur = f * f / n * gap / ((s + gap) * (s - f))
    assert found["blur_mm"] == round(blur, 3)
    assert found["blur_over_animal"] == round(blur / (200 * m), 2)
    circle = sqrt(36**2 + 24**2) / 1500
    h = f * f / (n * circle) + f
    near, far = s * (h - f) / (h + s - 2 * f), s * (h - f) / (h - s)
    assert found["sharp_m"] == [round(near / 1000, 2), round(far / 1000, 2)]
    # Airy disc of green light: 2.44 · 0.55 µm · N, in pixels of 6 µm.
    assert found["diffraction_px"] == round(2.44 * 0.55 * n / 6.0, 1)
    assert found["hand_held"] == "1/500"


def test_an_extender_costs_what_its_factor_says() -> None:
    plain, extended = picture(), picture(kits=[kit(extender=1.4)])
    assert extended["focal_mm"] == 700
    assert extended["f_number"] == round(7.1 * 1.4, 1)
    lost = extended["wanted"][0]["needs_ev100"] - plain["wanted"][0]["needs_ev100"]
    assert lost == pytest.approx(2 * log2(1.4), abs=0.11)


def test_a_zoom_that_shortens_close_up_is_believed() -> None:
    # 0.9 m across at 12 m is what a lens of f = 12 m · 36 / (0.9 m + 36 mm) sees.
    seen = {"distance_m": 12, "frame_width_m": 0.9}
    assert picture(kits=[kit(seen_width=seen)])["focal_mm"] == round(12_000 * 36 / 936)
    assert picture(kits=[kit(seen_width=seen)])["frame_width_m"] == 0.9


def test_against_the_sky_nothing_is_busy() -> None:
    assert picture(gap_m="sky", distance_m=100)["look"].startswith("plain: sky blurred")


def test_smear_is_told_for_what_panning_leaves() -> None:
    # 8 m/s, a tenth left, 1/250 s, magnified f/(s − f), in pixels of 6 µm.
    found = picture(speed_mps=8, residue=0.1)
    pixels = 0.8 / 250 * 1000 * 500 / 11_500 / 0.006
    assert found["wanted"][0]["smear_px"] == pytest.approx(pixels, abs=0.06)
    assert "smear_px" not in picture()["wanted"][0]


# Where to stand.


def stand(**parts: Any) -> dict[str, Any]:
    asked = {"kit": kit(), "species": bird(), "distance_m": 15, "gap_m": 10, **parts}
    return answer("stand_where", **asked)


def ratio(distance_m: float, gap_m: float) -> float:
    """Blur over the animal's length, written out: (f/N) · gap / (length · (s + gap))."""
    return 0.5 / 7.1 * gap_m / (0.2 * (distance_m + gap_m))


def test_the_gap_and_the_distance_found_give_the_wanted_blur() -> None:
    found = stand(times_animal=0.2)
    assert ratio(15, found["smallest_gap_m"]) == pytest.approx(0.2, abs=0.001)
    assert found["gap_words"].startswith("from 15 m, find a background at least ")
    near = stand(times_animal=0.15)
    assert ratio(near["largest_distance_m"], 10) == pytest.approx(0.15, abs=0.001)
    assert near["largest_distance_m"] >= 10  # the keep-distance
    assert near["stand_words"].endswith("(keep-distance 10 m)")


def test_another_kits_blur_is_matched_in_the_finished_picture() -> None:
    other = kit(
        id=ident("b"), name="Fast lens", focal_mm=400, apertures=[{"focal_mm": 400, "f_number": 4}]
    )
    found = stand(like=other)

    def share(f: float, n: float, s: float, gap: float) -> float:
        return f * f / n * gap / ((s + gap) * (s - f)) / 36

    wanted = share(400, 4, 15_000, 10_000)
    assert found["wanted_blur_mm"] == round(36 * wanted, 3)
    gap = 1000 * found["smallest_gap_m"]
    assert share(500, 7.1, 15_000, gap) == pytest.approx(wanted, rel=0.01)
    assert found["wanted"] == "as Fast lens gives at 15 m with 10 m behind"


def test_nothing_nearer_than_the_keep_distance_is_offered() -> None:
    shy = bird(keep_distance_open_m=40, keep_distance_hide_m=12)
    found = stand(species=shy, times_animal=0.3)
    assert found["largest_distance_m"] is None
    assert "not with this gap: from 40.0 m" in found["stand_words"]
    assert found["gap_from_m"] == 40
    assert found["gap_words"].startswith(
        "15 m is nearer than your keep-distance; from 40 m, find a background at least "
    )
    assert ratio(40, found["smallest_gap_m"]) == pytest.approx(0.3, abs=0.001)
    hidden = stand(species=shy, times_animal=0.15, in_hide=True)
    assert hidden["keep_distance_m"] == 12
    assert hidden["largest_distance_m"] >= 12


def test_without_a_keep_distance_there_is_no_place_to_stand() -> None:
    unset = bird()
    del unset["keep_distance_open_m"]
    for wish in ({"times_animal": 0.2}, {"like": kit(id=ident("b"))}):
        found = stand(species=unset, **wish)
        assert found["largest_distance_m"] is None
        assert found["stand_words"] == "no keep-distance is set for this bird: set your own first"


def test_what_no_place_gives_is_said() -> None:
    assert stand(times_animal=5)["stand_words"] == "not with this kit, whatever stands behind it"
    assert (
        stand(times_animal=5)["gap_words"] == "from 15 m not even the sky behind it blurs so much"
    )
    assert stand(times_animal=0.2, gap_m=0)["stand_words"].startswith("nothing blurs where")
    sky = stand(times_animal=0.2, gap_m="sky")
    assert sky["stand_words"] == "from any distance, with the sky behind it"
    said = refusal("stand_where", {"kit": kit(), "species": bird(), "distance_m": 9, "gap_m": 1})
    assert "give either another kit to match, or times_animal" in said


# Readings.


def test_a_perch_is_placed_where_the_geodesic_ends() -> None:
    found = answer(
        "place_perch",
        vantage=vantage(position={"lat": 52.1, "lon": 0.2, "accuracy_m": 4}),
        bearing={"read_deg": 60, "reference": "true", "how": "sighting compass"},
        distance={"m": 40, "how": "rangefinder"},
        tilt={"deg": 0, "how": "clinometer"},
        at="2026-05-12T04:00:00Z",
    )
    end = Geodesic.WGS84.Direct(52.1, 0.2, 60, 40)
    assert found["position"]["lat"] == pytest.approx(end["lat2"], abs=1e-7)
    assert found["position"]["lon"] == pytest.approx(end["lon2"], abs=1e-7)
    # One metre along, two degrees at 40 m across, the vantage's own four on top.
    beside = sqrt(1**2 + (40 * 0.0349) ** 2)
    assert found["from_vantage_plus_minus_m"] == pytest.approx(beside, abs=0.06)
    assert found["position"]["accuracy_m"] == pytest.approx(sqrt(beside**2 + 16), abs=0.06)


def test_rough_words_are_readings_too() -> None:
    found = answer(
        "place_perch",
        vantage=vantage(),
        bearing="NE",
        distance="about 30 m",
        at="2026-05-12T04:00:00Z",
    )
    assert found["true_deg"] == 45
    assert found["true_plus_minus_deg"] == 22
    typed = answer(
        "compass",
        position="52.1 N, 0.2 E",
        at="2026-05-12T08:00:00Z",
        bearing={"read_deg": 100, "reference": "true"},
    )
    assert typed["true_deg"] == 100


def test_a_shadow_mends_a_compass() -> None:
    at = "2026-05-12T07:00:00Z"
    found = answer(
        "compass",
        position={"lat": 52.1, "lon": 0.2},
        at=at,
        bearing={"read_deg": 265, "reference": "magnetic"},
        along_shadow=True,
    )
    sun = pvlib.solarposition.get_solarposition(
        pd.DatetimeIndex([datetime.fromisoformat(at.replace("Z", "+00:00"))]),
        52.1,
        0.2,
        method="nrel_numpy",
    )["azimuth"].iloc[0]
    assert found["true_deg"] == pytest.approx((sun + 180) % 360, abs=0.1)
    assert found["correction_deg"] == pytest.approx((sun + 180) % 360 - 265, abs=0.1)
    night = {"position": {"lat": 52.1, "lon": 0.2}, "at": "2026-05-12T23:00:00Z"}
    said = refusal(
        "compass",
        {**night, "bearing": {"read_deg": 1, "reference": "magnetic"}, "along_shadow": True},
    )
    assert "no shadow" in said


def test_the_sector_is_where_spa_has_the_sun_rise() -> None:
    found = answer("sector", position={"lat": 52.1, "lon": 0.2}, date="2026-05-12", session="dawn")
    times = pd.date_range("2026-05-12", "2026-06-22", freq="1D", tz="UTC")
    rises = pvlib.solarposition.sun_rise_set_transit_spa(times, 52.1, 0.2)["sunrise"]
    suns = pvlib.solarposition.get_solarposition(
        pd.DatetimeIndex(rises), 52.1, 0.2, method="nrel_numpy"
    )
    low, high = suns["azimuth"].min(), suns["azimuth"].max()
    assert found["soon_deg"] == [pytest.approx(low, abs=1), pytest.approx(high, abs=1)]
    late = answer("sector", position={"lat": 52, "lon": 0}, date="2100-12-31", session="dusk")
    assert late["sentence"].startswith("The sun sets between ")


def test_mammals_and_birds_are_named_by_their_kind() -> None:
    words = answer(
        "kit_table", kits=[kit()], species=mammal(name="Roe deer"), distance_m=60, gap_m=30
    )["kits"][0]["blur"]
    assert "Roe" not in words
    assert "animal" in words


def test_skylines_of_the_perch_count_by_day() -> None:
    walled = [skyline([(azimuth, 60) for azimuth in range(0, 360, 30)])]
    day = through(skylines=walled)
    assert day["sun"]["never"] is True
    assert day["skyline"] == "aimed, once"
