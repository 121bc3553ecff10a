"""Strict JSON: what RFC 8259 and RFC 7493 (I-JSON) leave to chance is refused, with the line."""

from __future__ import annotations

import json
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.notebook.strict_json import NotStrictJson, item_offsets, line_of, read_strict

VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=12),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4)
    ),
    max_leaves=20,
)


@given(value=VALUES, indent=st.sampled_from([None, 0, 2]), ascii_only=st.booleans())
def test_plain_json_reads_as_the_standard_library_reads_it(
    value: object, indent: int | None, ascii_only: bool
) -> None:
    text = json.dumps(value, indent=indent, ensure_ascii=ascii_only)
    assert read_strict(text) == json.loads(text)
    assert read_strict(b"\xef\xbb\xbf" + text.encode()) == json.loads(text)


@given(
    text=st.text('{}[]",:\\ntrue0123-eE.+u\n \ud83d\ude00NaI', max_size=40) | st.text(max_size=40)
)
def test_any_text_is_read_or_refused_with_a_line(text: str) -> None:
    try:
        read_strict(text)
    except NotStrictJson as trouble:
        found = trouble
    else:
        return
    assert 1 <= found.line <= text.count("\n") + 1
    assert str(found).endswith(".")


def refused(text: str | bytes, **limits: int) -> NotStrictJson:
    with pytest.raises(NotStrictJson) as refusal:
        read_strict(text, **limits)
    return refusal.value


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ('{"a": 1,\n"b": 2,\n"a": 3}', 3, 'the name "a" stands twice in one object'),
        ('[{"a": 1},\n {"a": {"b": 1,\n "b": 2}}]', 3, 'the name "b" stands twice'),
        ("[1,\n NaN]", 2, "NaN is not a number in JSON"),
        ('["NaN",\n"Infinity",\nInfinity]', 3, "Infinity is not a number in JSON"),
        ("[1,\n -Infinity]", 2, "-Infinity is not a number in JSON"),
        ("[1,\n 1e999]", 2, "1e999 is too large"),
        # RFC 7493, section 2.2: integers beyond these are not exact everywhere.
        ("[9007199254740991,\n 9007199254740992]", 2, "9007199254740992 is too large"),
        ("[-9007199254740991,\n-9007199254740992]", 2, "-9007199254740992 is too large"),
        ("[1,\n" + "9" * 10_000 + "]", 2, "99999999999999999999… is too large"),
        # RFC 7493, section 2.1: no lone surrogates.
        ('["\\ud83d\\ude00",\n"\\ud83d"]', 2, "half of a character"),
        ('["a", "b",\n\n"\\uDEAD"]', 3, "half of a character"),
        ("[1,\n 2,\n]", 3, "a comma too many"),
        ('{"a": 1,\n}', 2, "a comma too many"),
        ('{"a" 1}', 1, "a colon is wanted"),
        ('{"a": 1\n"b": 2}', 2, "a comma or a closing bracket is wanted"),
        ("{'a': 1}", 1, "in double quotes"),
        ('["a', 1, "no closing quote"),
        ('["a\nb"]', 1, "a line break or tab stands inside a text"),
        ("[1]\n[2]", 2, "there is more after the end"),
        ("// note\n[]", 1, "a value is wanted here"),
        ("[01]", 1, "a comma or a closing bracket is wanted"),
        ("", 1, "is empty"),
        (" \n", 1, "is empty"),
        (b'["caf\xe9"]', 1, "is not UTF-8"),
        (b'[1,\n"\xed\xa0\xbd"]', 2, "is not UTF-8"),  # half a character, encoded
        ('[1,\n"\ud83d"]', 2, "half of a character"),
        ("[1]".encode("utf-16"), 1, "is not UTF-8"),
        (b"\x00" * 40, 1, "is not JSON"),
    ],
)
def test_what_is_refused(text: str | bytes, line: int, says: str) -> None:
    trouble = refused(text)
    assert says in trouble.says
    assert trouble.line == line


@pytest.mark.parametrize("opening", ["[", '{"a":', '[{"a":'])
def test_deep_nesting_is_refused_before_it_is_followed(opening: str) -> None:
    deep = "\n" + opening * 2_000_000
    trouble = refused(deep)
    assert (trouble.line, trouble.says) == (2, "is nested deeper than 30 brackets; flatten it")


def test_thirty_brackets_are_taken_and_brackets_in_texts_are_none() -> None:
    assert read_strict("[" * 30 + "]" * 30)
    assert refused("[" * 31 + "]" * 31)
    assert read_strict(json.dumps(["[" * 100, '"{' * 100, "\\"])) == ["[" * 100, '"{' * 100, "\\"]
    assert refused("[[]]", deepest=1).line == 1


def test_size_is_limited() -> None:
    ten_megabytes = json.dumps(["x" * 1000] * 10_000)
    assert len(read_strict(ten_megabytes)) == 10_000
    assert refused(ten_megabytes, largest_bytes=1_000_000).says == (
        "is 10.0 MB large; at most 1 MB are read, split it"
    )
    assert refused(b" " * 20_000_001).says.startswith("is 20.0 MB large")


def test_hostile_texts_of_escapes_come_to_an_end() -> None:
    # Each of these is quadratic for a scanner that looks back; a hang is the failure here.
    for text in (
        '["' + '\\"' * 2_000_000,
        '"' * 3_000_001,
        "[" + '"\\' * 1_500_000,
        "\\" * 3_000_000,
    ):
        assert refused(text).line == 1


@given(value=VALUES, seed=st.integers(0, 2**32))
def test_the_line_of_every_value(value: object, seed: int) -> None:
    """Print the value one token a line, knowing where each lands, and ask for each."""
    lines: list[str] = []
    begins: dict[tuple[str | int, ...], int] = {}

    def print_value(inner: object, path: tuple[str | int, ...]) -> None:
        begins[path] = len(lines) + 1
        if isinstance(inner, dict):
            lines.append("{")
            for place, (name, one) in enumerate(inner.items()):
                lines.extend([",", json.dumps(name), ":"] if place else [json.dumps(name), ":"])
                print_value(one, (*path, name))
            lines.append("}")
        elif isinstance(inner, list):
            lines.append("[")
            for place, one in enumerate(inner):
                lines.extend([","] if place else [])
                print_value(one, (*path, place))
            lines.append("]")
        else:
            lines.append(json.dumps(inner))

    print_value(value, ())
    text = "\n".join(lines)
    some = random.Random(seed).choice(list(begins))
    assert line_of(text, some) == begins[some]
    assert line_of(text, (*some, "no such name")) == begins[some]
    if isinstance(value, list):
        items = [text.count("\n", 0, offset) + 1 for offset in item_offsets(text)]
        assert items == [begins[(place,)] for place in range(len(value))]
