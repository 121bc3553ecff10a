"""A refusal in words: what is wrong with which field, and the way out.

Not for: faults of the program itself. Everything a person can mend is said through here, all faults
at once.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

import attrs

Step = str | int

_PLAIN_NAME = re.compile(r"[A-Za-z0-9_-]{1,60}")  # anything else was typed by somebody


@attrs.frozen
class Trouble:
    """One fault: the way to the field (names, list places) and what follows its name."""

    path: tuple[Step, ...]
    says: str

    @property
    def field(self) -> str:
        """The field as a person reads it, like `nodes[2].altitude_deg`; empty for the record."""
        words = ""
        for step in self.path:
            if isinstance(step, int):
                words += f"[{step + 1}]"  # people count from one
            else:
                name = step if _PLAIN_NAME.fullmatch(step) else shown(step)
                words += f".{name}" if words else name
        return words

    @property
    def sentence(self) -> str:
        """The fault as a whole sentence."""
        field = self.field
        return f"{field}: {self.says}." if field else f"{self.says[:1].upper()}{self.says[1:]}."


class Refused(ValueError):
    """Input that was not taken, with every fault found in it."""

    def __init__(self, troubles: Iterable[Trouble]) -> None:
        self.troubles = tuple(troubles)
        super().__init__(" ".join(trouble.sentence for trouble in self.troubles))

    @classmethod
    def one(cls, says: str, *path: Step) -> Refused:
        """Make a refusal of a single fault at a path."""
        return cls((Trouble(path, says),))


def at_field(step: Step, troubles: Iterable[Trouble]) -> list[Trouble]:
    """Put faults found inside a field under that field's name."""
    return [Trouble((step, *trouble.path), trouble.says) for trouble in troubles]


def shown(raw: object) -> str:
    """Show what was typed, cut short, so that a person finds it again."""
    if raw is None:
        return "null"
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, dict):
        return "an object {…}"
    if isinstance(raw, list):
        return "a list […]"
    if isinstance(raw, str):
        text = "".join(letter if letter.isprintable() else "·" for letter in raw)
        return f'"{text[:40]}…"' if len(text) > 41 else f'"{text}"'
    if isinstance(raw, int) and raw.bit_length() > 200:
        return "a number of more than 60 digits"
    words = str(raw)
    return f"{words[:40]}…" if len(words) > 41 else words
