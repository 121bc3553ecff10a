"""Two seasons of visits: what was watched, what came, what noticed.

Days, people and routines are tables (`days`); sky, wind and who turned up are drawn from a seeded
generator. Not for: places, what was measured, light readings.
"""

from __future__ import annotations

import datetime as dt
import random

from making.days import (
    COMES_TO,
    DAYS,
    DOINGS,
    MEASURED_ON,
    REACTIONS,
    REMARKS,
    ROUTINE,
    SURE,
    TOGETHER,
    WARMTH_C,
)
from making.ground import PERCHES, VANTAGES, Record, between
from making.lines import SIGHTLINES
from making.sunlight import clears, reaches, written
from making.walks import walk_ins

_SKIES = ("clear", "clear", "in and out", "in and out", "overcast")


def _minutes(count: float) -> dt.timedelta:
    return dt.timedelta(minutes=count)


def _whole(at: dt.datetime) -> dt.datetime:
    return at.replace(second=0, microsecond=0)


def _watched(vantage: str, day: dt.date) -> list[str]:
    perches = [perch for place, perch, *_ in SIGHTLINES.values() if place == vantage]
    nesting = "03-15" <= f"{day:%m-%d}" <= "07-31"
    return [perch for perch in perches if not (nesting and perch == "gorse-bank")]


