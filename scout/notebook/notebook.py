"""The notebook as a terminal or a server uses it: changes in and out, Saves, loading, checks.

Opened with a folder and a clock. Everything here may be called from several threads.
Not for: HTTP, or who may do what (the server's).
"""

from __future__ import annotations

import sqlite3
import uuid
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import attrs

from scout.notebook import checking, cursors, intake, loading, saving
from scout.notebook.answers import Offered, Page, Pushed
from scout.notebook.blobs import BlobFolder, pieces_of
from scout.notebook.clock import Clock, milliseconds, new_id, written
from scout.notebook.holdings import Holdings
from scout.notebook.saving import Edit, Saved, value_of
from scout.notebook.store import heads, journal, kind_tables, ledger
from scout.notebook.store.database import Store
from scout.notebook.store.heads import Progress
from scout.notebook.store.journal import Place
from scout.notebook.store.trouble import StoreTrouble
from scout.records.kinds import SCHEMA
from scout.records.trouble import Refused

FILE = "notebook.db"


class Notebook:
    """An open notebook."""

    def __init__(self, folder: Path, clock: Clock, store: Store) -> None:
        self.folder = folder
        self.clock = clock
        self.store = store
        self.blobs = BlobFolder(folder)
        self.holdings = Holdings(store, self.blobs, clock)
        try:
            self._bring_up_to_date()
        except sqlite3.DatabaseError as error:  # a table of ours is not there, or not as it was
            raise StoreTrouble("damaged") from error

    def _bring_up_to_date(self) -> None:
        now = self.clock()
        with self.store.reading() as db:
            facts = ledger.meta(db)
        if facts is not None and facts.schema > SCHEMA:
            raise Refused.one(
                "this notebook was written by a newer scout; install that one to open it"
            )
        fingerprint = kind_tables.fingerprint()
        if facts is not None and (facts.schema, facts.tables_sha256) == (SCHEMA, fingerprint):
            return
        with self.store.writing() as db:
            facts = ledger.meta(db)  # another program may have been first
            if facts is None:
                device = new_id(milliseconds(now))
                facts = ledger.Meta(str(uuid.uuid4()), SCHEMA, 0, device, fingerprint)
                ledger.store_device(db, device, "this notebook", written(now))
            heads.rebuild(db)
            intake.retry_quarantine(db, written(now))
            ledger.store_meta(db, attrs.evolve(facts, schema=SCHEMA, tables_sha256=fingerprint))

    def close(self) -> None:
        """Close the file."""
        self.store.close()

    def __enter__(self) -> Notebook:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def facts(self) -> ledger.Meta:
        """The notebook's epoch, schema, durable_seq and own device."""
        with self.store.reading() as db:
            facts = ledger.meta(db)
        assert facts is not None
        return facts

    # -- phones

    def push(
        self,
        changes: Iterable[object],
        via: str = "push",
        device: str | None = None,
        furthest: str | None = None,
        gate: intake.Gate | None = None,
    ) -> Pushed:
        """Take changes in as one transaction; answers one by one, in order, after the commit.

        `via` is written beside each change; where `device` is given, another device's change is
        marked `relay`. `furthest`: the highest place that the phone was given; looked at first, for
        in a journal copied back by hand the answers below would hide from the phone that it is
        another. `gate`: who may write what. Raises CursorInvalid, StoreTrouble and what the gate
        raises, and then nothing of the batch was kept.
        """
        sent = list(changes)
        judged = intake.judge_all(sent)
        vias = [via if device in (None, _device_of(raw)) else "relay" for raw in sent]
        at = written(self.clock())
        with self.store.writing() as db:
            epoch = self._epoch(db)
            if furthest is not None:
                cursors.checked(db, epoch, furthest)
            answers = intake.take(db, judged, at, vias, gate)
            last = max((answer.seq for answer in answers if answer.seq is not None), default=None)
            place = None if last is None else journal.place(db, last)
        return Pushed(
            answers=tuple(answers), furthest=None if place is None else cursors.cursor(epoch, place)
        )

    def pull(
        self, cursor: str | None = None, furthest: str | None = None, limit: int = 1000
    ) -> Page:
        """Answer the changes after a cursor; None starts from the first. Raises CursorInvalid."""
        with self.store.reading() as db:
            epoch = self._epoch(db)
            start = Place(0, "") if cursor is None else cursors.checked(db, epoch, cursor)
            if furthest is not None:
                cursors.checked(db, epoch, furthest)
            rows = journal.after(db, start.seq, max(limit, 1) + 1)
            page = tuple(rows[: max(limit, 1)])
            last = Place(page[-1].seq, page[-1].chain) if page else journal.place(db, start.seq)
        assert last is not None
        return Page(rows=page, cursor=cursors.cursor(epoch, last), more=len(rows) > len(page))

    def offer(self, ids: Sequence[str], blobs: Sequence[str] = ()) -> Offered:
        """Answer what of these changes and blobs is missing here."""
        with self.store.reading() as db:
            here = journal.present(db, ids)
            end = cursors.cursor(self._epoch(db), journal.end(db))
        return Offered(
            missing=tuple(one for one in dict.fromkeys(ids) if one not in here),
            present={one: here[one][0] for one in ids if one in here},
            furthest=end,
            blobs=self.holdings.states(blobs),
        )

    def furthest(self) -> str:
        """Answer the cursor of the journal's end."""
        with self.store.reading() as db:
            return cursors.cursor(self._epoch(db), journal.end(db))

    # -- this side's own writing

    def save(self, edits: Sequence[Edit], via: str = "cli") -> Saved:
        """Write edits as one Save by the notebook's own device. Raises Refused, StoreTrouble."""
        return self._save(lambda db: edits, via)

    def undo(self, group: str, via: str = "cli") -> tuple[Saved | None, tuple[str, ...]]:
        """Take back one Save by a new one; answer it, and sentences on what was left alone."""
        asked: list[saving.Undoing] = []

        def edits(db: Any) -> Sequence[Edit]:
            asked.append(saving.undoing(db, group))
            return asked[0].edits

        saved = self._save(edits, via)
        return (saved if saved.changes else None), asked[0].left

    def _save(self, edits: Callable[[Any], Sequence[Edit]], via: str) -> Saved:
        now = self.clock()
        with self.store.writing() as db:
            facts = ledger.meta(db)
            assert facts is not None
            return saving.save(db, edits(db), facts.device_id, now, via)

    def load(
        self, folder: loading.Loadable, photo_paths: Mapping[str, Path] | None = None
    ) -> loading.Loaded:
        """Load a folder of records as one Save; twice writes nothing twice.

        `photo_paths` (photo id → file): bytes to keep, before the records that name them. Raises
        Refused.
        """
        now = self.clock()
        sizes: dict[str, int] = {}
        for photo, path in (photo_paths or {}).items():
            sha256 = folder.records["photo"][photo].blob
            if not self.blobs.is_sound(sha256):
                sizes[sha256] = self.blobs.keep(pieces_of(path), sha256)
            else:
                sizes[sha256] = path.stat().st_size
        with self.store.writing() as db:
            facts = ledger.meta(db)
            assert facts is not None
            for sha256, size in sizes.items():
                ledger.store_blob(db, sha256, size, None, written(now))
            return loading.load(db, folder, facts.device_id, now)

    def keep_blob(self, sha256: str, pieces: Iterable[bytes]) -> None:
        """Keep bytes that came otherwise than by upload, before the record that names them."""
        size = self.blobs.keep(pieces, sha256)
        with self.store.writing() as db:
            ledger.store_blob(db, sha256, size, None, written(self.clock()))

    # -- reading

    def contents(self) -> loading.Contents:
        """Answer all records that are not deleted."""
        with self.store.reading() as db:
            return loading.contents(db)

    def folders(self) -> list[dict[str, Any]]:
        """Answer the folders loaded, latest first: id, name, loaded_at, words (id → word)."""
        with self.store.reading() as db:
            return ledger.folders(db)

    def note_export(self, what: str) -> None:
        """Write down that something left the notebook: how much of what, never where it is."""
        with self.store.writing() as db:
            ledger.audit(db, written(self.clock()), "export", what)

    def history(self, record: str) -> list[dict[str, Any]]:
        """Answer every change of a record: seq, received_at, received_via, change."""
        with self.store.reading() as db:
            return journal.of_record(db, record)

    def conflicts(self) -> list[dict[str, Any]]:
        """Answer every register in conflict, with all its heads, the one shown first."""
        with self.store.reading() as db:
            states = heads.states(db, heads.conflicted(db))
        return [
            {
                "kind": kind,
                "record": record,
                "register": name,
                "hidden": state.hidden,
                "heads": [
                    {"change": head.id, "hlc": head.hlc, "value": value_of(head.value)}
                    for head in state.heads[name]
                ],
            }
            for (kind, record), state in sorted(states.items())
            for name in state.conflicts
        ]

    def quarantine(self) -> list[dict[str, Any]]:
        """Answer everything in quarantine with its content (body_json) and why."""
        with self.store.reading() as db:
            return journal.quarantined(db)

    # -- upkeep

    def rebuild(self, progress: Progress | None = None) -> None:
        """Make all tables again from the journal."""
        with self.store.writing() as db:
            heads.rebuild(db, progress)

    def check(
        self, progress: Progress | None = None, *, most_blobs: int | None = None
    ) -> checking.Findings:
        """Examine the notebook; writes down only which photos' bytes are as they were, or not."""
        with self.store.reading() as db:
            found = checking.check(db, self.blobs, progress, most_blobs=most_blobs)
        self.holdings.note(found.blobs_hashed, found.blobs_damaged)
        return found

    def _epoch(self, db: Any) -> str:
        facts = ledger.meta(db)
        assert facts is not None
        return facts.epoch


def open_notebook(
    folder: Path | str,
    clock: Clock,
    *,
    create: bool = False,
    connection: type[sqlite3.Connection] = sqlite3.Connection,
) -> Notebook:
    """Open the notebook in a folder, bringing its tables up to date.

    `clock` answers aware datetimes. `create` makes folder and file if they are not there.
    `connection` is for tests. Raises Refused where there is none, or a newer one; StoreTrouble
    where the file fails.
    """
    root = Path(folder)
    if root.exists() and not root.is_dir():
        raise Refused.one(f"{root} is a file; name the folder of a notebook, or a new one")
    if not (root / FILE).is_file():
        if not create:
            raise Refused.one(
                f"there is no notebook in {root}; check the folder's name or make a new one"
            )
        root.mkdir(parents=True, exist_ok=True)
    root = root.absolute()  # a server looks for files from another folder
    store = Store(root / FILE, connection)
    try:
        return Notebook(root, clock, store)
    except BaseException:
        store.close()
        raise


def _device_of(raw: object) -> object:
    return raw.get("device") if isinstance(raw, dict) else None
