"""Dawns and dusks: events against DE421 and published days, local days in awkward zones."""

from __future__ import annotations

import json
import os
import warnings
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta, timezone
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skyfield import almanac
from skyfield.api import load, load_file, wgs84

from scout.engine.clocks import day_exists
from scout.engine.crossings import crossings
from scout.engine.sessions import Bands, Session, dawn_of, dusk_of
from scout.engine.sun import SunPath, sun_position

REFERENCE = Path(__file__).parents[1] / "reference"
FULL = os.environ.get("SCOUT_FULL") == "1"
LEVELS = {"sun": -50 / 60, "civil": -6.0, "nautical": -12.0, "astronomical": -18.0}
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
DAY = timedelta(days=1)
RUN_DAYS = 365 if FULL else 40

# A place in each zone; zones far from UTC, on the date line, with half hours, far west of the sun.
HOMES = {
    "Asia/Tokyo": (35.0, 139.0),
    "Pacific/Auckland": (-37.5, 175.0),
    "Pacific/Fiji": (-17.5, 178.0),
    "Pacific/Kiritimati": (1.9, -157.4),
    "Pacific/Apia": (-13.7, -172.0),
    "America/Adak": (51.9, -176.6),
    "Europe/London": (52.0, -1.5),
    "Asia/Kolkata": (20.0, 78.0),
    "Asia/Shanghai": (39.0, 74.0),
    "America/Sao_Paulo": (-22.0, -45.0),
    "Australia/Lord_Howe": (-31.5, 159.1),
    "Pacific/Chatham": (-44.0, -176.5),
}


def _local_day(zone: str, day: date) -> tuple[datetime, datetime]:
    tz = ZoneInfo(zone)
    return datetime.combine(day, time(), tz), datetime.combine(day + DAY, time(), tz)


def _events(lat: float, lon: float, start: datetime, end: datetime, level: float) -> Any:
    path = SunPath(lat, lon)
    return crossings(lambda t: path.altitude_deg(t) - level, start, end)


@pytest.fixture(scope="module")
def sky() -> Iterator[Any]:
    """Return skyfield's earth, sun and time scale, from the packaged DE421."""
    import skyfield_data

    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "The file finals2000A.all has expired", RuntimeWarning)
        folder = skyfield_data.get_skyfield_data_path()
    ephemeris = load_file(os.path.join(folder, "de421.bsp"))
    yield ephemeris["earth"], ephemeris["sun"], load.timescale(builtin=True)
    ephemeris.close()


ROWS = json.loads((REFERENCE / "sun_events.json").read_text(encoding="utf-8"))["rows"]


def _row_name(row: dict[str, Any]) -> str:
    return f"{row['lat']},{row['local_date']}"


@pytest.mark.parametrize("row", ROWS, ids=_row_name)
@pytest.mark.parametrize("level", LEVELS)
def test_all_events_of_a_local_day(row: dict[str, Any], level: str) -> None:
    start, end = _local_day(row["zone"], date.fromisoformat(row["local_date"]))
    found = _events(row["lat"], row["lon"], start, end, LEVELS[level]).found
    for name, rising in (("rise", True), ("set", False)):
        ours = [crossing.at_utc for crossing in found if crossing.rising is rising]
        theirs = [datetime.fromisoformat(at) for at in row["events_utc"][level][name]]
        assert len(ours) == len(theirs)
        for mine, other in zip(ours, theirs, strict=True):
            assert abs(mine - other) <= timedelta(seconds=10)


