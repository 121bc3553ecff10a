"""What was found wrong in a folder of records, each with its file and line.

A line is looked up only where there is something to report, and only so many faults of a file are
told one by one: a person mends the first ones and reads again.
Not for: deciding what is wrong (`folder`, `folder_checks`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import cached_property
from typing import Protocol

import attrs

from scout.notebook.strict_json import item_offsets, line_of
from scout.records.trouble import Step, Trouble

MOST_OF_A_FILE = 100


@attrs.frozen
class Finding:
    """One thing to mend: the file, its line (None for the whole file) and what is wrong."""

    file: str
    line: int | None
    says: str

    @property
    def sentence(self) -> str:
        """The whole sentence, as it is printed."""
        return f"{self.file}{'' if self.line is None else f', line {self.line}'}: {self.says}"


class Source(Protocol):
    """A file of records that can tell on which line a part of one stands."""

    @property
    def file(self) -> str:
        """The file's name."""

    def line(self, place: int, path: Sequence[Step]) -> int:
        """Answer the line (from 1) of a part of the record at a place (from 0)."""


class JsonSource:
    """A list of records in a JSON file."""

    def __init__(self, file: str, text: str) -> None:
        self.file = file
        self._text = text

    @cached_property
    def _offsets(self) -> list[int]:
        return item_offsets(self._text)

    def line(self, place: int, path: Sequence[Step]) -> int:
        """Answer the line of a part of a record, found within that record's own text."""
        begin, *after = self._offsets[place : place + 2]
        own = self._text[begin : after[0] if after else None]
        return self._text.count("\n", 0, begin) + line_of(own, path)


class CsvSource:
    """A table of records, one a row."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.lines: list[int] = []

    def line(self, place: int, path: Sequence[Step]) -> int:
        """Answer the line on which a record's row begins."""
        return self.lines[place]


class Findings:
    """Collect faults and warnings, and remember where each record stands."""

    def __init__(self) -> None:
        self.faults: list[Finding] = []
        self.warnings: list[Finding] = []
        self.where: dict[str, tuple[Source, int]] = {}
        self._counted: Counter[tuple[bool, str]] = Counter()

    def of_file(
        self, file: str, says: str, line: int | None = None, *, warning: bool = False
    ) -> None:
        """Note something of a file as a whole, or of one of its lines."""
        if self._room(file, warning):
            self._list(warning).append(Finding(file, line, f"{says}."))

    def of_item(
        self, source: Source, place: int, trouble: Trouble, *, warning: bool = False
    ) -> None:
        """Note something of the record at a place (from 0) of a file."""
        if self._room(source.file, warning):
            line = source.line(place, trouble.path)
            self._list(warning).append(Finding(source.file, line, trouble.sentence))

    def of_record(self, record_id: str, says: str, *path: Step, warning: bool = False) -> None:
        """Note something of a record that was read, by its id."""
        source, place = self.where[record_id]
        self.of_item(source, place, Trouble(path, says), warning=warning)

    def place_of(self, record_id: str) -> str:
        """Answer where a record stands, like `perches.json, line 12`."""
        source, place = self.where[record_id]
        return f"{source.file}, line {source.line(place, ('id',))}"

    def close(self) -> None:
        """Say how many findings were left out."""
        for (warning, file), count in self._counted.items():
            if count > MOST_OF_A_FILE:
                more = count - MOST_OF_A_FILE
                says = f"has {more} more like these; mend the first ones and read again."
                self._list(warning).append(Finding(file, None, says))

    def _list(self, warning: bool) -> list[Finding]:
        return self.warnings if warning else self.faults

    def _room(self, file: str, warning: bool) -> bool:
        self._counted[warning, file] += 1
        return self._counted[warning, file] <= MOST_OF_A_FILE
