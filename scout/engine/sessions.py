"""Sessions: the dawn and the dusk of a local day at one place.

A session hangs on a solar noon, the one nearest to twelve o'clock of the local date, and not on
a calendar date in UTC: the dawn is the way of the sun from its lowest point before that noon up
to the noon, the dusk the way down to the next lowest point. So every local day has one dawn and
one dusk wherever it lies, and near the poles, where the sun may not rise, the session says what
there is. Not for what stands in the way of the light: that is `clearing`.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from attrs import evolve, frozen

from scout.engine.clocks import clock_words, existing_noon, zone_of
from scout.engine.crossings import crossings_between, extreme_s, scan
from scout.engine.instants import FIRST_YEAR, LAST_YEAR, instant_of, seconds_of
from scout.engine.sun import SunPath

# Centre of the disc at 34' refraction and 16' semidiameter, level horizon, sea level (USNO).
SUN_LEVEL_DEG = -0.833
CIVIL_DEG = -6.0  # twilights: geometric centre (USNO)
NAUTICAL_DEG = -12.0
ASTRONOMICAL_DEG = -18.0

Kind = Literal["dawn", "dusk"]
Course = Literal[
    "rises or sets", "up throughout", "twilight only", "dark throughout", "no such day"
]

_HOUR_S = 3600.0
_DAY_S = 86400.0
_SCAN_S = 1200.0
_FOREIGN_CLOCK_S = 4.5 * _HOUR_S  # the widest real gap between a zone's clock and the sun is 3.3 h


@frozen
class Bands:
    """Settings of a session: colour bands [deg] and its length beyond sunrise or sunset [h].

    The bands are common practice, no standard: others use 0..+6 and -8..-4.
    """

    blue_deg: tuple[float, float] = (-6.0, -4.0)
    golden_deg: tuple[float, float] = (-4.0, 6.0)
    sunlit_h: float = 3.0


USUAL_BANDS = Bands()


@frozen
class Session:
    """One dawn or dusk. All times are aware UTC on the whole second, or None where there is none.

    course: what the sun does in it. start_utc, end_utc: the window to plan for; None only where
    the day does not exist or stays darker than nautical twilight. sun_level_utc: sunrise or
    sunset (centre at -0.833 degrees). blue_utc, golden_utc: (from, to). lowest and highest: the
    ends of the half day. remarks: sentences for the person, in local clock time.
    """

    kind: Kind
    local_date: date
    zone: str
    course: Course
    start_utc: datetime | None = None
    end_utc: datetime | None = None
    sun_level_utc: datetime | None = None
    civil_utc: datetime | None = None
    nautical_utc: datetime | None = None
    astronomical_utc: datetime | None = None
    blue_utc: tuple[datetime, datetime] | None = None
    golden_utc: tuple[datetime, datetime] | None = None
    lowest_utc: datetime | None = None
    lowest_deg: float | None = None
    highest_utc: datetime | None = None
    highest_deg: float | None = None
    remarks: tuple[str, ...] = ()


def dawn_of(
    lat_deg: float, lon_deg: float, zone: str, local_date: date, bands: Bands = USUAL_BANDS
) -> Session:
    """Return the dawn of a local date at a place.

    From the sun at -12 degrees rising (or its lowest point) to 3 h after it passes -0.833.
    zone: an IANA name. local_date: 1950 to 2100. Raises ValueError with a sentence for an
    unknown zone, a place off the globe or a year outside; a date that the zone skipped comes
    back with course "no such day".
    """
    return _session("dawn", lat_deg, lon_deg, zone, local_date, bands)


def dusk_of(
    lat_deg: float, lon_deg: float, zone: str, local_date: date, bands: Bands = USUAL_BANDS
) -> Session:
    """Return the dusk of a local date at a place: the mirror of `dawn_of`."""
    return _session("dusk", lat_deg, lon_deg, zone, local_date, bands)


@frozen
class _HalfDay:
    """The sun's way between its lowest and its highest point, sampled once for every level."""

    path: SunPath
    rising: bool
    moments: list[float]
    altitudes: list[float]

    def at(self, level_deg: float) -> float | None:
        found = crossings_between(
            lambda t: self.path.altitude_deg(t) - level_deg,
            self.moments,
            [altitude - level_deg for altitude in self.altitudes],
        )
        crossing = found.first(rising=True) if self.rising else found.last(rising=False)
        return None if crossing is None else crossing.at_s

    def within(self, low_deg: float, high_deg: float) -> tuple[datetime, datetime] | None:
        """Return from when to when the sun stands between two levels."""
        low, high = min(self.altitudes), max(self.altitudes)
        if high < low_deg or low > high_deg:
            return None
        first, second = (low_deg, high_deg) if self.rising else (high_deg, low_deg)
        start, end = self.at(first), self.at(second)
        return (
            instant_of(self.moments[0] if start is None else start),
            instant_of(self.moments[-1] if end is None else end),
        )


