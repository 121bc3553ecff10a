"""The canonical form against RFC 8785's own samples, and the hashes drawn from it."""

from __future__ import annotations

import hashlib
import json
import struct
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from scout.notebook.canonical import canonical, link, plain, sha256_of
from scout.notebook.judging import judge
from scout.notebook.strict_json import NotStrictJson, read_strict
from scout.records.trouble import Refused

from .cases import read

CASES = read("canonical.json")
VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.text()
    | st.floats(allow_nan=False, allow_infinity=False),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


@pytest.mark.parametrize("case", CASES["numbers"], ids=lambda case: case["bits"])
def test_numbers_of_rfc_8785_appendix_b(case: dict[str, str]) -> None:
    (number,) = struct.unpack(">d", bytes.fromhex(case["bits"]))
    assert canonical(number) == case["canonical"]


@pytest.mark.parametrize("case", CASES["texts"], ids=lambda case: case["canonical"][:30])
def test_texts(case: dict[str, str]) -> None:
    assert canonical(json.loads(case["json"])) == case["canonical"]


@pytest.mark.parametrize("case", CASES["equal"], ids=lambda c: f"{c['one']} {c['other']}")
def test_equality_goes_by_the_canonical_form(case: dict[str, Any]) -> None:
    one, other = (canonical(json.loads(case[name])) for name in ("one", "other"))
    assert (one == other) is case["equal"]


@pytest.mark.parametrize("case", CASES["refused"], ids=lambda case: case["json"])
def test_what_has_no_canonical_form_is_refused_in_words(case: dict[str, str]) -> None:
    with pytest.raises(Refused, match=r"\.$"):
        canonical(json.loads(case["json"]))
    with pytest.raises(NotStrictJson):
        read_strict(case["json"])


@pytest.mark.parametrize("case", CASES["bodies"], ids=lambda case: case["sha256"][:8])
def test_bodies(case: dict[str, str]) -> None:
    # The expected hash is that of sha256sum over the canonical text.
    judged = judge(json.loads(case["json"]))
    assert judged.written is not None
    assert (judged.body, judged.sha256) == (case["canonical"], case["sha256"])
    assert sha256_of(case["canonical"]) == case["sha256"]


@pytest.mark.parametrize("case", CASES["chain"], ids=lambda case: case["chain"][:8])
def test_chain(case: dict[str, str]) -> None:
    assert link(case["previous"], case["id"], case["body_sha256"]) == case["chain"]


@given(VALUES)
def test_canonical_form_reads_back_to_an_equal_value(value: Any) -> None:
    text = canonical(value)
    assert canonical(plain(text)) == text
    assert plain(text) == value
    assert text.encode() == rfc8785.dumps(value)
    assert sha256_of(text) == hashlib.sha256(text.encode()).hexdigest()
