"""Sun-anchored time: one day's clock stretched so that sunrise and sunset fall on their means.

An animal that follows the sun comes at another clock time every week; held against sunrise and
sunset its mornings lie over each other. Average anchoring (Vazquez et al., Methods in Ecology and
Evolution 10 (2019) 1955): within the day and within the night time runs evenly from one anchor to
the next, and the anchors are moved to their means over the days looked at. Where some day has no
sunrise, single anchoring on solar noon (Nouvellet et al. 2012). Not for: when the session is to be
planned (`sessions`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from datetime import date, datetime

from astral.sun import eq_of_time, sun_declination
from attrs import frozen

from scout.engine.clocks import existing_noon, zone_of
from scout.engine.instants import checked_place, instant_of
from scout.engine.sessions import CIVIL_DEG, SUN_LEVEL_DEG

DAY_MIN = 1440.0
SUN, NOON = "sunrise and sunset", "solar noon"
DAWN, DUSK = "dawn", "dusk"

_DAY_S = 86400.0
_LEVEL = math.sin(math.radians(SUN_LEVEL_DEG))
_CIVIL = math.sin(math.radians(CIVIL_DEG))


@frozen
class Day:
    """One solar day at a place, from solar midnight to solar midnight.

    number: its count of days since 1970-01-01 in mean solar time. start_s, noon_s, end_s: mean
    solar midnight, solar noon and the next midnight [seconds since 1970-01-01 UTC].
    rise_min, set_min: sunrise and sunset, civil_rise_min, civil_set_min: the sun at −6 degrees [min
    from solar noon, before it negative]; None where there is none. light: the sun never sinks to
    −6 degrees.
    """

    number: int
    start_s: float
    noon_s: float
    end_s: float
    rise_min: float | None
    set_min: float | None
    civil_rise_min: float | None
    civil_set_min: float | None
    light: bool

    @property
    def day_min(self) -> float | None:
        """From sunrise to sunset [min]."""
        if self.rise_min is None or self.set_min is None:
            return None
        return self.set_min - self.rise_min

    def half(self, seconds: float) -> str:
        """Say whether a moment of this day is of its dawn or its dusk."""
        return DAWN if seconds < self.noon_s else DUSK


class Days:
    """The solar days of one place, each worked out once.

    lat_deg, lon_deg: the place [deg]. The sun's declination and the equation of time are taken at
    each midnight UTC and evenly between: good to 10 s of sunrise up to 65 degrees of latitude.
    """

    def __init__(self, lat_deg: float, lon_deg: float) -> None:
        checked_place(lat_deg, lon_deg)
        self._lon_s = lon_deg * 240.0
        self._sin_lat = math.sin(math.radians(lat_deg))
        self._cos_lat = math.cos(math.radians(lat_deg))
        self._terms: dict[int, tuple[float, float]] = {}
        self._days: dict[int, Day] = {}

    def number(self, seconds: float) -> int:
        """Return the solar day that a moment lies in [seconds since 1970-01-01 UTC]."""
        return math.floor((seconds + self._lon_s) / _DAY_S)

    def at(self, seconds: float) -> Day:
        """Return the solar day around a moment."""
        return self.day(self.number(seconds))

    def on(self, local_date: date, zone: str) -> Day | None:
        """Return the solar day around twelve o'clock of a local date, None where it was skipped."""
        noon = existing_noon(zone_of(zone), local_date)
        return None if noon is None else self.at(noon.timestamp())

    def day(self, number: int) -> Day:
        """Return a solar day by its number."""
        found = self._days.get(number)
        if found is None:
            found = self._days[number] = self._day(number)
        return found

    def pass_s(self, day: Day, level_deg: float, half: str) -> float | None:
        """Return when the sun's centre passes a level [deg] in a half of a day [s], None: never."""
        level, way = math.sin(math.radians(level_deg)), -1.0 if half == DAWN else 1.0
        minutes = self._event(day.noon_s, self._at(day.noon_s)[1], level, way)
        return None if minutes is None else day.noon_s + 60.0 * minutes

    def _day(self, number: int) -> Day:
        mean_noon = (number + 0.5) * _DAY_S - self._lon_s
        declination, equation = self._at(mean_noon)
        noon = mean_noon - equation * 60.0
        rise, sets = (self._event(noon, equation, _LEVEL, way) for way in (-1.0, 1.0))
        civil_rise, civil_set = (self._event(noon, equation, _CIVIL, way) for way in (-1.0, 1.0))
        lowest = self._sin_lat * math.sin(declination) - self._cos_lat * math.cos(declination)
        return Day(
            number,
            mean_noon - _DAY_S / 2.0,
            noon,
            mean_noon + _DAY_S / 2.0,
            rise if sets is not None else None,
            sets if rise is not None else None,
            civil_rise if civil_set is not None else None,
            civil_set if civil_rise is not None else None,
            lowest > _CIVIL,
        )

    def _at(self, seconds: float) -> tuple[float, float]:
        """Return declination [rad] and equation of time [min]."""
        knot = math.floor(seconds / _DAY_S)
        (dec0, eot0), (dec1, eot1) = self._knot(knot), self._knot(knot + 1)
        part = seconds / _DAY_S - knot
        return dec0 + part * (dec1 - dec0), eot0 + part * (eot1 - eot0)

    def _knot(self, day: int) -> tuple[float, float]:
        found = self._terms.get(day)
        if found is None:
            century = (day - 10957.5) / 36525.0
            found = math.radians(sun_declination(century)), eq_of_time(century)
            self._terms[day] = found
        return found

    def _event(self, noon_s: float, eot_noon: float, level: float, way: float) -> float | None:
        """Return when the sun stands at a level (a sine) on one side of noon [min from noon]."""
        minutes = way * 360.0
        for _ in range(2):
            declination, equation = self._at(noon_s + minutes * 60.0)
            sine = math.sin(declination)
            along = self._cos_lat * math.sqrt(1.0 - sine * sine)
            cosine = (level - self._sin_lat * sine) / max(1e-12, along)
            if not -1.0 < cosine < 1.0:
                return None
            minutes = way * math.degrees(math.acos(cosine)) * 4.0 - (equation - eot_noon)
        return minutes


