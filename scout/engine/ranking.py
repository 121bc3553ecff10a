"""A card before it is written: the sightlines of one session in order, by one rule.

Barred ones last. With a routine: by on how many watched mornings there was a stay in good light,
then good minutes; without: by good minutes under the sky that was typed, else sun in and out, then
clear, then overcast; ties by name, then id. Where too little was watched, a sightline stands at the
mean of those that were watched enough: what was never looked at is neither praised nor blamed.
Not for: the figures of one sightline (`prospect`), words.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, time
from math import fsum
from typing import Any

import attrs

from scout.engine import reasons
from scout.engine.anchoring import Day, Days
from scout.engine.approach import first_arrival_utc
from scout.engine.asked import Asked
from scout.engine.awaited import Awaited, awaited
from scout.engine.demands import unmet
from scout.engine.jeffreys import share_of
from scout.engine.prospect import Prospect, Scene, prospect_of, scene_of
from scout.engine.sessions import Session, dawn_of, dusk_of
from scout.engine.veil import is_sensitive, veiled
from scout.engine.wear import Wear, wear_of

UNTYPED_SKY = "in and out"  # what the order goes by while nobody has typed a sky
_NEXT_SKIES = ("in and out", "clear", "overcast")


@attrs.frozen(kw_only=True)
class Ranked:
    """A prospect with what ranks it: what is known of its good light, wear, and the rest.

    chance: the share of mornings that it is ranked by, 0 where it is ranked by light alone.
    """

    prospect: Prospect
    known: Awaited
    chance: float
    wear: Wear
    unmet: tuple[str, ...]
    barred: bool


@attrs.frozen(kw_only=True)
class Card:
    """A computed card: the outing card writes one, the choice table is made of many."""

    asked: Asked
    session: Session
    ranked: tuple[Ranked, ...]
    scene: Scene
    sensitive: bool
    day: Day | None

    @property
    def best(self) -> Ranked | None:
        """The first sightline that nothing bars, None where there is none."""
        return next((one for one in self.ranked if not one.barred), None)

    @property
    def sky(self) -> str:
        """The sky the order goes by."""
        return self.asked.sky or UNTYPED_SKY

    @property
    def by_routine(self) -> bool:
        """Whether some sightline that nothing bars was watched enough to rank by."""
        return any(one.known.enough for one in self.ranked if not one.barred)

    def known_under(self, one: Ranked, sky: str) -> Awaited:
        """Answer what is known of a sightline's good light under a sky."""
        if sky == self.sky:
            return one.known
        return _known(self.scene, self.day, one.prospect, sky)


def case_of(sky: str) -> str:
    """Answer the case in which a sky's best light is looked for: under sun in and out, the sun."""
    return "sun out" if sky == "in and out" else sky


def card_of(asked: Asked) -> Card:
    """Compute a card from a request that was read."""
    where, zone = asked.site.centre, asked.site.zone
    of = dawn_of if asked.session == "dawn" else dusk_of
    session = of(where.lat, where.lon, zone, asked.date)
    sensitive = is_sensitive(asked)
    if asked.discreet and sensitive:
        asked = veiled(asked)
    # Noon of the day dates what has no time of its own, such as the declination.
    at = session.sun_level_utc or datetime.combine(asked.date, time(12), UTC)
    arrival = first_arrival_utc(asked.sightings, asked.species, asked.site, session)
    scene = scene_of(asked, session.start_utc, session.end_utc, at, arrival)
    sky = asked.sky or UNTYPED_SKY
    day = None if asked.together is None else Days(where.lat, where.lon).on(asked.date, zone)
    found = [
        _ranked(scene, session, day, prospect_of(scene, session, line), sky)
        for line in asked.sightlines
    ]
    middle = _middle(found)
    ranked = [attrs.evolve(one, chance=_chance(one.known, middle)) for one in found]
    ranked.sort(key=lambda one: _order(one, sky, asked.settings.worth_share))
    return Card(
        asked=asked,
        session=session,
        ranked=tuple(ranked),
        scene=scene,
        sensitive=sensitive,
        day=day,
    )


def _known(scene: Scene, day: Day | None, prospect: Prospect, sky: str) -> Awaited:
    minutes = scene.minutes[prospect.first_minute :]
    there = minutes[0].at_utc if minutes else None
    return awaited(scene.asked, prospect, there, day, case_of(sky))


def _ranked(
    scene: Scene, session: Session, day: Day | None, prospect: Prospect, sky: str
) -> Ranked:
    asked = scene.asked
    wishes = unmet(asked, prospect)
    return Ranked(
        prospect=prospect,
        known=_known(scene, day, prospect, sky),
        chance=0.0,
        wear=wear_of(asked, prospect.vantage, session.start_utc or scene.at),
        unmet=wishes,
        barred=bool(prospect.bars.barred or wishes),
    )


def _middle(found: Sequence[Ranked]) -> float:
    """The share of all sightlines that were watched enough taken together, 0 where none was."""
    shares = [
        one.known.whole.share for one in found if one.known.whole is not None and one.known.enough
    ]
    if not shares:
        return 0.0
    k, n = (int(fsum(parts)) for parts in zip(*((one.k, one.n) for one in shares), strict=True))
    return share_of(k, n).mean


def _chance(known: Awaited, middle: float) -> float:
    """The posterior mean of a sightline, to two decimals as it is ranked by."""
    if known.whole is None or (known.whole.lit and not known.enough):
        return round(middle, 2)
    return round(known.whole.share.mean, 2) if known.whole.lit else 0.0


def _order(one: Ranked, sky: str, worth_share: float) -> tuple[Any, ...]:
    good = one.prospect.good_min
    skies = (sky, *(other for other in _NEXT_SKIES if other != sky))
    return (
        one.barred,
        -one.chance,
        # Known to be good goes before what may be as good.
        not (one.known.enough and one.chance >= worth_share),
        *(-good[name] for name in skies),
        reasons.name_of(one.prospect),
        one.prospect.line.id,
    )
