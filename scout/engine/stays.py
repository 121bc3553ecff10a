"""Stays in good light: what an animal's mornings say of the light that one card calls good.

The headline is neither a chance nor a rate: on how many of the watched mornings at least one stay
fell into good light. Sums of minutes come last. Not for: what counts as watched (`effort`), or the
order of a card.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from attrs import frozen

from scout.engine.anchoring import DAWN, SUN, Day
from scout.engine.clocks import clock_words
from scout.engine.jeffreys import Share, share_of
from scout.engine.presence import Morning, Pair, Presence, near_in_year
from scout.records.settings import Settings


@frozen
class InGoodLight:
    """What a sightline's mornings say of the good light of one card.

    share: on k of n mornings at least one stay fell into good light; n watched at least half of it.
    missed: on k of the n mornings on which it came, and on which somebody was there at `by_utc`, it
    had left by then; at dusk, it came only after it. stay_s: (quartile, median, quartile) of its
    stays [s], None below three. mean_min: minutes in good light on a morning, on average. season:
    only mornings near the card's day of the year. seen: one entry a watched morning, in order of
    sun time, whether it was seen. enough: whether the mornings are enough to say something. lit:
    whether there is any good light at all.
    """

    share: Share
    missed: Share
    by_utc: datetime | None
    stay_s: tuple[int, int, int] | None
    mean_min: float
    season: bool
    seen: tuple[bool, ...]
    enough: bool
    lit: bool


def stays_in_good_light(
    presence: Presence,
    perch: str,
    session: str,
    day: Day,
    on: date,
    good_s: Sequence[Pair],
    by_s: float | None = None,
    settings: Settings | None = None,
) -> InGoodLight | None:
    """Hold a perch's mornings against the good stretches of a card.

    day: the card's solar day (`Days.on`); on: its local date; good_s: from when to when the light
    is good under the sky looked at, in order [seconds since 1970-01-01 UTC]; by_s: the moment
    before which its leaving is counted (at dusk, after which its coming), such as when the shutter
    arrives. A morning counts when at least half of the good light was watched. None where nothing
    is known of the perch or where the card's day has no sunrise to anchor on.
    """
    rules = settings or Settings()
    anchoring = presence.anchoring
    known = presence.mornings.get(session, {}).get(perch, ())
    if not known:
        return None
    if anchoring.kind == SUN and day.day_min is None:
        return None
    clock = anchoring.clock(day, session)
    good = [(clock(start), clock(end)) for start, end in good_s]
    by = None if by_s is None else clock(by_s)
    whole = math.fsum(end - start for start, end in good)
    near = [one for one in known if near_in_year(one.date, on, rules.routine_season_days)]
    # Where there is no good light at all, the season's mornings still tell when it leaves.
    telling = [one for one in near if not good or _watched_half(one, good, whole)]
    season = len(telling) >= rules.fewest_watches
    mornings = near if season else list(known)
    counted = [one for one in mornings if good and _watched_half(one, good, whole)]
    minutes = [_in_good_min(one, good) for one in counted]
    return InGoodLight(
        share=share_of(sum(found is not None for found in minutes), len(counted)),
        missed=_missed(mornings, by, session),
        by_utc=None if by is None else anchoring.moment_utc(day, by, session),
        stay_s=usual_stay_s([stay for one in mornings for stay in one.stays]),
        mean_min=math.fsum(found or 0.0 for found in minutes) / len(counted) if counted else 0.0,
        season=season,
        seen=tuple(bool(one.stays) for one in sorted(mornings, key=_sun_order)),
        enough=len(counted) >= rules.fewest_watches,
        lit=bool(good),
    )


def headline_words(found: InGoodLight, session: str) -> str:
    """Say the headline, such as "at least one stay in good light on 7 of 12 dawns when that light
    was watched (90 %: 35–79 %)"."""
    share = found.share
    when = "" if found.season or not share.n else ", of the whole year"
    if not found.lit:
        return "there is no good light to come in"
    if share.n == 0:
        return "nothing can be said: its good light was never watched"
    if not found.enough:
        watched = f"{share.n} watch{'' if share.n == 1 else 'es'}"
        return f"nothing can be said: good light on {share.k} of {watched}{when}"
    counted = share.counted(f"{session}s when that light was watched")
    return f"at least one stay in good light on {counted}{when}"


