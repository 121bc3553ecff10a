"""What outings have taught in the terminal: plain tables of counts, and what was foretold.

Not for: counting.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scout.terminal.page import Page

_INDENT = 3


def print_after(page: Page, said: Mapping[str, Any], site: str) -> None:
    """Print the engine's answer."""
    page.heading(f"{site} · after {said['visits']} visit{'' if said['visits'] == 1 else 's'}")
    page.line(f"{said['keepers']} kept of {said['frames']} frames, where both were noted")
    page.line(said["scope"])
    if said["failed"]:
        page.line()
        page.heading("What costs the most pictures")
        page.table(
            ("what failed", "lost", "visits"),
            (
                (row["what"], str(row["pictures"]), f"{row['visits']} of {said['visits']}")
                for row in said["failed"]
            ),
            _INDENT,
            right=(1, 2),
        )
        if said["lost_words"] is not None:
            page.line(said["lost_words"], _INDENT)
    if said["vantages"]:
        page.line()
        page.heading("Which vantages earn them")
        page.table(
            ("vantage", "kept", "of frames", "visits", "hours"),
            (
                (
                    row["name"],
                    *(str(row[key]) for key in ("keepers", "frames", "visits")),
                    f"{row['hours']:g}",
                )
                for row in said["vantages"]
            ),
            _INDENT,
            right=(1, 2, 3, 4),
        )
    page.line()
    page.heading("Keep-distances from your own reactions")
    told = [one["words"] for one in said["keep_distances"].values() if one is not None]
    for words in told or ["No reaction with a distance is noted yet."]:
        page.line(words, _INDENT)
    page.line()
    page.heading("Shutter foretold and as it was")
    for shot in said["shutters"]:
        page.named(f"{shot['at']['utc'][:10]} {shot['at']['clock']}", shot["words"], _INDENT)
    page.line(said["shutter_words"], _INDENT)
