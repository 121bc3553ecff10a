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

from scout.engine.anchoring import SUN, Day
from scout.engine.clocks import clock_words
from scout.engine.jeffreys import Share, share_of
from scout.engine.presence import Morning, Pair, Presence, near_in_year

FEWEST_TO_SAY = 5  # watched mornings, below which a share says nothing; ours
FEWEST_IN_SEASON = 5  # watched mornings, or the whole year speaks; ours


@frozen
class InGoodLight:
    """What a sightline's mornings say of the good light of one card.

    share: on k of n mornings at least one stay fell into good light; n watched at least half of it.
    left: k of the n mornings on which it came and somebody stayed on, it had left by `left_by_utc`.
    stay_s: (quartile, median, quartile) of its stays [s], None below three. mean_min: minutes in
    good light on a morning, on average. season: only mornings near the card's day of the year.
    """

    share: Share
    left: Share
    left_by_utc: datetime | None
    stay_s: tuple[int, int, int] | None
    mean_min: float
    season: bool


def stays_in_good_light(
    presence: Presence,
    perch: str,
    session: str,
    day: Day,
    on: date,
    good_s: Sequence[Pair],
    by_s: float | None = None,
) -> InGoodLight | None:
    """Hold a perch's mornings against the good stretches of a card.

    day: the card's solar day (`Days.on`); on: its local date; good_s: from when to when the light
    is good under the sky looked at, in order [seconds since 1970-01-01 UTC]; by_s: the moment
    before which its leaving is counted, such as when the shutter arrives. A morning counts when at
    least half of the good light was watched. None where nothing is known of the perch, where there
    is no good light, or where the card's day has no sunrise to anchor on.
    """
    anchoring = presence.anchoring
    known = presence.mornings.get(session, {}).get(perch, ())
    if not known or not good_s:
        return None
    if anchoring.kind == SUN and day.day_min is None:
        return None
    clock = anchoring.clock(day, session)
    good = [(clock(start), clock(end)) for start, end in good_s]
    by = None if by_s is None else clock(by_s)
    whole = math.fsum(end - start for start, end in good)
    seasonal = [one for one in known if near_in_year(one.date, on)]
    season = len([one for one in seasonal if _watched_half(one, good, whole)]) >= FEWEST_IN_SEASON
    mornings = seasonal if season else list(known)
    counted = [one for one in mornings if _watched_half(one, good, whole)]
    minutes = [_in_good_min(one, good) for one in counted]
    there = [one for one in mornings if one.stays]
    stayed_on = [] if by is None else [one for one in there if one.watched[-1][1] >= by]
    left = [one for one in stayed_on if by is not None and _last_min(one) <= by]
    return InGoodLight(
        share=share_of(sum(found is not None for found in minutes), len(counted)),
        left=share_of(len(left), len(stayed_on)),
        left_by_utc=None if by is None else anchoring.moment_utc(day, by, session),
        stay_s=usual_stay_s([stay for one in mornings for stay in one.stays]),
        mean_min=math.fsum(found or 0.0 for found in minutes) / len(counted) if counted else 0.0,
        season=season,
    )


def headline_words(found: InGoodLight, session: str) -> str:
    """Say the headline: "at least one stay in good light on 7 of 12 dawns (90 %: 35–79 %)"."""
    share = found.share
    when = "" if found.season or not share.n else ", of the whole year"
    if share.n == 0:
        return "nothing can be said: its good light was never watched"
    if share.n < FEWEST_TO_SAY:
        watched = f"{share.n} watch{'' if share.n == 1 else 'es'}"
        return f"nothing can be said: good light on {share.k} of {watched}{when}"
    interval = share.words.split(" ", 3)[3]
    return f"at least one stay in good light on {share.k} of {share.n} {session}s {interval}{when}"


def stay_words(found: InGoodLight) -> str | None:
    """Say how long it usually stays, "usual stay 40 s (25 s to 2 min)", None where not known."""
    if found.stay_s is None:
        return None
    low, middle, high = (_span_words(seconds) for seconds in found.stay_s)
    return f"usual stay {middle}" if low == high else f"usual stay {middle} ({low} to {high})"


def left_words(found: InGoodLight, zone: ZoneInfo, session: str) -> str | None:
    """Say its leaving, "it had left by 06:10 on 9 of 12 dawns", None below a few of them."""
    if found.left_by_utc is None or found.left.n < FEWEST_TO_SAY:
        return None
    at = clock_words(found.left_by_utc, zone)
    return f"it had left by {at} on {found.left.k} of the {found.left.n} {session}s it came"


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


def _last_min(one: Morning) -> float:
    return max(start if end is None else end for start, end in one.stays)


def _common(one: Pair, other: Pair) -> float:
    return max(0.0, min(one[1], other[1]) - max(one[0], other[0]))
