"""A small phone: its own set of changes, heads by merge; the outbox is the changes without a seq.

It speaks to anything that answers push, pull and offer: the notebook itself, or a server over HTTP.
"""

from __future__ import annotations

import random
import uuid
from collections.abc import Mapping, Sequence
from typing import Any, Protocol

from scout.notebook import merge
from scout.notebook.canonical import plain
from scout.notebook.clock import stamp_after
from scout.notebook.cursors import CursorInvalid
from scout.notebook.notebook import Notebook
from scout.records.kinds import KINDS, SCHEMA
from scout.records.reading import fields_of

Change = dict[str, Any]


class Server(Protocol):
    """What a phone asks of the other side; push and pull raise CursorInvalid."""

    def push(
        self, changes: Sequence[Change], furthest: str | None
    ) -> tuple[list[dict[str, Any]], str | None]: ...

    def pull(
        self, cursor: str | None, furthest: str | None, limit: int
    ) -> tuple[list[tuple[int, Change]], str, bool]: ...

    def offer(self, ids: Sequence[str]) -> tuple[list[str], dict[str, int], str]: ...


class Direct:
    """The notebook spoken to without HTTP."""

    def __init__(self, notebook: Notebook) -> None:
        self.notebook = notebook

    def push(
        self, changes: Sequence[Change], furthest: str | None
    ) -> tuple[list[dict[str, Any]], str | None]:
        pushed = self.notebook.push(changes, furthest=furthest)
        return [answer.as_json() for answer in pushed.answers], pushed.furthest

    def pull(
        self, cursor: str | None, furthest: str | None, limit: int
    ) -> tuple[list[tuple[int, Change]], str, bool]:
        page = self.notebook.pull(cursor, furthest, limit)
        return [(row.seq, plain(row.body)) for row in page.rows], page.cursor, page.more

    def offer(self, ids: Sequence[str]) -> tuple[list[str], dict[str, int], str]:
        offered = self.notebook.offer(ids)
        return list(offered.missing), dict(offered.present), offered.furthest


