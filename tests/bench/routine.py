"""The habits of one animal from a long log: 20,000 sightings over 2,000 visits.

Run: python tests/bench/routine.py. Printed is the best of five runs, and its ratio to a peer in the
same process: parsing and writing the same request as JSON with the standard library, which is what
a phone does with it anyway. Wanted on a quiet machine: 300 ms. Also what the card's own argument
costs, and how the time grows with the log.
"""

from __future__ import annotations

import json
import random
import sys
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

from scout.engine.calls import call
from tests.engine.logs import LogBook


def long_log(visits: int, sightings: int) -> dict[str, Any]:
    """Return a request over a log of so many visits, three perches in view, a few stays each."""
    chance = random.Random(8)
    log = LogBook("Stump", "Willow", "Post")
    for number in range(visits):
        on = date(2021, 1, 1) + timedelta(days=number)
        watch = log.watch(
            on, -40, 220, sky="clear", wind_from_deg=chance.choice([45.0, 200.0]), wind_force=2
        )
        for _ in range(sightings // visits):
            start = chance.gauss(90, 40)
            log.seen(
                watch, on, start, start + chance.uniform(1, 9), perch=chance.choice(log.perches)
            )
    return log.request()


def best_s(run: Callable[[], Any], times: int = 5) -> float:
    """Return the shortest of some runs [s]."""
    spent = []
    for _ in range(times):
        began = time.perf_counter()
        run()
        spent.append(time.perf_counter() - began)
    return min(spent)


def main() -> None:
    """Print times and ratios."""
    for visits, sightings in ((200, 2_000), (1_000, 10_000), (2_000, 20_000)):
        log = long_log(visits, sightings)
        asked = {**log, "date": "2026-05-01"}
        answer = call("routine", asked)
        assert answer["dawn"]["there"]["n"] == visits
        page_s = best_s(lambda asked=asked: call("routine", asked))  # type: ignore[misc]
        card_s = best_s(lambda log=log: call("presence", log))  # type: ignore[misc]
        text = json.dumps(asked)
        json_s = best_s(lambda text=text: json.dumps(json.loads(text)))  # type: ignore[misc]
        print(
            f"{sightings:6d} sightings, {visits:4d} visits: routine {1000 * page_s:.0f} ms, "
            f"presence {1000 * card_s:.0f} ms; routine / JSON there and back: {page_s / json_s:.1f}"
        )


if __name__ == "__main__":
    main()
