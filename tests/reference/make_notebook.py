"""Make the golden notebook of the present schema: all that a notebook file can hold, in little.

Run once for each released schema, never again for one that was: later versions must open what
earlier ones wrote. Ids are drawn anew at every run.

    PYTHONPATH=. python tests/reference/make_notebook.py tests/reference/notebooks/schema_1
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import random
import shutil
import sys
import tempfile
from pathlib import Path
from typing import Any

import attrs
from PIL import Image

from scout.notebook.backups import back_up
from scout.notebook.batch import read_batch
from scout.notebook.folder import read_folder
from scout.notebook.folder_writing import write_folder
from scout.notebook.notebook import FILE, Notebook, open_notebook
from scout.notebook.saving import Edit
from scout.notebook.store import copies, people
from scout.notebook.uploads import Uploads
from scout.records.kinds import KINDS, SCHEMA
from tests.notebook.conftest import NOW_MS, TurnedClock
from tests.notebook.phone import Direct, Phone

HERE = Path(__file__).parent
BATCH = HERE / "batches" / f"schema_{SCHEMA}.json"

UNDERWAY, AWAITED = bytes(range(250)) * 3, bytes(range(200)) * 3


def picture(shade: int) -> bytes:
    """Make a small JPEG that opens."""
    held = io.BytesIO()
    Image.new("RGB", (32, 24), (shade, 120, 60)).save(held, "JPEG")
    return held.getvalue()


def fill(notebook: Notebook, clock: TurnedClock) -> None:
    """Write everything that can happen to a notebook into it."""
    recorded = json.loads(BATCH.read_text("utf-8"))["changes"]
    notebook.push(recorded)
    with notebook.store.writing() as db:
        people.store_owner(db, recorded[0]["group"], "owner", "2026-05-12T04:25:00.000Z")
    _load_a_folder(notebook)
    site = next(one["record"] for one in recorded if one["kind"] == "site")
    _live(notebook, site)
    _photos(notebook, clock, site)
    _refused(notebook)
    clock.pass_by(days=1)
    back_up(notebook, "elsewhere", lambda path: len(path.name))


def _load_a_folder(notebook: Notebook) -> None:
    """Load a folder that uses a word for an id."""
    rng = random.Random(3)
    ids = [Phone(rng, NOW_MS).new_id() for _ in range(2)]
    site, folder = ids
    held = notebook.contents().records["site"]
    one = next(iter(held.values()))
    records = {"site": {site: attrs.evolve(one, id=site, name="Lower Dray")}}
    with tempfile.TemporaryDirectory() as scratch:
        root = Path(scratch) / "dray"
        write_folder(root, records, name="Dray", folder_id=folder, words={site: "lower-dray"})
        notebook.load(read_folder(root))


def _live(notebook: Notebook, site: str) -> None:
    """Two phones and the machine itself, at odds and in accord."""
    rng = random.Random(11)
    one, two = Phone(rng, NOW_MS), Phone(rng, NOW_MS - 3 * 86_400_000)
    ahead = Phone(rng, NOW_MS + 2 * 86_400_000)
    server = Direct(notebook)
    at_odds, settled, gone, returned, torn, mended = (one.new_id() for _ in range(6))
    for record in (at_odds, settled, gone, returned, torn, mended):
        about = {"site": site, "name": "Post", "kind": "post", "height_m": 1.2}
        where = {"lat": 52.8711, "lon": -0.4702, "accuracy_m": 6.0, "source": "map"}
        one.edit("perch", record, about | {"position": where})
    one.edit("perch", one.new_id(), {"height_m": 0.4})  # nothing else is known of it yet
    one.sync(server)
    for phone in (two, ahead):
        phone.sync(server)
    one.edit("perch", at_odds, {"name": "Leaning post", "height_m": 1.3})
    two.edit("perch", at_odds, {"name": "Old post", "height_m": 1.3})  # one at odds, one in accord
    one.edit("perch", settled, {"name": "Gate post"})
    ahead.edit("perch", settled, {"name": "Far gate post"})
    one.delete("perch", gone)
    two.delete("perch", returned)
    ahead.edit("perch", torn, {"name": "Post with a nick"})
    two.delete("perch", torn)  # unseen by it: stays, with a badge
    for phone in (one, two, ahead, one, two):
        phone.sync(server)
    two.edit("perch", settled, {"name": "Gate post, the far one"}, resolve=True)
    two.undelete("perch", returned)
    two.sync(server)
    stranger = Phone(rng, NOW_MS)
    carried = stranger.edit("note", stranger.new_id(), {"text": "Carried by another's phone."})
    notebook.push([carried], device=one.device)
    saved = notebook.save(
        [Edit(kind="note", set={"text": "Written at the machine.", "site": site})]
    )
    notebook.undo(saved.group)


def _photos(notebook: Notebook, clock: TurnedClock, site: str) -> None:
    """One photo here, one on its way, one that never came, and the picture of a layer."""
    here, land = picture(20), picture(230)
    named = {hashlib.sha256(held).hexdigest(): held for held in (here, UNDERWAY, AWAITED, land)}
    uploads = Uploads(notebook)
    for sha256, held in named.items():
        if held is land:
            bounds = {"south_deg": 52.86, "west_deg": -0.48, "north_deg": 52.88, "east_deg": -0.46}
            about: dict[str, Any] = {"kind": "relief", "bounds": bounds, "made_from": "a survey"}
            edit = Edit(kind="layer", set={"site": site, "blob": sha256} | about)
        else:
            edit = Edit(kind="photo", set={"blob": sha256, "site": site})
        notebook.save([edit])
        if held is not AWAITED:
            end = 100 if held is UNDERWAY else len(held)
            uploads.append(sha256, 0, len(held), held[:end], media_type="image/jpeg")
    clock.pass_by(minutes=5)


def _refused(notebook: Notebook) -> None:
    """A value out of bounds, a register nobody knows, an id that is taken, text that is no JSON."""
    phone = Phone(random.Random(17), NOW_MS)
    wrong = phone.edit("perch", phone.new_id(), {"height_m": 4000})
    unknown = phone.edit("perch", phone.new_id(), {"moss": "thick"})
    first = phone.edit("note", phone.new_id(), {"text": "first"})
    taken = first | {"set": {"text": "second"}}
    text = json.dumps({"changes": [wrong, unknown, first, taken]})[:-2]
    batch, _ = read_batch((text + ', {"id": "x", "set": {"height_m": NaN}}]}').encode(), 1 << 20)
    notebook.push(batch)


def facts_of(notebook: Notebook) -> dict[str, Any]:
    """Answer what every later version must find in it."""
    held = notebook.contents()
    with notebook.store.reading() as db:
        relayed = db.execute("SELECT count(*) FROM journal WHERE received_via = 'relay'").fetchone()
    return {
        "about": f"What stands in the notebook beside, written under schema {SCHEMA}. Never edit.",
        "end": notebook.furthest(),
        "changes": len(notebook.pull(limit=10_000).rows),
        "records": {kind: len(of) for kind, of in held.records.items()},
        "incomplete": len(held.incomplete),
        "conflicts": [
            [one["kind"], one["record"], one["register"], len(one["heads"])]
            for one in notebook.conflicts()
        ],
        "quarantine": [[one["change_id"], one["code"]] for one in notebook.quarantine()],
        "relayed": relayed[0],
        "folders": [[one["name"], one["words"]] for one in notebook.folders()],
    }


def main(target: str) -> None:
    """Make the notebook in a scratch folder and put what is to be kept in its place."""
    kept = Path(target).resolve()
    shutil.rmtree(kept, ignore_errors=True)
    kept.mkdir(parents=True)
    clock = TurnedClock()
    with tempfile.TemporaryDirectory() as scratch:
        os.chdir(scratch)
        with open_notebook("n", clock, create=True) as notebook:
            fill(notebook, clock)
            found = notebook.check()
            assert found.faults == [], found.faults
            facts = facts_of(notebook)
            assert set(facts["records"]) == set(KINDS), set(KINDS) - set(facts["records"])
            notebook.store.copy_to(kept / FILE)
            copies.stand_alone(kept / FILE)
            for name in ("blobs", "incoming"):
                shutil.copytree(Path("n") / name, kept / name)
        os.chdir(HERE)
    (kept / "facts.json").write_text(json.dumps(facts, indent=1) + "\n", "utf-8")


if __name__ == "__main__":
    main(sys.argv[1])
