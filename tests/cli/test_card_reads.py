"""A card in the terminal says what the engine says, and reads well at any width."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

CARD = [
    *("card", "--folder", "sample_site", "--site", "pellwick", "--species", "stonechat"),
    *("--kit", "long", "--on", "2026-05-12"),
]


@pytest.fixture
def answer(run: Callable[..., Any]) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(run(*CARD, "--json").stdout)
    return read


def joined(text: str) -> str:
    """Undo the wrapping of lines."""
    return re.sub(r"\s+", " ", text)


def test_every_sentence_of_the_engine_is_there(
    run: Callable[..., Any], answer: dict[str, Any]
) -> None:
    told = joined(run(*CARD).stdout)
    assert told.startswith("Pellwick Meadows · dawn, Tue 12 May 2026 · Stonechat")
    sentences = [answer["verdict"], answer["routine"], answer["permission"], answer["access"]]
    sentences += [*answer["cautions"], *answer["not_known"]]
    for line in answer["sightlines"]:
        sentences += [line["best_words"], line["line_words"], line["clears_words"]]
        sentences += [
            *line["for"],
            *line["against"],
            *line["notes"],
            f"{line['rank']} {line['name']}",
        ]
    for line in answer["barred"]:
        sentences += [f"{line['name']}: {' '.join(line['barred'])}"]
    for sentence in sentences:
        assert joined(sentence) in told


def test_times_of_the_way_and_of_the_shutters(
    run: Callable[..., Any], answer: dict[str, Any]
) -> None:
    told = run(*CARD).stdout
    for entry in answer["timeline"]:
        assert entry["at"]["clock"] in told
    for row in answer["arrivals"]:
        line = next(one for one in told.splitlines() if one.startswith(f"{row['behaviour']} "))
        for case in ("clear", "sun out", "sun in", "overcast"):
            assert (row[case]["clock"] if row[case] else "never") in line


def test_strips_show_the_good_minutes_where_they_are(
    run: Callable[..., Any], answer: dict[str, Any]
) -> None:
    lines = run(*CARD).stdout.splitlines()
    strips = [line for line in lines if line.startswith("   [")]
    assert len(strips) == len(answer["sightlines"])
    assert {len(strip) for strip in strips} == {80}
    for strip, one in zip(strips, answer["sightlines"], strict=True):
        stretches = one["stretches"]["sun out"]
        whole = sum(stretch["minutes"] for stretch in stretches)
        cells = strip[4:-1]
        for mark, state in (("█", "good"), ("·", "sky light"), ("/", "sun"), (" ", "dark")):
            minutes = sum(s["minutes"] for s in stretches if s["state"] == state)
            parts = sum(s["state"] == state for s in stretches)
            # A cell goes to the state that has most of it: half a cell is lost or won at each end.
            assert cells.count(mark) == pytest.approx(
                minutes / whole * len(cells), abs=parts + 0.01
            )


def test_hours_stand_over_their_minute(run: Callable[..., Any], answer: dict[str, Any]) -> None:
    lines = run(*CARD).stdout.splitlines()
    ruler = lines[next(i for i, line in enumerate(lines) if line.startswith("   [")) - 1]
    start = answer["sightlines"][0]["stretches"]["clear"][0]["from"]["clock"]
    end = answer["sightlines"][0]["stretches"]["clear"][-1]["to"]["clock"]
    first, last = (int(c[:2]) * 60 + int(c[3:]) for c in (start, end))
    marks = {int(found[1]): found.start() - 4 for found in re.finditer(r"\|(\d\d)", ruler)}
    assert set(marks) == set(range(first // 60 + 1, last // 60 + 1))
    for hour, at in marks.items():
        assert at == pytest.approx((hour * 60 - first) / (last - first) * 75, abs=1.0)


def test_details_open_the_figures(run: Callable[..., Any], answer: dict[str, Any]) -> None:
    told = joined(run(*CARD, "--details").stdout)
    for line in answer["sightlines"]:
        for sentence in line["details"]:
            assert joined(sentence) in told


def test_a_typed_sky_and_wind_are_said(run: Callable[..., Any]) -> None:
    told = joined(run(*CARD, "--sky", "overcast", "--wind", "SW 3").stdout)
    assert "sky overcast, as typed" in told
    assert "from SW (3), as typed" in told
    assert "good minutes: clear" not in told


@pytest.mark.parametrize("columns", [1, 40, 63, 80, 120, 300])
def test_no_line_is_wider_than_the_page(
    run: Callable[..., Any], monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    for command in (CARD, ["choose", *CARD[1:3], "--kit", "long", "--on", "2026-05-12"]):
        result = run(*command)
        assert result.exit_code == 0
        lines = result.stdout.splitlines()
        assert max(map(len, lines)) <= max(40, columns)
        assert not any(line.endswith(" ") for line in lines)
        if columns >= 120:
            assert len(lines) < 150


@pytest.mark.parametrize("days", ["1", "9"])
def test_the_choice_table_keeps_every_day(run: Callable[..., Any], days: str) -> None:
    common = ["choose", *CARD[1:3], "--kit", "long", "--on", "2026-05-12", "--days", days]
    answer = json.loads(run(*common, "--json").stdout)
    told = run(*common).stdout
    for word in answer["day_words"]:
        assert told.count(word) == 1
    for row in answer["rows"]:
        for cell in row["cells"]:
            for part in cell["words"].split(" · "):
                assert part in told


def test_where_letters_are_missing_ascii_stands_for_them(
    program: Callable[..., subprocess.CompletedProcess[str]],
) -> None:
    ended = program(*CARD, COLUMNS="80", PYTHONIOENCODING="ascii")
    assert ended.returncode == 0, ended.stderr
    assert "# good   . shutter reached, other light" in ended.stdout
    assert re.search(r"^   \[ +\.+#+\]$", ended.stdout, re.MULTILINE)


def test_a_reader_that_stops_early_is_no_fault(place: Path) -> None:
    script = Path(sys.executable).with_name("scout")
    with subprocess.Popen(
        [str(script), *CARD], stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=place
    ) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        assert running.stderr.read() == b""


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_on_a_terminal_headings_are_bold_and_nothing_has_a_colour(place: Path) -> None:
    import pty

    leader, follower = pty.openpty()
    env = {**os.environ, "TERM": "xterm-256color", "COLUMNS": "80"}
    env.pop("NO_COLOR", None)
    script = Path(sys.executable).with_name("scout")
    with subprocess.Popen([str(script), *CARD], stdout=follower, cwd=place, env=env) as running:
        os.close(follower)
        told = b""
        while True:
            try:
                part = os.read(leader, 65536)
            except OSError:  # how Linux says that the other end is closed
                break
            if not part:
                break
            told += part
        os.close(leader)
    assert running.returncode == 0
    codes = set(re.findall(rb"\x1b\[([0-9;]*)m", told))
    assert codes == {b"1", b"0"}


@pytest.mark.parametrize(
    ("site", "species", "more", "says"),
    [
        ("pellwick", "stonechat", [], None),
        ("pellwick", "otter", [], 'for the animal Otter is marked "withheld" (places).'),
        ("hobthorn", "stonechat", [], 'for the site Hobthorn Dean is marked "high" (sensitivity)'),
        ("hobthorn", "otter", ["--code-names"], 'for the site is marked "high" (sensitivity)'),
    ],
)
def test_a_page_that_names_nothing_says_why(
    run: Callable[..., Any], site: str, species: str, more: list[str], says: str | None
) -> None:
    asked = ["--site", site, "--species", species, "--kit", "long", "--on", "2026-05-12"]
    result = run("card", "--folder", "sample_site", *asked, "--paper", "page.html", *more)
    assert result.exit_code == 0, result.output
    last = " ".join(result.output.rpartition("Page for printing: ")[2].split())
    assert ("names no place and no animal" in last) is (says is not None)
    assert says is None or says in last
    if more:
        assert "hobthorn" not in result.output.lower()
        assert "otter" not in result.output.lower()
