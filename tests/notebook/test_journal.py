"""Changes taken in and given out: answers, quarantine, cursors, offers; I3, I4, I6, I7, I9, I12."""

from __future__ import annotations

import json
import random
import shutil
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.notebook import merge
from scout.notebook.canonical import canonical, sha256_of
from scout.notebook.cursors import CursorInvalid
from scout.notebook.notebook import FILE, Notebook, open_notebook

from .conftest import NOW_MS, TurnedClock
from .phone import Change, Direct, Phone
from .tables import rows_of

PERCH = "01900000-0000-7000-8000-0000000000aa"


def push(notebook: Notebook, *changes: Any) -> list[dict[str, Any]]:
    return [answer.as_json() for answer in notebook.push(changes).answers]


def test_a_push_is_answered_in_the_order_sent(notebook: Notebook, phone: Phone) -> None:
    one = phone.edit("perch", PERCH, {"name": "Old post"})
    two = phone.edit("perch", PERCH, {"height_m": 1.5})
    assert push(notebook, two, one) == [{"status": "ok", "seq": 1}, {"status": "ok", "seq": 2}]


def test_i4_sent_again_it_is_a_duplicate_with_the_same_seq(
    notebook: Notebook, phone: Phone
) -> None:
    one = phone.edit("perch", PERCH, {"height_m": 2})
    again = json.loads(json.dumps(one)) | {"device_seq": 1.0}  # another text of the same body
    push(notebook, one)
    before = rows_of(notebook.store.path, "journal", "head", "perch")
    assert push(notebook, again, one) == [{"status": "duplicate", "seq": 1}] * 2
    assert rows_of(notebook.store.path, "journal", "head", "perch") == before


def test_the_same_id_with_another_body_is_quarantined_with_its_content(
    notebook: Notebook, phone: Phone
) -> None:
    one = phone.edit("perch", PERCH, {"name": "A"})
    other = one | {"set": {"name": "B"}}
    answers = push(notebook, one, other, other, one)
    assert [a["status"] for a in answers] == ["ok", "quarantined", "quarantined", "duplicate"]
    assert answers[1]["code"] == "id_taken"
    (kept,) = notebook.quarantine()
    assert json.loads(kept["body_json"])["set"] == {"name": "B"}


BAD: list[tuple[str, Any, str, str]] = [
    ("no object", [], "shape", ""),
    ("null", None, "shape", ""),
    ("empty", {}, "shape", "id"),
    ("unknown field", {"colour": 1}, "shape", "colour"),
    ("unknown register", {"set": {"colour": 1}, "base": {"colour": []}}, "register", "set.colour"),
    ("the id set", {"set": {"id": PERCH}, "base": {"id": []}}, "register", "set.id"),
    ("value", {"set": {"height_m": "12"}, "base": {"height_m": []}}, "value", "set.height_m"),
    (
        "value in a group",
        {"set": {"position": {"lat": 91, "lon": 0}}, "base": {"position": []}},
        "value",
        "set.position.lat",
    ),
    ("no kind", {"kind": "nest box"}, "shape", "kind"),
    ("no base", {"base": {}}, "shape", "base.name"),
    ("base not of ids", {"base": {"name": ["x"]}}, "shape", "base.name[1]"),
    ("seen without delete", {"seen": {}}, "shape", "seen"),
    ("stamp", {"hlc": "now"}, "shape", "hlc"),
    ("schema as text", {"schema": "1"}, "shape", "schema"),
    ("group null", {"group": None}, "shape", "group"),
    ("half a character", {"set": {"name": "\ud800"}}, "shape", ""),
    ("half a character in a name", {"\udc00": 1}, "shape", ""),
    ("not finite", {"set": {"height_m": float("nan")}}, "shape", ""),
    ("beyond 2^53", {"wall": 2**53}, "shape", ""),
    ("too large", {"set": {"name": "x" * 1_100_000}}, "shape", ""),
    ("an id that is none", {"id": "' OR 1=1"}, "shape", "id"),
]


