"""What a set of changes means: heads, the value shown, conflicts, hidden or not. Pure functions.

The heads of a register are the changes that no other change names as its base; so the state is a
function of the set, and order, repetition and batching cannot matter. Conflicts come from versions,
never from clocks. Two forms that must agree: `states`, from scratch, is the rule itself;
`Record.apply` takes one change at a time. Not for: judging a change (`judging`), or keeping
anything (`store`).
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from typing import Any

import attrs

from scout.notebook.canonical import canonical

DELETED = "deleted"  # the register that hides a record
_TRUE = "true"

Key = tuple[str, str]  # kind and record: one id under two kinds is two records


@attrs.frozen
class Edit:
    """A change, lifted to the present schema, as merging looks at it: values in canonical form."""

    id: str
    kind: str
    record: str
    hlc: str
    values: Mapping[str, str]
    base: Mapping[str, tuple[str, ...]]
    seen: Mapping[str, tuple[str, ...]] | None = None

    @property
    def key(self) -> Key:
        """The record that it edits."""
        return self.kind, self.record


@attrs.frozen
class Head:
    """One value of a register that nothing has taken the place of."""

    id: str
    hlc: str
    value: str
    seen: Mapping[str, tuple[str, ...]] | None = None


@attrs.frozen
class State:
    """What a record is now. Heads are listed highest (stamp, id) first; the first is shown."""

    heads: Mapping[str, tuple[Head, ...]]
    conflicts: tuple[str, ...]
    hidden: bool
    badge: bool

    def shown(self, register: str) -> str | None:
        """Answer the canonical value shown of a register, or None where it has none."""
        heads = self.heads.get(register)
        return heads[0].value if heads else None


def edit_of(change: Mapping[str, Any]) -> Edit:
    """Answer what merging looks at in a change that was judged and lifted to the present."""
    seen = change.get("seen")
    return Edit(
        id=change["id"],
        kind=change["kind"],
        record=change["record"],
        hlc=change["hlc"],
        values={name: canonical(value) for name, value in change["set"].items()},
        base={name: tuple(ids) for name, ids in change["base"].items()},
        seen=None if seen is None else {name: tuple(ids) for name, ids in seen.items()},
    )


def states(edits: Iterable[Edit]) -> dict[Key, State]:
    """Answer the state of every record that a set of changes touches, from scratch."""
    by_id = {edit.id: edit for edit in edits}
    named = {
        (edit.key, register, base)
        for edit in by_id.values()
        for register in edit.values
        for base in edit.base.get(register, ())
        if base != edit.id
    }
    heads: dict[Key, dict[str, list[Head]]] = {}
    for edit in by_id.values():
        registers = heads.setdefault(edit.key, {})
        for register, value in edit.values.items():
            if (edit.key, register, edit.id) not in named:
                registers.setdefault(register, []).append(_head(edit, register, value))
    return {key: state_of(registers) for key, registers in heads.items()}


def state_of(registers: Mapping[str, Iterable[Head]]) -> State:
    """Answer a record's state from the heads of its registers, in any order."""
    ranked = {
        name: tuple(sorted(heads, key=lambda head: (head.hlc, head.id), reverse=True))
        for name, heads in registers.items()
    }
    ranked = {name: heads for name, heads in ranked.items() if heads}
    conflicts = tuple(
        sorted(
            name for name, heads in ranked.items() if any(h.value != heads[0].value for h in heads)
        )
    )
    deleting = ranked.get(DELETED, ())
    hidden = bool(deleting) and all(
        head.value == _TRUE for head in deleting
    )  # a head that says false is an undo that no deleter had seen
    if hidden:
        hidden = all(
            any(head.id in (delete.seen or {}).get(name, ()) for delete in deleting)
            for name, heads in ranked.items()
            if name != DELETED
            for head in heads
        )
    badge = bool(deleting) and deleting[0].value == _TRUE and not hidden
    return State(heads=ranked, conflicts=conflicts, hidden=hidden, badge=badge)


@attrs.define
class Record:
    """The heads of one record, taking one change at a time, each once.

    `awaited` holds what was named as a base and has not come: when it comes it is no head.
    """

    heads: dict[str, dict[str, Head]] = attrs.field(factory=dict)
    awaited: dict[str, set[str]] = attrs.field(factory=dict)

    def apply(self, edit: Edit, known: Container[str]) -> None:
        """Take in a change of this record; `known`: the ids of all taken in before, of any."""
        for register, value in edit.values.items():
            heads = self.heads.setdefault(register, {})
            awaited = self.awaited.get(register)
            if awaited is None or edit.id not in awaited:
                heads[edit.id] = _head(edit, register, value)
            else:
                awaited.discard(edit.id)
            for base in edit.base.get(register, ()):
                if base == edit.id:
                    continue
                if heads.pop(base, None) is None and base not in known:
                    self.awaited.setdefault(register, set()).add(base)

    @property
    def state(self) -> State:
        """The record as it is now."""
        return state_of({name: heads.values() for name, heads in self.heads.items()})


def _head(edit: Edit, register: str, value: str) -> Head:
    return Head(edit.id, edit.hlc, value, edit.seen if register == DELETED else None)


def base_of_edit(
    heads: tuple[Head, ...], unsent: Mapping[str, Iterable[str]], *, every: bool = False
) -> list[str]:
    """Answer what an edit made now must name: the head shown and every head of equal value.

    `every`: name all heads (resolving, and registers in which the last writer wins). `unsent`: what
    each change without a seq names in this register; an edit over such a head names that too, so
    that it still stands in the place of the older value should the server quarantine the one
    between.
    """
    on_screen = [head.id for head in heads if every or head.value == heads[0].value]
    return _with_what_unsent_name(on_screen, unsent)


def seen_by_delete(
    state: State, unsent: Mapping[str, Mapping[str, Iterable[str]]]
) -> dict[str, list[str]]:
    """Answer what a delete must carry: all other heads, and what the unsent of them name.

    `unsent`: the base of each change without a seq, by its id.
    """
    return {
        name: _with_what_unsent_name(
            [head.id for head in heads],
            {change: base.get(name, ()) for change, base in unsent.items()},
        )
        for name, heads in state.heads.items()
        if name != DELETED
    }


def _with_what_unsent_name(ids: list[str], unsent: Mapping[str, Iterable[str]]) -> list[str]:
    names = set(ids)
    for one in ids:
        names.update(unsent.get(one, ()))
    return sorted(names)
