"""What is printed on: the terminal's width, wrapped sentences with a hanging indent, tables.

Nothing is said by colour. On a terminal headings are bold; into a pipe goes plain text. Not for:
deciding what to say.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.cells import cell_len
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

_LEAST_WIDTH = 40


class Page:
    """A console of ours: no colour, no markup, no guessing at what a number means."""

    def __init__(self) -> None:
        self._console = Console(no_color=True, markup=False, highlight=False, emoji=False)
        if self._console.width < _LEAST_WIDTH:
            self._console.width = _LEAST_WIDTH

    @property
    def width(self) -> int:
        """Columns there are."""
        return self._console.width

    @property
    def all_letters(self) -> bool:
        """Whether the marks of a strip can be shown, or ASCII has to stand for them."""
        return self._console.encoding.lower().replace("-", "").startswith("utf")

    def heading(self, words: str) -> None:
        """Print a sentence in bold where there is bold."""
        self._wrapped(words, 0, 0, "bold")

    def line(self, words: str = "", indent: int = 0) -> None:
        """Print a sentence, wrapped; what is wrapped stands under its beginning."""
        self._wrapped(words, indent, indent)

    def named(self, name: str, words: str, indent: int = 0) -> None:
        """Print a sentence after its name, and what is wrapped two columns in."""
        self._wrapped(f"{name}: {words}" if name else words, indent, indent + 2)

    def unbroken(self, words: str) -> None:
        """Print a line that is neither wrapped nor cut, such as a path to be copied."""
        self._console.print(Text(words), soft_wrap=True)

    def exactly(self, words: str) -> None:
        """Print a line that is not wrapped, such as a strip."""
        self._console.print(Text(words), no_wrap=True, overflow="crop")

    def _wrapped(self, words: str, first: int, rest: int, style: str = "") -> None:
        lines = Text(words, style=style).wrap(self._console, self.width - max(first, rest))
        for place, line in enumerate(lines or [Text()]):
            line.rstrip()
            self._console.print(Text(" " * (rest if place else first)).append_text(line))

    def flowing(self, items: Iterable[str], indent: int = 0) -> None:
        """Print short items one after the other; a line ends between two of them."""
        line = ""
        for item in items:
            longer = f"{line} · {item}" if line else item
            if line and cell_len(longer) > self.width - indent:
                self.line(line, indent)
                line = item
            else:
                line = longer
        if line:
            self.line(line, indent)

    def table(
        self,
        heads: Sequence[str],
        rows: Iterable[Sequence[str]],
        indent: int = 0,
        right: Sequence[int] = (),
        whole: Sequence[int] = (),
    ) -> None:
        """Print columns. `right`: those set to the right; `whole`: those that are never wrapped."""
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="bold")
        for place, head in enumerate(heads):
            table.add_column(
                Text(head),
                justify="right" if place in right else "left",
                no_wrap=place in whole,
                overflow="fold",
            )
        for row in rows:
            table.add_row(*(Text(cell) for cell in row))
        with self._console.capture() as drawn:
            self._console.print(Padding(table, (0, 0, 0, indent), expand=False))
        for line in drawn.get().splitlines():
            # Columns end in blanks, which a file of plain text has no use for.
            self._console.out(line if self._console.is_terminal else line.rstrip(), highlight=False)
