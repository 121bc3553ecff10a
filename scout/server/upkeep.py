"""What the server does by itself while it runs: backups, tried out now and then; certificates.

One thing at a time, on a thread of its own; what it is at and what came of it can be looked up. Not
for: making a backup (`scout.notebook.backups`).
"""

from __future__ import annotations

import datetime as dt
import logging
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final

from scout.notebook import backups
from scout.notebook.clock import written
from scout.notebook.notebook import Notebook
from scout.notebook.store import ledger
from scout.notebook.store.trouble import StoreTrouble
from scout.records.trouble import Refused
from scout.server import audit
from scout.terrain.aside import SUFFIX, aside_words, write_list
from scout.terrain.shelf import Shelf

KEPT: Final = 30
"""How many backups of its own schedule the server keeps; older ones give way."""
DRILL_EVERY: Final = dt.timedelta(days=30)
_LOOK_S: Final = 60.0
_SHOWN = 10
_ASIDE = "drill"

log = logging.getLogger("scout")


class Upkeep:
    """The chores of one served notebook. `into`: the folder for backups, or None."""

    def __init__(
        self,
        notebook: Notebook,
        into: Path | None = None,
        every: dt.timedelta = dt.timedelta(days=1),
        chores: tuple[Callable[[], object], ...] = (),
    ) -> None:
        self._notebook = notebook
        self._into = into
        self._every = every
        self._chores = chores
        self._lock = threading.Lock()
        self._wanted: str | None = None
        self._wake = threading.Event()
        self._stopped = False
        self._running: dict[str, Any] | None = None
        self._last: dict[str, dict[str, Any]] = {}

    # -- what people ask

    @property
    def _start(self) -> str:
        """The command that serves this notebook with backups."""
        return f'scout serve "{self._notebook.folder.resolve()}" --backup FOLDER'

    def status(self) -> dict[str, Any]:
        """Say what is being done, what came of it last, and when the next backup is due."""
        with self._notebook.store.reading() as db:
            made = ledger.backups(db, _SHOWN)
            facts = ledger.meta(db)
        due = self._due()
        with self._lock:
            return {
                "into": None if self._into is None else str(self._into),
                "start": self._start,
                "every_h": self._every.total_seconds() / 3600,
                "running": None if self._running is None else dict(self._running),
                "last": dict(self._last),
                "next_at": None if due is None else written(due),
                "durable_seq": 0 if facts is None else facts.durable_seq,
                "made": [{**one, "on_another_disk": bool(one["on_another_disk"])} for one in made],
            }

    def ask(self, what: str) -> None:
        """Have a `backup` or a `drill` done soon. Raises Refused."""
        if self._into is None:
            raise Refused.one(f"backups: no folder is set for them; start with {self._start}")
        with self._lock:
            if self._running is not None or self._wanted is not None:
                raise Refused.one("backups: one thing is being done already; wait for its end")
            self._wanted = what
        self._wake.set()

    # -- the thread

    @contextmanager
    def going(self) -> Iterator[Upkeep]:
        """Do what is due for as long as the context lasts."""
        thread = threading.Thread(target=self._go, daemon=True)
        thread.start()
        try:
            yield self
        finally:
            self._stopped = True
            self._wake.set()
            thread.join(30)

    def _go(self) -> None:
        while not self._stopped:
            try:
                self.look()
            except Exception as fault:  # a chore that fails must not end the others
                log.error("upkeep: %s", type(fault).__name__)
            self._wake.wait(_LOOK_S)
            self._wake.clear()

    def look(self) -> None:
        """Do what is wanted or due now."""
        with self._lock:
            wanted, self._wanted = self._wanted, None
        due = self._due()
        if wanted == "backup" or (wanted is None and due is not None and due <= self._now()):
            self._do("backup", self._back_up)
        drilled = self._last.get("drill", {}).get("at")
        if wanted == "drill" or (
            self._into is not None
            and self._last.get("backup", {}).get("well")
            and (drilled is None or written(self._now() - DRILL_EVERY) > drilled)
        ):
            self._do("drill", self._drill)
        for chore in self._chores:
            chore()

    def _do(self, what: str, work: Callable[[], tuple[bool, str]]) -> None:
        with self._lock:
            self._running = {"what": what, "done": 0, "of": 0, "part": ""}
        try:
            well, sentence = work()
        except (Refused, StoreTrouble) as trouble:
            well, sentence = False, str(trouble)
        except OSError as error:
            well, sentence = False, f"The folder for backups failed: {error.strerror}."
        finally:
            with self._lock:
                self._running = None
        at = self._now()
        with self._lock:
            self._last[what] = {"at": written(at), "well": well, "says": sentence}
        event = "drill_done" if what == "drill" else "backup_made" if well else "backup_failed"
        if well:
            log.info("%s: done", what)
        else:
            log.warning("%s: %s", what, sentence)
        with suppress(StoreTrouble), self._notebook.store.writing() as db:
            audit.note(db, at, event, detail="" if well else sentence)

    def _back_up(self) -> tuple[bool, str]:
        assert self._into is not None
        done = backups.back_up(self._notebook, self._into, progress=self._tell)
        models = Shelf(self._notebook.folder).models()
        write_list(models, done.path)
        self._prune()
        beside = aside_words(models)
        said = (done.sentence, *done.troubles[:3], *([beside] if beside else []))
        return not done.troubles, " ".join(said)

    def _drill(self) -> tuple[bool, str]:
        newest = self._newest()
        if newest is None:
            raise Refused.one("backups: there is none yet to be tried out; make one first")
        aside = self._notebook.folder / _ASIDE
        done = backups.drill(newest, aside, self._notebook.clock, self._tell)
        return not done.troubles, done.sentence

    def _tell(self, done: int, of: int, part: str) -> None:
        with self._lock:
            if self._running is not None:
                self._running |= {"done": done, "of": of, "part": part}

    def _due(self) -> dt.datetime | None:
        if self._into is None:
            return None
        with self._notebook.store.reading() as db:
            made = ledger.backups(db, 1)
        times = [dt.datetime.fromisoformat(one["at"]) for one in made]
        failed = self._last.get("backup")
        if failed is not None and not failed["well"]:
            times.append(dt.datetime.fromisoformat(failed["at"]) - self._every + _HOUR)
        return max(times) + self._every if times else self._now()

    def _newest(self) -> Path | None:
        held = self._held()
        return held[-1] if held else None

    def _held(self) -> list[Path]:
        assert self._into is not None
        return sorted(self._into.glob("notebook-*.db"))

    def _prune(self) -> None:
        """Let the oldest backups give way; the photos beside them serve all and stay."""
        for path in self._held()[:-KEPT]:
            path.unlink(missing_ok=True)
            path.with_suffix(SUFFIX).unlink(missing_ok=True)

    def _now(self) -> dt.datetime:
        return self._notebook.clock()


_HOUR = dt.timedelta(hours=1)
