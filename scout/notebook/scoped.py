"""The journal as a person with some of the sites sees it: filtered here, never on the phone.

A cursor goes on over what is not shown. What was passed over in this way is remembered, and as soon
as one of it may be seen (a sighting whose watch came later, a perch moved to another site, a wider
scope) the phone is sent back to the start once, by the same answer as after a restore. Not for:
who has which sites (`store.people`), or roles (the server's).
"""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

import attrs
from sqlite_utils import Database

from scout.notebook import cursors
from scout.notebook.answers import Offered, Page
from scout.notebook.cursors import CursorInvalid
from scout.notebook.judging import Fault, Judged
from scout.notebook.notebook import Notebook
from scout.notebook.store import door, journal, ledger, people
from scout.notebook.store.journal import Kept, Place
from scout.notebook.store.sites import Belonging, belonging, named_in

ALL: Final = "all"
Sites = frozenset[str]

_ELSEWHERE: Final = Fault(
    "not_your_sites",
    "record",
    "This belongs to a site that you were not given; ask the notebook's owner.",
)


def sight_of(sites: Sites | None) -> str:
    """Answer a mark of what somebody may see, to notice that it changed."""
    if sites is None:
        return ALL
    return hashlib.sha256("\n".join(sorted(sites)).encode()).hexdigest()[:32]


class Scoped:
    """One notebook, seen by people whose sites are some of it."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook
        self._lock = threading.Lock()
        self._kept: tuple[Place, Belonging] | None = None

    def belonging(self, db: Database) -> Belonging:
        """Answer where every record belongs, worked out anew when the journal has grown."""
        end = journal.end(db)
        with self._lock:
            if self._kept is not None and self._kept[0] == end:
                return self._kept[1]
        found = belonging(db)
        with self._lock:
            self._kept = (end, found)
        return found

    def pull(
        self, device: str, sites: Sites | None, cursor: str | None, furthest: str | None, limit: int
    ) -> Page:
        """Answer the changes after a cursor that a device may see. Raises CursorInvalid."""
        limit = max(limit, 1)
        with self._notebook.store.writing() as db:
            epoch = _epoch(db)
            start = Place(0, "") if cursor is None else cursors.checked(db, epoch, cursor)
            if furthest is not None:
                cursors.checked(db, epoch, furthest)
            self._see(db, device, sites, from_start=cursor is None)
            where = None if sites is None else self.belonging(db)
            shown: list[Kept] = []
            more = True
            while more and not shown:  # a phone takes an empty page for the end
                rows = journal.after(db, start.seq, limit + 1)
                page, more = rows[:limit], len(rows) > limit
                if page:
                    start = Place(page[-1].seq, page[-1].chain)
                shown = page
                if sites is not None and where is not None:
                    shown = [row for row in page if where.is_seen(row.record, sites)]
                    seen = {row.record for row in shown}
                    door.hide_from(db, device, {row.record for row in page} - seen)
            last = start if start.chain else journal.place(db, start.seq)
            assert last is not None
        return Page(rows=tuple(shown), cursor=cursors.cursor(epoch, last), more=more)

    def _see(self, db: Database, device: str, sites: Sites | None, *, from_start: bool) -> None:
        """Begin a device's sight, or make sure that it saw all that it may see now."""
        sight = sight_of(sites)
        held = people.device(db, device)
        if from_start:
            door.show_anew(db, device)
            people.store_sight(db, device, sight)
            return
        before = None if held is None else held.sight
        if before is None and sites is None:
            people.store_sight(db, device, sight)
        elif before != sight:
            raise CursorInvalid
        if sites is None:
            return
        where = self.belonging(db)
        if any(where.is_seen(record, sites) for record in door.hidden_from(db, device)):
            raise CursorInvalid

    def offer(self, sites: Sites, ids: Sequence[str], blobs: Sequence[str]) -> Offered:
        """Answer an offer; what may not be seen is as if it were not here."""
        offered = self._notebook.offer(ids, blobs)
        with self._notebook.store.reading() as db:
            where = self.belonging(db)
            records = journal.records_of(db, offered.present)
        present = {
            one: seq
            for one, seq in offered.present.items()
            if where.is_seen(records.get(one, ""), sites)
        }
        return attrs.evolve(
            offered,
            missing=tuple(one for one in dict.fromkeys(ids) if one not in present),
            present=present,
            blobs={
                sha256: state if where.is_blob_seen(sha256, sites) else "missing"
                for sha256, state in offered.blobs.items()
            },
        )

    def history(self, sites: Sites, record: str) -> list[dict[str, Any]]:
        """Answer every change of a record; none where it may not be seen."""
        with self._notebook.store.reading() as db:
            if not self.belonging(db).is_seen(record, sites):
                return []
            return journal.of_record(db, record)

    def is_blob_seen(self, sites: Sites, sha256: str) -> bool:
        """Tell whether somebody may see the bytes of a photo."""
        with self._notebook.store.reading() as db:
            return self.belonging(db).is_blob_seen(sha256, sites)

    def gate(
        self,
        person: str | None,
        sites: Sites | None,
        still_stands: Callable[[Database], None],
        may_add: Callable[[], None],
    ) -> _Gate:
        """Make the gate that a push of this person goes through.

        `still_stands` is asked as the transaction begins, `may_add` for each change that is not
        here yet; what they raise refuses the whole batch.
        """
        return _Gate(self, person, sites, still_stands, may_add)


class _Gate:
    """Lets in what belongs to a person's sites; a site that they make is theirs."""

    def __init__(
        self,
        scoped: Scoped,
        person: str | None,
        sites: Sites | None,
        still_stands: Callable[[Database], None],
        may_add: Callable[[], None],
    ) -> None:
        self._may_add = may_add
        self._scoped = scoped
        self._person = person
        self._sites = sites
        self._still_stands = still_stands
        self._where: Belonging | None = None
        self._own: set[str] = set()

    def opened(self, db: Database) -> None:
        self._still_stands(db)
        if self._sites is not None:
            self._where = self._scoped.belonging(db)

    def fault(self, one: Judged) -> Fault | None:
        self._may_add()
        if self._sites is None or self._where is None or one.written is None:
            return None
        change = one.written.change
        named = {change["record"]}
        for register, value in change["set"].items():
            named |= named_in(change["kind"], register, value)
        allowed = self._sites | self._own
        if any(self._where.is_elsewhere(one, allowed) for one in named):
            return _ELSEWHERE
        if change["kind"] == "site" and change["record"] not in self._where.known:
            self._own.add(change["record"])
        return None

    def passed(self, db: Database, changes: Sequence[Mapping[str, Any]]) -> None:
        if self._sites is None or self._person is None:
            return
        entered = {change["record"] for change in changes if change["kind"] == "site"}
        own = self._own & entered
        person = people.person(db, self._person) if own else None
        if person is None or person.sites is None:
            return
        wider = attrs.evolve(person, sites=person.sites | own)
        people.store_person(db, wider)
        for device in people.devices(db):
            if device.person_id == person.id and device.sight == sight_of(person.sites):
                people.store_sight(db, device.id, sight_of(wider.sites))


def _epoch(db: Database) -> str:
    facts = ledger.meta(db)
    assert facts is not None
    return facts.epoch
