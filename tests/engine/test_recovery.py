"""From a log of forty visits the outing ranked first is nearly the best that there was."""

from __future__ import annotations

import os

from .habit_truths import share_near_best

LOGS = 400 if os.environ.get("SCOUT_FULL") else 60


def test_forty_visits_are_enough_in_four_logs_of_five() -> None:
    assert share_near_best(40, LOGS, seed=3) >= 0.8


def test_three_visits_are_not() -> None:
    """The measure can fail: hardly any log tells as much as forty visits do."""
    assert share_near_best(3, LOGS, seed=3) < 0.8
