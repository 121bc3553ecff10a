"""What a whole card says in words: whether to go, by which rule, and what is not known.

Not for: the words of one sightline (`reasons`).
"""

from __future__ import annotations

from zoneinfo import ZoneInfo

import attrs

from scout.engine import reasons
from scout.engine.awaited import left_of
from scout.engine.bars import permission_words
from scout.engine.clocks import clock_words, zone_of
from scout.engine.conditions import conditions_of
from scout.engine.light import SKIES
from scout.engine.minutes import SKY_LIGHT
from scout.engine.prospect import Prospect
from scout.engine.ranking import Card, Ranked, case_of
from scout.engine.stays import InGoodLight, headline_words
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
    # Under a broken sky fewer minutes are counted than the stretch has: say what it is of.
    out = " while the sun is out" if sky == "in and out" else ""
    light = f", {best.light}" if best.light else ""
    return f"{good} good min{_UNDER[sky]}; best {span}{out}{light}"


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


@attrs.frozen
class Verdict:
    """What a card says of going: the sentence, and the skies under which it is worth it.

    Where a sky was typed, that one alone or none.
    """

    words: str
    worth: tuple[str, ...] = ()


def verdict(card: Card) -> Verdict:
    """Say whether to go, sky by sky where none was typed, and on what that hangs.

    A sky is worth it with enough good minutes and, where enough mornings were watched, with a stay
    in good light on a large enough share of them.
    """
    best = card.best
    if card.session.course == "no such day":
        return Verdict("There is no such day here.")
    if card.session.start_utc is None:
        return Verdict("Not for the light: it stays dark all day.")
    if not card.ranked:
        return Verdict("No sightline here yet: connect a vantage to a perch first.")
    if best is None:
        return Verdict("Not this time: every sightline is barred.")
    judged = [_judged(card, best, sky) for sky in SKIES]
    hangs = "".join(f" {one}" for one in conditions_of(card))
    if card.asked.sky is not None:
        typed = next(one for one in judged if one.sky == card.asked.sky)
        return Verdict(_typed(card, best, typed, hangs), (typed.sky,) if typed.worth else ())
    words = _by_sky(card, best, judged, hangs)
    return Verdict(words, tuple(one.sky for one in judged if one.worth))


def _by_sky(card: Card, best: Ranked, judged: list[_Judged], hangs: str) -> str:
    worth = [one for one in judged if one.worth]
    others = [one for one in judged if not one.worth]
    if not worth:
        return _nothing(card, best, judged)
    if not others:
        if any(one.counted for one in judged):
            each = ", ".join(f"{one.sky} ({one.figures})" for one in judged)
            return f"Worth it under any sky: {each}.{hangs}"
        least, most = (end(one.good_min for one in judged) for end in (min, max))
        span = f"{least}" if least == most else f"{least} to {most}"
        return f"Worth it under any sky: {span} good min.{hangs}"
    yes = " or ".join(f"{one.sky} ({one.figures})" for one in worth)
    no = " or ".join(
        f"{one.sky} ({one.figures})" if one.counted and one.good_min else one.sky for one in others
    )
    left = next((one.left for one in reversed(others) if one.left is not None), None)
    why = "" if left is None else f": {left}"
    return f"Worth it if {yes}; not if {no}{why}.{hangs}"


@attrs.frozen(kw_only=True)
class _Judged:
    """One sky for the best sightline: good minutes, mornings where enough were watched, verdict."""

    sky: str
    good_min: int
    counted: InGoodLight | None
    left: str | None
    worth: bool
    session: str

    @property
    def figures(self) -> str:
        """Such as "61 good min, then there on 7 of 12 watched dawns"."""
        words = f"{self.good_min} good min"
        if self.counted is None:
            return words
        share = self.counted.share
        return f"{words}, then there on {share.k} of {share.n} watched {self.session}s"


def _judged(card: Card, best: Ranked, sky: str) -> _Judged:
    settings = card.asked.settings
    known = card.known_under(best, sky)
    counted = known.whole if known.enough else None
    good = best.prospect.good_min[sky]
    often = counted is None or (
        round(counted.share.k / counted.share.n, 3) >= round(settings.worth_share, 3)
    )
    # That it had left on none of the mornings speaks against no sky.
    has_left = known.whole is not None and known.whole.missed.k > 0
    zone = zone_of(card.asked.site.zone)
    return _Judged(
        sky=sky,
        good_min=good,
        counted=counted,
        left=left_of(card.asked, known, zone) if has_left else None,
        worth=good >= round(settings.worth_min) and often,
        session=card.session.kind,
    )


def _typed(card: Card, best: Ranked, judged: _Judged, hangs: str) -> str:
    name, zone = reasons.name_of(best.prospect), zone_of(card.asked.site.zone)
    light = best_words(best.prospect, judged.sky, zone)
    if judged.counted is None:
        said = "Worth it" if judged.worth else "Not for the light"
        return f"{said}: {name}, {light}.{hangs if judged.worth else ''}"
    often = headline_words(judged.counted, judged.session)
    left = "" if judged.left is None else f"; {judged.left}"
    if judged.worth:
        return f"Worth it: {name}, {light}; {often}{left}.{hangs}"
    if judged.good_min < round(card.asked.settings.worth_min):
        return f"Not for the light: {name}, {light}{left}."
    return f"Seldom: {name}, {often}{left}; {light}."


def _nothing(card: Card, best: Ranked, judged: list[_Judged]) -> str:
    name = reasons.name_of(best.prospect)
    most = max(one.good_min for one in judged)
    left = next((one.left for one in judged if one.left is not None), None)
    why = "" if left is None else f"; {left}"
    if most == 0:
        return f"Not for the light: under no sky does {name} reach a good minute{why}."
    if most < round(card.asked.settings.worth_min):
        return f"Not for the light: {name} has {most} good min at most{why}."
    each = ", ".join(f"{one.sky} ({one.figures})" for one in judged)
    return f"Seldom under any sky: {name}, {each}{why}."


def routine_words(card: Card) -> str:
    """Say by what the sightlines are ranked."""
    if card.asked.together is None:
        return "No routine is known here: ranked by light alone."
    known = [one.known.whole for one in card.ranked if not one.barred]
    lit = [one for one in known if one is not None and one.lit]
    if not card.by_routine:
        most = max((one.share.n for one in lit), default=0)
        if most == 0:
            return "No routine is known in good light: ranked by light alone."
        watched = f"{most} {card.session.kind}{'' if most == 1 else 's'}"
        return (
            f"Its good light was watched on {watched} at most, which says nothing yet "
            f"({card.asked.settings.fewest_watches} are the fewest): ranked by light alone."
        )
    said = "Ranked by how often there was a stay in good light, then by light."
    unsaid = [
        one
        for one in card.ranked
        if not one.barred
        and not one.known.enough
        and (one.known.whole is None or one.known.whole.lit)
    ]
    if unsaid:
        said += " What was watched too little stands at the middle of the others."
    return said


def not_known(card: Card) -> list[str]:
    """Say what is missing from a card's answer, the sightlines' own gaps last."""
    asked, dawn = card.asked, card.session.kind == "dawn"
    said = list(asked.waiting)
    if asked.sky is None:
        said.append("Sky not typed: three shown, ranked as sun in and out.")
    if asked.wind is None and asked.scents:
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