def test_the_days_of_the_nrel_report() -> None:
    # Reda & Andreas, NREL/TP-560-34302 (-0.8333 degrees), and the NREL SPA web page's days for
    # the same place, as kept in pvlib's tests; low accuracy: 15 s. Their days are days in UT: the
    # sunsets given for 17 October 2003 and 2 August 2015 come after midnight UT, so they are those
    # of the local evening before (DE421 has 17:20:19 and 19:13:57 there).
    mst = timezone(timedelta(hours=-7))
    for of, day, at in (
        (dawn_of, date(2003, 10, 17), time(6, 12, 43)),
        (dusk_of, date(2003, 10, 16), time(17, 20, 19)),
        (dawn_of, date(2015, 1, 2), time(7, 21, 55)),
        (dusk_of, date(2015, 1, 2), time(16, 47, 43)),
        (dawn_of, date(2015, 8, 2), time(5, 0, 27)),
        (dusk_of, date(2015, 8, 1), time(19, 13, 58)),
    ):
        found = of(39.742476, -105.1786, "Etc/GMT+7", day).sun_level_utc
        assert found is not None
        assert abs(found - datetime.combine(day, at, mst)) <= timedelta(seconds=15)


@pytest.mark.parametrize("seed", range(200 if FULL else 12))
def test_random_days_against_de421(sky: Any, seed: int) -> None:
    # Within max(10 s, 0.02 degrees / rate); a different count only where the day's extreme lies
    # within 0.02 degrees of the level or the event within its tolerance of the day's edge.
    earth, sun, scale = sky
    random = np.random.default_rng(seed)
    lat, lon = float(random.uniform(-89, 89)), float(random.uniform(-180, 180))
    start = datetime(1950, 1, 2, tzinfo=UTC) + timedelta(days=int(random.integers(0, 37_600)))

    def moment(t: datetime) -> Any:
        return scale.ut1_jd(2440587.5 + (t - EPOCH) / DAY)

    observer = earth + wgs84.latlon(lat, lon)

    def altitudes(times: list[datetime]) -> Any:
        days = np.array([2440587.5 + (t - EPOCH) / DAY for t in times])
        return observer.at(scale.ut1_jd(days)).observe(sun).apparent().altaz()[0].degrees

    for level in LEVELS.values():
        found = _events(lat, lon, start, start + DAY, level).found
        for rising, finder in ((True, almanac.find_risings), (False, almanac.find_settings)):
            at, real = finder(observer, sun, moment(start), moment(start + DAY), level)
            theirs = [
                EPOCH + (t.ut1 - 2440587.5) * DAY for t, ok in zip(at, real, strict=True) if ok
            ]
            ours = [crossing.at_utc for crossing in found if crossing.rising is rising]
            for mine, others in ((ours, theirs), (theirs, ours)):
                for event in mine:
                    around = altitudes(
                        [event - timedelta(seconds=60), event + timedelta(seconds=60)]
                    )
                    rate = abs(around[1] - around[0]) / 120
                    tolerance = max(10.0, 0.02 / max(rate, 1e-6))
                    if any(abs((event - o).total_seconds()) <= tolerance for o in others):
                        continue
                    edge = min(event - start, start + DAY - event).total_seconds()
                    near = altitudes([event + timedelta(seconds=20 * k) for k in range(-360, 361)])
                    turns = near[1:-1][(np.diff(near)[:-1] * np.diff(near)[1:]) <= 0]
                    assert edge <= tolerance or np.any(np.abs(turns - level) < 0.02)


