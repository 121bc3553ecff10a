"""What a whole card says in words: whether to go, by which rule, and what is not known.

Not for: the words of one sightline (`reasons`).
"""

from __future__ import annotations

from zoneinfo import ZoneInfo

from scout.engine import reasons
from scout.engine.bars import permission_words
from scout.engine.clocks import clock_words, zone_of
from scout.engine.conditions import conditions_of
from scout.engine.minutes import SKY_LIGHT
from scout.engine.prospect import Prospect
from scout.engine.ranking import Card, case_of
from scout.engine.stretches import SHADE

_UNDER = {
    "clear": " under a clear sky",
    "in and out": ", sun in and out",
    "overcast": " under an overcast sky",
}


def best_words(prospect: Prospect, sky: str, zone: ZoneInfo) -> str:
    """Say how many good minutes a sightline has under a sky, and which stretch is the best."""
    good = prospect.good_min[sky]
    best = prospect.best[case_of(sky)]
    if best is None or good == 0:
        other = other_light_words(prospect, sky, zone)
        return f"no good minute{_UNDER[sky]}" + (f": {other}" if other else "")
    span = f"{clock_words(best.start_utc, zone)}–{clock_words(best.end_utc, zone)}"
    light = f", {best.light}" if best.light else ""
    return f"{good} good min{_UNDER[sky]}; best {span}{light}"


def other_light_words(prospect: Prospect, sky: str, zone: ZoneInfo) -> str:
    """Say which light is wanted and which the sun gives instead; empty where that is no matter."""
    wanted = prospect.line.light_wanted
    if wanted in (None, "any"):
        return ""
    spans = [
        stretch
        for stretch in prospect.stretches[case_of(sky)]
        if stretch.state == SKY_LIGHT and stretch.light != SHADE
    ]
    if not spans:
        return f"{wanted} light is wanted, and the sun is not on it while the shutter is reached"
    sides = list(dict.fromkeys(stretch.light.split(" from ")[0] for stretch in spans))
    start, end = spans[0].start_utc, spans[-1].end_utc
    return (
        f"{wanted} light is wanted, the sun gives {' and '.join(sides)} "
        f"{clock_words(start, zone)}–{clock_words(end, zone)}"
    )


def verdict(card: Card) -> str:
    """Say whether to go, sky by sky where none was typed, and on what that hangs."""
    zone = zone_of(card.asked.site.zone)
    best = card.best
    if card.session.course == "no such day":
        return "There is no such day here."
    if card.session.start_utc is None:
        return "Not for the light: it stays dark all day."
    if not card.ranked:
        return "No sightline here yet: connect a vantage to a perch first."
    if best is None:
        return "Not this time: every sightline is barred."
    good = best.prospect.good_min
    name = reasons.name_of(best.prospect)
    fewest = round(card.asked.settings.worth_min)
    hangs = "".join(f" {one}" for one in conditions_of(card))
    if card.asked.sky is not None:
        minutes = good[card.asked.sky]
        said = "Worth it" if minutes >= fewest else "Not for the light"
        words = f"{said}: {name}, {best_words(best.prospect, card.asked.sky, zone)}."
        return f"{words}{hangs}" if minutes >= fewest else words
    worth = [sky for sky in ("clear", "in and out", "overcast") if good[sky] >= fewest]
    if not worth:
        if max(good.values()) == 0:
            return f"Not for the light: under no sky does {name} reach a good minute."
        return f"Not for the light: {name} has {max(good.values())} good min at most."
    if len(worth) == 3:
        least, most = min(good.values()), max(good.values())
        span = f"{least}" if least == most else f"{least} to {most}"
        return f"Worth it under any sky: {span} good min.{hangs}"
    others = [sky for sky in ("clear", "in and out", "overcast") if sky not in worth]
    yes = " or ".join(f"{sky} ({good[sky]} good min)" for sky in worth)
    no = f"; not if {' or '.join(others)}" if others else ""
    return f"Worth it if {yes}{no}.{hangs}"


def routine_words(card: Card) -> str:
    """Say by what the sightlines are ranked."""
    if card.asked.presence is None:
        return "No routine is known here: ranked by light alone."
    if all(one.step is None for one in card.ranked):
        return "No routine is known in good light: ranked by light alone."
    return "Ranked by the routine in good light, then by light."


def not_known(card: Card) -> list[str]:
    """Say what is missing from a card's answer, the sightlines' own gaps last."""
    asked, dawn = card.asked, card.session.kind == "dawn"
    said = list(asked.waiting)
    if asked.sky is None:
        said.append("Sky not typed: three shown, ranked as sun in and out.")
    if asked.wind is None and asked.species.animal == "mammal":
        said.append("Wind not typed: bad winds are not tested.")
    if not asked.permissions:
        said.append(permission_words((), asked.date)[0])
    zone = zone_of(asked.site.zone)
    seen = [
        watch.start.at.astimezone(zone).date()
        for watch in asked.watches
        if watch.vantage in asked.vantages
    ]
    past = [day for day in seen if day <= asked.date]
    said.append(
        f"Nothing watched since {max(past).isoformat()}." if past else "Nothing watched here yet."
    )
    best = card.best
    if best is not None and best.prospect.approach is not None:
        said.extend(best.prospect.approach.remarks)
    for one in card.ranked:
        if not one.barred:
            said.extend(reasons.not_known(one.prospect, dawn))
    return list(dict.fromkeys(said))
