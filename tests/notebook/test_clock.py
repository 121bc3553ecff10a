"""Stamps and ids by the shared cases."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.notebook.clock import milliseconds, new_id, stamp_after, written

from .cases import named, read

CASES = read("clock.json")
STAMPS = st.builds(
    lambda ms, count, device: f"{ms:015d}-{count:04x}-{device:08x}",
    st.integers(0, 10**15 - 2),
    st.integers(0, 0xFFFF),
    st.integers(0, 2**32 - 1),
)


@pytest.mark.parametrize("case", named(CASES["cases"]))
def test_stamps(case: dict[str, Any]) -> None:
    assert (
        stamp_after(case["now_ms"], case["offset_ms"], case["heads"], case["device"])
        == case["stamp"]
    )


def test_stamps_sort_as_text() -> None:
    assert sorted(CASES["order"]) == CASES["order"]


@pytest.mark.parametrize("case", CASES["ids"], ids=lambda case: case["id"])
def test_ids(case: dict[str, Any]) -> None:
    # The first is the example of RFC 9562, appendix A.6.
    made = new_id(case["ms"], bytes.fromhex(case["random"]))
    assert made == case["id"]
    assert (uuid.UUID(made).version, uuid.UUID(made).variant) == (7, uuid.RFC_4122)


def test_ids_differ() -> None:
    assert len({new_id(5) for _ in range(1000)}) == 1000


@given(st.integers(-(10**14), 10**14), st.lists(STAMPS, max_size=5))
def test_a_stamp_is_higher_than_every_head(now_ms: int, heads: list[str]) -> None:
    stamp = stamp_after(now_ms, 0, heads, "01900000-0000-7000-8000-000000000000")
    assert all(stamp > head for head in heads)
    assert int(stamp[:15]) >= now_ms


def test_a_naive_moment_is_refused() -> None:
    with pytest.raises(ValueError, match="without its offset from UTC"):
        milliseconds(dt.datetime(2026, 5, 12, 4, 35))


def test_moments_are_written_in_utc_to_the_ms() -> None:
    zone = dt.timezone(dt.timedelta(hours=1))
    moment = dt.datetime(2026, 5, 12, 0, 35, 0, 999_999, tzinfo=zone)
    assert written(moment) == "2026-05-11T23:35:00.999Z"
