"""One change: the immutable edit of some registers of one record, as phones write it.

A change is judged alone, never against other changes, or the order of arrival would matter.
Not for: heads, conflicts and merging (the notebook's).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import attrs

from scout.records import fields as f
from scout.records.kinds import KINDS, SCHEMA, read_part
from scout.records.reading import read_object
from scout.records.trouble import Refused, Trouble, at_field, shown

_STAMP = re.compile(r"[0-9]{15}-[0-9a-f]{4}-[0-9a-f]{8}")
LAST_EXACT_INTEGER = (
    2**53 - 1
)  # beyond it JSON numbers differ between languages (RFC 8785, 3.2.2.3)


def _read_stamp(raw: object) -> str:
    if isinstance(raw, str) and _STAMP.fullmatch(raw):
        return raw
    raise Refused.one(
        f"{shown(raw)} is not a stamp; write 15 digits of ms, 4 hex of counter, 8 hex of device"
    )


def _read_set(raw: object) -> dict[str, object]:
    if not isinstance(raw, dict) or not raw:
        raise Refused.one(
            f"{shown(raw)} is not an object of registers; change at least one register"
        )
    return raw


def _read_heads(raw: object) -> dict[str, list[str]]:
    """Read registers' heads: each register's name with the ids of the changes it stands on."""
    if not isinstance(raw, dict):
        raise Refused.one(
            f"{shown(raw)} is not an object; name each register with a list of change ids"
        )
    heads: dict[str, list[str]] = {}
    troubles: list[Trouble] = []
    for name, ids in raw.items():
        if not isinstance(ids, list):
            troubles.append(Trouble((name,), f"{shown(ids)} is not a list of change ids"))
            continue
        kept: list[str] = []
        for place, one in enumerate(ids):
            try:
                kept.append(f.read_identity(one))
            except Refused as refusal:
                troubles.extend(at_field(name, at_field(place, refusal.troubles)))
        heads[name] = kept
    if troubles:
        raise Refused(troubles)
    return heads


def _plain(kind: str, label: str, read: f.Reader, *, needed: bool = False) -> Any:
    return f.register(f.Field(kind=kind, label=label, read=read, needed=needed))


def _kind_name(raw: object) -> str:
    if isinstance(raw, str) and raw in KINDS:
        return raw
    raise Refused.one(f"{shown(raw)} is not a kind of record; the kinds are: {', '.join(KINDS)}")


def _whole(low: int, high: int = LAST_EXACT_INTEGER) -> f.Reader:
    return f.number_reader(low=low, high=high, whole=True)


@attrs.frozen(kw_only=True)
class Change:
    """One edit. `set` and `base` hold plain JSON values; `registers` reads them."""

    id: str = f.identity("Id", needed=True)
    device: str = f.identity("Device", needed=True)
    device_seq: int = _plain("whole", "Number on the device", _whole(1), needed=True)
    record: str = f.identity("Record", needed=True)
    kind: str = _plain("text", "Kind", _kind_name, needed=True)
    set: dict[str, object] = _plain("object", "Registers set", _read_set, needed=True)
    base: dict[str, list[str]] = _plain("object", "Heads on screen", _read_heads, needed=True)
    seen: dict[str, list[str]] | None = _plain("object", "Heads seen by a delete", _read_heads)
    hlc: str = _plain("text", "Stamp", _read_stamp, needed=True)
    wall: int = _plain("whole", "Phone's clock", _whole(0), needed=True)
    tz_min: int = _plain("whole", "Offset from UTC", _whole(-1440, 1440), needed=True)
    schema: int = _plain("whole", "Schema", _whole(1), needed=True)
    group: str | None = f.identity("Save it belongs to")


def read_change(raw: object) -> Change:
    """Read and judge a change of the present schema or an older one, already upcast.

    Raises Refused with every fault: of the envelope, of registers that the kind has not, and of
    their values.
    """
    change: Change = read_object(Change, raw)
    registers(change)
    return change


def registers(change: Change) -> dict[str, Any]:
    """Answer the registers that a change sets, each read by its field; `deleted` is true or false.

    Raises Refused with every fault.
    """
    troubles: list[Trouble] = []
    values: dict[str, Any] = {}
    for name, raw in change.set.items():
        if name == "deleted":
            if isinstance(raw, bool):
                values[name] = raw
            else:
                troubles.append(Trouble(("set", name), f"{shown(raw)} is neither true nor false"))
            continue
        try:
            values[name] = read_part(change.kind, name, raw)
        except Refused as refusal:
            troubles.extend(at_field("set", refusal.troubles))
    for name in change.set:
        if name not in change.base:
            troubles.append(
                Trouble(
                    ("base", name), "is missing; name the changes on screen, or [] for a new value"
                )
            )
    for name in change.base:
        if name not in change.set:
            troubles.append(
                Trouble(("base", name), "names a register that the change does not set")
            )
    if change.seen is not None and change.set.get("deleted") is not True:
        troubles.append(Trouble(("seen",), "belongs to a delete only; leave it out"))
    if troubles:
        raise Refused(troubles)
    return values


def is_newer(raw: Mapping[str, object]) -> bool:
    """Tell whether a change comes from a schema above this program's own."""
    schema = raw.get("schema")
    return isinstance(schema, int) and not isinstance(schema, bool) and schema > SCHEMA
