"""Every command explains itself, and what its help shows can be typed as it stands."""

from __future__ import annotations

import re
from collections.abc import Callable
from shlex import split
from typing import Any

import click
import pytest
from click.testing import CliRunner

from scout.cli import main

COMMANDS = sorted(main.commands)


def examples_of(command: str) -> list[list[str]]:
    """Read the examples out of a help text, as a person would type them."""
    told = CliRunner().invoke(main, [command, "--help"]).output
    _, _, part = re.sub(r"\\\n\s*", "", told).partition("Example")
    return [split(line)[1:] for line in part.splitlines() if line.strip().startswith("scout ")]


# These need a notebook, or run until they are stopped: other tests go through them.
ELSEWHERE = {
    *("backup", "bring", "land", "rescue", "restore", "review", "serve", "write"),
    *("devices", "pair", "people"),
}
EXAMPLES = [
    (command, example)
    for command in COMMANDS
    if command not in ELSEWHERE
    for example in examples_of(command)
]


def test_the_commands_are_those_a_person_is_told_of() -> None:
    answers = "after card check choose compass demo kit light place routine season sector stand"
    notebooks = (
        "backup bring devices export land load pair people rescue restore review serve write"
    )
    assert sorted(split(f"{answers} {notebooks}")) == COMMANDS


@pytest.mark.parametrize("command", COMMANDS)
def test_help_says_what_a_command_is_for_and_shows_an_example(command: str) -> None:
    told = CliRunner().invoke(main, [command, "--help"])
    assert told.exit_code == 0
    assert examples_of(command)
    assert all(
        option.help for option in main.commands[command].params if isinstance(option, click.Option)
    )
    assert main.commands[command].get_short_help_str(80).endswith((".", "?"))


@pytest.mark.parametrize(("command", "example"), EXAMPLES, ids=[" ".join(e) for _, e in EXAMPLES])
def test_examples_run_as_they_stand(
    run: Callable[..., Any], command: str, example: list[str]
) -> None:
    assert example[0] == command
    result = run(*example)
    assert result.exit_code == 0, result.output
    assert result.stderr == ""
    assert len(result.stdout) > 20


def test_alone_it_lists_the_commands(run: Callable[..., Any]) -> None:
    told = run("--help").output
    assert all(re.search(rf"^  {command}\b", told, re.MULTILINE) for command in COMMANDS)
