"""When the sun comes on a perch, or goes off it, in words, with how surely that is known.

Never a bare time: without a skyline the level horizon is said to be assumed. Not for: working it
out (`clearing`).
"""

from __future__ import annotations

from zoneinfo import ZoneInfo

from scout.engine.clearing import Edge, SunOn
from scout.engine.clocks import clock_words
from scout.engine.horizon import Horizon
from scout.engine.prospect import Prospect

VERY_UNSURE_DEG = 5.0
"""A skyline unsure by this much says little: the sun takes half an hour and more over it at middle
latitudes; ours."""


def clears_words(prospect: Prospect, zone: ZoneInfo, dawn: bool) -> str:
    """Say when the sun clears the skyline (at dusk: when it goes behind it), with its ±."""
    if prospect.sun is None:
        return "no session, no sun"
    edge = prospect.sun.first_on if dawn else prospect.sun.last_off
    verb = "clears" if dawn else "goes behind"
    line = "the skyline" if edge is None or not edge.what else _named(edge.what)
    if edge is None:
        return _no_edge_words(prospect.sun, dawn)
    at = clock_words(edge.at_utc, zone)
    if edge.assumed_level:
        later = "not before" if dawn else "not after"
        moved = "later" if dawn else "earlier"
        return f"level horizon assumed: {later} {at}; trees make it {moved}"
    spread = "" if edge.plus_minus_min is None else f" ± {max(1, round(edge.plus_minus_min))} min"
    doubt = "" if edge.sure else ", if at all"
    unsure = unsure_deg(prospect, dawn)
    known = prospect.horizon.known_at(edge.what)
    if unsure is not None:
        known = f"{known}; the skyline there only to ±{unsure}°: a guess"
    return f"sun {verb} {line} {at}{spread}{doubt} ({known})"


def _no_edge_words(sun: SunOn, dawn: bool) -> str:
    if sun.times:
        # It stood on the perch when the session began, or still does when it ends.
        words = "the sun is on it throughout" if sun.always_on else "the sun is on it in part"
        return f"level horizon assumed: {words}" if sun.assumed_level else words
    if sun.assumed_level:
        return "level horizon assumed: the sun does not come up in this session"
    if sun.perhaps:
        return "the sun may just clear the skyline: it passes within its ±"
    return "the sun does not clear the skyline in this session"


def unsure_deg(prospect: Prospect, dawn: bool) -> int | None:
    """Answer the ± [deg] of the skyline where the sun crosses it, where it is too large to go by.

    None where it is not, and where no skyline is recorded there.
    """
    edge, line = edge_of(prospect, dawn), prospect.horizon.line
    if edge is None or line is None or edge.assumed_level:
        return None
    off = round(line.plus_minus_at(edge.azimuth_deg) or 0.0)
    return off if off >= VERY_UNSURE_DEG else None


def known_words(horizon: Horizon) -> str:
    """Say how a pin's whole skyline is known, with its largest ± where that is too large."""
    if horizon.line is None:
        return horizon.all_known
    worst = max(node.plus_minus_deg for node in horizon.line.nodes)
    if round(worst) < VERY_UNSURE_DEG:
        return horizon.all_known
    return f"{horizon.all_known}; unsure by up to ±{worst:.0f}°: aim it on the spot"


def edge_of(prospect: Prospect, dawn: bool) -> Edge | None:
    """Answer the edge that counts: the first clearing at dawn, the last going at dusk."""
    if prospect.sun is None:
        return None
    return prospect.sun.first_on if dawn else prospect.sun.last_off


def _named(what: str) -> str:
    names = {
        "terrain": "land",
        "conifer": "conifers",
        "broadleaf in leaf": "trees",
        "broadleaf bare": "bare trees",
    }
    return "the line as tapped" if what == "tapped" else f"the {names.get(what, what)}"
