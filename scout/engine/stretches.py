"""Minutes of one state condensed into stretches: from when to when, in which light.

Not for: what a stretch means for the choice (`outing`).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import attrs

from scout.engine.minutes import DARK, GOOD, SKY_LIGHT, SUN, Minute, side_word
from scout.engine.side import HIGH_ABOVE_DEG

_WORDS = {
    DARK: "too dark",
    SKY_LIGHT: "shutter reached",
    SUN: "sun on it, shutter not reached",
    GOOD: "good",
}


SHADE = "sky light"  # the light of a stretch in which the sun is not on the perch


@attrs.frozen
class Stretch:
    """Minutes on end in one state and one kind of light; `end_utc` ends the last minute."""

    start_utc: datetime
    end_utc: datetime
    state: str
    light: str

    @property
    def minutes(self) -> int:
        """How long it lasts [min]."""
        return round((self.end_utc - self.start_utc).total_seconds() / 60)

    @property
    def words(self) -> str:
        """The state and the light in words."""
        return f"{_WORDS[self.state]}: {self.light}" if self.light else _WORDS[self.state]


def stretches(
    minutes: Sequence[Minute],
    states: Sequence[str],
    angles_deg: Sequence[float],
    beam: Sequence[bool],
) -> tuple[Stretch, ...]:
    """Condense a session's minutes.

    `angles_deg` between sun and lens at the perch, positive from the right; `beam` says in which
    minutes the sun lights the perch.
    """
    found: list[Stretch] = []
    begun, kept = 0, ("", "")
    for place, minute in enumerate(minutes):
        state = states[place]
        if beam[place]:
            light = _light(angles_deg[place], minute.altitude_deg)
        else:
            light = "" if state == DARK else SHADE
        if place and (state, light) != kept:
            found.append(Stretch(minutes[begun].at_utc, minute.at_utc, *kept))
            begun = place
        kept = (state, light)
    if minutes:
        end = minutes[-1].at_utc + timedelta(minutes=1)
        found.append(Stretch(minutes[begun].at_utc, end, *kept))
    return tuple(found)


def since(found: Sequence[Stretch], from_utc: datetime) -> tuple[Stretch, ...]:
    """Answer what is left of stretches from the moment on at which one is there."""
    return tuple(
        attrs.evolve(stretch, start_utc=max(stretch.start_utc, from_utc))
        for stretch in found
        if stretch.end_utc > from_utc
    )


def longest_good(found: Sequence[Stretch]) -> Stretch | None:
    """Answer the longest run of good stretches on end as one, the earliest where two are equal."""
    runs: list[Stretch] = []
    for stretch in found:
        if stretch.state != GOOD:
            continue
        if runs and runs[-1].end_utc == stretch.start_utc:
            light = _joined(runs[-1].light, stretch.light)
            runs[-1] = attrs.evolve(runs[-1], end_utc=stretch.end_utc, light=light)
        else:
            runs.append(stretch)
    return max(runs, key=lambda run: run.minutes, default=None)


def _joined(before: str, light: str) -> str:
    """Join the lights of a run: "front light from the right, then from the left"."""
    parts = before.split(", then ") if before else []
    # What "from the left" leaves out is the last light that was named in full.
    named = next((part for part in reversed(parts) if "light" in part), "")
    kind = named.split(" from ")[0]
    if light in ("", named, kind) or not parts:
        return before or light
    short = light.removeprefix(f"{kind} ") if light.startswith(f"{kind} from ") else light
    return before if parts[-1] == short else f"{before}, then {short}"


def _light(angle_deg: float, altitude_deg: float) -> str:
    word, shown = side_word(angle_deg), round(abs(angle_deg))
    hand = "" if shown in (0, 180) else " from the right" if angle_deg > 0 else " from the left"
    high = "high " if round(altitude_deg) > HIGH_ABOVE_DEG else ""
    return f"{high}{word} light{hand}"
