"""Every field of every kind: taken at its bounds, refused beyond them."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.records.kinds import KINDS, read_part, read_record, write_record
from scout.records.trouble import Refused
from tests.records import made_records as made

JUNK = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(st.characters(), max_size=20)  # half characters too
    | st.sampled_from(["2026-05-12T04:35:00+01:00", "NE", "about 12 m", "52 N, 1 W", "sky"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["m", "at", "lat", "lon", "deg", "id"]), inner, max_size=3
        )
    ),
    max_leaves=6,
)


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
def test_what_is_written_reads_back_the_same(kind: str, data: st.DataObject) -> None:
    record = read_record(kind, data.draw(made.records(kind)))
    written = write_record(record)
    text = json.dumps(written, allow_nan=False)
    assert read_record(kind, written) == record
    assert read_record(kind, json.loads(text)) == record
    # The instant alone would be equal with another offset: what was written must stay.
    assert write_record(read_record(kind, json.loads(text))) == written


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
def test_a_field_is_read_alone_as_within_its_record(kind: str, data: st.DataObject) -> None:
    raw = data.draw(made.records(kind))
    record = read_record(kind, raw)
    for name in raw:
        if name != "id":
            assert read_part(kind, name, raw[name]) == getattr(record, name)


def paths(fields: list[dict[str, Any]]) -> list[tuple[tuple[str | int, ...], dict[str, Any]]]:
    """Answer every field at any depth, with the way to it; lists by their first entry."""
    found: list[tuple[tuple[str | int, ...], dict[str, Any]]] = []
    for field in fields:
        found.append(((field["name"],), field))
        inner, way = field, (field["name"],)
        if field["kind"] == "list":
            inner, way = field["item"], (field["name"], 0)
            found.append((way, {**inner, "needed": True}))
        found += [((*way, *rest), one) for rest, one in paths(inner.get("fields", []))]
    return found


PLACES = [
    pytest.param(kind, way, field, id=f"{kind}-{'-'.join(map(str, way))}")
    for kind, fields in made.KINDS.items()
    for way, field in paths(fields)
]


def full(field: dict[str, Any]) -> Any:
    """Answer one plain value of a field, with everything in it."""
    if field["kind"] == "group":
        parts = {one["name"]: full(one) for one in field["fields"]}
        parts.pop("sky", None)
        return parts
    if field["kind"] == "list":
        return [full(field["item"])]
    plain = {
        "text": "some words",
        "flag": True,
        "id": "6ba7b810-9dad-41d1-80b4-00c04fd430c8",
        "digest": "ab" * 32,
        "date": "2026-05-12",
        "season_day": "02-29",
        "time": "2026-05-12T04:35:00+01:00",
    }
    if field["kind"] == "choice":
        return field["choices"][0]
    if field["kind"] in ("number", "whole"):
        return field["high"]
    return plain[field["kind"]]


def put(raw: dict[str, Any], way: tuple[str | int, ...], value: Any) -> None:
    """Put a value at a place deep in a JSON object."""
    inner: Any = raw
    for step in way[:-1]:
        inner = inner[step]
    inner[way[-1]] = value


def whole(kind: str) -> dict[str, Any]:
    return {field["name"]: full(field) for field in made.KINDS[kind]}


@pytest.mark.parametrize("kind", KINDS)
def test_a_record_with_every_field_filled_is_taken(kind: str) -> None:
    raw = whole(kind)
    record = read_record(kind, raw)
    assert write_record(record).keys() == raw.keys()


@pytest.mark.parametrize(
    ("kind", "way", "field"),
    [one for one in PLACES if one.values[2]["kind"] in ("number", "whole")],
)
def test_numbers_are_taken_at_their_bounds(
    kind: str, way: tuple[str | int, ...], field: dict[str, Any]
) -> None:
    for value in made.bounds(field):
        raw = whole(kind)
        put(raw, way, value)
        if kind == "kit" and way == ("iso_ceiling",):
            raw["iso_base"] = value  # the ceiling is never below the base
        assert read_record(kind, raw)


@pytest.mark.parametrize(("kind", "way", "field"), PLACES)
def test_wrong_values_are_refused_with_a_sentence_that_names_the_field(
    kind: str, way: tuple[str | int, ...], field: dict[str, Any]
) -> None:
    named = "".join(f"[{step + 1}]" if isinstance(step, int) else f".{step}" for step in way)[1:]
    for value in made.refused_values(field):
        raw = whole(kind)
        put(raw, way, value)
        with pytest.raises(Refused) as refusal:
            read_record(kind, raw)
        sentences = [one.sentence for one in refusal.value.troubles]
        assert all(one.startswith(named) for one in sentences), (value, sentences)
        assert all(one.endswith(".") and "Traceback" not in one for one in sentences)
        assert all(len(one) < 1200 and "\n" not in one for one in sentences)


@pytest.mark.parametrize("kind", KINDS)
def test_each_needed_field_is_missed_by_name(kind: str) -> None:
    missed = set()
    try:
        read_record(kind, {})
    except Refused as refusal:
        missed = {trouble.field for trouble in refusal.troubles}
    assert missed == {field["name"] for field in made.KINDS[kind] if field.get("needed")}


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
def test_junk_is_refused_in_words_or_taken_and_never_ends_in_another_error(
    kind: str, data: st.DataObject
) -> None:
    raw = whole(kind)
    way, _ = data.draw(st.sampled_from(paths(made.KINDS[kind])))
    put(raw, way, data.draw(JUNK))
    try:
        record = read_record(kind, raw)
    except Refused as refusal:
        said = [trouble.sentence for trouble in refusal.troubles]
    else:
        said = ["Taken."]
        json.dumps(write_record(record), allow_nan=False).encode("utf-8")
    assert said
    assert all(sentence.endswith(".") for sentence in said)


def test_no_such_kind() -> None:
    with pytest.raises(Refused, match=r"^kind: is not a kind of record; the kinds are: site,"):
        read_record("hut", {})
