"""From a command to the engine's front door and back: one request, one answer, or a refusal.

Not for: building requests (each command's own module, and `scout.notebook.asking`).
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import click

from scout.commands.refusal import Refusal, sentences
from scout.engine.calls import call_text
from scout.terminal.page import Page


class Answered:
    """The engine's answer, as it was written and as it is read."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.read: dict[str, Any] = json.loads(text)

    def print_json(self) -> None:
        """Print the answer exactly as the engine wrote it."""
        click.echo(self.text)

    def show(self, as_json: bool, on_page: Callable[[Page, dict[str, Any]], None]) -> None:
        """Print the answer for programs, or on a page for people."""
        if as_json:
            self.print_json()
        else:
            on_page(Page(), self.read)


def answered(name: str, request: dict[str, Any], options: dict[str, str]) -> Answered:
    """Ask the engine; `options` names the option for each part of the request that was typed."""
    answer = Answered(call_text(name, json.dumps(request, allow_nan=False)))
    if "error" in answer.read:
        raise Refusal(*sentences(answer.read["error"]["sentences"], options))
    return answer