@pytest.mark.parametrize(("name", "bad", "code", "field"), BAD, ids=[bad[0] for bad in BAD])
def test_i7_a_bad_change_delays_no_other_and_is_kept(
    notebook: Notebook, phone: Phone, name: str, bad: Any, code: str, field: str
) -> None:
    good = [phone.edit("perch", PERCH, {"name": f"n{number}"}) for number in range(3)]
    wrong = good[1] | bad if isinstance(bad, dict) and bad else bad
    if isinstance(bad, dict) and bad and "id" not in bad:
        wrong["id"] = phone.new_id()
    answers = push(notebook, good[0], wrong, good[2])
    assert [answer["status"] for answer in answers] == ["ok", "quarantined", "ok"]
    assert (answers[1]["code"], answers[1]["field"]) == (code, field)
    assert answers[1]["message"].endswith(".")
    (kept,) = notebook.quarantine()
    assert canonical_or_ascii(json.loads(kept["body_json"])) == canonical_or_ascii(wrong)
    assert push(notebook, wrong) == [answers[1]], "sent again, the same answer"
    assert len(notebook.quarantine()) == 1


def canonical_or_ascii(value: Any) -> str:
    return json.dumps(value, sort_keys=True)


def test_one_bad_change_among_500(notebook: Notebook, phone: Phone) -> None:
    changes: list[Any] = [phone.edit("perch", PERCH, {"name": f"n{n}"}) for n in range(500)]
    changes[250] = changes[250] | {"set": {"name": 5}}
    statuses = [answer["status"] for answer in push(notebook, *changes)]
    assert statuses.count("ok") == 499
    assert statuses[250] == "quarantined"


def test_a_newer_schema_is_to_be_sent_again_later(notebook: Notebook, phone: Phone) -> None:
    newer = phone.edit("perch", PERCH, {"name": "A"}) | {"schema": 99, "mood": "good"}
    assert push(notebook, newer) == [{"status": "retry", "code": "server_older"}]
    assert notebook.quarantine() == []
    assert notebook.pull().rows == ()


def test_no_byte_is_altered(notebook: Notebook, phone: Phone) -> None:
    sent = [
        phone.edit("perch", PERCH, {"name": 'Äst "über" \\ \n😀', "height_m": 1e-7}),
        phone.edit("perch", PERCH, {"position": {"lon": -3.80, "lat": 57.0}}),
        phone.edit("perch", PERCH, {"height_m": None}),
    ]
    del sent[1]["group"]
    sent.append(phone.delete("perch", PERCH))
    push(notebook, *sent)
    page = notebook.pull()
    for row, change in zip(page.rows, sent, strict=True):
        assert row.body == canonical(change)
        assert row.body_sha256 == sha256_of(row.body)
    assert [one["change"] for one in json.loads(page.text)["changes"]] == [
        json.loads(canonical(change)) for change in sent
    ]


def test_nothing_is_rejected_for_its_time(notebook: Notebook, phone: Phone) -> None:
    one = phone.edit("perch", PERCH, {"name": "A"})
    one |= {"hlc": "999999999999999-ffff-00000000", "wall": 0}
    assert push(notebook, one) == [{"status": "ok", "seq": 1}]


def test_a_cloned_phone_poisons_nothing(notebook: Notebook, phone: Phone) -> None:
    one = phone.edit("perch", PERCH, {"name": "A"})
    clone = phone.edit("perch", PERCH, {"name": "B"}) | {"device_seq": one["device_seq"]}
    assert [answer["status"] for answer in push(notebook, one, clone)] == ["ok", "ok"]


def test_how_a_change_came_is_written_down(notebook: Notebook, phone: Phone, other: Phone) -> None:
    mine, theirs = (
        phone.edit("perch", PERCH, {"name": "A"}),
        other.edit("perch", PERCH, {"name": "B"}),
    )
    notebook.push([mine, theirs], device=phone.device)
    assert [row["received_via"] for row in notebook.history(PERCH)] == ["push", "relay"]
    bad = mine | {"id": phone.new_id(), "set": {"name": 1}}
    notebook.push([bad], device=phone.device)
    assert notebook.quarantine()[0]["received_via"] == "push"


