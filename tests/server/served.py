"""Serve a notebook on a free port until killed; says the address on stdout.

Run as a program: folder. Not a test.
"""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
from pathlib import Path

from scout.notebook.notebook import open_notebook
from scout.server.app import create_app
from scout.server.serving import listen

ROOT = Path(__file__).parents[2]


def start(folder: Path) -> tuple[subprocess.Popen[str], str]:
    """Start a server of its own process; answers it and its address."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.server.served", str(folder)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        encoding="ascii",
    )
    assert process.stdout is not None
    address = process.stdout.readline().strip()
    assert address.startswith("http://"), "the server did not start"
    return process, address


def kill(process: subprocess.Popen[str]) -> None:
    """Kill a server at once (SIGKILL)."""
    process.kill()
    process.wait()
    assert process.stdout is not None
    process.stdout.close()


def main(folder: str) -> None:
    notebook = open_notebook(folder, lambda: dt.datetime.now(dt.UTC), create=True)
    listening = listen(create_app(notebook), 0)
    print(listening.address, flush=True)
    listening.run()


if __name__ == "__main__":
    main(sys.argv[1])
