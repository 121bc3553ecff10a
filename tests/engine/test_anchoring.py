"""Sun-anchored time against the values of the paper's own program, and back again."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pvlib import solarposition

from scout.engine.anchoring import DAWN, DUSK, NOON, SUN, Anchoring, Day, Days, mean_anchoring
from scout.engine.sessions import dawn_of, dusk_of

PUBLISHED = json.loads((Path(__file__).parents[1] / "reference" / "activity.json").read_text())[
    "average_anchoring_hours"
]


def made_day(rise_h: float, set_h: float) -> Day:
    """Return a day at Greenwich with given sunrise and sunset on a clock whose noon is solar."""
    return Day(
        20000,
        20000 * 86400.0,
        20000 * 86400.0 + 43200,
        20001 * 86400.0,
        60 * (rise_h - 12),
        60 * (set_h - 12),
        60 * (rise_h - 12.5),
        60 * (set_h - 11.5),
        False,
    )


def test_values_of_average_anchoring() -> None:
    """Vazquez et al. 2019; numbers printed by the R package activity, function transtime."""
    day = made_day(*PUBLISHED["sunrise_sunset"])
    rise, sets = PUBLISHED["mnanchor"]
    anchoring = Anchoring(SUN, 60 * (rise - 12), 60 * (sets - 12))
    for clock, solar in zip(PUBLISHED["clock"], PUBLISHED["solar"], strict=True):
        at = day.start_s + 3600 * clock
        from_rise = anchoring.anchored_min(day, at, DAWN)
        assert rise + from_rise / 60 == pytest.approx(solar, abs=1e-8)
        from_set = anchoring.anchored_min(day, at, DUSK)
        assert sets + from_set / 60 == pytest.approx(solar, abs=1e-8)


@given(
    st.floats(1, 11), st.floats(13, 23), st.floats(1, 11), st.floats(13, 23), st.floats(0, 86400)
)
def test_there_and_back(rise: float, sets: float, mean: float, mean_set: float, at: float) -> None:
    day = made_day(rise, sets)
    anchoring = Anchoring(SUN, 60 * (mean - 12), 60 * (mean_set - 12))
    for half in (DAWN, DUSK):
        minutes = anchoring.anchored_min(day, day.start_s + at, half)
        assert anchoring.moment_s(day, minutes, half) == pytest.approx(day.start_s + at, abs=0.01)


@pytest.mark.parametrize(
    ("lat", "lon", "zone"),
    [
        (52.1, 0.2, "Europe/London"),
        (65.0, 25.0, "Europe/Helsinki"),
        (-40.0, 175.0, "Pacific/Auckland"),
        (-13.8, -171.8, "Pacific/Apia"),  # a clock a day ahead of its sun
        (0.0, -78.5, "America/Guayaquil"),
    ],
)
def test_anchors_are_those_of_the_sessions(lat: float, lon: float, zone: str) -> None:
    days = Days(lat, lon)
    for ahead in range(0, 365, 13):
        on = date(2026, 1, 3) + timedelta(days=ahead)
        day = days.on(on, zone)
        assert day is not None
        for of, level, civil in (
            (dawn_of, day.rise_min, day.civil_rise_min),
            (dusk_of, day.set_min, day.civil_set_min),
        ):
            session = of(lat, lon, zone, on)
            for mine, theirs in ((level, session.sun_level_utc), (civil, session.civil_utc)):
                assert (mine is None) == (theirs is None)
                if mine is not None and theirs is not None:
                    assert abs(day.noon_s + 60 * mine - theirs.timestamp()) <= 10


def test_sun_stands_where_spa_has_it() -> None:
    """pvlib's nrel_numpy: the sun's centre at −0.833° and −6°, at latitudes up to 65."""
    for lat in (-55.0, 0.0, 40.0, 65.0):
        days = Days(lat, 10.0)
        numbers = range(20500, 20865, 17)
        wanted = []
        for number in numbers:
            day = days.day(number)
            for minutes, level in (
                (day.rise_min, -0.833),
                (day.set_min, -0.833),
                (day.civil_rise_min, -6.0),
                (day.civil_set_min, -6.0),
            ):
                if minutes is not None:
                    wanted.append((day.noon_s + 60 * minutes, level))
        at = pd.DatetimeIndex([datetime.fromtimestamp(when, UTC) for when, _ in wanted])
        sun = solarposition.get_solarposition(at, lat, 10.0, method="nrel_numpy")["elevation"]
        for found, (_, level) in zip(sun, wanted, strict=True):
            assert found == pytest.approx(level, abs=0.025)


def test_days_of_midnight_sun_and_polar_night() -> None:
    days = Days(70.0, 25.0)
    summer, winter = (days.on(on, "Europe/Oslo") for on in (date(2026, 6, 21), date(2026, 12, 21)))
    assert summer is not None
    assert winter is not None
    assert (summer.rise_min, summer.civil_rise_min, summer.light) == (None, None, True)
    assert (winter.rise_min, winter.light) == (None, False)
    assert winter.civil_rise_min is not None  # the sun comes up to −3.4°: twilight at noon
    mixed = mean_anchoring([summer, days.day(20500)])
    assert mixed.kind == NOON
    assert mixed.anchored_min(summer, summer.noon_s - 7200, DAWN) == -120
    assert mixed.moment_s(summer, -120.0, DAWN) == summer.noon_s - 7200
    with pytest.raises(ValueError, match="no sunrise"):
        Anchoring(SUN, -360, 360).anchored_min(summer, summer.noon_s, DAWN)


def test_means_are_means() -> None:
    days = [made_day(5, 19), made_day(6, 18), made_day(7, 18.5)]
    found = mean_anchoring(days)
    assert (found.kind, found.rise_min, found.set_min) == (SUN, -360.0, 390.0)
    assert found.day_min == 750.0
    assert mean_anchoring([]).kind == NOON


def test_a_skipped_date_has_no_day() -> None:
    assert Days(-13.8, -171.8).on(date(2011, 12, 30), "Pacific/Apia") is None
