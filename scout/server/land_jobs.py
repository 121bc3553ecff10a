"""Long work on the land, one piece after another beside the server, with progress and a stop.

One thread, so that sync and screens stay quick and memory stays bounded; what waits is bounded too.
Not for: the work itself.
"""

from __future__ import annotations

import logging
import queue
import threading
import uuid
from collections.abc import Callable
from typing import Any, Final

import attrs

from scout.notebook.store.trouble import StoreTrouble
from scout.records.trouble import Refused
from scout.terrain.taking_in import Progress

MOST_WAITING: Final = 8
_MOST_KEPT: Final = 40
_FAULT: Final = "This is a fault of the program, not yours; the notebook is as it was."
log = logging.getLogger("scout.server")

Work = Callable[[Progress], dict[str, Any]]


class Stopped(Exception):
    """The person stopped it."""


@attrs.define
class Job:
    """One piece of work: waiting, running, done, refused or stopped; `share` done, 0 to 1."""

    id: str
    what: str
    state: str = "waiting"
    share: float = 0.0
    words: str = ""
    result: dict[str, Any] | None = None
    stop: bool = False

    def as_json(self) -> dict[str, Any]:
        """Answer it for a page."""
        return {
            "id": self.id,
            "what": self.what,
            "state": self.state,
            "share": round(self.share, 3),
            "words": self.words,
            "result": self.result,
        }


class Jobs:
    """What is waiting, running and done."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._waiting: queue.Queue[tuple[Job, Work]] = queue.Queue(MOST_WAITING)
        self._jobs: dict[str, Job] = {}
        self._thread: threading.Thread | None = None

    def begin(self, what: str, work: Work) -> Job:
        """Put work in the queue; raises Refused where too much waits."""
        job = Job(uuid.uuid4().hex, what)
        with self._lock:
            try:
                self._waiting.put_nowait((job, work))
            except queue.Full:
                raise Refused.one(
                    f"{MOST_WAITING} pieces of work are waiting already; let them end, or stop some"
                ) from None
            self._jobs[job.id] = job
            for old in [one for one in self._jobs.values() if one.state not in _OPEN][:-_MOST_KEPT]:
                del self._jobs[old.id]
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="land", daemon=True)
                self._thread.start()
        return job

    def find(self, job_id: str) -> Job | None:
        """Answer a piece of work, None where it is not known."""
        return self._jobs.get(job_id)

    def listed(self) -> list[Job]:
        """Answer all that is known, oldest first."""
        with self._lock:
            return list(self._jobs.values())

    def stop(self, job: Job) -> None:
        """Stop it: at once while it waits, at the next step while it runs."""
        job.stop = True
        if job.state == "waiting":
            job.state, job.words = "stopped", "Stopped; nothing was written."

    def _run(self) -> None:
        while True:
            job, work = self._waiting.get()
            if not job.stop:
                self._do(job, work)

    def _do(self, job: Job, work: Work) -> None:
        def progress(share: float, words: str) -> None:
            if job.stop:
                raise Stopped
            job.share, job.words = max(job.share, min(1.0, share)), words

        job.state = "running"
        try:
            job.result = work(progress)
            job.state, job.share, job.words = "done", 1.0, "Done."
        except Stopped:
            job.state, job.words = "stopped", "Stopped; nothing was written."
        except (Refused, StoreTrouble) as trouble:
            job.state, job.words = "refused", str(trouble)
        except ValueError as trouble:
            job.state, job.words = "refused", str(trouble)
        except OSError as trouble:
            log.error("land: %s", trouble.strerror)
            job.state = "refused"
            job.words = "The disk would not take it; make room in the notebook's folder."
        except Exception as fault:
            log.error("land: fault %s", type(fault).__name__)
            job.state, job.words = "refused", _FAULT


_OPEN: Final = ("waiting", "running")
