"""What a card may name when it leaves the notebook: a sensitive place by its code name alone.

No species, no position, no free text (it may name the place). The strictest of site, perches and
species rules the whole card, because one open name betrays what stands beside it. Not for:
coarsening positions in exports.
"""

from __future__ import annotations

import attrs

from scout.engine.asked import Asked

WITHHELD_SITE = "withheld site"
THE_ANIMAL = "the animal"
KEPT_CAUTIONS = "This place has cautions of its own: read them in the notebook before going."
KEPT_WALK_IN = "has cautions of its own, kept in the notebook."


def is_sensitive(asked: Asked) -> bool:
    """Tell whether anything on a card is sensitive: its site, its species, or a perch of it."""
    marks = [asked.site.sensitivity, asked.species.places]
    marks += [other.species.places for other in asked.also]
    marks += [perch.sensitivity for perch in asked.perches.values()]
    marks += [vantage.sensitivity for vantage in asked.vantages.values()]
    return any(mark not in (None, "open") for mark in marks)


def veiled(asked: Asked) -> Asked:
    """Answer the same request with every name that could betray the place replaced.

    Figures are computed from it as before; only what a reader would see is changed.
    """
    site = attrs.evolve(
        asked.site,
        name=asked.site.code_name or WITHHELD_SITE,
        access=None,
        cautions=KEPT_CAUTIONS if asked.site.cautions else None,
        closed=tuple(attrs.evolve(period, why=None) for period in asked.site.closed),
    )
    perches = {
        perch.id: attrs.evolve(
            perch,
            name=perch.code_name or f"perch {letter}",
            closed=tuple(attrs.evolve(period, why=None) for period in perch.closed),
        )
        for (_, perch), letter in zip(sorted(asked.perches.items()), _letters(), strict=False)
    }
    vantages = {
        vantage.id: attrs.evolve(vantage, name=vantage.code_name or f"vantage {letter}")
        for (_, vantage), letter in zip(sorted(asked.vantages.items()), _letters(), strict=False)
    }
    permissions = tuple(
        attrs.evolve(one, from_whom="the owner", for_what=None, conditions=None, reference=None)
        for one in asked.permissions
    )
    walk_ins = {
        vantage: [
            attrs.evolve(
                way,
                cautions=KEPT_WALK_IN if way.cautions else None,
                legs=tuple(attrs.evolve(leg, note=None) for leg in way.legs),
            )
            for way in ways
        ]
        for vantage, ways in asked.walk_ins.items()
    }
    return attrs.evolve(
        asked,
        site=site,
        species=attrs.evolve(asked.species, name=THE_ANIMAL),
        also=tuple(
            attrs.evolve(other, species=attrs.evolve(other.species, name=THE_ANIMAL))
            for other in asked.also
        ),
        perches=perches,
        vantages=vantages,
        permissions=permissions,
        walk_ins=walk_ins,
        # A hazard stays a hazard; only its name and note may betray the place.
        landmarks=tuple(attrs.evolve(mark, name="", note=None) for mark in asked.landmarks),
    )


def _letters() -> tuple[str, ...]:
    one = tuple("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    return one + tuple(first + second for first in one for second in one)
