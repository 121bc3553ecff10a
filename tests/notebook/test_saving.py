"""The notebook's own writes: Saves as a phone would write them, and taking them back."""

from __future__ import annotations

from typing import Any

import pytest

from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit
from scout.records.trouble import Refused

from .conftest import NOW_MS, TurnedClock
from .phone import Direct, Phone

PERCH = "01900000-0000-7000-8000-0000000000aa"


def shown(notebook: Notebook, kind: str = "perch", record: str = PERCH) -> dict[str, Any] | None:
    return notebook.contents().raw[kind].get(record)


def name(value: str, **more: Any) -> Edit:
    return Edit(kind="perch", record=PERCH, set={"name": value}, **more)


def test_a_save_is_changes_of_the_notebooks_own_device(notebook: Notebook) -> None:
    first = notebook.save([name("A"), Edit(kind="site", set={"name": "S"})])
    second = notebook.save([name("B")])
    rows = [row["change"] for row in notebook.history(PERCH)]
    assert [row["set"] for row in rows] == [{"name": "A"}, {"name": "B"}]
    assert [row["device"] for row in rows] == [notebook.facts.device_id] * 2
    assert [row["device_seq"] for row in rows] == [1, 3]
    assert rows[1]["base"] == {"name": [first.changes[0]]}
    assert rows[1]["hlc"] > rows[0]["hlc"], "one more than the head, though the clock stood still"
    assert rows[1]["wall"] == NOW_MS
    assert (first.seqs, second.seqs) == ((1, 2), (3,))
    assert first.group != second.group
    assert shown(notebook) == {"id": PERCH, "name": "B"}


def test_a_save_is_whole_or_not_there(notebook: Notebook) -> None:
    with pytest.raises(Refused, match=r"^height_m: 5000 is out of range; .*m\.$"):
        notebook.save([name("A"), Edit(kind="perch", set={"height_m": 5000})])
    assert notebook.pull().rows == ()
    assert notebook.quarantine() == []


@pytest.mark.parametrize(
    ("edits", "says"),
    [
        ([Edit(kind="nest box", set={"name": "A"})], "not a kind of record"),
        ([Edit(kind="perch", set={"colour": 1})], "not a register of this kind"),
        ([Edit(kind="perch")], "nothing is set"),
        ([name("A"), name("B")], "twice in one Save"),
        ([Edit(kind="perch", record="old-post", set={"name": "A"})], "record"),
        ([Edit(kind="perch", set={"height_m": float("inf")})], "not finite"),
    ],
)
def test_what_a_save_refuses(notebook: Notebook, edits: list[Edit], says: str) -> None:
    with pytest.raises(Refused, match=f"(?i){says}"):
        notebook.save(edits)
    assert notebook.pull().rows == ()


def test_i6_a_conflict_stays_until_it_is_resolved(
    notebook: Notebook, server: Direct, phone: Phone
) -> None:
    notebook.save([name("A")])
    phone.sync(server)
    phone.edit("perch", PERCH, {"name": "P"})
    notebook.save([name("N")])
    phone.sync(server)
    (conflict,) = notebook.conflicts()
    assert (conflict["register"], conflict["hidden"]) == ("name", False)
    assert {head["value"] for head in conflict["heads"]} == {"P", "N"}
    notebook.save([name("X")])
    assert len(notebook.conflicts()) == 1, "an edit over the one shown leaves the other"
    notebook.save([name("Y", resolve=True)])
    assert notebook.conflicts() == []
    phone.sync(server)
    assert phone.state("perch", PERCH).conflicts == ()


def test_i5_a_delete_does_not_hide_what_its_writer_had_not_seen(
    notebook: Notebook, server: Direct, phone: Phone
) -> None:
    notebook.save([name("A")])
    phone.sync(server)
    phone.now_ms = 0  # a phone in 1970
    phone.edit("perch", PERCH, {"name": "B"})
    notebook.save([Edit(kind="perch", record=PERCH, delete=True)])
    assert shown(notebook) is None
    phone.sync(server)
    assert shown(notebook) == {"id": PERCH, "name": "B"}
    assert phone.state("perch", PERCH).badge
    notebook.save([Edit(kind="perch", record=PERCH, delete=True)])
    assert shown(notebook) is None
    notebook.save([Edit(kind="perch", record=PERCH, restore=True)])
    assert shown(notebook) == {"id": PERCH, "name": "B"}


# -- I10: taking a Save back


def test_i10_undo_of_an_edit_and_undo_of_that(notebook: Notebook, clock: TurnedClock) -> None:
    notebook.save([name("A")])
    saved = notebook.save([Edit(kind="perch", record=PERCH, set={"name": "B", "height_m": 2})])
    clock.pass_by(minutes=1)
    undone, left = notebook.undo(saved.group)
    assert left == ()
    assert shown(notebook) == {"id": PERCH, "name": "A"}
    assert undone is not None
    notebook.undo(undone.group)
    assert shown(notebook) == {"id": PERCH, "name": "B", "height_m": 2}
    assert len(notebook.history(PERCH)) == 4, "nothing was taken out of the journal"


def test_i10_undo_of_a_first_save_deletes_what_it_made(notebook: Notebook) -> None:
    saved = notebook.save([name("A"), Edit(kind="site", set={"name": "S"})])
    undone, _ = notebook.undo(saved.group)
    assert undone is not None
    assert shown(notebook) is None
    assert notebook.contents().raw["site"] == {}
    notebook.undo(undone.group)
    assert shown(notebook) == {"id": PERCH, "name": "A"}


def test_i10_undo_of_a_delete(notebook: Notebook) -> None:
    notebook.save([name("A")])
    saved = notebook.save([Edit(kind="perch", record=PERCH, delete=True)])
    notebook.undo(saved.group)
    assert shown(notebook) == {"id": PERCH, "name": "A"}


def test_undo_leaves_what_was_edited_since(
    notebook: Notebook, phone: Phone, server: Direct
) -> None:
    notebook.save([name("A")])
    saved = notebook.save([Edit(kind="perch", record=PERCH, set={"name": "B", "height_m": 2})])
    phone.sync(server)
    phone.edit("perch", PERCH, {"name": "C"})
    phone.sync(server)
    _, left = notebook.undo(saved.group)
    assert shown(notebook) == {"id": PERCH, "name": "C"}
    assert left == (f"perch {PERCH}: name was edited since and stays as it is.",)


def test_undo_of_a_save_that_edited_twice_goes_behind_both(
    notebook: Notebook, phone: Phone
) -> None:
    notebook.save([name("A")])
    phone.sync(Direct(notebook))
    two = [phone.edit("perch", PERCH, {"name": value}) for value in ("B", "C")]
    for change in two:
        change["group"] = two[0]["group"]
    notebook.push(two)
    notebook.undo(two[0]["group"])
    assert shown(notebook) == {"id": PERCH, "name": "A"}


def test_undo_of_what_is_not_here(notebook: Notebook) -> None:
    with pytest.raises(Refused, match="no Save of that id"):
        notebook.undo(PERCH)