# -- pull, cursors, offers


def test_pull_gives_pages_in_order(notebook: Notebook, phone: Phone) -> None:
    sent = [phone.edit("perch", PERCH, {"name": f"n{n}"}) for n in range(7)]
    push(notebook, *sent)
    cursor, seqs = None, []
    for size, more in ((3, True), (3, True), (1, False), (0, False)):
        page = notebook.pull(cursor, limit=3)
        assert (len(page.rows), page.more) == (size, more)
        seqs += [row.seq for row in page.rows]
        cursor = page.cursor
    assert seqs == [1, 2, 3, 4, 5, 6, 7]


def test_i9_a_cursor_of_another_journal_is_refused(notebook: Notebook, phone: Phone) -> None:
    pushed = notebook.push([phone.edit("perch", PERCH, {"name": "A"})])
    assert pushed.furthest is not None
    epoch, seq, chain = pushed.furthest.split(":")
    assert notebook.pull(pushed.furthest).rows == ()
    for wrong in (
        f"{PERCH}:{seq}:{chain}",
        f"{epoch}:2:{chain}",
        f"{epoch}:{seq}:{'0' * 16}",
        f"{epoch}:1",
        f"{epoch}:-1:{chain}",
        f"{epoch}:{'9' * 30}:{chain}",
        f"{epoch}:\u0661:{chain}",
        "",
        "::",
    ):
        with pytest.raises(CursorInvalid):
            notebook.pull(wrong)
        with pytest.raises(CursorInvalid):
            notebook.pull(None, furthest=wrong)
        with pytest.raises(CursorInvalid):
            notebook.push([phone.edit("perch", PERCH, {"name": "B"})], furthest=wrong)
    assert len(notebook.history(PERCH)) == 1


def test_offer(notebook: Notebook, phone: Phone) -> None:
    one, two = (phone.edit("perch", PERCH, {"name": name}) for name in "AB")
    push(notebook, one)
    offered = notebook.offer([two["id"], one["id"]], ["0" * 64])
    assert offered.missing == (two["id"],)
    assert offered.present == {one["id"]: 1}
    assert offered.blobs == {"0" * 64: "missing"}
    assert offered.furthest == notebook.furthest()


def test_i9_a_file_copied_back_by_hand_is_noticed_and_nothing_is_lost(
    tmp_path: Path, clock: TurnedClock, phone: Phone, other: Phone
) -> None:
    home = tmp_path / "home"
    with open_notebook(home, clock, create=True) as notebook:
        phone.edit("perch", PERCH, {"name": "A"})
        phone.push(Direct(notebook))
    shutil.copy(home / FILE, tmp_path / "copy.db")
    with open_notebook(home, clock) as notebook:
        phone.edit("perch", PERCH, {"height_m": 1})
        phone.sync(Direct(notebook))
        phone.edit("perch", PERCH, {"height_m": 2})
        phone.push(Direct(notebook))
    shutil.copy(tmp_path / "copy.db", home / FILE)
    with open_notebook(home, clock) as notebook:
        for number in range(5):  # as many as to hide that the numbers went back
            other.edit("perch", PERCH, {"code_name": f"c{number}"})
        other.sync(Direct(notebook))
        phone.edit("perch", PERCH, {"height_m": 3})
        phone.sync(Direct(notebook))
        other.sync(Direct(notebook))
        assert {c["id"] for c in phone.changes.values()} == {
            c["id"] for c in other.changes.values()
        }
        assert len(notebook.history(PERCH)) == 9
        assert phone.states() == other.states()