class Log:
    """The tables of the log, filled day by day."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.visits: list[Record] = []
        self.watches: list[Record] = []
        self.sightings: list[Record] = []
        self.reactions: list[Record] = []
        self._walk = {way["vantage"]: way for way in walk_ins()}
        for line in DAYS.strip().splitlines():
            self._day(line.split())
        self._trail_camera()
        self._noticed()
        self.sightings.sort(key=lambda one: (dt.datetime.fromisoformat(one["time_in"]), one["id"]))
        for count, one in enumerate(self.sightings, 1):
            one["id"] = f"sighting-{count:03d}"

    def _between(self, low: float, high: float) -> float:
        return low + (high - low) * self.rng.random()

    def _day(self, words: list[str]) -> None:
        day, session, who = dt.date.fromisoformat(words[0]), words[1], words[2]
        vantages, mark = words[3].split(","), words[4] if len(words) > 4 else ""
        site = VANTAGES[vantages[0]][0]
        if session == "dawn":
            start = reaches(site, day, -6.0, rising=True) - _minutes(self._between(22, 40))
            end = reaches(site, day, -0.833, rising=True) + _minutes(self._between(150, 200))
        else:
            start = reaches(site, day, -0.833, rising=False) - _minutes(self._between(92, 115))
            end = reaches(site, day, -0.833, rising=False) + _minutes(self._between(28, 45))
        start, end = _whole(start), _whole(end)
        way = self._walk[vantages[0]]
        there, back = ("dark_min", "day_min") if session == "dawn" else ("day_min", "dark_min")
        name = f"visit-{len(self.visits) + 1:03d}"
        sky = {"s": "clear", "o": "overcast"}.get(mark) or _SKIES[int(self.rng.random() * 5)]
        force = 1 if mark == "s" else int(self._between(1, 6))
        came, left = start - _minutes(way[there]), end + _minutes(way[back])
        if words[0] in MEASURED_ON:
            came -= _minutes(60 if session == "dusk" else 0)
            left += _minutes(90 if session == "dawn" else 0)
        visit: Record = {
            "id": name,
            "site": site,
            "by": who,
            "start": written(came),
            "end": written(left),
            "end_unsure": True if mark == "f" else None,
            "sky": sky,
            "wind_from_deg": round(self._between(180, 320) / 10) * 10 % 360,
            "wind_force": force,
            "temperature_c": round(
                WARMTH_C[day.month] + self._between(-3, 3) + 5 * (session == "dusk")
            ),
            "mist": True if sky == "clear" and session == "dawn" and day.month > 7 else None,
        }
        if self.rng.random() < 0.25:
            visit["wind_from_deg"] = round(self._between(20, 110) / 10) * 10
        if f"{day:%Y-%m-%d}" == TOGETHER and who == "Ives":
            other = self.visits[-1]
            for name in ("sky", "wind_from_deg", "wind_force", "temperature_c"):
                visit[name] = other[name]
        if mark == "f":  # nobody ended it; the phone noticed at noon
            end = left = _whole(end + _minutes(300))
            visit["end"] = written(left)
        if words[0] in REMARKS:
            visit["note"] = REMARKS[words[0]]
        self.visits.append(visit)
        seen_before = len(self.sightings)
        at = start
        for place, vantage in enumerate(vantages):
            until = end
            if place < len(vantages) - 1:
                until = start + _minutes(round((end - start).total_seconds() / 60 * 0.45))
            self._watch(visit, vantage, day, session, at, until, mark)
            at = until + _minutes(9)
        self._outcome(visit, [one for one in self.sightings[seen_before:] if one["how"] == "seen"])

    def _watch(
        self,
        visit: Record,
        vantage: str,
        day: dt.date,
        session: str,
        start: dt.datetime,
        end: dt.datetime,
        mark: str,
    ) -> None:
        watch: Record = {
            "id": f"watch-{len(self.watches) + 1:03d}",
            "visit": visit["id"],
            "vantage": vantage,
            "perches": _watched(vantage, day),
            "start": written(start),
            "end": written(end),
            "end_unsure": True if mark == "f" else None,
        }
        if self.rng.random() < 0.2:
            watch["quiet_from"] = written(start + _minutes(round(self._between(5, 35))))
        self.watches.append(watch)
        if visit["by"] == "Ives" and f"{day:%Y-%m-%d}" == TOGETHER:
            self._seen_by_both(watch)
            return
        dull = 0.55 if visit["sky"] == "overcast" or visit["wind_force"] >= 4 else 1.0
        for animal in dict.fromkeys(COMES_TO[perch] for perch in watch["perches"]):
            chance, offsets, stays, most = ROUTINE[animal, session]
            if vantage in ("root-plate", "ride-hide", "track-end") and animal == "stonechat":
                chance *= 0.6
            perches = [perch for perch in watch["perches"] if COMES_TO[perch] == animal]
            due = self._anchor(animal, perches[0], day, session) + _minutes(offsets[1])
            sure = (f"{day:%Y-%m-%d}", animal) in SURE and start < due < end - _minutes(8)
            if self.rng.random() >= chance * dull and not sure:
                continue
            for _ in range(1 + int(self.rng.random() * most)):
                perch = perches[int(self.rng.random() ** 1.6 * len(perches))]
                anchor = self._anchor(animal, perch, day, session)
                low, usual, high = offsets
                came = anchor + dt.timedelta(
                    seconds=round(self.rng.triangular(low, high, usual) * 6) * 10
                )
                went = came + dt.timedelta(seconds=round(self._between(*stays) / 5) * 5)
                if sure and not start <= came < went <= end:
                    came = due
                    went = came + dt.timedelta(seconds=stays[0])
                crowded = any(
                    one["watch"] == watch["id"]
                    and one["species"] == animal
                    and abs(dt.datetime.fromisoformat(one["time_in"]) - came) < _minutes(6)
                    for one in self.sightings
                )
                if start <= came and went <= end and not crowded:
                    doing = DOINGS[animal][int(self.rng.random() * len(DOINGS[animal]))]
                    self._sighting(watch, animal, "seen", came, went, perch, doing)
        self._unseen(watch, day, session, start, end)

    def _seen_by_both(self, watch: Record) -> None:
        """The second observer of a morning saw the same stays, a few seconds apart."""
        for one in [one for one in self.sightings if one["time_in"].startswith(TOGETHER)]:
            if one["perch"] in watch["perches"] and one["how"] == "seen":
                came = dt.datetime.fromisoformat(one["time_in"]) + dt.timedelta(seconds=5)
                went = dt.datetime.fromisoformat(one["time_out"]) - dt.timedelta(seconds=5)
                self._sighting(
                    watch, one["species"], "seen", came, went, one["perch"], one["behaviour"]
                )

    def _anchor(self, animal: str, perch: str, day: dt.date, session: str) -> dt.datetime:
        if animal == "stonechat" and session == "dawn" and perch != "seep":
            return clears(perch, day, rising=True)
        return reaches(PERCHES[perch][0], day, -0.833, rising=session == "dawn")

    def _unseen(
        self, watch: Record, day: dt.date, session: str, start: dt.datetime, end: dt.datetime
    ) -> None:
        draw = self.rng.random()
        if "brook-log" in watch["perches"] and draw < 0.7:
            self._sighting(
                watch, "otter", "sign", end - _minutes(6), None, "brook-log", "fresh spraint"
            )
        elif "hedge-gap" in watch["perches"] and draw < 0.2:
            self._sighting(
                watch, "roe-deer", "heard", start + _minutes(8), None, None, "barked twice"
            )
        elif "ditch-post" in watch["perches"] and draw < 0.12:
            self._sighting(
                watch,
                "stonechat",
                "heard",
                start + _minutes(44),
                None,
                None,
                "called from the gorse",
            )

    def _sighting(
        self,
        watch: Record,
        animal: str,
        how: str,
        came: dt.datetime,
        went: dt.datetime | None,
        perch: str | None,
        doing: str,
    ) -> None:
        count = 2 if how == "seen" and animal != "otter" and self.rng.random() < 0.2 else 1
        self.sightings.append(
            {
                "id": f"draft-{len(self.sightings):03d}",
                "watch": watch["id"],
                "species": animal,
                "how": how,
                "time_in": written(came),
                "time_out": None if went is None else written(went),
                "perch": perch,
                "count": count if how in ("seen", "trail camera") else None,
                "behaviour": doing or None,
            }
        )

    def _outcome(self, visit: Record, seen: list[Record]) -> None:
        if not seen:
            visit["frames"], visit["failed_by"] = 0, ["absence"]
            return
        visit["frames"] = int(self._between(20, 90)) * len(seen)
        visit["keepers"] = int(visit["frames"] * self._between(0.0, 0.09))
        failures = [
            why for why in ("light", "background", "distance", "focus") if self.rng.random() < 0.22
        ]
        visit["failed_by"] = failures if visit["keepers"] < 6 else []

    def _trail_camera(self) -> None:
        watch: Record = {
            "id": "watch-camera",
            "visit": None,
            "vantage": None,
            "perches": ["brook-log"],
            "start": "2026-09-05T19:10:00+01:00",
            "end": "2026-09-19T08:40:00+01:00",
            "in_the_dark": True,
            "trail_camera": True,
        }
        self.watches.append(watch)
        for text in (
            *("2026-09-06T22:41:20", "2026-09-08T05:12:05", "2026-09-09T23:30:40"),
            *("2026-09-12T04:55:15", "2026-09-12T21:08:50", "2026-09-15T06:02:30"),
            *("2026-09-17T00:47:10", "2026-09-18T05:38:25"),
        ):
            came = dt.datetime.fromisoformat(text + "+01:00")
            went = came + dt.timedelta(seconds=10)
            self._sighting(watch, "otter", "trail camera", came, went, "brook-log", "over the log")
        for text in ("2026-09-07T20:15:00", "2026-09-14T06:20:30"):
            came = dt.datetime.fromisoformat(text + "+01:00")
            went = came + dt.timedelta(seconds=20)
            self._sighting(watch, "roe-deer", "trail camera", came, went, "brook-log", "drank")

    def _noticed(self) -> None:
        """Add the reactions; the last two come from one vantage within a fortnight."""
        for count, ((day, animal), (what, cause)) in enumerate(REACTIONS.items(), 1):
            vantages = {one["id"]: one["vantage"] for one in self.watches}
            came = [
                one
                for one in self.sightings
                if one["species"] == animal and one["how"] == "seen" and one["time_in"][:10] == day
            ][-1]
            away = between(vantages[came["watch"]], came["perch"])[1]
            at = dt.datetime.fromisoformat(came["time_in"]) + dt.timedelta(seconds=20)
            self.reactions.append(
                {
                    "id": f"reaction-{count:02d}",
                    "watch": came["watch"],
                    "species": animal,
                    "what": what,
                    "at": at.isoformat(timespec="seconds"),
                    "distance_m": round(away + self._between(-2, 2)),
                    "cause": cause,
                }
            )
