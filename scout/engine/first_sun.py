"""When the sun comes on a perch, or goes off it, in words, with how surely that is known.

Never a bare time: without a skyline the level horizon is said to be assumed. Not for: working it
out (`clearing`).
"""

from __future__ import annotations

from zoneinfo import ZoneInfo

from scout.engine.clearing import Edge, SunOn
from scout.engine.clocks import clock_words
from scout.engine.prospect import Prospect


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
    return f"sun {verb} {line} {at}{spread}{doubt} ({prospect.horizon.known})"


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


def edge_of(prospect: Prospect, dawn: bool) -> Edge | None:
    """Answer the edge that counts: the first clearing at dawn, the last going at dusk."""
    if prospect.sun is None:
        return None
    return prospect.sun.first_on if dawn else prospect.sun.last_off


def _named(what: str) -> str:
    names = {"conifer": "conifers", "broadleaf in leaf": "trees", "broadleaf bare": "bare trees"}
    return "the line as tapped" if what == "tapped" else f"the {names.get(what, what)}"