class Phone:
    """One phone. `now_ms` is its own clock, as wrong as the test likes; `rng` makes its ids."""

    def __init__(self, rng: random.Random, now_ms: int) -> None:
        self.rng = rng
        self.now_ms = now_ms
        self.device = self.new_id()
        self.changes: dict[str, Change] = {}
        self.seqs: dict[str, int] = {}
        self.parked: dict[str, dict[str, Any]] = {}
        self.cursor: str | None = None
        self.furthest: str | None = None
        self._out: dict[str, Change] = {}
        self._device_seq = 0
        self._records: dict[merge.Key, merge.Record] = {}
        self._known: set[str] = set()

    def new_id(self) -> str:
        number = self.rng.getrandbits(128) & ~(0xF << 76) | 0x7 << 76
        return str(uuid.UUID(int=number & ~(0x3 << 62) | 0x2 << 62))

    # -- what is on screen

    @property
    def outbox(self) -> list[Change]:
        return list(self._out.values())

    def states(self) -> dict[merge.Key, merge.State]:
        return {key: record.state for key, record in self._records.items()}

    def state(self, kind: str, record: str) -> merge.State:
        found = self._records.get((kind, record))
        return merge.state_of({}) if found is None else found.state

    # -- what a person does

    def edit(
        self, kind: str, record: str, values: Mapping[str, Any], *, resolve: bool = False
    ) -> Change:
        return self._write(kind, record, dict(values), resolve, None)

    def delete(self, kind: str, record: str) -> Change:
        seen = merge.seen_by_delete(self.state(kind, record), self._unsent())
        return self._write(kind, record, {"deleted": True}, False, seen)

    def undelete(self, kind: str, record: str) -> Change:
        return self._write(kind, record, {"deleted": False}, False, None)

    def mend(self, parked: str, values: Mapping[str, Any]) -> Change:
        """Write a parked change's mended values, on the parked one's base."""
        old = self.changes[parked]
        made = self._write(old["kind"], old["record"], dict(values), False, None)
        made["base"] = {name: list(old["base"].get(name, [])) for name in values}
        self._remerge()
        return made

    def _write(
        self, kind: str, record: str, values: dict[str, Any], resolve: bool, seen: Any
    ) -> Change:
        self.now_ms += 1
        self._device_seq += 1
        state, unsent = self.state(kind, record), self._unsent()
        fields = fields_of(KINDS[kind])
        base = {
            name: merge.base_of_edit(
                state.heads.get(name, ()),
                {id_: names.get(name, []) for id_, names in unsent.items()},
                every=resolve or (name in fields and fields[name].last_writer_wins),
            )
            for name in values
        }
        stamps = [head.hlc for name in values for head in state.heads.get(name, ())]
        change: Change = {
            "id": self.new_id(),
            "device": self.device,
            "device_seq": self._device_seq,
            "record": record,
            "kind": kind,
            "set": values,
            "base": base,
            "hlc": stamp_after(self.now_ms, 0, stamps, self.device),
            "wall": max(self.now_ms, 0),
            "tz_min": 60,
            "schema": SCHEMA,
            "group": self.new_id(),
        }
        if seen is not None:
            change["seen"] = seen
        self._out[change["id"]] = change
        self._hold(change)
        return change

    def _unsent(self) -> dict[str, Mapping[str, Any]]:
        return {id_: change["base"] for id_, change in self._out.items()}

    # -- talking to the server

    def push(self, server: Server, limit: int = 500, *, answer_lost: bool = False) -> None:
        batch = self.outbox[:limit]
        if not batch:
            return
        answers, furthest = server.push(batch, self.furthest)
        if not answer_lost:
            self._take_answers(batch, answers, furthest)

    def _take_answers(
        self, batch: Sequence[Change], answers: list[dict[str, Any]], furthest: str | None
    ) -> None:
        parked = False
        for change, answer in zip(batch, answers, strict=True):
            if answer["status"] in ("ok", "duplicate"):
                self.seqs[change["id"]] = answer["seq"]
                self._out.pop(change["id"], None)
            elif answer["status"] == "quarantined":
                self.parked[change["id"]] = answer
                self._out.pop(change["id"], None)
                parked = True
        if parked:
            self._remerge()
        self._went_to(furthest)

    def pull(self, server: Server, limit: int = 100, *, answer_lost: bool = False) -> bool:
        """Pull one page; answers whether there is more. Raises CursorInvalid."""
        rows, cursor, more = server.pull(self.cursor, self.furthest, limit)
        if answer_lost:
            return True
        for seq, change in rows:
            came_in_later = self.parked.pop(change["id"], None) is not None
            if change["id"] not in self.changes:
                self._hold(change)
            elif came_in_later:
                self._remerge()
            self.seqs[change["id"]] = seq
            self._out.pop(change["id"], None)
        self.cursor = cursor
        self._went_to(cursor)
        return more

    def sync(self, server: Server) -> None:
        """Push and pull until nothing is left; start again where the journal is another."""
        for _ in range(3):
            try:
                while self.outbox:
                    before = len(self.outbox)
                    self.push(server)
                    if len(self.outbox) == before:
                        break  # waiting for a newer server
                while self.pull(server):
                    pass
            except CursorInvalid:
                self.start_again(server)
            else:
                return
        raise AssertionError("the phone does not come to rest")

    def start_again(self, server: Server) -> None:
        """Forget every seq, offer everything, and push what is missing: other people's too.

        Also what is parked, for a restored server may have lost its quarantine with the rest.
        """
        self.seqs, self.cursor, self.furthest = {}, None, None
        missing, present, self.furthest = server.offer(list(self.changes))
        self.seqs.update(present)
        self._out = {id_: self.changes[id_] for id_ in missing if id_ not in self.parked}
        for start in range(0, len(missing), 500):
            batch = [self.changes[id_] for id_ in missing[start : start + 500]]
            answers, furthest = server.push(batch, self.furthest)
            self._take_answers(batch, answers, furthest)

    def _went_to(self, place: str | None) -> None:
        if place is not None and (self.furthest is None or _seq(place) > _seq(self.furthest)):
            self.furthest = place

    # -- its own set of changes

    def _hold(self, change: Change) -> None:
        self.changes[change["id"]] = change
        self._merge(change)

    def _merge(self, change: Change) -> None:
        edit = merge.edit_of(change)
        self._records.setdefault(edit.key, merge.Record()).apply(edit, self._known)
        self._known.add(edit.id)

    def _remerge(self) -> None:
        self._records, self._known = {}, set()
        for id_, change in self.changes.items():
            if id_ not in self.parked:
                self._merge(change)


def _seq(place: str) -> int:
    return int(place.split(":")[1])
