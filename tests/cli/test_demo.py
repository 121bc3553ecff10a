"""The demo: one command, no network, a choice table, a card, and one page to print."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scout.commands import typed


def test_it_prints_the_table_and_the_card_and_writes_one_page(
    run: Callable[..., Any], place: Path
) -> None:
    before = sorted(path.name for path in place.iterdir())
    result = run("demo", "--on", "2026-05-12")
    assert result.exit_code == 0
    assert re.search(r"^site and session +Tue 12 May +Wed 13 May +Thu 14 May$", result.stdout, re.M)
    assert re.search(r"^Pellwick Meadows · dawn, Tue 12 May 2026 · Stonechat$", result.stdout, re.M)
    fresh = [path for path in place.iterdir() if path.name not in before]
    assert [path.name for path in fresh] == ["pellwick-meadows-2026-05-12-dawn.html"]
    assert result.stdout.splitlines()[-1].endswith(str(fresh[0].resolve()))
    html = fresh[0].read_text("utf-8")
    assert "Pellwick Meadows" in html
    assert "<svg" in html
    assert html.rstrip().endswith("</html>")


def test_a_sensitive_place_is_not_suggested(run: Callable[..., Any]) -> None:
    # The dean's dawn has more good minutes all year, and is the one that is not offered unasked.
    result = run("demo", "--on", "2026-05-12")
    minutes = {
        name: int(re.search(rf"^{name} +(\d+) min", result.stdout, re.M)[1])  # type: ignore[index]
        for name in ("Pellwick Meadows", "Hobthorn Dean")
    }
    assert minutes["Hobthorn Dean"] > minutes["Pellwick Meadows"]
    assert "Hobthorn Dean · dawn," not in result.stdout


def test_twice_makes_the_same_page_again(run: Callable[..., Any], place: Path) -> None:
    (place / "pages").mkdir()
    for _ in range(2):
        assert run("demo", "--on", "2026-05-12", "--out", "pages").exit_code == 0
    assert len(list((place / "pages").iterdir())) == 1
    assert sorted(path.name for path in place.iterdir()) == ["pages", "sample_site"]


def test_without_a_day_it_is_about_tomorrow(
    run: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    late = typed.datetime(2026, 6, 30, 23, 30, tzinfo=typed.UTC)
    monkeypatch.setattr(typed, "now", lambda: late)  # half past midnight on 1 July at the site
    assert "· dawn, Thu 2 Jul 2026 ·" in run("demo").stdout


def test_it_runs_as_a_program_with_the_clock_as_it_is(
    program: Callable[..., subprocess.CompletedProcess[str]], place: Path
) -> None:
    ended = program("demo", COLUMNS="80")
    assert ended.returncode == 0, ended.stderr
    assert ended.stderr == ""
    assert "\x1b" not in ended.stdout
    assert max(map(len, ended.stdout.splitlines()[:-1])) <= 80
    assert len(list(place.glob("*.html"))) == 1


def test_a_sensitive_card_goes_to_paper_by_its_code_name(
    run: Callable[..., Any], place: Path
) -> None:
    result = run(
        *("card", "--folder", "sample_site", "--site", "hobthorn", "--species", "otter"),
        *("--kit", "long", "--on", "2026-11-27", "--paper", "page.html", "--size", "a5"),
    )
    assert result.exit_code == 0
    assert "Hobthorn Dean · dawn" in result.stdout  # the owner's own screen
    html = (place / "page.html").read_text("utf-8")
    assert "Slate" in html
    for secret in ("Hobthorn", "Otter", "Brook log", "52.9", "keeper of the dean"):
        assert secret not in html