@pytest.mark.parametrize("zone", HOMES)
def test_every_local_day_has_its_own_dawn_and_dusk(zone: str) -> None:
    lat, lon = HOMES[zone]
    tz = ZoneInfo(zone)
    last: datetime | None = None
    for offset in range(RUN_DAYS):
        day = date(2025, 1, 1) + timedelta(days=offset * 365 // RUN_DAYS)
        dawn, dusk = dawn_of(lat, lon, zone, day), dusk_of(lat, lon, zone, day)
        assert dawn.sun_level_utc is not None
        assert dusk.sun_level_utc is not None
        assert dawn.sun_level_utc.astimezone(tz).date() == day
        assert dusk.sun_level_utc.astimezone(tz).date() == day
        assert dawn.sun_level_utc < dusk.sun_level_utc
        assert dawn.remarks == () or "clocks go" in dawn.remarks[0]
        if last is not None:
            assert dawn.sun_level_utc - last > timedelta(hours=23)
        last = dawn.sun_level_utc


@pytest.mark.parametrize(
    ("lat", "lon", "zone", "first"),
    [
        (66.2, 25.0, "Europe/Helsinki", date(2025, 5, 25)),
        (-66.3, 140.0, "Australia/Sydney", date(2025, 11, 25)),
        (78.2, 15.6, "Arctic/Longyearbyen", date(2025, 3, 25)),
        (88.0, 0.0, "UTC", date(2025, 3, 1)),
        (89.7, 30.0, "UTC", date(2025, 3, 1)),
    ],
)
def test_every_sunrise_and_sunset_near_the_poles_belongs_to_one_day(
    lat: float, lon: float, zone: str, first: date
) -> None:
    days = 45
    start = datetime.combine(first + DAY, time(12), UTC)
    end = start + (days - 3) * DAY
    found = _events(lat, lon, start, end, -0.833).found
    for of, rising in ((dawn_of, True), (dusk_of, False)):
        at = [of(lat, lon, zone, first + offset * DAY).sun_level_utc for offset in range(days)]
        ours = [moment for moment in at if moment is not None and start < moment < end]
        theirs = [crossing.at_utc for crossing in found if crossing.rising is rising]
        assert len(ours) == len(theirs)
        for mine, other in zip(ours, theirs, strict=True):
            assert abs(mine - other) <= timedelta(seconds=2)


def _check_shape(session: Session) -> None:
    assert session.start_utc is not None
    assert session.end_utc is not None
    assert session.start_utc < session.end_utc
    order = [
        session.astronomical_utc,
        session.nautical_utc,
        session.civil_utc,
        session.sun_level_utc,
    ]
    there = [at for at in order if at is not None]
    assert there == sorted(there, reverse=session.kind == "dusk")


def test_the_window_of_an_ordinary_dawn() -> None:
    dawn = dawn_of(52.0, 0.0, "Europe/London", date(2025, 4, 10))
    assert dawn.course == "rises or sets"
    assert dawn.remarks == ()
    assert dawn.start_utc == dawn.nautical_utc
    assert dawn.end_utc is not None
    assert dawn.sun_level_utc is not None
    assert dawn.end_utc - dawn.sun_level_utc == timedelta(hours=3)
    _check_shape(dawn)
    for at, level in (
        (dawn.sun_level_utc, -0.833),
        (dawn.civil_utc, -6),
        (dawn.nautical_utc, -12),
        (dawn.astronomical_utc, -18),
    ):
        assert at is not None
        assert sun_position(52.0, 0.0, at).altitude_deg == pytest.approx(level, abs=0.003)
    assert dawn.blue_utc is not None
    assert dawn.golden_utc is not None
    assert dawn.blue_utc[0] == dawn.civil_utc
    assert dawn.blue_utc[1] == dawn.golden_utc[0]
    assert sun_position(52.0, 0.0, dawn.golden_utc[1]).altitude_deg == pytest.approx(6, abs=0.003)


def test_a_dusk_is_the_mirror() -> None:
    dusk = dusk_of(52.0, 0.0, "Europe/London", date(2025, 4, 10))
    assert dusk.end_utc == dusk.nautical_utc
    assert dusk.start_utc is not None
    assert dusk.sun_level_utc is not None
    assert dusk.sun_level_utc - dusk.start_utc == timedelta(hours=3)
    assert dusk.golden_utc is not None
    assert dusk.blue_utc is not None
    assert dusk.golden_utc[1] == dusk.blue_utc[0]
    assert dusk.blue_utc[1] == dusk.civil_utc
    _check_shape(dusk)


def test_bands_and_length_are_settings() -> None:
    bands = Bands(golden_deg=(0.0, 6.0), blue_deg=(-8.0, -4.0), sunlit_h=1.5)
    dawn = dawn_of(52.0, 0.0, "Europe/London", date(2025, 4, 10), bands)
    assert dawn.end_utc is not None
    assert dawn.sun_level_utc is not None
    assert dawn.end_utc - dawn.sun_level_utc == timedelta(minutes=90)
    assert dawn.blue_utc is not None
    assert dawn.civil_utc is not None
    assert dawn.blue_utc[0] < dawn.civil_utc


def test_a_bright_summer_night_starts_at_the_lowest_sun() -> None:
    dawn = dawn_of(60.0, 25.0, "Europe/Helsinki", date(2025, 6, 21))
    assert dawn.nautical_utc is None
    assert dawn.start_utc == dawn.lowest_utc
    assert dawn.lowest_deg == pytest.approx(-6.6, abs=0.1)
    assert "no darker" in dawn.remarks[0]
    _check_shape(dawn)


def test_the_midnight_sun_in_words() -> None:
    dawn = dawn_of(69.65, 18.96, "Europe/Oslo", date(2025, 6, 21))
    assert dawn.course == "up throughout"
    assert dawn.sun_level_utc is None
    assert dawn.remarks == ("The sun is up all day: lowest, at 3.1°, at 00:46.",)
    _check_shape(dawn)


def test_the_polar_night_in_words() -> None:
    # DE421: civil twilight there lasts from 08:31:24 to 12:53:13 UTC, and the sun does not rise.
    dawn = dawn_of(69.65, 18.96, "Europe/Oslo", date(2025, 12, 21))
    dusk = dusk_of(69.65, 18.96, "Europe/Oslo", date(2025, 12, 21))
    assert dawn.course == dusk.course == "twilight only"
    assert dawn.remarks[0].startswith("The sun does not rise: twilight from 07:47 to 11:42;")
    assert dawn.end_utc == dawn.highest_utc
    assert dawn.civil_utc is not None
    assert dusk.civil_utc is not None
    second = timedelta(seconds=10)
    assert abs(dawn.civil_utc - datetime(2025, 12, 21, 8, 31, 24, tzinfo=UTC)) <= second
    assert abs(dusk.civil_utc - datetime(2025, 12, 21, 12, 53, 13, tzinfo=UTC)) <= second
    _check_shape(dawn)
    _check_shape(dusk)


def test_deep_polar_night_has_no_window_but_words() -> None:
    dawn = dawn_of(85.0, 0.0, "UTC", date(2025, 12, 19))
    assert dawn.course == "dark throughout"
    assert dawn.start_utc is None
    assert dawn.end_utc is None
    assert "highest, at \N{MINUS SIGN}18.4°" in dawn.remarks[0]


def test_a_sunset_after_midnight_belongs_to_its_evening() -> None:
    # 64.84 N on 5 June 2025: by DE421 the sun sets at 00:17 and 00:22 local time around the 5th.
    dawn = dawn_of(64.84, -147.72, "America/Anchorage", date(2025, 6, 5))
    dusk = dusk_of(64.84, -147.72, "America/Anchorage", date(2025, 6, 5))
    assert dawn.sun_level_utc is not None
    assert dusk.sun_level_utc is not None
    assert dawn.sun_level_utc < dusk.sun_level_utc
    assert dusk.remarks[0].startswith("By the clock the sun sets at 00:22 on 2025-06-06")


@pytest.mark.parametrize(
    ("zone", "day", "words"),
    [
        ("Europe/London", date(2025, 3, 30), "The clocks go forward by 1 h on this date."),
        ("Europe/London", date(2025, 10, 26), "The clocks go back by 1 h on this date."),
        ("Australia/Lord_Howe", date(2025, 4, 6), "The clocks go back by 30 min on this date."),
        ("America/Sao_Paulo", date(2018, 11, 4), "The clocks go forward by 1 h on this date."),
    ],
)
def test_days_on_which_the_clocks_change(zone: str, day: date, words: str) -> None:
    lat, lon = HOMES[zone]
    gaps = []
    for shift in (-1, 0, 1):
        dawn = dawn_of(lat, lon, zone, day + timedelta(days=shift))
        assert dawn.sun_level_utc is not None
        assert dawn.sun_level_utc.astimezone(ZoneInfo(zone)).date() == dawn.local_date
        assert (words in dawn.remarks) is (shift == 0)
        gaps.append(dawn.sun_level_utc)
    assert abs(gaps[1] - gaps[0] - DAY) < timedelta(minutes=4)
    assert abs(gaps[2] - gaps[1] - DAY) < timedelta(minutes=4)


@pytest.mark.parametrize(
    ("zone", "place", "day"),
    [
        ("Pacific/Apia", (-13.7, -172.0), date(2011, 12, 30)),
        ("Pacific/Kwajalein", (9.0, 167.5), date(1993, 8, 21)),
        ("Pacific/Kiritimati", (1.9, -157.4), date(1994, 12, 31)),
    ],
)
def test_a_skipped_date_is_answered_in_words(
    zone: str, place: tuple[float, float], day: date
) -> None:
    for session in (dawn_of(*place, zone, day), dusk_of(*place, zone, day)):
        assert session.course == "no such day"
        assert session.start_utc is None
        assert session.remarks[0].startswith(f"There is no {day.isoformat()} in {zone}")
    before = dawn_of(*place, zone, day - DAY).sun_level_utc
    after = dawn_of(*place, zone, day + DAY).sun_level_utc
    assert before is not None
    assert after is not None
    assert abs(after - before - DAY) < timedelta(minutes=2)
    assert not day_exists(zone, day)
    assert day_exists(zone, day + DAY)


def test_a_foreign_zone_is_noticed_and_its_date_still_kept() -> None:
    dawn = dawn_of(-17.5, 178.0, "UTC", date(2025, 7, 4))
    assert dawn.sun_level_utc is not None
    assert dawn.sun_level_utc.date() == date(2025, 7, 4)
    assert dawn.remarks[0].startswith("The clock of UTC is more than 4 h from the sun")


@given(
    lat=st.floats(-89.9, 89.9),
    lon=st.floats(-180, 180),
    day=st.dates(date(1950, 1, 2), date(2100, 12, 30)),
)
def test_sessions_never_fail_and_follow_one_another(lat: float, lon: float, day: date) -> None:
    zone = f"Etc/GMT{-round(lon / 15):+d}"
    dawn, dusk = dawn_of(lat, lon, zone, day), dusk_of(lat, lon, zone, day)
    following = dawn_of(lat, lon, zone, day + DAY)
    assert dawn.lowest_utc is not None
    assert dawn.highest_utc is not None
    assert dusk.lowest_utc is not None
    assert following.lowest_utc is not None
    assert dawn.highest_utc == dusk.highest_utc
    assert abs(dusk.lowest_utc - following.lowest_utc) <= timedelta(seconds=20)
    for session in (dawn, dusk):
        if session.start_utc is not None:
            _check_shape(session)
        else:
            assert session.course == "dark throughout"
        if session.course != "rises or sets":
            assert session.remarks
            assert session.sun_level_utc is None


@pytest.mark.parametrize(
    ("zone", "day", "words"),
    [
        ("Mars/Olympus", date(2025, 5, 14), "not a known IANA time zone"),
        ("../../etc/passwd", date(2025, 5, 14), "not a known IANA time zone"),
        ("Europe", date(2025, 5, 14), "not a known IANA time zone"),
        ("", date(2025, 5, 14), "zone must be an IANA name"),
        (None, date(2025, 5, 14), "zone must be an IANA name"),
        ("Europe/London", date(1949, 5, 14), "years 1950 to 2100"),
        ("Europe/London", date(2101, 5, 14), "years 1950 to 2100"),
        ("Europe/London", "2025-05-14", "must be a calendar date"),
        ("Europe/London", datetime(2025, 5, 14, tzinfo=UTC), "must be a calendar date"),
    ],
)
def test_bad_input_is_a_sentence(zone: Any, day: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        dawn_of(52.0, 0.0, zone, day)
    with pytest.raises(ValueError, match="lat_deg is 91"):
        dawn_of(91.0, 0.0, "UTC", date(2025, 5, 14))
