"""The choice table: which site and which session in the coming days, cell by cell from whole cards.

It knows no rule of its own: every cell is what the card of that site and session says. Not for:
weather.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import attrs

from scout.engine.asked import Asked, read_asked
from scout.engine.clocks import day_words, zone_of
from scout.engine.printed import Printed
from scout.engine.ranking import Card, card_of
from scout.engine.reasons import name_of
from scout.engine.request import Request
from scout.engine.verdict import best_words, verdict
from scout.records.trouble import Refused, at_field, shown

MOST_DAYS = 31
SESSIONS = ("dawn", "dusk")


def choice_table(request: dict[str, Any]) -> dict[str, Any]:
    """Answer sites × coming sessions.

    The request has `sites`, each a card's request without its date and session; `first` the first
    local day; `days` 1 to 31; `sessions`, dawn and dusk where left out. The answer has `days`, and
    `rows`, one for each site and session, with a cell a day: good minutes of the first sightline
    by sky, when to get up, the verdict. Raises ValueError with a sentence a line.
    """
    asked = Request(request)
    first = asked.date("first")
    days = int(asked.number("days", low=1, high=MOST_DAYS, whole=True))
    sessions = _sessions(asked)
    sites = asked.part("sites")
    if not isinstance(sites, list) or not sites:
        asked.fault("is no list of card requests; give one for each site", "sites")
    asked.close()
    coming = [first + timedelta(days=ahead) for ahead in range(days)]
    rows = []
    for place, site in enumerate(sites):
        for session in sessions:
            try:
                if not isinstance(site, dict):
                    raise Refused.one(f"{shown(site)} is no card's request, which is an object")
                base = read_asked({**site, "date": first.isoformat(), "session": session})
                rows.append(_row(base, session, coming))
            except Refused as refusal:
                inner = at_field(place, refusal.troubles)
                raise Refused(at_field("sites", inner)) from None
    return {
        "days": [day.isoformat() for day in coming],
        "day_words": [day_words(day) for day in coming],
        "rows": rows,
    }


def _sessions(asked: Request) -> list[str]:
    raw = asked.part("sessions")
    if raw is None:
        return list(SESSIONS)
    if not isinstance(raw, list) or not raw or any(one not in SESSIONS for one in raw):
        asked.fault("must be a list of dawn, dusk or both", "sessions")
        return list(SESSIONS)
    return [one for one in SESSIONS if one in raw]


def _row(base: Asked, session: str, coming: list[date]) -> dict[str, Any]:
    cards = [card_of(attrs.evolve(base, date=day)) for day in coming]
    return {
        "site": base.site.id,
        "site_name": cards[0].asked.site.name,
        "session": session,
        "cells": [_cell(card) for card in cards],
    }


def _cell(card: Card) -> dict[str, Any]:
    zone = zone_of(card.asked.site.zone)
    best = card.best
    cell: dict[str, Any] = {
        "date": card.asked.date.isoformat(),
        "good_min": None,
        "sightline": None,
        "get_up": None,
        "leave_home": None,
        "words": "",
        "verdict": verdict(card).words,
        "k_of_n": None,
    }
    if best is None or card.session.start_utc is None:
        barred = card.ranked and card.session.start_utc is not None
        cell["words"] = "barred" if barred else ""
        return cell
    good = best.prospect.good_min
    way = best.prospect.approach
    printed = Printed(zone)
    up = None if way is None else printed.moment(way.get_up_utc)
    leave = None if way is None else printed.moment(way.leave_home_utc)
    head = f"{good[card.sky]} min"
    if best.known.whole is not None and best.known.enough:
        share = best.known.whole.share
        cell["k_of_n"] = [share.k, share.n]
        head = f"{share.k} of {share.n}"
    cell["good_min"] = dict(good)
    cell["sightline"] = name_of(best.prospect)
    cell["best"] = best_words(best.prospect, card.sky, zone)
    cell["get_up"], cell["leave_home"] = up, leave
    # Where the walk is not timed, these are the latest there can be.
    before = "" if way is None or way.walk_min is not None else "before "
    if up is not None:
        head = f"{head} · up {before}{up['clock']}"
    elif leave is not None:
        head = f"{head} · go {before}{leave['clock']}"
    cell["words"] = head
    return cell
