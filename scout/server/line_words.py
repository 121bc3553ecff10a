"""One sightline in words on paper: what is owed to the animal, then the light and the reasons.

Not for: how many lines there is room for (`layout`).
"""

from __future__ import annotations

import re
from typing import Any

from scout.engine.angles import compass_letters
from scout.server.clipped import clipped
from scout.server.sheet_sizes import Sheet

_REACTION = re.compile(r"(?<!no )\breactions?\b")


def line_words(card: dict[str, Any], line: dict[str, Any], size: Sheet) -> dict[str, Any]:
    """Answer a sightline's words on a sheet.

    `said` are its reasons in order, `owed` what of them is owed to the animal, `minded` what of
    that stands beneath a short strip too.
    """
    winds = [] if card["title"]["animal"] == "bird" else [f"Bad winds: {line['bad_winds']}."]
    # How level it is stands in the title already.
    level = line["level"].rstrip(".").lower()
    # What is owed to the animal comes first and is never cut; what speaks against is cut last.
    owed = [*line["notes"], *(one for one in line["against"] if _REACTION.search(one))]
    owed = [clipped(one, 2 * size.reason) for one in owed]
    said = [
        line["clears_words"],
        *winds,
        *_presence(line),
        *(
            f"− {one}"
            for one in line["against"]
            if one.rstrip(".").lower() != level and not _REACTION.search(one)
        ),
        *(f"+ {one}" for one in line["for"] if one.rstrip(".").lower() != level),
    ]
    return {
        "rank": line["rank"],
        "name": clipped(line["name"], 46),
        "facts": _facts(line),
        "wants": _wants(line, size),
        "owed": owed,
        # Beneath a short strip there is no room for what speaks for a sightline.
        "minded": [one for one in owed if not one.endswith("no reaction.")],
        "level": clipped(line["level"], 60),
        "said": [
            clipped(_best(line), 3 * size.reason),
            *owed,
            *(clipped(one, 3 * size.reason) for one in said),
        ],
    }


def _presence(line: dict[str, Any]) -> list[str]:
    """What the log says of the animal here, as one sentence, and one for each of several."""
    said = "; ".join(line[key] for key in ("presence", "stay", "left") if line[key])
    return [one for one in (said, *(each["presence"] for each in line["each"])) if one]


def _best(line: dict[str, Any]) -> str:
    """The best stretch without its count of minutes, which stands beside the strip."""
    words = line["best_words"]
    _, found, best = words.partition("; best ")
    if not found:
        return str(words)
    wanted = clipped(line["light_wanted"], 6)
    return f"best {best}" if wanted == "any" else f"best {best} · wants {wanted} light"


def _wants(line: dict[str, Any], size: Sheet) -> str:
    """The light wanted, short where the page is narrow."""
    wanted = clipped(line["light_wanted"], 6)
    if wanted == "any":
        return ""
    return f" · wants {wanted}" + (" light" if size.reasons_beside else "")


def name_alone(one: dict[str, Any]) -> str:
    """Name a sightline that is only named, with a word where it is not free to be taken."""
    close = any("only from the hide" in said for said in one["owed"])
    noticed = any(_REACTION.search(said) for said in one["owed"])
    mark = " (hide only)" if close else " (animals noticed)" if noticed else ""
    return f"{one['rank']} {clipped(one['name'], 36)}{mark}"


def _facts(line: dict[str, Any]) -> str:
    figures = line["line"]
    gap = (
        "sky behind"
        if figures["sky_behind"]
        else "gap ?"
        if figures["gap_m"] is None
        else f"gap {figures['gap_m']:.1f} m"
        if figures["gap_m"] < 10
        else f"gap {figures['gap_m']:.0f} m"
    )
    swing = figures["bearing_plus_minus_deg"]
    unsure = f" ± {swing}°" if swing > 5 else ""
    return (
        f"{figures['bearing_deg']}° {compass_letters(figures['bearing_deg'])}{unsure} · "
        f"{figures['distance_m']:.0f} m · {gap}"
    )