@frozen
class Anchoring:
    """To where the anchors of every day are moved.

    kind: SUN or NOON. rise_min, set_min: mean sunrise and sunset [min from solar noon]; with NOON
    both are 0, and nothing is stretched.
    """

    kind: str
    rise_min: float
    set_min: float

    @property
    def day_min(self) -> float:
        """The mean day's length [min]; 0 with NOON."""
        return self.set_min - self.rise_min

    def anchored_min(self, day: Day, seconds: float, half: str) -> float:
        """Return a moment of a day in sun time [min].

        From mean sunrise in a dawn, from mean sunset in a dusk; with NOON from solar noon. Raises
        ValueError for a day without sunrise where days are anchored on it.
        """
        return self.clock(day, half)(seconds)

    def clock(self, day: Day, half: str) -> Callable[[float], float]:
        """Return `anchored_min` of one day and half, for many moments."""
        noon_s = day.noon_s
        if self.kind == NOON:
            return lambda seconds: (seconds - noon_s) / 60.0
        rise, sets, day_part, night_part = self._stretch(day)
        origin = self.rise_min if half == DAWN else self.set_min
        before, after = self.rise_min - origin, self.set_min - origin

        def anchored(seconds: float) -> float:
            minutes = (seconds - noon_s) / 60.0
            if minutes < rise:
                return before + (minutes - rise) / night_part
            if minutes > sets:
                return after + (minutes - sets) / night_part
            return before + (minutes - rise) / day_part

        return anchored

    def moment_s(self, day: Day, minutes: float, half: str) -> float:
        """Return the moment of a day at a sun time: the other way round [s]."""
        if self.kind == NOON:
            return day.noon_s + minutes * 60.0
        rise, sets, day_part, night_part = self._stretch(day)
        at = minutes + (self.rise_min if half == DAWN else self.set_min)
        if at < self.rise_min:
            found = rise + (at - self.rise_min) * night_part
        elif at > self.set_min:
            found = sets + (at - self.set_min) * night_part
        else:
            found = rise + (at - self.rise_min) * day_part
        return day.noon_s + found * 60.0

    def moment_utc(self, day: Day, minutes: float, half: str) -> datetime:
        """Return the same as an aware time on the whole second."""
        return instant_of(self.moment_s(day, minutes, half))

    def _stretch(self, day: Day) -> tuple[float, float, float, float]:
        """Return a day's anchors [min from noon] and what a mean minute of day and night lasts."""
        if day.rise_min is None or day.set_min is None:
            raise ValueError(
                "This day has no sunrise, so that nothing can be anchored on it: ask for a day on "
                "which the sun rises."
            )
        length = day.set_min - day.rise_min
        return (
            day.rise_min,
            day.set_min,
            length / self.day_min,
            (DAY_MIN - length) / (DAY_MIN - self.day_min),
        )


def mean_anchoring(days: Iterable[Day]) -> Anchoring:
    """Return the anchoring to the means of some days; on solar noon where one has no sunrise."""
    rises: list[float] = []
    sets: list[float] = []
    for day in days:
        if day.rise_min is None or day.set_min is None:
            return Anchoring(NOON, 0.0, 0.0)
        rises.append(day.rise_min)
        sets.append(day.set_min)
    if not rises:
        return Anchoring(NOON, 0.0, 0.0)
    # To a tenth of a minute, as it is written: what is read back is the same anchoring.
    return Anchoring(
        SUN,
        round(math.fsum(rises) / len(rises), 1),
        round(math.fsum(sets) / len(sets), 1),
    )
