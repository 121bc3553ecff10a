"""An inquiry: what is asked of an animal's habits, and what narrows it.

Not for: answering it (`habits`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

import attrs

from scout.engine.angles import compass_letters
from scout.engine.asked import within_year
from scout.engine.effort import Place
from scout.engine.haunts import Haunts, read_haunts
from scout.engine.log import Watched
from scout.engine.request import Request
from scout.engine.unwatched import WINDS, Around
from scout.records.fields import read_season_day
from scout.records.trouble import Refused
from scout.records.visits import SKIES

WIDTH = 0.3  # of an interval, that more watches are reckoned for; a setting of the request


@attrs.frozen(kw_only=True)
class Inquiry:
    """What is asked of the habits beside the records; None narrows nothing."""

    on: date
    perch: str | None
    area: str | None
    season: tuple[str, str] | None
    sky: str | None
    wind_from: str | None
    tag: str | None
    width: float
    discreet: bool
    around: Around
    tagged: Mapping[str, bool]

    def place(self, haunts: Haunts) -> tuple[Place, str | None]:
        """Answer the place asked about and its name; None: the whole site."""
        if self.perch is not None:
            if self.perch not in haunts.perches:
                raise Refused.one("is not among the perches of this request; check its id", "perch")
            return Place(frozenset((self.perch,))), haunts.perches[self.perch].name
        if self.area is not None:
            if self.area not in haunts.areas:
                raise Refused.one("is not among the areas of this request; check its id", "area")
            area = haunts.areas[self.area]
            return haunts.area_place(area), area.name
        return Place(), None

    def keep(self, haunts: Haunts) -> Callable[[Watched], bool]:
        """Answer which watches the inquiry lets in."""

        def keep(watch: Watched) -> bool:
            visit = haunts.log.visits.get(watch.visit or "")
            if self.season is not None:
                day = haunts.moment(watch.start_s).astimezone(haunts.zone).date()
                if not within_year(day.isoformat()[5:], *self.season):
                    return False
            if self.sky is not None and (visit is None or visit.sky != self.sky):
                return False
            if self.wind_from is not None and (
                visit is None
                or visit.wind_from_deg is None
                or visit.wind_force == 0.0
                or compass_letters(visit.wind_from_deg, 8) != self.wind_from
            ):
                return False
            if self.tag is None:
                return True
            marked = (watch.id, watch.visit, watch.vantage, *haunts.perches_of(watch))
            return any(one in self.tagged for one in marked)

        return keep


def read_inquiry(request: dict[str, Any]) -> tuple[Haunts, Inquiry]:
    """Read an inquiry with its records. Raises Refused with every fault."""
    asked = Request(request)
    on = asked.date("date")
    perch, area, tag = (asked.plain(name, _text, needed=False) for name in ("perch", "area", "tag"))
    season = asked.plain("season", _season, needed=False)
    sky = asked.word("sky", SKIES) if asked.has("sky") else asked.part("sky")
    wind = asked.word("wind_from", WINDS) if asked.has("wind_from") else asked.part("wind_from")
    width = asked.number("width", low=0.01, high=0.99, needed=False)
    discreet = asked.flag("discreet")
    permissions = asked.records("permissions", "permission")
    measurements = asked.records("measurements", "measurement")
    tags = asked.records("tags", "tag")
    if perch is not None and area is not None:
        asked.fault("cannot be asked together with a perch; leave one of them out", "area")
    haunts = read_haunts(request, asked)
    return haunts, Inquiry(
        on=on,
        perch=perch,
        area=area,
        season=season,
        sky=sky,
        wind_from=wind,
        tag=tag,
        width=width or WIDTH,
        discreet=discreet,
        around=Around(
            on=on,
            settings=haunts.settings,
            permissions=tuple(one for one in permissions if one.site == haunts.site.id),
            measurements=tuple(measurements),
        ),
        tagged={one.record: True for one in tags if one.word == tag},
    )


def _text(raw: object) -> str:
    if not isinstance(raw, str) or not raw:
        raise Refused.one("must be a text")
    return raw


def _season(raw: object) -> tuple[str, str]:
    if not isinstance(raw, dict):
        raise Refused.one('needs "from_day" and "to_day", such as 04-01 and 06-30')
    return read_season_day(raw.get("from_day")), read_season_day(raw.get("to_day"))
