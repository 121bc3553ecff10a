"""The server killed in the middle of it, and a file that cannot be written; I1."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import tempfile
from pathlib import Path

from scout.notebook.notebook import FILE, open_notebook
from scout.notebook.saving import Edit
from tests.notebook.conftest import TurnedClock

from . import served
from .killing import kill_once
from .linked import API, Line

ROUNDS = 500 if os.environ.get("SCOUT_FULL") == "1" else 5


def test_i1_kill_9_amid_pushes_and_photos_loses_nothing_acknowledged(tmp_path: Path) -> None:
    rng = random.Random(3)
    changes = pieces = 0
    for number in range(ROUNDS):
        done = kill_once(tmp_path / str(number // 20), number, rng.uniform(0.05, 0.4))
        assert (done.lost, done.faults) == (0, []), f"round {number}"
        changes += done.changes
        pieces += done.pieces
    assert changes > 0
    assert pieces > 0


READ_ONLY = """
import datetime as dt, encodings.idna, os, sys, tempfile
from scout.notebook.notebook import open_notebook
from scout.server.app import create_app
from tests.server import served
with tempfile.TemporaryDirectory() as name:  # so that Python has loaded what it loads late
    with open_notebook(name, lambda: dt.datetime.now(dt.UTC), create=True) as other:
        client = create_app(other).test_client()
        for path in ("/api/v1/pull", "/api/v1/ping", "/plain", "/nix"):
            client.get(path)
        client.post("/api/v1/push", json={"changes": [1]}, headers={"X-Scout": "1"})
if os.getuid() == 0:
    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)
served.main(sys.argv[1])
"""


def test_a_read_only_notebook_is_shown_and_refuses_in_words(clock: TurnedClock) -> None:
    with tempfile.TemporaryDirectory(dir="/tmp") as name:  # where another user may look
        folder = Path(name) / "notebook"
        with open_notebook(folder, clock, create=True) as notebook:
            notebook.save([Edit(kind="perch", set={"name": "A"})])
        Path(name).chmod(0o755)
        folder.chmod(0o555)
        (folder / FILE).chmod(0o444)
        process = subprocess.Popen(
            [sys.executable, "-B", "-c", READ_ONLY, str(folder)],
            cwd=served.ROOT,
            stdout=subprocess.PIPE,
            encoding="ascii",
        )
        try:
            assert process.stdout is not None
            line = Line(process.stdout.readline().strip())
            assert len(line.ask("GET", f"{API}pull").json["changes"]) == 1
            assert line.ask("GET", "/plain").status == 200
            said = line.ask("POST", f"{API}push", json.dumps({"changes": [1]}).encode())
            line.close()
        finally:
            served.kill(process)
            folder.chmod(0o755)
    assert said.status == 503
    assert said.json["error"]["code"] == "read_only"
    assert "cannot be written" in said.json["error"]["message"]
