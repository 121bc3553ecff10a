"""Whatever is typed, a person gets a sentence and exit code 2, and no file is left half written."""

from __future__ import annotations

import itertools
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from shlex import split
from typing import Any

import click
import pytest

from scout.cli import main
from scout.commands import card as card_module

SITE = ["--folder", "sample_site"]
LONG = ["--species", "stonechat", "--kit", "long"]
SOUND = {
    "card": ["card", *SITE, *LONG, "--site", "pellwick", "--on", "2026-05-12"],
    "check": ["check", "sample_site"],
    "choose": ["choose", *SITE, "--kit", "long", "--on", "2026-05-12", "--days", "1"],
    "compass": [*split("compass 75 --north true --at 2026-05-12T07:00Z --position"), "52 N, 0 E"],
    "demo": ["demo", "--on", "2026-05-12"],
    "kit": ["kit", *SITE, *LONG, "--distance", "12", "--gap", "30"],
    "light": ["light", *SITE, *LONG, "--sightline", "pump-post", "--on", "2026-05-12"],
    "place": ["place", *SITE, *split("--from pump --bearing NE --distance 12")],
    "sector": ["sector", "--position", "52 N, 0 E", "--on", "2026-05-12"],
    "stand": ["stand", *SITE, *LONG, *split("--like 300 --distance 18 --gap 30")],
}
NONSENSE = ["abc", "nan", "-1", "1e400", "9" * 400]
if os.environ.get("SCOUT_FULL") == "1":
    NONSENSE += ["inf", "", "12,5", "🦊 " * 50, "../.."]
# What looks like nonsense above and is none here.
MEANT = {("place", "tilt", "-1"), ("demo", "out", ""), ("demo", "out", "../..")}
OPTIONS = [
    (name, option)
    for name, command in sorted(main.commands.items())
    for option in command.params
    if name in SOUND  # those of a notebook are gone through in test_notebooks
    and isinstance(option, click.Option)
    and not option.is_flag
    and option.name != "help"
]


def refused(result: Any, *words: str) -> None:
    """Hold a result to what every refusal owes a person."""
    assert result.exit_code == 2, (result.stdout, result.stderr, result.exception)
    assert result.stdout == ""
    said = result.stderr.strip()
    assert said.endswith(".") or said.endswith("?") or "Missing" in said, said
    assert "Traceback" not in said
    assert "fault of the program" not in said
    for word in words:
        assert word in said, said


@pytest.mark.parametrize("command", sorted(SOUND))
def test_the_sound_commands_are_sound(run: Callable[..., Any], command: str) -> None:
    assert run(*SOUND[command]).exit_code == 0


@pytest.mark.parametrize(
    ("command", "option", "typed"),
    [
        (command, option, typed)
        for (command, option), typed in itertools.product(OPTIONS, NONSENSE)
        if (command, option.name, typed) not in MEANT
    ],
    ids=lambda value: str(getattr(value, "name", value))[:12],
)
def test_nonsense_in_any_option_is_refused(
    run: Callable[..., Any], command: str, option: click.Option, typed: str
) -> None:
    # The last value of an option counts; where another would be in the way, it is left out.
    away = {"perch": "--sightline", "blur": "--like", "site": "--position"}.get(str(option.name))
    sound = SOUND[command]
    if option.name == "path" and "--position" in sound:
        away, sound = "--position", [*sound, "--site", "pellwick"]
    if away in sound:
        at = sound.index(away)
        sound = sound[:at] + sound[at + 2 :]
    refused(run(*sound, option.opts[0], typed))
    assert sorted(path.name for path in Path().iterdir()) == ["sample_site"]


@pytest.mark.parametrize("reading", ["abc", "400", "nan", "", "1e400", "75 magnetic"])
def test_nonsense_for_a_reading_is_refused(run: Callable[..., Any], reading: str) -> None:
    refused(run("compass", reading, *SOUND["compass"][2:]), "READING")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (["card", "--folder", "nowhere"], ["nowhere", "no such folder"]),
        (["card"], ["folder.json", "--folder"]),
        *(  # all that is missing at once: nobody is asked three times
            ([name, *SITE, *more], [f"--{first}: say which {first}: ", *words])
            for name, first, more in (
                ("card", "site", []),
                ("after", "site", []),
                ("season", "sightline", []),
                ("light", "sightline", []),
                ("stand", "kit", split("--blur 1 --distance 18 --gap 30")),
            )
            for words in [["--species: say which species: Stonechat, ", "--kit: say which kit: "]]
        ),
        (
            ["routine", *SITE, "--species", "brass"],
            ["--site: say which site: Pellwick Meadows, Hobthorn Dean", "no species"],
        ),
        (
            [*SOUND["card"], "--kit", "brass"],
            ['--kit: there is no kit "brass"', "Long zoom 500 mm f/7.1", "300 mm f/4"],
        ),
        (
            ["light", *SITE, *LONG, "--sightline", "pump"],
            ["may be any of these sightlines", "Pump house → Ditch post"],
        ),
        ([*SOUND["card"], "--on", "2026-02-30"], ["--on", "no date in the calendar"]),
        ([*SOUND["card"], "--on", "2101-01-01"], ["--on", "1950 to 2100"]),
        ([*SOUND["card"], "--wind", "SW 13"], ["--wind", "SW 3"]),
        ([*SOUND["choose"], "--days", "1.5"], ["--days", "whole number"]),
        (["choose", *SITE, "--kit", "long", "--on", "2100-12-31"], ["--on", "beyond 2100"]),
        (["demo", "--on", "2100-12-31"], ["--on", "beyond 2100"]),
        ([*SOUND["kit"], "--distance", "touching"], ["--distance", "0.01"]),
        ([*SOUND["kit"], "--distance", "sky"], ["--distance", "no distance"]),
        ([*SOUND["stand"], "--blur", "1"], ["--like", "--blur", "not both"]),
        ([*SOUND["stand"][:-6], "--distance", "18", "--gap", "30"], ["--like", "--blur"]),
        (["place", *SITE, "--from", "pump", "--bearing", "47", "--distance", "9"], ["--north"]),
        ([*SOUND["place"], "--bearing", "400", "--north", "true"], ["--bearing", "360"]),
        ([*SOUND["compass"], "--position", "91 N, 0 E"], ["--position", "-90 and 90"]),
        ([*SOUND["compass"], "--at", "2026-05-12T07:00"], ["--at", "offset"]),
        ([*SOUND["compass"], "--at", "2026-05-12T00:00Z", "--along-shadow"], ["sun is down"]),
        (["compass", "75", "--north", "true"], ["--position", "--site"]),
        ([*SOUND["light"], "--perch", "seep"], ["--perch", "not both"]),
        (["light", *SITE, *LONG, "--perch", "seep"], ["--from-deg"]),
        ([*SOUND["light"], "--from-deg", "9"], ["--from-deg"]),
        (["kit", *SITE, *LONG, "--gap", "3"], ["--distance"]),
        (["frobnicate"], ["frobnicate"]),
        (["card", "--frobnicate"], ["--frobnicate"]),
    ],
    ids=lambda value: " ".join(value)[:60],
)
def test_a_refusal_names_the_option_and_the_way_out(
    run: Callable[..., Any], typed: list[str], words: list[str]
) -> None:
    refused(run(*typed), *words)


