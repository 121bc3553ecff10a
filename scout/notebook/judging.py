"""One change judged alone: what the journal may take, and the words for what it may not.

Never against other changes, or the order of arrival would matter: whether a record is complete, a
reference resolves or an end lies after its start is judged on reading. Only an id already taken by
another body is known to the journal. Not for: keeping what was judged (`journal`).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import attrs

from scout.notebook.canonical import canonical, sha256_of
from scout.notebook.merge import Edit
from scout.notebook.upcast import upcast
from scout.records.change import Change, is_newer, read_change
from scout.records.kinds import KINDS
from scout.records.reading import fields_of
from scout.records.trouble import Refused, Trouble, shown

LARGEST_CHANGE_BYTES = 1_048_576
_MAY_BE_LEFT_OUT = ("seen", "group")
_LONGEST_FIELD, _LONGEST_MESSAGE = 200, 2000  # a name may be as long as its writer liked


@attrs.frozen
class Fault:
    """Why a change was not taken: a code for programs, the field, and sentences for people."""

    code: str
    field: str
    message: str


@attrs.frozen
class Written:
    """A change that may enter: as its writer made it, in canonical parts, and as an edit."""

    change: Mapping[str, Any]
    set_json: str
    base_json: str
    seen_json: str | None
    body: str
    sha256: str
    edit: Edit


@attrs.frozen
class Judged:
    """What came of judging: `written`, or `fault`, or neither for a schema above ours."""

    id: str
    body: str
    sha256: str
    written: Written | None = None
    fault: Fault | None = None


def judge(raw: object) -> Judged:
    """Judge one change as it came."""
    named = raw.get("id") if isinstance(raw, dict) else None
    change_id = named if isinstance(named, str) and named.isascii() and len(named) <= 100 else ""
    try:
        body = canonical(raw)
    except Refused as refusal:
        body = _kept_anyway(raw)
        return Judged(change_id, body, sha256_of(body), fault=_fault(raw, refusal.troubles))
    sha256 = sha256_of(body)
    if not isinstance(raw, dict):
        says = f"{shown(raw)} is not a change; write it as an object in braces"
        return Judged(change_id, body, sha256, fault=Fault("shape", "", Trouble((), says).sentence))
    if is_newer(raw):
        return Judged(change_id, body, sha256)
    try:
        return Judged(change_id, body, sha256, written=_written(raw, body, sha256))
    except Refused as refusal:
        return Judged(change_id, body, sha256, fault=_fault(raw, refusal.troubles))


def _written(raw: dict[str, Any], body: str, sha256: str) -> Written:
    if len(body) > LARGEST_CHANGE_BYTES:
        raise Refused.one(f"is larger than {LARGEST_CHANGE_BYTES} bytes; split it or shorten it")
    nulls = [name for name in _MAY_BE_LEFT_OUT if name in raw and raw[name] is None]
    if nulls:  # the journal keeps neither, and must give every byte back
        raise Refused.one("is null; leave it out", nulls[0])
    lifted = upcast(raw)
    change = read_change(lifted)
    values = {name: canonical(value) for name, value in change.set.items()}
    own = lifted is raw  # then the canonical parts are those just made
    return Written(
        change=raw,
        set_json=_object(values) if own else canonical(raw["set"]),
        base_json=canonical(raw["base"]),
        seen_json=canonical(raw["seen"]) if "seen" in raw else None,
        body=body,
        sha256=sha256,
        edit=_edit(change, values),
    )


def edit_again(change: Mapping[str, Any]) -> Edit:
    """Answer what merging looks at in a change that stands in the journal, so was judged before."""
    lifted = upcast(dict(change))
    seen = lifted.get("seen")
    return Edit(
        id=lifted["id"],
        kind=lifted["kind"],
        record=lifted["record"],
        hlc=lifted["hlc"],
        values={name: canonical(value) for name, value in lifted["set"].items()},
        base={name: tuple(ids) for name, ids in lifted["base"].items()},
        seen=None if seen is None else {name: tuple(ids) for name, ids in seen.items()},
    )


def _edit(change: Change, values: Mapping[str, str]) -> Edit:
    seen = change.seen
    return Edit(
        id=change.id,
        kind=change.kind,
        record=change.record,
        hlc=change.hlc,
        values=values,
        base={name: tuple(ids) for name, ids in change.base.items()},
        seen=None if seen is None else {name: tuple(ids) for name, ids in seen.items()},
    )


def _object(parts: Mapping[str, str]) -> str:
    """Join canonical values to a canonical object; the names are registers, so plain ASCII."""
    return "{" + ",".join(f'"{name}":{parts[name]}' for name in sorted(parts)) + "}"


def _fault(raw: object, troubles: tuple[Trouble, ...]) -> Fault:
    first = troubles[0]
    more = f" And {len(troubles) - 5} more." if len(troubles) > 5 else ""
    message = " ".join(trouble.sentence for trouble in troubles[:5]) + more
    return Fault(_code(raw, first), first.field[:_LONGEST_FIELD], message[:_LONGEST_MESSAGE])


def _code(raw: object, trouble: Trouble) -> str:
    """`register` for one that the kind has not, `value` for what it was set to, else `shape`."""
    if len(trouble.path) < 2 or trouble.path[0] != "set" or not isinstance(raw, dict):
        return "shape"
    kind = KINDS.get(str(upcast(raw).get("kind")))
    name = trouble.path[1]
    if kind is not None and name != "deleted" and (name == "id" or name not in fields_of(kind)):
        return "register"
    return "value"


def _kept_anyway(raw: object) -> str:
    """Write what has no canonical form, losing nothing: half characters as escapes, NaN as NaN."""
    try:
        return json.dumps(
            raw, ensure_ascii=True, sort_keys=True, separators=(",", ":"), default=repr
        )
    except (RecursionError, TypeError, ValueError):
        raise Refused.one(
            "the changes hold something that is no JSON, or nested too deeply; send JSON"
        ) from None
