"""Many phones and one notebook, in every order that can be thought of: the machine and its rules.

The machine asks a subclass for the server that the phones speak to, so that the same rules run
against the notebook itself and over HTTP.
"""

from __future__ import annotations

import datetime as dt
import random
import shutil
import tempfile
from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, precondition, rule

from scout.notebook import merge
from scout.notebook.backups import back_up, restore
from scout.notebook.canonical import plain
from scout.notebook.cursors import CursorInvalid
from scout.notebook.notebook import FILE, Notebook, open_notebook
from scout.notebook.saving import Edit

from .phone import Change, Phone, Server

DAY_MS = 86_400_000
START = dt.datetime(2026, 5, 12, 3, 45, tzinfo=dt.UTC)
RECORDS = st.sampled_from(
    [
        ("perch", "01900000-0000-7000-8000-0000000000aa"),
        ("perch", "01900000-0000-7000-8000-0000000000bb"),
        ("visit", "01900000-0000-7000-8000-0000000000cc"),
    ]
)
VALUES = {
    "perch": st.dictionaries(
        st.sampled_from(["name", "height_m"]), st.sampled_from(["A", "B", 1, 2]), min_size=1
    ).map(lambda drawn: {n: _fit(n, value) for n, value in drawn.items()}),
    "visit": st.fixed_dictionaries({"sky": st.sampled_from(["clear", "overcast", None])}),
}


def _fit(name: str, value: Any) -> Any:
    return str(value) if name == "name" else {"A": 1.5, "B": None}.get(value, value)


