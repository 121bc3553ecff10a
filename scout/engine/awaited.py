"""What the log lets one expect on a sightline: of every animal that was chosen, and of them all.

The card's own stretches of good light under one sky, held against each watched morning. Not for:
what is counted (`stays`), the order of a card (`ranking`).
"""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import attrs

from scout.engine.anchoring import Day
from scout.engine.asked import Asked
from scout.engine.minutes import GOOD
from scout.engine.presence import Pair, Presence, joined
from scout.engine.prospect import Prospect
from scout.engine.stays import (
    InGoodLight,
    expected_words,
    headline_words,
    left_words,
    stay_words,
    stays_in_good_light,
)
from scout.engine.stretches import since
from scout.records.kit import Species


@attrs.frozen(kw_only=True)
class Awaited:
    """What is known of one sightline's good light: of all the animals, and of each by itself.

    None where nothing is known of the perch, or of that animal.
    """

    whole: InGoodLight | None
    each: tuple[tuple[Species, InGoodLight | None], ...]

    @property
    def enough(self) -> bool:
        """Whether enough was watched to say how often one was there."""
        return self.whole is not None and self.whole.enough


def awaited(
    asked: Asked, prospect: Prospect, there_utc: datetime | None, day: Day | None, case: str
) -> Awaited:
    """Hold a sightline's good light in one case of light against what is known of its perch.

    there_utc: from when on one is in place, None for a session without light; day: the card's
    solar day, None where it does not exist. An animal that the sightline is not for is left out.
    """
    chosen = [
        (species, presence)
        for species, presence in _chosen(asked)
        if species.id not in prospect.not_for or prospect.bars.barred
    ]
    known = [presence for _, presence in chosen if presence is not None]
    if not known or day is None or there_utc is None:
        return Awaited(whole=None, each=())
    good = _good_s(prospect, there_utc, case)
    arrival = prospect.arrivals[prospect.needs.chosen][case]
    by_s = None if arrival is None else arrival.timestamp()
    perch = prospect.perch.id

    def found(presence: Presence | None) -> InGoodLight | None:
        if presence is None:
            return None
        return stays_in_good_light(
            presence,
            perch,
            asked.session,
            day,
            asked.date,
            good,
            by_s,
            asked.settings,
        )

    together = asked.together if len(chosen) == 1 + len(asked.also) else joined(known)
    whole = found(together)
    if len(chosen) == 1:
        return Awaited(whole=whole, each=((chosen[0][0], whole),))
    each = tuple((species, found(presence)) for species, presence in chosen)
    return Awaited(whole=whole, each=each)


def _chosen(asked: Asked) -> list[tuple[Species, Presence | None]]:
    others = [(one.species, one.presence) for one in asked.also]
    return [(asked.species, asked.presence), *others]


def sayings(asked: Asked, known: Awaited, zone: ZoneInfo) -> dict[str, object]:
    """Write what is known as a card's JSON: headline first, then usual stay, leaving, minutes.

    {"presence", "presence_counts", "stay", "left", "expected", "marks", "each"}; null where it is
    not known. `marks`: one a watched morning in order of sun time, true where it was seen; `each`
    is empty unless there are several animals.
    """
    whole = known.whole
    if whole is None:
        parts = ("presence", "presence_counts", "stay", "left", "expected")
        return {**dict.fromkeys(parts), "marks": [], "each": []}
    several = len(known.each) > 1
    names = " or ".join(dict.fromkeys(species.name for species, _ in known.each))
    return {
        "presence": f"{names}: {headline_words(whole, asked.session)}",
        "presence_counts": {
            **whole.share.written(),
            "season": whole.season,
            "enough": whole.enough,
        },
        "stay": None if several else stay_words(whole),
        "left": left_of(asked, known, zone),
        "expected": expected_words(whole, asked.session),
        "marks": list(whole.seen),
        "each": [_one(asked, species, found, zone) for species, found in known.each]
        if several
        else [],
    }


def left_of(asked: Asked, known: Awaited, zone: ZoneInfo) -> str | None:
    """Say that it had left when the shutter arrives, None where that is not known."""
    if known.whole is None:
        return None
    who = "they" if len(known.each) > 1 else "it"
    return left_words(known.whole, zone, asked.session, asked.settings.fewest_watches, who)


def _one(
    asked: Asked, species: Species, found: InGoodLight | None, zone: ZoneInfo
) -> dict[str, object]:
    said = "no routine is known" if found is None else headline_words(found, asked.session)
    fewest = asked.settings.fewest_watches
    return {
        "species": species.name,
        "presence": f"{species.name}: {said}",
        "stay": None if found is None else stay_words(found),
        "left": None if found is None else left_words(found, zone, asked.session, fewest),
    }


def _good_s(prospect: Prospect, there_utc: datetime, case: str) -> list[Pair]:
    """Answer from when to when the light is good once one is there [s since 1970], in order."""
    spans: list[Pair] = []
    for stretch in since(prospect.stretches[case], there_utc):
        if stretch.state != GOOD:
            continue
        start, end = stretch.start_utc.timestamp(), stretch.end_utc.timestamp()
        if spans and spans[-1][1] == start:
            spans[-1] = (spans[-1][0], end)
        else:
            spans.append((start, end))
    return spans
