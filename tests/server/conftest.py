"""A notebook in a temporary folder behind its server, with a clock that the test turns."""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from scout.notebook.folder import read_folder
from scout.notebook.notebook import Notebook, open_notebook
from tests.notebook.conftest import NOW_MS, TurnedClock
from tests.notebook.phone import Phone

from .linked import Client, client_of
from .pages import SAMPLE


@pytest.fixture
def clock() -> TurnedClock:
    return TurnedClock()


@pytest.fixture
def notebook(tmp_path: Path, clock: TurnedClock) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "notebook", clock, create=True) as opened:
        yield opened


@pytest.fixture
def link(notebook: Notebook) -> Client:
    return client_of(notebook)


@pytest.fixture
def phone() -> Phone:
    return Phone(random.Random(7), NOW_MS)


@pytest.fixture
def sample(notebook: Notebook) -> dict[str, str]:
    """Load the sample site; answers the id of each of its words."""
    folder = read_folder(SAMPLE)
    notebook.load(folder, folder.photo_paths)
    return {word: id_ for id_, word in folder.words.items()}
