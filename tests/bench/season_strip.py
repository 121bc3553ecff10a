"""A year of one sightline's four states, by roots, against minute-by-minute brute force.

Run: python tests/bench/season_strip.py. Brute force is the sun by pvlib's `nrel_numpy` at every
minute of 365 days (its own refraction off, Saemundsson's applied), and the state of every minute of
every dawn worked out from it. Every boundary that lasts two minutes must agree within a minute, and
the engine be five times as fast; both ratios are printed, with and without the states' own cost.
"""

from __future__ import annotations

import math
import sys
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
from pvlib import solarposition

sys.path.insert(0, str(Path(__file__).parents[2]))

from scout.engine.asked import read_asked
from scout.engine.light import Daylight
from scout.engine.minutes import CASES, DARK, GOOD, SKY_LIGHT, SUN, side_word
from scout.engine.side import horizontal_angle_deg
from scout.engine.turning import Piece
from scout.engine.year import SessionStates, Year, session_states, year_of
from tests.engine.cards import ident, request, sightline, skyline

FIRST = date(2026, 1, 1)
DAYS = 365


def prepared(light_wanted: str = "front") -> Year:
    """Return the year of one sightline under a wooded skyline that has no leaf."""
    nodes = [(a, 7 + 3 * math.sin(math.radians(2 * a))) for a in np.arange(0.0, 360.0, 4).tolist()]
    whole = request(
        sightlines=[sightline(light_wanted=light_wanted)], skylines=[skyline(nodes)], settings={}
    )
    whole["date"] = FIRST.isoformat()
    return year_of(read_asked(whole), ident("Bank to Stump"))


def brute(year: Year, sessions: list[SessionStates]) -> tuple[float, float, list[list[list[str]]]]:
    """Return the seconds of the sun alone, of all, and each session's states by case and minute."""
    began = time.perf_counter()
    start = datetime(FIRST.year, 1, 1, tzinfo=UTC)
    minutes = pd.date_range(start, periods=DAYS * 1440 + 1, freq="min")
    where = year.asked.site.centre
    sun = solarposition.get_solarposition(minutes, where.lat, where.lon, method="nrel_numpy")
    sun_s = time.perf_counter() - began
    true, azimuths = sun["elevation"].to_numpy(), sun["azimuth"].to_numpy()
    lift = np.clip(1.02 / np.tan(np.radians(true + 10.3 / (true + 5.11))) / 60, 0, None)
    line = year.seen.horizon.line
    assert line is not None
    around = [*line.azimuths_deg, line.azimuths_deg[0] + 360]
    heights = [*(node.altitude_deg for node in line.nodes), line.nodes[0].altitude_deg]
    on = true + lift * (true >= -1) >= np.interp(azimuths, around, heights)
    track = year.tracks["in leaf"][1]
    wanted, need = track.light_wanted, track.needs.lux[track.needs.chosen]
    found: list[list[list[str]]] = []
    for session in sessions:
        first = math.ceil((session.start_s - start.timestamp()) / 60)
        last = math.floor((session.end_s - start.timestamp()) / 60)
        rows: list[list[str]] = [[] for _ in CASES]
        for at in range(first, last + 1):
            angle = horizontal_angle_deg(track.bearing_deg, float(azimuths[at]))
            lux = Daylight(float(true[at]), session.on.timetuple().tm_yday).upright_lux(
                track.face, math.cos(math.radians(angle)), bool(on[at])
            )
            for place, row in enumerate(rows):
                beam = bool(on[at]) and place < 2
                if lux[place] >= need:
                    good = wanted == "any" or (beam and side_word(angle) == wanted)
                    row.append(GOOD if good else SKY_LIGHT)
                else:
                    row.append(SUN if beam else DARK)
        found.append(rows)
    return sun_s, time.perf_counter() - began, found


def compared(session: SessionStates, rows: list[list[str]]) -> tuple[float, int]:
    """Return the furthest that a boundary is off [s], and how many minutes have another state.

    A minute within 60 s of a boundary of its own kind is no difference.
    """
    worst, other = 0.0, 0
    first = math.ceil(session.start_s / 60) * 60.0
    for place, case in enumerate(CASES):
        pieces = session.pieces[case]
        for step, state in enumerate(rows[place]):
            at = first + 60.0 * step
            if _state(pieces, at) == state:
                continue
            near = [
                abs(edge - at)
                for piece in pieces
                if piece.state == state
                for edge in (piece.start_s, piece.end_s)
            ]
            off = min(near, default=math.inf)
            if off > 60.0:
                other += 1
            else:
                worst = max(worst, off)
    return worst, other


def _state(pieces: tuple[Piece, ...], at: float) -> str:
    return next((one.state for one in pieces if one.start_s <= at < one.end_s), pieces[-1].state)


def main() -> None:
    """Print agreement and ratios."""
    year = prepared()
    began = time.perf_counter()
    found = [session_states(year, FIRST + timedelta(days=ahead)) for ahead in range(DAYS)]
    engine_s = time.perf_counter() - began
    sessions = [one for one in found if one is not None]
    sun_s, brute_s, rows = brute(year, sessions)
    judged = [compared(one, two) for one, two in zip(sessions, rows, strict=True)]
    print(f"{len(sessions)} dawns, {sum(len(row[0]) for row in rows)} minutes, four cases each")
    print(f"boundaries: furthest off {max(off for off, _ in judged):.0f} s (wanted 60)")
    print(f"minutes further than that from a boundary: {sum(other for _, other in judged)}")
    print(f"engine {engine_s:.2f} s, sun by minutes {sun_s:.2f} s, with states {brute_s:.2f} s")
    print(f"time of brute force / time of the engine: {brute_s / engine_s:.1f} (wanted 5)")
    print(f"time of its sun alone / time of the engine: {sun_s / engine_s:.1f}")


if __name__ == "__main__":
    main()
