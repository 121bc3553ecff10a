"""A change's envelope and the registers that it carries, judged alone."""

from __future__ import annotations

from typing import Any

import pytest

from scout.records.change import LAST_EXACT_INTEGER, Change, is_newer, read_change, registers
from scout.records.kinds import SCHEMA
from scout.records.trouble import Refused

ID = "6ba7b810-9dad-41d1-80b4-00c04fd430c8"
OTHER = "6ba7b811-9dad-41d1-80b4-00c04fd430c8"
GOOD: dict[str, Any] = {
    "id": ID,
    "device": OTHER,
    "device_seq": 1,
    "record": ID,
    "kind": "perch",
    "set": {"name": "Heron post", "height_m": 1.5},
    "base": {"name": [], "height_m": [OTHER]},
    "hlc": "001778556900000-0000-6ba7b811",
    "wall": 1778556900000,
    "tz_min": 60,
    "schema": SCHEMA,
}


def without(name: str) -> dict[str, Any]:
    return {key: value for key, value in GOOD.items() if key != name}


def sentences(raw: object) -> list[str]:
    with pytest.raises(Refused) as refusal:
        read_change(raw)
    return [trouble.sentence for trouble in refusal.value.troubles]


def test_a_good_change() -> None:
    change = read_change(GOOD)
    assert isinstance(change, Change)
    assert registers(change) == {"name": "Heron post", "height_m": 1.5}
    assert change.base == {"name": [], "height_m": [OTHER]}
    assert change.seen is None
    assert change.group is None


def test_a_delete_says_which_heads_it_saw() -> None:
    raw = {**GOOD, "set": {"deleted": True}, "base": {"deleted": []}, "seen": {"name": [OTHER]}}
    change = read_change(raw)
    assert registers(change) == {"deleted": True}
    assert change.seen == {"name": [OTHER]}


def test_null_clears_a_register() -> None:
    raw = {
        **GOOD,
        "set": {"height_m": None, "closed": None},
        "base": {"height_m": [], "closed": []},
    }
    assert registers(read_change(raw)) == {"height_m": None, "closed": ()}


def test_short_forms_are_read_in_a_change_too() -> None:
    raw = {**GOOD, "set": {"position": "52.1234 N, 1.2345 W"}, "base": {"position": []}}
    assert registers(read_change(raw))["position"].lat == 52.1234


@pytest.mark.parametrize("name", [name for name in GOOD])
def test_each_part_of_the_envelope_is_needed(name: str) -> None:
    (sentence,) = sentences(without(name))
    assert sentence.startswith(f"{name}: is missing; ")


@pytest.mark.parametrize(
    ("edit", "begins"),
    [
        ({"id": ID.upper()}, "id: "),
        ({"device": "phone"}, 'device: "phone" is not a record id'),
        ({"device_seq": 0}, "device_seq: 0 is out of range"),
        ({"device_seq": "1"}, 'device_seq: "1" is not a number'),
        ({"device_seq": LAST_EXACT_INTEGER + 1}, "device_seq: "),
        ({"device_seq": True}, "device_seq: true is not a number"),
        ({"kind": "hut"}, 'kind: "hut" is not a kind of record'),
        ({"kind": ["perch"]}, "kind: "),
        ({"set": {}}, "set: "),
        ({"set": []}, "set: "),
        ({"set": {"name": ""}, "base": {"name": []}}, "set.name: is blank"),
        ({"set": {"name": None}, "base": {"name": []}}, "set.name: is needed"),
        ({"set": {"id": ID}, "base": {"id": []}}, "set.id: is not a register"),
        ({"set": {"size": 1}, "base": {"size": []}}, "set.size: is not a register"),
        ({"set": {"height_m": "1"}, "base": {"height_m": []}}, 'set.height_m: "1" is not a number'),
        ({"set": {"deleted": 1}, "base": {"deleted": []}}, "set.deleted: 1 is neither"),
        ({"base": {"name": []}}, "base.height_m: is missing"),
        ({"base": {**GOOD["base"], "kind": []}}, "base.kind: names a register"),
        ({"base": {**GOOD["base"], "name": [7]}}, "base.name[1]: 7 is not a record id"),
        ({"base": {**GOOD["base"], "name": ID}}, "base.name: "),
        ({"base": None}, "base: "),
        ({"seen": {"name": [OTHER]}}, "seen: belongs to a delete only"),
        ({"hlc": "1778556900000-0000-6ba7b811"}, "hlc: "),
        ({"hlc": "001778556900000-0000-6BA7B811"}, "hlc: "),
        ({"hlc": "٠٠١٧٧٨٥٥٦٩٠٠٠٠٠-0000-6ba7b811"}, "hlc: "),
        ({"wall": -1}, "wall: -1 is out of range"),
        ({"wall": 1.5}, "wall: 1.5 is not a whole number"),
        ({"tz_min": 2000}, "tz_min: 2000 is out of range"),
        ({"schema": 0}, "schema: 0 is out of range"),
        ({"group": "x"}, 'group: "x" is not a record id'),
        ({"extra": 1}, "extra: is not a field here"),
    ],
)
def test_a_bad_change(edit: dict[str, Any], begins: str) -> None:
    (sentence,) = sentences({**GOOD, **edit})
    assert sentence.startswith(begins)
    assert sentence.endswith(".")


@pytest.mark.parametrize("raw", [None, [], "x", 1])
def test_a_change_is_an_object(raw: object) -> None:
    assert sentences(raw)[0].endswith("is not an object; write it in braces.")


def test_faults_of_several_registers_come_together() -> None:
    raw = {
        **GOOD,
        "set": {"name": 1, "kind": "tower", "position": {"lat": 91, "lon": 0}},
        "base": {"name": [], "kind": [], "position": []},
    }
    assert [sentence.split(":")[0] for sentence in sentences(raw)] == [
        "set.name",
        "set.kind",
        "set.position.lat",
    ]


def test_a_newer_schema_is_told_apart() -> None:
    assert is_newer({"schema": SCHEMA + 1})
    assert not is_newer(GOOD)
    assert not is_newer({"schema": True})
    assert not is_newer({})
