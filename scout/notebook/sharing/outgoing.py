"""The one door by which records leave for other eyes: what each class lets out, field by field.

Every format gets what is let out and never a record, so nothing can slip past. The lists of fields
are allow-lists: a field that is added to a record stays inside until somebody lists it here. No ids
go out (they hold the minute in which a record was made), no free text, and below full precision no
name, elevation, bearing, distance, gap, skyline or outline, for each of them leads back to the
place. Not for: what comes out (`let_out`), or how a format writes it.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping
from typing import Any, Final
from zoneinfo import ZoneInfo

from scout.notebook.sharing.classes import OPEN, PINS, WITHHELD, Classes, classes_of, strictest
from scout.notebook.sharing.grid import spot
from scout.notebook.sharing.let_out import Line, Outgoing, Outline, Place, Seen, Stay

Records = Mapping[str, Mapping[str, Any]]

# What a pin may say of itself at full precision; below it, only what stands in _COARSE.
_EXACT: Final = {
    "site": ("zone",),
    "perch": ("kind", "height_m", "spread_m", "ground"),
    "vantage": ("cover", "lens_height_m", "support", "slope_deg"),
    "landmark": ("kind",),
}
_COARSE: Final[dict[str, tuple[str, ...]]] = {kind: () for kind in PINS}
_VISIT: Final = ("sky", "wind_from_deg", "wind_force", "temperature_c", "mist", "snow")
_BY_DAY: Final = ("medium", "high")  # classes whose times are given as the day alone


def outgoing(records: Records, *, site: str | None = None, is_exact: bool = False) -> Outgoing:
    """Let out what may leave, of one site or of all.

    `is_exact` is the owner's word, given for this one export, that everything goes as recorded.
    """
    return _Door(records, site, is_exact).all()


class _Door:
    def __init__(self, records: Records, site: str | None, is_exact: bool) -> None:
        self._records = records
        self._site = site
        self._is_exact = is_exact
        self._classes: Classes = classes_of(records)
        self._labels = self._labelled()
        self._withheld: Counter[str] = Counter()

    def all(self) -> Outgoing:
        places = {id_: self._place(kind, id_, one) for kind, id_, one in self._pins()}
        kept = {id_: one for id_, one in places.items() if one is not None}
        return Outgoing(
            places=tuple(kept.values()),
            lines=tuple(self._lines(kept)),
            outlines=tuple(self._outlines()),
            sightings=tuple(self._sightings()),
            stays=tuple(self._stays()),
            photos=tuple(self._photos()),
            withheld=dict(self._withheld),
            is_exact=self._is_exact,
        )

    def _pins(self) -> list[tuple[str, str, Any]]:
        return [
            (kind, id_, one)
            for kind in PINS
            for id_, one in self._records.get(kind, {}).items()
            if self._site in (None, id_ if kind == "site" else one.site)
        ]

    def _class(self, id_: str) -> str:
        return OPEN if self._is_exact else self._classes.of.get(id_, OPEN)

    def _labelled(self) -> dict[str, str]:
        """Name each pin as it may be named: below full precision by its code name, or a letter."""
        labels = {}
        for kind in PINS:
            for place, (id_, one) in enumerate(sorted(self._records.get(kind, {}).items()), 1):
                open_ = self._class(id_) == OPEN
                code = getattr(one, "code_name", None)
                labels[id_] = one.name if open_ else code or f"{kind} {place}"
        return labels

    def _place(self, kind: str, id_: str, pin: Any) -> Place | None:
        mark = self._class(id_)
        if mark == WITHHELD:
            self._withheld["pin"] += 1
            return None
        at = pin.centre if kind == "site" else pin.position
        listed = (_EXACT if mark == OPEN else _COARSE)[kind]
        elevation = getattr(pin, "ground_elevation", None)
        return Place(
            kind=kind,
            label=self._labels[id_],
            site=self._labels[id_ if kind == "site" else pin.site],
            sensitivity=mark,
            spot=spot(at.lat, at.lon, at.accuracy_m, mark),
            elevation_m=None if mark != OPEN or elevation is None else elevation.m,
            facts={name: getattr(pin, name) for name in listed},
        )

    def _lines(self, places: Mapping[str, Place]) -> list[Line]:
        found = []
        for line in self._records.get("sightline", {}).values():
            ends = [places.get(line.vantage), places.get(line.perch)]
            if any(end is None or end.sensitivity != OPEN for end in ends):
                continue
            vantage, perch = (end for end in ends if end is not None)
            found.append(
                Line(
                    label=f"{vantage.label} → {perch.label}",
                    vantage=vantage,
                    perch=perch,
                    light_wanted=line.light_wanted,
                    gap_m=_gap(line.gap),
                )
            )
        return found

    def _outlines(self) -> list[Outline]:
        areas = self._records.get("area", {}).items()
        here = [(id_, one) for id_, one in areas if self._site in (None, one.site)]
        self._withheld["area"] += sum(self._class(id_) != OPEN for id_, _ in here)
        return [
            Outline(
                label=one.name or one.kind,
                kind=one.kind,
                corners=tuple((round(at.lat, 6), round(at.lon, 6)) for at in one.outline),
            )
            for id_, one in here
            if self._class(id_) == OPEN
        ]

    def _sightings(self) -> list[Seen]:
        found = []
        for id_, one in self._records.get("sighting", {}).items():
            site = self._site_of(one.watch)
            if site is None or self._site not in (None, site.id):
                continue
            mark = OPEN if self._is_exact else strictest((self._class(id_), self._class(site.id)))
            if mark == WITHHELD:
                self._withheld["sighting"] += 1
                continue
            perch = self._records["perch"].get(one.perch or "")
            at = one.position or (None if perch is None else perch.position)
            zone = ZoneInfo(site.zone)
            found.append(
                Seen(
                    species=self._records["species"][one.species].name,
                    how=one.how,
                    begun=_time(one.time_in, mark, zone),
                    ended=None if one.time_out is None else _time(one.time_out, mark, zone),
                    count=one.count,
                    perch=None if perch is None else self._labels[perch.id],
                    site=self._labels[site.id],
                    spot=None if at is None else spot(at.lat, at.lon, at.accuracy_m, mark),
                    sensitivity=mark,
                )
            )
        return sorted(found, key=lambda one: (one.begun, one.species))

    def _stays(self) -> list[Stay]:
        count: Counter[str] = Counter()
        for one in self._records.get("sighting", {}).values():
            watch = self._records["watch"].get(one.watch)
            count[(watch.visit if watch is not None else None) or ""] += 1
        found = []
        for id_, one in self._records.get("visit", {}).items():
            site = self._records["site"].get(one.site)
            if site is None or self._site not in (None, site.id):
                continue
            mark = self._class(id_)
            if mark == WITHHELD:
                self._withheld["visit"] += 1
                continue
            zone = ZoneInfo(site.zone)
            listed = _VISIT if mark == OPEN else ()
            found.append(
                Stay(
                    site=self._labels[site.id],
                    begun=_time(one.start, mark, zone),
                    ended=None if one.end is None else _time(one.end, mark, zone),
                    sightings=count[id_],
                    sensitivity=mark,
                    facts={name: getattr(one, name) for name in listed},
                )
            )
        return sorted(found, key=lambda one: (one.begun, one.site))

    def _photos(self) -> list[str]:
        """A picture shows where it was taken: only those of open places go."""
        found = []
        for one in self._records.get("photo", {}).values():
            if self._site not in (None, one.site):
                continue
            at = OPEN if one.position is None else self._classes.at(one.position)
            marks = (at, self._classes.of.get(one.pin or ""), self._classes.of.get(one.site or ""))
            known = one.pin in self._classes.of or one.position is not None
            if self._is_exact or (known and strictest(marks) == OPEN):
                found.append(one.blob)
            else:
                self._withheld["photo"] += 1
        return sorted(set(found))

    def _site_of(self, watch_id: str) -> Any:
        watch = self._records["watch"].get(watch_id)
        if watch is None:
            return None
        visit = self._records["visit"].get(watch.visit or "")
        if visit is not None:
            return self._records["site"].get(visit.site)
        pins = [self._records["vantage"].get(watch.vantage or "")]
        pins += [self._records["perch"].get(perch) for perch in watch.perches]
        sites = [pin.site for pin in pins if pin is not None]
        return self._records["site"].get(sites[0]) if sites else None


def _gap(gap: Any) -> float | str | None:
    """Answer the gap behind the perch; one ranged from the vantage is another distance."""
    if gap is None or gap.sky:
        return None if gap is None else "sky"
    return None if gap.ranged_from == "vantage" else float(gap.m)


def _time(moment: Any, sensitivity: str, zone: ZoneInfo) -> str:
    local: dt.datetime = moment.at.astimezone(zone)
    return local.date().isoformat() if sensitivity in _BY_DAY else local.isoformat("T", "seconds")
