"""How the ranking grows with visits: the share of logs whose first outing is near the best.

Run: python tests/bench/recovery.py [logs]. Animals known by design (see tests/engine/habit_truths);
near means a true chance of a stay in good light within a tenth of the best perch's. Wanted: four
logs of five from forty visits.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.engine.habit_truths import share_near_best


def main() -> None:
    """Print a line for each number of visits."""
    logs = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    for visits in (2, 5, 10, 20, 40, 80, 160):
        share = share_near_best(visits, logs, seed=11)
        print(f"{visits:4d} visits: near the best in {share:.0%} of {logs} logs", flush=True)


if __name__ == "__main__":
    main()