def test_an_animal_written_wrong_is_answered_with_those_there_are(run: Callable[..., Any]) -> None:
    refused(
        run("choose", *SITE, "--kit", "long", "--species", "heron"),
        '"heron"; the species are: Stonechat, Little egret, Roe deer, Otter.',
    )


def test_a_folder_with_faults_answers_nothing(run: Callable[..., Any], own_site: Path) -> None:
    file = own_site / "sightlines.json"
    file.write_text(file.read_text("utf-8").replace('"m": 46', '"m": "x46"'), "utf-8")
    refused(
        run(*["own" if part == "sample_site" else part for part in SOUND["card"]]),
        "sightlines.json, line ",
        "x46",
    )


def test_only_the_first_of_many_faults_are_told(run: Callable[..., Any], own_site: Path) -> None:
    (own_site / "vantages.json").write_text("[" + ",".join(["{}"] * 40) + "]", "utf-8")
    result = run("card", "--folder", "own")
    refused(result, "more: scout check own tells them all.")
    assert len(result.stderr.splitlines()) == 11


@pytest.mark.parametrize("file", ["sample_site/sites.json", "card.txt", "no/card.html"])
def test_a_page_is_not_written_just_anywhere(run: Callable[..., Any], file: str) -> None:
    before = Path("sample_site/sites.json").read_bytes()
    refused(run(*SOUND["card"], "--paper", file), "--paper")
    assert Path("sample_site/sites.json").read_bytes() == before


def test_a_page_never_takes_the_place_of_a_folder(run: Callable[..., Any], place: Path) -> None:
    (place / "pages.html").mkdir()
    refused(run(*SOUND["card"], "--paper", "pages.html"), "is a folder")


def test_where_no_file_can_be_made_it_says_so(run: Callable[..., Any]) -> None:
    # Nobody, not even root, can make a file there.
    if not Path("/proc/self").is_dir():
        pytest.skip("This machine has no /proc.")
    refused(run(*SOUND["card"], "--paper", "/proc/card.html"), "--paper", "cannot be written")
    refused(run(*SOUND["demo"], "--out", "/proc"), "--out", "cannot be written")


def test_an_out_that_is_a_file_is_refused(run: Callable[..., Any], place: Path) -> None:
    (place / "plain").write_text("", "utf-8")
    refused(run("demo", "--out", "plain"), "--out")


def test_a_fault_of_the_program_is_one_sentence_and_exit_code_1(
    run: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*given: object, **named: object) -> None:
        raise ZeroDivisionError("secret place")

    monkeypatch.setattr(card_module, "card_request", broken)
    result = run(*SOUND["card"])
    assert result.exit_code == 1
    assert len(result.stderr.strip().splitlines()) == 1
    assert "ZeroDivisionError" in result.stderr
    assert "card.py, line" in result.stderr
    assert "secret place" not in result.output


def test_the_program_itself_refuses_likewise(
    program: Callable[..., subprocess.CompletedProcess[str]],
) -> None:
    for arguments in (["card", "--folder", "nowhere"], [*SOUND["kit"], "--distance", "nan"]):
        ended = program(*arguments)
        assert ended.returncode == 2
        assert ended.stdout == ""
        assert ended.stderr.strip().endswith(".")
        assert "Traceback" not in ended.stderr


@pytest.mark.parametrize("name", ["card", "compass"])
def test_output_that_cannot_be_written_is_no_fault_of_the_program(name: str, place: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("This machine has no /dev/full.")
    script = Path(sys.executable).with_name("scout")
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        ended = subprocess.run(
            [str(script), *SOUND[name]],
            stdout=full,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            cwd=place,
            check=False,
        )
    assert ended.returncode == 2
    assert ended.stderr == (
        "The output could not be written (No space left on device); send it elsewhere, or make "
        "room there.\n"
    )


def test_a_page_without_a_name_is_asked_for_one(run: Callable[..., Any]) -> None:
    refused(run(*SOUND["card"], "--paper", ""), "--paper: name a file that ends in .html.")
