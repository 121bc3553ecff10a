"""What a set of changes means: the shared cases, and properties over orders and repetitions."""

from __future__ import annotations

import itertools
import json
import random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.notebook import merge
from scout.notebook.canonical import canonical

from .cases import named, read

CASES = read("merge.json")["cases"]


def edits_of(changes: list[dict[str, Any]]) -> list[merge.Edit]:
    return [merge.edit_of(change) for change in changes]


def step_by_step(edits: list[merge.Edit]) -> dict[merge.Key, merge.State]:
    """Merge one change at a time, each taken in once."""
    records: dict[merge.Key, merge.Record] = {}
    known: set[str] = set()
    for edit in edits:
        if edit.id not in known:
            records.setdefault(edit.key, merge.Record()).apply(edit, known)
            known.add(edit.id)
    return {key: record.state for key, record in records.items()}


def shown(states: dict[merge.Key, merge.State]) -> list[dict[str, Any]]:
    return [
        {
            "kind": kind,
            "record": record,
            "hidden": state.hidden,
            "badge": state.badge,
            "registers": {
                name: {
                    "heads": [head.id for head in heads],
                    "shown": json.loads(heads[0].value),
                    "conflict": name in state.conflicts,
                }
                for name, heads in state.heads.items()
            },
        }
        for (kind, record), state in states.items()
    ]


def text_of(states: list[dict[str, Any]]) -> str:
    return canonical(sorted(states, key=lambda one: (one["kind"], one["record"])))


def orders(changes: list[dict[str, Any]]) -> list[list[dict[str, Any]]]:
    if len(changes) <= 5:
        return [list(order) for order in itertools.permutations(changes)]
    shuffler = random.Random(5)
    return [shuffler.sample(changes, len(changes)) for _ in range(100)]


def held(case: dict[str, Any]) -> list[dict[str, Any]]:
    return [change for change in case["changes"] if change["id"] not in case.get("parked", [])]


@pytest.mark.parametrize("case", named(CASES))
def test_i3_every_order_gives_the_state(case: dict[str, Any]) -> None:
    wanted = text_of(case["state"])
    for order in orders(held(case)):
        assert text_of(shown(merge.states(edits_of(order)))) == wanted
        assert text_of(shown(step_by_step(edits_of(order)))) == wanted


@pytest.mark.parametrize("case", named(CASES))
def test_i4_sending_again_changes_nothing(case: dict[str, Any]) -> None:
    edits = edits_of(held(case))
    assert step_by_step(edits + edits) == step_by_step(edits)
    assert merge.states(edits + edits) == merge.states(edits)


@pytest.mark.parametrize("case", named([c for c in CASES if "edits" in c or "deletes" in c]))
def test_what_an_edit_and_a_delete_must_name(case: dict[str, Any]) -> None:
    states = merge.states(edits_of(held(case)))
    unsent = {change["id"]: change["base"] for change in held(case) if "seq" not in change}
    for edit in case.get("edits", []):
        state = states.get((edit["kind"], edit["record"])) or merge.state_of({})
        heads = state.heads.get(edit["register"], ())
        of_register = {id_: base.get(edit["register"], []) for id_, base in unsent.items()}
        names = merge.base_of_edit(heads, of_register, every=edit.get("all", False))
        assert names == sorted(edit["base"])
    for delete in case.get("deletes", []):
        state = states[delete["kind"], delete["record"]]
        assert merge.seen_by_delete(state, unsent) == delete["seen"]


IDS = [f"c{number}" for number in range(8)]
CHANGES = st.lists(
    st.fixed_dictionaries(
        {
            "record": st.sampled_from(["p1", "p2"]),
            "kind": st.sampled_from(["perch", "perch", "vantage"]),
            "set": st.dictionaries(
                st.sampled_from(["name", "height_m"]), st.sampled_from(["A", "B", None]), min_size=1
            )
            | st.fixed_dictionaries({"deleted": st.booleans()}),
            "named": st.lists(st.sampled_from(IDS), max_size=3),
            "seen": st.lists(st.sampled_from(IDS), max_size=8),
            "ms": st.integers(0, 3),
        }
    ),
    max_size=8,
).map(
    lambda drawn: [
        {
            "id": id_,
            "record": one["record"],
            "kind": one["kind"],
            "set": one["set"],
            "base": {name: one["named"] for name in one["set"]},
            "hlc": f"{one['ms']:015d}-0000-00000000",
        }
        | ({"seen": {"name": one["seen"]}} if one["set"].get("deleted") else {})
        for id_, one in zip(IDS, drawn, strict=False)
    ]
)


@given(CHANGES, st.randoms(use_true_random=False))
def test_i3_any_order_of_any_changes_gives_one_state(
    changes: list[dict[str, Any]], shuffler: random.Random
) -> None:
    edits = edits_of(changes)
    wanted = merge.states(edits)
    shuffler.shuffle(edits)
    assert step_by_step(edits) == wanted
    assert merge.states(edits) == wanted


@given(CHANGES)
def test_i5_no_head_is_hidden_by_a_delete_that_had_not_seen_it(
    changes: list[dict[str, Any]],
) -> None:
    for state in merge.states(edits_of(changes)).values():
        seen = {
            id_
            for head in state.heads.get("deleted", ())
            for id_ in (head.seen or {}).get("name", ())
        }
        others = {h.id for name, heads in state.heads.items() if name != "deleted" for h in heads}
        if state.hidden:
            assert others <= seen


@given(CHANGES)
def test_i6_a_conflict_is_heads_of_different_values(changes: list[dict[str, Any]]) -> None:
    for state in merge.states(edits_of(changes)).values():
        for name, heads in state.heads.items():
            assert (name in state.conflicts) == (len({head.value for head in heads}) > 1)