class ManyPhones(RuleBasedStateMachine):
    """Phones that write, meet the server now and then, and lose what can be lost."""

    phones = Bundle("phones")

    def __init__(self) -> None:
        super().__init__()
        self.home = Path(tempfile.mkdtemp())
        self.now = START
        self.rng = random.Random(0)
        self.all: list[Phone] = []
        self.backups: list[Path] = []
        self.copy: Path | None = None
        self.written: dict[str, Change] = {}
        self.notebook = self.open()

    def open(self) -> Notebook:
        return open_notebook(self.home / "notebook", lambda: self.now, create=True)

    def server(self) -> Server:
        """Answer what the phones speak to now."""
        raise NotImplementedError

    def teardown(self) -> None:
        try:
            self.bring_to_rest()
            self.look()
        finally:
            self.notebook.close()
            shutil.rmtree(self.home)

    # -- what people do

    @initialize(seed=st.integers(0, 2**32))
    def begin(self, seed: int) -> None:
        self.rng = random.Random(seed)

    @rule(target=phones, days=st.integers(-3, 2))
    def a_phone_joins(self, days: int) -> Phone:
        now_ms = int(START.timestamp() * 1000) + days * DAY_MS
        phone = Phone(random.Random(self.rng.random()), now_ms)
        self.all.append(phone)
        return phone

    @rule(phone=phones, record=RECORDS, data=st.data(), resolve=st.booleans())
    def edit(
        self, phone: Phone, record: tuple[str, str], data: st.DataObject, resolve: bool
    ) -> None:
        values = data.draw(VALUES[record[0]])
        change = phone.edit(*record, values, resolve=resolve)
        self.note(change)
        if resolve:
            assert not set(values) & set(phone.state(*record).conflicts), "I6: resolved here"

    @rule(phone=phones, record=RECORDS)
    def delete(self, phone: Phone, record: tuple[str, str]) -> None:
        self.note(phone.delete(*record))

    @rule(phone=phones, record=RECORDS)
    def undelete(self, phone: Phone, record: tuple[str, str]) -> None:
        self.note(phone.undelete(*record))
        assert not phone.state(*record).hidden, "I10: undone here"

    @rule(phone=phones)
    def write_what_the_server_will_refuse(self, phone: Phone) -> None:
        self.note(phone.edit("perch", "01900000-0000-7000-8000-0000000000aa", {"height_m": -1}))

    @rule(phone=phones)
    def mend_what_was_refused(self, phone: Phone) -> None:
        for parked in list(phone.parked)[:1]:
            self.note(phone.mend(parked, {"height_m": 1}))

    @rule(record=RECORDS, data=st.data())
    def save_at_the_laptop(self, record: tuple[str, str], data: st.DataObject) -> None:
        kind, id_ = record
        self.notebook.save([Edit(kind=kind, record=id_, set=data.draw(VALUES[kind]))])

    # -- clocks

    @rule(phone=phones, days=st.integers(-3, 3))
    def a_phones_clock_jumps(self, phone: Phone, days: int) -> None:
        phone.now_ms = max(0, phone.now_ms + days * DAY_MS)

    @rule(hours=st.integers(-48, 48))
    def the_servers_clock_jumps(self, hours: int) -> None:
        self.now += dt.timedelta(hours=hours)

    # -- the link

    @rule(phone=phones, limit=st.integers(1, 10), lost=st.booleans())
    def push(self, phone: Phone, limit: int, lost: bool) -> None:
        try:
            phone.push(self.server(), limit, answer_lost=lost)
        except CursorInvalid:
            phone.start_again(self.server())

    @rule(phone=phones, limit=st.integers(1, 10), lost=st.booleans())
    def pull(self, phone: Phone, limit: int, lost: bool) -> None:
        try:
            phone.pull(self.server(), limit, answer_lost=lost)
        except CursorInvalid:
            phone.start_again(self.server())

    @rule(phone=phones)
    def sync(self, phone: Phone) -> None:
        phone.sync(self.server())
        assert phone.outbox == [], "I8: the outbox drains"

    @rule(phone=phones, data=st.data())
    def an_old_request_comes_again(self, phone: Phone, data: st.DataObject) -> None:
        held = list(phone.changes.values())
        if held:
            again = data.draw(st.lists(st.sampled_from(held), max_size=5))
            self.server().push(again, None)

    @rule(phone=phones)
    def everything_is_offered(self, phone: Phone) -> None:
        phone.start_again(self.server())

    # -- the laptop

    @rule()
    def the_server_crashes_and_starts(self) -> None:
        self.notebook.close()
        self.notebook = self.open()

    @rule()
    def back_up(self) -> None:
        self.backups.append(back_up(self.notebook, self.home / "backups").path)

    @precondition(lambda self: self.backups)
    @rule(which=st.integers(0, 3))
    def restore_a_backup(self, which: int) -> None:
        restore(self.home / "notebook", self.backups[which % len(self.backups)], lambda: self.now)

    @rule()
    def copy_the_file_by_hand(self) -> None:
        self.notebook.close()
        self.copy = self.home / "copy.db"
        shutil.copy(self.home / "notebook" / FILE, self.copy)
        self.notebook = self.open()

    @precondition(lambda self: self.copy is not None)
    @rule()
    def copy_it_back_by_hand(self) -> None:
        self.notebook.close()
        assert self.copy is not None
        shutil.copy(self.copy, self.home / "notebook" / FILE)
        self.notebook = self.open()

    @rule()
    def i12_rebuild(self) -> None:
        self.notebook.rebuild()
        assert self.notebook.check().faults == []

    # -- what must hold

    def note(self, change: Change) -> None:
        self.written[change["id"]] = change

    def bring_to_rest(self) -> None:
        for _ in range(2):
            for phone in self.all:
                phone.sync(self.server())

    def look(self) -> None:
        journal = self.journal()
        parked = {row["change_id"] for row in self.notebook.quarantine()}
        assert self.written.keys() <= journal.keys() | parked, "I2: nothing that was saved is lost"
        assert not journal.keys() & parked, "I7"
        for id_, change in self.written.items():
            if id_ in journal:
                assert journal[id_] == change, "not a byte altered"
        wanted = merge.states([merge.edit_of(change) for change in journal.values()])
        for phone in self.all:
            assert phone.outbox == [], "I8"
            assert phone.seqs.keys() == journal.keys(), "I9: no row was skipped"
            assert phone.states() == wanted, "I3: the same on every replica"
        shown = {
            (kind, record) for kind, raws in self.notebook.contents().raw.items() for record in raws
        }
        assert shown == {key for key, state in wanted.items() if not state.hidden and state.heads}
        conflicts = {(c["kind"], c["record"], c["register"]) for c in self.notebook.conflicts()}
        assert conflicts == {(*key, n) for key, s in wanted.items() for n in s.conflicts}, "I6"
        found = self.notebook.check()
        assert found.faults == [], "I12"
        self.nothing_unseen_is_hidden(journal)

    def nothing_unseen_is_hidden(self, journal: dict[str, Change]) -> None:
        """I5: a value is out of sight only where a change that had named it is there."""
        named = {
            (change["kind"], change["record"], name, base)
            for change in journal.values()
            for name, bases in change["base"].items()
            for base in bases
        }
        for (kind, record), state in merge.states(map(merge.edit_of, journal.values())).items():
            heads = {(name, head.id) for name, of in state.heads.items() for head in of}
            for id_, change in journal.items():
                if (change["kind"], change["record"]) == (kind, record):
                    for name in change["set"]:
                        assert (name, id_) in heads or (kind, record, name, id_) in named

    def journal(self) -> dict[str, Change]:
        kept: dict[str, Change] = {}
        cursor, more = None, True
        while more:
            page = self.notebook.pull(cursor)
            kept |= {row.id: plain(row.body) for row in page.rows}
            cursor, more = page.cursor, page.more
        return kept