def _session(
    kind: Kind, lat_deg: float, lon_deg: float, zone: str, local_date: date, bands: Bands
) -> Session:
    path = SunPath(lat_deg, lon_deg)
    tz = zone_of(zone)
    if not isinstance(local_date, date) or isinstance(local_date, datetime):
        raise ValueError(f"local_date must be a calendar date, not {local_date!r}.")
    if not FIRST_YEAR <= local_date.year <= LAST_YEAR:
        raise ValueError(
            f"local_date is {local_date.isoformat()}: sessions are computed for the years "
            f"{FIRST_YEAR} to {LAST_YEAR} only."
        )
    clock_noon = existing_noon(tz, local_date)
    if clock_noon is None:
        return Session(
            kind,
            local_date,
            zone,
            "no such day",
            remarks=(
                f"There is no {local_date.isoformat()} in {zone}: the clocks there skipped that "
                "date. Choose the day before or after.",
            ),
        )
    half, foreign = _half_day(path, kind == "dawn", seconds_of(clock_noon), tz, local_date)
    session = _described(kind, local_date, zone, half, bands, tz)
    before = _calendar_remarks(session, tz, foreign)
    return evolve(session, remarks=(*before, *session.remarks)) if before else session


def _half_day(
    path: SunPath, rising: bool, clock_noon_s: float, tz: ZoneInfo, day: date
) -> tuple[_HalfDay, bool]:
    noon = _solar_noon_s(path, clock_noon_s)
    first = _half_around(path, rising, noon)
    if abs(noon - clock_noon_s) <= _FOREIGN_CLOCK_S:
        return first, False
    # The zone is not that of the place, so "morning" has no meaning on its clock: the rise or
    # set that falls on the date is the best reading.
    for half in (
        first,
        *(_half_around(path, rising, noon + shift * _DAY_S) for shift in (-1.0, 1.0)),
    ):
        at = half.at(SUN_LEVEL_DEG)
        if at is not None and instant_of(at).astimezone(tz).date() == day:
            return half, True
    return first, True


def _half_around(path: SunPath, rising: bool, noon_s: float) -> _HalfDay:
    noon = _solar_noon_s(path, noon_s)
    midnight = noon + (-0.5 if rising else 0.5) * _DAY_S
    # The turning points lie off the meridian by the drift of the declination: minutes, and
    # hours only within a degree of the poles.
    reach = 3.0 * _HOUR_S
    low = extreme_s(path.altitude_deg, midnight - reach, midnight + reach, highest=False)
    high = extreme_s(path.altitude_deg, noon - reach, noon + reach, highest=True)
    moments = scan(min(low, high), max(low, high), _SCAN_S)
    return _HalfDay(path, rising, moments, [path.altitude_deg(t) for t in moments])


def _solar_noon_s(path: SunPath, near_s: float) -> float:
    noon = near_s
    for _ in range(3):
        noon -= path.hour_angle_deg(noon) * 240.0
    return noon


