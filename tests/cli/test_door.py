"""People and devices at the terminal: a one-time code, lists, taking off."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest

from scout.commands.typed import now
from scout.notebook.notebook import Notebook, open_notebook
from scout.server.app import create_app
from tests.server.callers import Household

from .conftest import Run


@pytest.fixture
def mine(run: Run, place: Path) -> Path:
    assert run("load", "sample_site", "--notebook", "mine").exit_code == 0
    return place / "mine"


@pytest.fixture
def home(mine: Path) -> Iterator[Household]:
    with open_notebook(mine, now) as notebook:
        yield Household(create_app(notebook), notebook)


def said(run: Run, asked: str) -> str:
    result = run(*shlex.split(asked))
    assert result.exit_code == 0, result.output
    return result.output


def paired_by(notebook: Notebook, home: Household, typed: str) -> int:
    phone = home.caller()
    return phone.post("pair/claim", typed=typed, device=phone.device, name="Old phone").status


def test_a_printed_code_lets_the_first_device_in(run: Run, home: Household) -> None:
    told = said(run, "pair mine --at https://scout.local:8443/")
    secret = re.search(r"https://scout\.local:8443/#/pair\?once=(\S+)", told)
    code = re.search(r"[A-Z]{4}-[A-Z]{4}-[A-Z]{5}", told)
    assert secret is not None
    assert code is not None
    assert "█" in told
    assert paired_by(home.notebook, home, secret[1]) == 200
    assert paired_by(home.notebook, home, secret[1]) == 404
    again = re.search(r"[A-Z]{4}-[A-Z]{4}-[A-Z]{5}", said(run, "pair mine"))
    assert again is not None
    assert paired_by(home.notebook, home, again[0]) == 200


def test_people_and_their_devices_come_and_go(run: Run, home: Household) -> None:
    assert "No device is paired" in said(run, "devices mine")
    assert "Anna · editor · all sites" in said(run, "people mine --add Anna --role editor")
    assert "Ben · viewer · 1 site" in said(run, "people mine --add Ben --site Pell")
    code = re.search(r"[A-Z]{4}-[A-Z]{4}-[A-Z]{5}", said(run, "pair mine --person anna"))
    assert code is not None
    assert paired_by(home.notebook, home, code[0]) == 200
    listed = said(run, "devices mine")
    assert re.search(r"Old phone · Anna · paired \d{4}-\d\d-\d\d · [0-9a-f-]{36}", listed)
    assert "is off" in said(run, "devices mine --revoke 'old phone' --wipe")
    assert "its holder asked to clear it" in said(run, "devices mine")
    assert "Anna" not in said(run, "people mine --remove Anna")


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("pair nowhere", "no notebook in nowhere"),
        ("pair mine --person Nobody", "0 people of this name"),
        ("devices mine --revoke Nothing", "no such device"),
        ("devices mine --wipe", "--revoke"),
        ("people mine --add Anna --role owner --site Pell", "all sites"),
        ("people mine --add Anna --site Nowhere", "0 sites begin"),
        ("people mine --add ' '", "name"),
        ("people mine --remove owner", "last owner"),
        ("people mine --site Pell", "--add"),
        ("people mine --add A --remove B", "one after the other"),
    ],
)
def test_what_cannot_be_done_is_refused_in_words(
    run: Run, home: Household, asked: str, words: str
) -> None:
    result = run(*shlex.split(asked))
    assert result.exit_code == 2
    assert words in " ".join(result.output.split())
    assert "Traceback" not in result.output
