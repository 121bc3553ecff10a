"""A notebook in a temporary folder, with a clock that the test turns."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from scout.notebook.notebook import Notebook, open_notebook

from .phone import Direct, Phone

NOW_MS = 1_778_557_500_000  # 2026-05-12, early


class TurnedClock:
    """A clock that stands until the test moves it."""

    def __init__(self) -> None:
        self.now = dt.datetime.fromtimestamp(NOW_MS / 1000, dt.UTC)

    def __call__(self) -> dt.datetime:
        return self.now

    def pass_by(self, **span: float) -> None:
        self.now += dt.timedelta(**span)


@pytest.fixture
def clock() -> TurnedClock:
    return TurnedClock()


@pytest.fixture
def notebook(tmp_path: Path, clock: TurnedClock) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "notebook", clock, create=True) as opened:
        yield opened


@pytest.fixture
def server(notebook: Notebook) -> Direct:
    return Direct(notebook)


@pytest.fixture
def phone() -> Phone:
    return Phone(random.Random(7), NOW_MS)


@pytest.fixture
def other() -> Phone:
    return Phone(random.Random(8), NOW_MS - 3 * 86_400_000)  # three days slow
