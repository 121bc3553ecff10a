"""The habits of one animal at a site: when it comes, how surely that is known, and what is not.

One page's worth of figures and sentences, drawn from visits, watches and sightings. Not for: the
light (`outing`) or what a card makes of it (`stays`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import Any

from scout.engine.activity import Curve, Day, curve_of
from scout.engine.anchoring import NOON, SUN
from scout.engine.effort import Effort
from scout.engine.haunts import Haunts
from scout.engine.holding import Kept, holding, median
from scout.engine.inquiry import Inquiry, read_inquiry
from scout.engine.jeffreys import more_watches, share_of
from scout.engine.presence import SESSIONS, written_anchoring
from scout.engine.printed import Printed
from scout.engine.stays import quantile, usual_stay_s
from scout.engine.steps import Step, standing_out, steps_of
from scout.engine.tally import few_words, marks_of, order_of, tallies_of
from scout.engine.unwatched import is_sensitive, unwatched
from scout.engine.veil import THE_ANIMAL, WITHHELD_SITE


def routine(request: dict[str, Any]) -> dict[str, Any]:
    """Answer the habits of one animal at a site, a perch or an area.

    The request has `site`, `species`, `date` (the local day it is asked on), the site's lists
    (`perches`, `vantages`, `sightlines`, `measurements`, `areas`, `permissions`, `visits`,
    `watches`, `sightings`, `reactions`, `tags`, each may be left out), `settings`, and what narrows
    it, each null or left out: `perch` or `area` (an id), `season` {"from_day", "to_day"}, `sky`,
    `wind_from` (N, NE …), `tag` (a word on a visit, watch, vantage or perch); `width` of the
    interval wanted, 0.3 where left out; `discreet` true leaves names of sensitive places out.
    The answer: `title`, `anchoring`, `dawn` and `dusk` (each `there`, `steps`, `stands_out`,
    `marks`, `first_arrival`, `stay`, `holds`, `more`, `words`), `curve` or null with `curve_words`,
    `tallies`, `order`, `unwatched`, `warnings`. Raises ValueError with a sentence a line.
    """
    haunts, asked = read_inquiry(request)
    place, place_name = asked.place(haunts)
    efforts = haunts.efforts.at(place, asked.keep(haunts))
    printed = Printed(haunts.zone)
    veil = asked.discreet and is_sensitive(haunts)
    names = {
        perch.id: (perch.code_name or f"perch {number}") if veil else perch.name
        for number, perch in enumerate(sorted(haunts.perches.values(), key=lambda one: one.id), 1)
    }
    curve = curve_of([_round_the_clock(effort, haunts) for effort in efforts])
    yet = unwatched(haunts, efforts, place.perches, asked.around)
    warning = few_words(len(efforts), haunts.settings.fewest_watches)
    return {
        "title": {
            "site": (haunts.site.code_name or WITHHELD_SITE) if veil else haunts.site.name,
            "species": THE_ANIMAL if veil else haunts.species.name,
            "place": None if veil else place_name,
            "date": asked.on.isoformat(),
        },
        "anchoring": {
            **written_anchoring(haunts.efforts.anchoring),
            "words": _anchoring_words(haunts),
        },
        **{session: _session(haunts, efforts, session, asked, printed) for session in SESSIONS},
        "curve": None if curve is None else _written_curve(curve),
        "curve_words": _curve_words(curve, efforts),
        "tallies": tallies_of(haunts, efforts),
        "order": order_of(efforts, names),
        "unwatched": {**yet, "where": []} if veil else yet,
        "warnings": [] if warning is None else [f"{warning[:1].upper()}{warning[1:]}."],
    }


def _session(
    haunts: Haunts, efforts: Sequence[Effort], session: str, asked: Inquiry, printed: Printed
) -> dict[str, Any]:
    mine = [effort for effort in efforts if effort.half == session]
    there = share_of(len([one for one in mine if one.there]), len(mine))
    steps = steps_of(mine, session)
    firsts = sorted(one.first_min for one in mine if one.first_min is not None)
    stays = [(stay.in_min, stay.out_min) for one in mine for stay in one.stays if stay.watched]
    stay = usual_stay_s(stays)
    clock = _clock(haunts, session, asked.on, printed)
    held = holding(
        [Kept(haunts.date_of(one), one.first_min) for one in mine],
        asked.on,
        haunts.settings.routine_season_days,
    )
    more = more_watches(there.k, there.n, asked.width)
    return {
        "there": {**there.written(), "words": there.words},
        "steps": [
            {**step.written(), "band": step.share.band, "clock": clock(step.from_min)}
            for step in steps
        ],
        "stands_out": [step.from_min for step in standing_out(steps)],
        "marks": marks_of(haunts, mine, printed),
        "first_arrival": None
        if not firsts
        else {
            "earliest_min": round(firsts[0], 1),
            "median_min": round(median(firsts), 1),
            "low_min": round(quantile(firsts, 0.25), 1),
            "high_min": round(quantile(firsts, 0.75), 1),
            "clock": clock(median(firsts)),
            "low_clock": clock(quantile(firsts, 0.25)),
            "high_clock": clock(quantile(firsts, 0.75)),
            "mornings": len(firsts),
        },
        "stay": None
        if stay is None
        else {"low_s": stay[0], "median_s": stay[1], "high_s": stay[2]},
        "holds": {
            "holds": held.holds,
            "words": held.words,
            "recent": held.recent.written(),
            "before": held.before.written(),
        },
        "more": more,
        "words": _words(
            mine, steps, more, asked.width, clock, session, haunts.settings.fewest_watches
        ),
    }


def _words(
    mine: Sequence[Effort],
    steps: Sequence[Step],
    more: int,
    width: float,
    clock: Callable[[float], str | None],
    session: str,
    fewest: int,
) -> str:
    """Say what can be said of its dawns or dusks, and how many more watches would tell more."""
    few = few_words(len(mine), fewest)
    narrow = f"about {more} more would narrow it to {round(100 * width)} points"
    if few is not None:
        return f"Nothing can be said yet: {_counted(len(mine))}; {narrow}."
    there = share_of(len([one for one in mine if one.there]), len(mine))
    said = f"There on {there.counted(f'watched {session}s')}"
    out = standing_out(steps)
    if out:
        best = max(out, key=lambda step: (round(step.share.mean, 6), -step.from_min))
        at = clock(best.from_min)
        when = "" if at is None else f" from {at} on this day"
        said = (
            f"{said}; most often{when}, on {best.share.k} of the {best.share.n} that watched that "
            "quarter hour"
        )
    else:
        said = f"{said}; no time of it stands out"
    return f"{said}." if more == 0 else f"{said}; {narrow}."


def _counted(n: int) -> str:
    return f"{n} watch{'' if n == 1 else 'es'}"


def _clock(
    haunts: Haunts, session: str, on: date, printed: Printed
) -> Callable[[float], str | None]:
    """The local clock of a sun time on the day asked for; None where it has no sunrise."""
    day, anchoring = haunts.days.on(on, haunts.site.zone), haunts.efforts.anchoring

    def clock(minutes: float) -> str | None:
        if day is None or (anchoring.kind == SUN and day.day_min is None):
            return None
        at: datetime = anchoring.moment_utc(day, minutes, session)
        return printed.clock(at)

    return clock


def _anchoring_words(haunts: Haunts) -> str:
    if haunts.efforts.anchoring.kind == NOON:
        return "Counted from solar noon: there are days here without a sunrise, or none watched."
    return "Counted in the mean day: sunrise and sunset at their means over the watched days."


def _round_the_clock(effort: Effort, haunts: Haunts) -> Day:
    """An effort in sun time from mean solar noon, for both halves of a day alike."""
    anchoring = haunts.efforts.anchoring
    origin = anchoring.rise_min if effort.half == "dawn" else anchoring.set_min
    return Day(
        [origin + stay.in_min for stay in effort.stays if stay.watched],
        [(origin + start, origin + end) for start, end in effort.spans_min],
    )


def _written_curve(curve: Curve) -> dict[str, Any]:
    """Points in order round the day, minutes from mean solar noon, −720 to 720."""
    points = [
        {
            "at_min": at - 1440 if at >= 720 else at,
            "per_hour": round(point.rate, 2),
            "low": round(point.low, 2),
            "high": round(point.high, 2),
        }
        for point in curve.points
        for at in (point.at_min,)
    ]
    return {"points": sorted(points, key=lambda point: point["at_min"]), "records": curve.records}


def _curve_words(curve: Curve | None, efforts: Sequence[Effort]) -> str:
    if curve is not None:
        return f"Arrivals a watched hour, from {curve.records} arrivals; band 90 %."
    arrivals = len([stay for effort in efforts for stay in effort.stays if stay.watched])
    return f"No curve below 20 arrivals: {arrivals} logged. The table speaks alone."