def stay_words(found: InGoodLight) -> str | None:
    """Say how long it usually stays, "usual stay 40 s (25 s to 2 min)", None where not known."""
    if found.stay_s is None:
        return None
    low, middle, high = (_span_words(seconds) for seconds in found.stay_s)
    return f"usual stay {middle}" if low == high else f"usual stay {middle} ({low} to {high})"


def left_words(
    found: InGoodLight, zone: ZoneInfo, session: str, fewest: int, who: str = "it"
) -> str | None:
    """Say its leaving, "it had left by 06:10 on 9 of the 12 watched dawns it came"; or
    at dusk its coming.

    None below so many mornings.
    """
    if found.by_utc is None or found.missed.n < fewest:
        return None
    at = clock_words(found.by_utc, zone)
    what = f"{who} had left by {at}" if session == DAWN else f"{who} came only after {at}"
    return f"{what} on {found.missed.k} of the {found.missed.n} watched {session}s {who} came"


def expected_words(found: InGoodLight, session: str) -> str | None:
    """Say the minutes to be expected, "about 3 min in good light a dawn", None where not known."""
    if not found.enough:
        return None
    minutes = round(found.mean_min)
    return f"{'under 1' if minutes == 0 else f'about {minutes}'} min in good light a {session}"


def _span_words(seconds: int) -> str:
    return f"{seconds} s" if seconds < 120 else f"{seconds // 60} min"


def usual_stay_s(stays: Sequence[tuple[float, float | None]]) -> tuple[int, int, int] | None:
    """Return quartile, median and quartile of how long it stays [s], None below three stays.

    Stays are from when to when [min]; those whose end nobody noted are left out.
    """
    lasted = sorted((end - start) * 60.0 for start, end in stays if end is not None)
    if len(lasted) < 3:
        return None
    low, middle, high = (quantile(lasted, share) for share in (0.25, 0.5, 0.75))
    return _printed_s(low), _printed_s(middle), _printed_s(high)


def quantile(ordered: Sequence[float], share: float) -> float:
    """Return a quantile of ordered values, evenly between them (Hyndman & Fan 1996, type 7)."""
    place = share * (len(ordered) - 1)
    below = math.floor(place)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (place - below) * (ordered[above] - ordered[below])


def _printed_s(seconds: float) -> int:
    """Under two minutes to 5 s, else to the minute: nobody notes it better."""
    return round(seconds / 5.0) * 5 if seconds < 120.0 else round(seconds / 60.0) * 60


def _watched_half(one: Morning, good: Sequence[Pair], whole: float) -> bool:
    return 2.0 * math.fsum(_common(span, light) for span in one.watched for light in good) >= whole


def _in_good_min(one: Morning, good: Sequence[Pair]) -> float | None:
    """Minutes of its stays in good light [min]; 0 where only an arrival was noted; None: none."""
    found = None
    for start, end in one.stays:
        for light in good:
            if start < light[1] and (start if end is None else end) >= light[0]:
                found = (found or 0.0) + _common((start, start if end is None else end), light)
    return found


def _missed(mornings: Sequence[Morning], by: float | None, session: str) -> Share:
    """On how many of the mornings it came it had left by a sun time, or came after it at dusk."""
    if by is None:
        return share_of(0, 0)
    there = [one for one in mornings if one.stays]
    if session == DAWN:
        counted = [one for one in there if one.watched[-1][1] >= by]
        missed = [one for one in counted if last_min(one) <= by]
    else:
        counted = [one for one in there if one.watched[0][0] <= by]
        missed = [one for one in counted if one.stays[0][0] > by]
    return share_of(len(missed), len(counted))


def _sun_order(one: Morning) -> tuple[float, date]:
    """A morning stands at the first arrival, a blank one in the middle of what was watched."""
    if one.stays:
        return one.stays[0][0], one.date
    return (one.watched[0][0] + one.watched[-1][1]) / 2.0, one.date


def last_min(one: Morning) -> float:
    """Return when it left for the last time on a morning with stays, in sun time [min]."""
    return max(start if end is None else end for start, end in one.stays)


def _common(one: Pair, other: Pair) -> float:
    return max(0.0, min(one[1], other[1]) - max(one[0], other[0]))
