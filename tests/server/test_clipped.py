"""Texts cut to their room on paper: never too long, and what is owed is never cut."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.server.clipped import clipped, fitted, shortened
from scout.server.layout import lines_of, reasons_in
from scout.server.sheet_sizes import SHEETS


@given(
    st.lists(st.text("abc def", min_size=1, max_size=150), min_size=1, max_size=8),
    st.lists(st.text("ghi jkl", min_size=1, max_size=150), max_size=4),
    st.integers(1, 9),
)
def test_what_is_owed_is_never_cut(said: list[str], owed: list[str], lines: int) -> None:
    sheet = SHEETS["A5"]
    whole = [said[0], *owed, *said[1:]]
    kept = reasons_in(sheet, whole, lines, owed)
    assert kept[: 1 + len(owed)] == whole[: 1 + len(owed)]
    most = max(lines, lines_of(whole[: 1 + len(owed)], sheet.reason) + 1)
    assert lines_of(kept, sheet.reason) <= most


@given(st.text(max_size=400), st.integers(2, 120))
def test_clipped_is_never_too_long(text: str, most: int) -> None:
    found = clipped(text, most)
    assert len(found) <= most
    assert found.isprintable()


@given(
    st.lists(st.text("abc def", max_size=200), max_size=12), st.integers(10, 80), st.integers(2, 14)
)
def test_fitted_keeps_its_lines_and_counts_the_rest(
    texts: list[str], letters: int, lines: int
) -> None:
    found = fitted(texts, letters, lines)
    spoken = [text for text in texts if text.strip()]
    counted = re.fullmatch(r"… (\d+) more in the notebook", found[-1]) if found else None
    kept = len(found) - (counted is not None)
    assert kept + (int(counted[1]) if counted else 0) == len(spoken)
    used = sum(-(-len(one) // letters) for one in found[:kept]) + (counted is not None)
    assert used <= lines


@pytest.mark.parametrize(
    ("text", "short"),
    [
        ("sun clears the trees 06:16 ± 3 min (aimed, once)", "sun clears the trees 06:16 ± 3 min"),
        ("a of b; c long; d longer, e in the end", "a of b; … e in the end"),
        ("short (kept)", "short (kept)"),
        ("one clause that is long but has no other clause", None),
    ],
)
def test_shortened_spares_what_can_be_spared(text: str, short: str | None) -> None:
    assert shortened(text, 18) == (text if short is None else short)