def _described(
    kind: Kind, day: date, zone: str, half: _HalfDay, bands: Bands, tz: ZoneInfo
) -> Session:
    rising = half.rising
    low_index, high_index = (0, -1) if rising else (-1, 0)
    low_s, high_s = half.moments[low_index], half.moments[high_index]
    low, high = half.altitudes[low_index], half.altitudes[high_index]
    sun, civil, nautical, astronomical = (
        half.at(level) for level in (SUN_LEVEL_DEG, CIVIL_DEG, NAUTICAL_DEG, ASTRONOMICAL_DEG)
    )
    sunlit_s = bands.sunlit_h * _HOUR_S
    dark_end = low_s if nautical is None else nautical
    light_end: float | None
    course: Course
    remarks: list[str] = []
    low_at, high_at = (clock_words(instant_of(t), tz) for t in (low_s, high_s))
    if sun is not None:
        course = "rises or sets"
        light_end = sun + sunlit_s if rising else sun - sunlit_s
        if nautical is None:
            remarks.append(
                f"It gets no darker than the sun at {_degrees(low)}: the session "
                f"{'starts' if rising else 'ends'} at its lowest point, {low_at}."
            )
        if half.path.altitude_deg(light_end) < SUN_LEVEL_DEG:
            remarks.append(
                f"The day is short: the sun is up for less than {bands.sunlit_h:g} h and stands "
                f"highest, at {_degrees(high)}, at {high_at}."
            )
    elif low >= SUN_LEVEL_DEG:
        course = "up throughout"
        light_end = low_s + sunlit_s if rising else low_s - sunlit_s
        remarks.append(f"The sun is up all day: lowest, at {_degrees(low)}, at {low_at}.")
    elif high >= NAUTICAL_DEG:
        course = "twilight only"
        light_end = high_s
        first, second = sorted((dark_end, high_s))
        remarks.append(
            f"The sun does not rise: twilight from {clock_words(instant_of(first), tz)} to "
            f"{clock_words(instant_of(second), tz)}; highest, at {_degrees(high)}, at {high_at}."
        )
    else:
        course = "dark throughout"
        light_end = None
        remarks.append(
            f"The sun does not come near the horizon: highest, at {_degrees(high)}, at {high_at}."
        )
    start = end = None
    if light_end is not None:
        start, end = sorted((dark_end, light_end))
    return Session(
        kind=kind,
        local_date=day,
        zone=zone,
        course=course,
        start_utc=_moment(start),
        end_utc=_moment(end),
        sun_level_utc=_moment(sun),
        civil_utc=_moment(civil),
        nautical_utc=_moment(nautical),
        astronomical_utc=_moment(astronomical),
        blue_utc=half.within(*bands.blue_deg),
        golden_utc=half.within(*bands.golden_deg),
        lowest_utc=instant_of(low_s),
        lowest_deg=low,
        highest_utc=instant_of(high_s),
        highest_deg=high,
        remarks=tuple(remarks),
    )


def _calendar_remarks(session: Session, tz: ZoneInfo, foreign: bool) -> list[str]:
    day = session.local_date
    remarks = []
    if foreign:
        remarks.append(
            f"The clock of {session.zone} is more than 4 h from the sun at this place: check the "
            "site's time zone."
        )
    first = datetime.combine(day, time(), tz)
    last = datetime.combine(day + timedelta(days=1), time(), tz)
    change = (last.utcoffset() or timedelta()) - (first.utcoffset() or timedelta())
    if timedelta() < abs(change) <= timedelta(hours=3):
        way = "forward" if change > timedelta() else "back"
        minutes = abs(change) // timedelta(minutes=1)
        amount = f"{minutes // 60} h" if minutes % 60 == 0 else f"{minutes} min"
        remarks.append(f"The clocks go {way} by {amount} on this date.")
    if session.sun_level_utc is not None and not foreign:
        at = session.sun_level_utc
        on = at.astimezone(tz).date()
        if on != day:
            remarks.append(
                f"By the clock the sun {'rises' if session.kind == 'dawn' else 'sets'} at "
                f"{clock_words(at, tz)} on {on.isoformat()}, the other side of midnight."
            )
    return remarks


def _moment(seconds: float | None) -> datetime | None:
    return None if seconds is None else instant_of(seconds)


def _degrees(value: float) -> str:
    text = f"{value:.1f}°"
    return "0.0°" if text == "-0.0°" else text.replace("-", "\N{MINUS SIGN}")