def test_the_quarantined_middle_on_a_phone(
    notebook: Notebook, server: Direct, phone: Phone, other: Phone
) -> None:
    first = phone.edit("perch", PERCH, {"height_m": 1})
    phone.sync(server)
    middle = phone.edit("perch", PERCH, {"height_m": 5000})  # higher than a perch may be
    last = phone.edit("perch", PERCH, {"height_m": 3})
    assert last["base"]["height_m"] == sorted([first["id"], middle["id"]])
    phone.sync(server)
    other.sync(server)
    assert list(phone.parked) == [middle["id"]]
    assert phone.states() == other.states()
    assert other.state("perch", PERCH).shown("height_m") == "3"
    assert notebook.conflicts() == []
    mended = phone.mend(middle["id"], {"height_m": 50})
    assert mended["base"] == middle["base"]
    phone.sync(server)
    other.sync(server)
    assert phone.states() == other.states()
    assert [c["register"] for c in notebook.conflicts()] == ["height_m"], "and both are listed"


# -- I3, I12: tables are a function of the set, whatever the order and the batches


def random_changes(rng: random.Random, count: int) -> list[Change]:
    """Answer what three phones that hardly meet write about a few records."""
    phones = [
        Phone(random.Random(rng.random()), NOW_MS + rng.randint(-(9**9), 9**9)) for _ in range(3)
    ]
    records = [("perch", phones[0].new_id()) for _ in range(2)] + [("visit", phones[0].new_id())]
    for _ in range(count):
        phone = rng.choice(phones)
        kind, record = rng.choice(records)
        draw = rng.random()
        if draw < 0.15:
            phone.delete(kind, record)
        elif draw < 0.25:
            phone.undelete(kind, record)
        elif kind == "visit":
            phone.edit(kind, record, {"sky": rng.choice(["clear", "overcast", None])})
        else:
            values = {"name": rng.choice("ABC"), "height_m": rng.randint(0, 3)}
            phone.edit(kind, record, dict(rng.sample(sorted(values.items()), rng.randint(1, 2))))
        if rng.random() < 0.3:  # two of them meet
            other = rng.choice(phones)
            for change in list(phone.changes.values()):
                if change["id"] not in other.changes:
                    other._hold(change)
    return list({id_: change for p in phones for id_, change in p.changes.items()}.values())


@given(st.integers(0, 2**32), st.integers(1, 30))
def test_i3_i12_any_order_and_batching_gives_the_same_tables(
    tmp_path_factory: pytest.TempPathFactory, seed: int, count: int
) -> None:
    rng = random.Random(seed)
    changes = random_changes(rng, count)
    wanted = merge.states([merge.edit_of(change) for change in changes])
    tables = []
    for _ in range(2):
        rng.shuffle(changes)
        folder = tmp_path_factory.mktemp("order")
        with open_notebook(folder, TurnedClock(), create=True) as notebook:
            rest = list(changes)
            while rest:
                size = rng.randint(1, len(rest))
                notebook.push(rest[:size] + changes[: rng.randint(0, 2)])
                rest = rest[size:]
            tables.append(rows_of(folder / FILE))
            notebook.rebuild()
            assert rows_of(folder / FILE) == tables[-1], "I12: rebuilt row for row"
            listed = {(c["kind"], c["record"], c["register"]) for c in notebook.conflicts()}
            assert listed == {(*key, n) for key, s in wanted.items() for n in s.conflicts}, "I6"
            assert notebook.check().faults == []
        shutil.rmtree(folder)
    assert tables[0] == tables[1]
    hidden = {record for (_, record), state in wanted.items() if state.hidden}
    shown = {row[0]: row for kind in ("perch", "visit") for row in tables[0][kind]}
    assert {record for record, row in shown.items() if row[-3] == 1} == hidden


def test_the_views_read_well(notebook: Notebook, phone: Phone, other: Phone) -> None:
    push(
        notebook,
        phone.edit("perch", PERCH, {"name": "A"}),
        other.edit("perch", PERCH, {"name": "B"}),
    )
    conn = sqlite3.connect(notebook.store.path)
    assert conn.execute("SELECT kind, record_id, register, heads FROM conflict").fetchall() == [
        ("perch", PERCH, "name", 2)
    ]
    assert conn.execute("SELECT register, value FROM history ORDER BY seq").fetchall() == [
        ("name", "A"),
        ("name", "B"),
    ]
    assert conn.execute("SELECT name, conflict_count, deleted FROM perch").fetchall() == [
        ("A", 1, 0)
    ]
    conn.close()
