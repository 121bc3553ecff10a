"""Two seasons of visits: what was watched, what came, what noticed, how light it was.

The days, people and vantages are written down here; sky, wind and who turned up are drawn from a seeded generator by
the routine that each animal is given. The stonechat comes 20 to 80 minutes after the sun has cleared its perch, stays
short and is gone by the middle of the morning; the deer come at dusk. Not for: places and what was measured.
"""

from __future__ import annotations

import datetime as dt
import random

from making.land import PERCHES, VANTAGES, Record, between, walk_ins
from making.lines import SIGHTLINES
from making.sunlight import clears, geometric_deg, reaches, written

# day, session, who, vantages in turn; a mark at the end: s = calm and clear, f = end forgotten, o = overcast
DAYS = """
2025-04-06 dawn Marn pump-house s|2025-04-12 dawn Marn pump-house|2025-04-19 dusk Marn bank-seat
2025-04-26 dawn Marn pump-house o|2025-05-03 dawn Ives track-end|2025-05-10 dawn Marn pump-house s
2025-05-11 dusk Marn bale-row|2025-05-18 dawn Marn root-plate|2025-05-24 dawn Marn hedge-foot,pump-house
2025-05-31 dawn Ives pump-house|2025-06-07 dawn Marn pump-house s|2025-06-14 dusk Marn ride-hide
2025-06-15 dawn Marn pump-house|2025-06-21 dusk Ives bank-seat|2025-06-28 dawn Marn bank-seat
2025-07-05 dawn Marn pump-house|2025-07-12 dusk Marn bale-row|2025-07-20 dawn Marn root-plate
2025-07-26 dawn Marn pump-house|2025-08-02 dusk Marn ride-hide|2025-08-09 dawn Ives pump-house
2025-08-16 dawn Marn bank-seat|2025-08-23 dusk Marn hedge-foot|2025-08-30 dawn Marn pump-house s
2026-03-14 dawn Marn pump-house s|2026-03-21 dusk Marn bank-seat|2026-03-28 dawn Marn pump-house s
2026-04-04 dawn Marn root-plate|2026-04-11 dawn Ives pump-house o|2026-04-18 dawn Marn pump-house s
2026-04-25 dusk Marn bale-row|2026-05-02 dawn Marn pump-house|2026-05-09 dawn Marn pump-house s
2026-05-09 dawn Ives hedge-foot s|2026-05-16 dawn Marn track-end|2026-05-23 dusk Marn ride-hide
2026-05-30 dawn Marn pump-house f|2026-06-06 dawn Marn bank-seat|2026-06-13 dusk Marn bank-seat
2026-06-20 dusk Marn hedge-foot s|2026-06-27 dawn Marn pump-house|2026-07-11 dawn Ives pump-house
2026-07-18 dusk Marn bale-row|2026-07-25 dawn Marn root-plate|2026-08-08 dawn Marn pump-house
2026-08-15 dusk Marn ride-hide|2026-08-22 dawn Marn pump-house|2026-09-05 dusk Marn root-plate
2026-09-12 dawn Marn pump-house|2026-09-19 dawn Marn root-plate|2026-09-26 dawn Marn pump-house s
2026-10-03 dusk Marn bank-seat|2026-10-10 dawn Marn pump-house,track-end|2026-10-17 dawn Marn ride-hide
2026-10-24 dusk Ives bale-row|2026-10-31 dawn Marn pump-house s|2026-11-01 dawn Marn bank-seat
2026-11-07 dawn Ives pump-house s|2026-11-12 dusk Marn bank-seat|2026-11-14 dawn Marn pump-house s
2026-11-14 dusk Marn bank-seat
"""
# How often each animal comes: chance by session, minutes after its anchor (lowest, usual, highest), stay in seconds,
# how many stays at most. The anchor is the sun on the perch (bird, dawn), else sunrise or sunset.
ROUTINE = {
    ("stonechat", "dawn"): (0.62, (20, 42, 80), (25, 200), 3),
    ("stonechat", "dusk"): (0.3, (-95, -70, -45), (30, 150), 1),
    ("little-egret", "dawn"): (0.34, (5, 45, 110), (240, 1500), 1),
    ("little-egret", "dusk"): (0.2, (-80, -50, -20), (240, 900), 1),
    ("roe-deer", "dusk"): (0.55, (-45, 5, 25), (60, 420), 2),
    ("roe-deer", "dawn"): (0.12, (-25, -10, 15), (40, 180), 1),
    ("otter", "dawn"): (0.3, (-15, 5, 35), (20, 90), 1),
    ("otter", "dusk"): (0.15, (0, 15, 30), (20, 60), 1),
}
COMES_TO = {
    "ditch-post": "stonechat",
    "bramble-spray": "stonechat",
    "gorse-bank": "stonechat",
    "grey-boulder": "stonechat",
    "seep": "stonechat",
    "pool-margin": "little-egret",
    "hedge-gap": "roe-deer",
    "ride-end": "roe-deer",
    "brook-log": "otter",
}
DOINGS = {
    "stonechat": ("perched, tail flicking", "dropped to the grass and back", "sang", "with food"),
    "little-egret": ("stalking the edge", "stood hunched", "caught something small"),
    "roe-deer": ("crossed, browsing", "stood and looked back", "walked through"),
    "otter": ("over the log, upstream", "on the log, shook itself"),
}
# day and animal: what it did, and because of whom
REACTIONS = {
    ("2025-06-28", "little-egret"): ("looked up", "me"),
    ("2025-08-02", "roe-deer"): ("looked up", "other"),
    ("2025-08-16", "little-egret"): ("moved off", "me"),
    ("2026-04-25", "roe-deer"): ("alarm", "me"),
    ("2026-07-25", "otter"): ("left", "me"),
    ("2026-10-10", "stonechat"): ("looked up", "other"),
    ("2026-11-12", "roe-deer"): ("alarm", "me"),
    ("2026-11-14", "roe-deer"): ("moved off", "me"),
}
# Two observers on one morning; no blank there
TOGETHER = "2026-05-09"
SURE = {(TOGETHER, "stonechat"), *REACTIONS}
_WARMTH_C = {3: 3, 4: 5, 5: 8, 6: 11, 7: 13, 8: 13, 9: 10, 10: 7, 11: 4}
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
        self.light_readings: list[Record] = []
        self._walk = {way["vantage"]: way for way in walk_ins()}
        for line in DAYS.strip().replace("\n", "|").split("|"):
            self._day(line.split())
        self._trail_camera()
        self._extras()
        self._light()
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
        left = end + _minutes(way[back])
        visit: Record = {
            "id": name,
            "site": site,
            "by": who,
            "start": written(start - _minutes(way[there])),
            "end": written(left),
            "end_unsure": True if mark == "f" else None,
            "sky": sky,
            "wind_from_deg": round(self._between(180, 320) / 10) * 10 % 360,
            "wind_force": force,
            "temperature_c": round(
                _WARMTH_C[day.month] + self._between(-3, 3) + 5 * (session == "dusk")
            ),
            "mist": True if sky == "clear" and session == "dawn" and day.month > 7 else None,
        }
        if self.rng.random() < 0.25:
            visit["wind_from_deg"] = round(self._between(20, 110) / 10) * 10
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
            sure = (f"{day:%Y-%m-%d}", animal) in SURE
            if self.rng.random() >= chance * dull and not sure:
                continue
            perches = [perch for perch in watch["perches"] if COMES_TO[perch] == animal]
            for _ in range(1 + int(self.rng.random() * most)):
                perch = perches[int(self.rng.random() ** 1.6 * len(perches))]
                anchor = self._anchor(animal, perch, day, session)
                low, usual, high = offsets
                came = anchor + dt.timedelta(
                    seconds=round(self.rng.triangular(low, high, usual) * 6) * 10
                )
                went = came + dt.timedelta(seconds=round(self._between(*stays) / 5) * 5)
                if sure and not start <= came < went <= end:
                    came = start + _minutes(75)
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
        count = (
            2
            if how == "seen"
            and animal in ("stonechat", "roe-deer", "little-egret")
            and self.rng.random() < 0.2
            else 1
        )
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

    def _extras(self) -> None:
        """Reactions, the last two from one vantage within a fortnight."""
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

    def _light(self) -> None:
        """Readings on level ground in the open: the meadow is half a stop darker than the books say."""
        rows = (
            ("pellwick", "2025-05-10", 12.0, "clear", "in leaf"),
            ("pellwick", "2025-06-07", 10.5, "clear", "in leaf"),
            ("pellwick", "2025-08-30", 13.5, "clear", "in leaf"),
            ("pellwick", "2026-05-09", 12.5, "clear", "in leaf"),
            ("pellwick", "2026-09-26", 11.0, "clear", "in leaf"),
            ("pellwick", "2026-03-14", 9.0, "clear", "bare"),
            ("pellwick", "2026-03-28", 11.0, "clear", "bare"),
            ("pellwick", "2026-11-07", 8.0, "clear", "bare"),
            ("pellwick", "2026-11-14", 9.5, "clear", "bare"),
            ("pellwick", "2025-04-26", 11.0, "overcast", "bare"),
            ("pellwick", "2026-04-11", 9.0, "overcast", "bare"),
            ("hobthorn", "2026-07-25", 12.0, "in and out", "in leaf"),
        )
        for count, (site, day, altitude, sky, leaf) in enumerate(rows, 1):
            at = _whole(reaches(site, dt.date.fromisoformat(day), altitude, rising=True))
            off = self._between(-0.75, -0.35) - {"overcast": 1.6, "in and out": 0.7}.get(sky, 0.0)
            self.light_readings.append(
                {
                    "id": f"light-{count:02d}",
                    "site": site,
                    "at": written(at),
                    "ev100": round(_level_clear_ev(geometric_deg(site, at)) + off, 1),
                    "source": "meter",
                    "sky": sky,
                    "leaf": leaf,
                }
            )


def _level_clear_ev(altitude_deg: float) -> float:
    """Answer the clear-sky light on level ground [EV at ISO 100] for a sun of 5 to 20 degrees.

    Janiczek and DeYoung (1987), USNO Circular 171, the piece for 5 to 20 degrees; 2.5 lux stand for EV 0.
    """
    x = altitude_deg / 90.0
    log_lux = 3.05 + 13.28 * x - 45.98 * x * x + 64.33 * x**3
    return (log_lux - 0.39794) / 0.30103
