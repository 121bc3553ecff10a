"""One round of kill -9: phones push and send photos, the server dies, nothing acknowledged is gone.

Shared by the test (a few rounds) and the bench (hundreds).
"""

from __future__ import annotations

import datetime as dt
import hashlib
import http.client
import random
import threading
from pathlib import Path

import attrs

from scout.notebook.notebook import open_notebook
from scout.notebook.uploads import Uploads
from tests.notebook.phone import Phone

from . import served
from .linked import Line, OverHttp, send_piece

BROKEN = (OSError, http.client.HTTPException)
PIECE = 16_384


@attrs.define
class Round:
    """What a round acknowledged, and what of it was not there afterwards."""

    changes: int = 0
    pieces: int = 0
    lost: int = 0
    faults: list[str] = attrs.field(factory=list)
    cut_short: bool = False


def kill_once(folder: Path, seed: int, after_s: float) -> Round:
    """Run one round against the notebook in a folder; the folder is used again and again."""
    rng = random.Random(seed)
    process, address = served.start(folder)
    acknowledged: dict[str, int] = {}
    offsets: dict[str, int] = {}
    broken = threading.Event()

    def push() -> None:
        phone = Phone(random.Random(rng.random()), 1_778_557_500_000)
        link = Line(address)
        try:
            while True:
                for number in range(20):
                    phone.edit("perch", phone.new_id(), {"height_m": number})
                batch = phone.outbox[:500]
                phone.push(OverHttp(link))
                acknowledged.update((one["id"], phone.seqs[one["id"]]) for one in batch)
        except BROKEN:
            broken.set()
        finally:
            link.close()

    def send() -> None:
        held = rng.randbytes(2_000_000)
        sha256 = hashlib.sha256(held).hexdigest()
        link = Line(address)
        try:
            while offsets.get(sha256, 0) < len(held):
                at = offsets.get(sha256, 0)
                said = send_piece(link, sha256, at, len(held), held[at : at + PIECE])
                offsets[sha256] = int(said.headers["upload-offset"])
        except BROKEN:
            broken.set()
        finally:
            link.close()

    threads = [threading.Thread(target=push), threading.Thread(target=send)]
    for thread in threads:
        thread.start()
    broken.wait(after_s)
    served.kill(process)
    for thread in threads:
        thread.join()
    done = Round(changes=len(acknowledged), pieces=sum(offsets.values()) // PIECE)
    done.cut_short = broken.is_set()
    with open_notebook(folder, lambda: dt.datetime.now(dt.UTC)) as notebook:
        present = notebook.offer(list(acknowledged)).present
        done.lost = sum(present.get(id_) != seq for id_, seq in acknowledged.items())
        for sha256, offset in offsets.items():
            done.lost += Uploads(notebook).progress(sha256).offset < offset
        done.faults = notebook.check().faults
    return done
