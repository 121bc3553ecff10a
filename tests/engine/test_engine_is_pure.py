"""The engine and the records need no file, clock or network of their own.

Two looks. One runs: a separate Python imports every module of both and answers every parity
request while the machine is refused to it. One reads: the source may not name what is refused,
nor do what makes two Pythons answer differently.

Left out, and why: the import system's own reading of code; the data of tzdata and pygeomag, which
zoneinfo and pygeomag open (the only reading the engine does); `datetime` arithmetic, which is no
clock; sets held in a variable, which the reader of the source cannot tell from lists.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import scout

PACKAGE = Path(scout.__file__).parent
SOURCES = sorted(file for room in ("records", "engine") for file in (PACKAGE / room).rglob("*.py"))
REFUSED_RUN = Path(__file__).parent / "refused_run.py"

BANNED_MODULES = frozenset(
    # geopy: to import it is to import asyncio and sockets; its geodesics are geographiclib's.
    {"PIL", "flask", "geopy", "numpy", "requests", "werkzeug"}
    | {"asyncio", "http", "multiprocessing", "socket", "ssl", "subprocess", "urllib"}
    | {"io", "logging", "os", "pathlib", "shutil", "sqlite3", "sys", "tempfile"}
    | {"random", "secrets", "time"}
)
BANNED_BUILTINS = frozenset({"breakpoint", "eval", "exec", "input", "open", "print"})
CLOCKS = frozenset({"now", "today", "utcnow"})


def test_runs_with_the_machine_refused() -> None:
    run = subprocess.run(
        [sys.executable, "-B", "-W", "error", REFUSED_RUN],
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert run.returncode == 0, run.stderr[-3000:]
    assert run.stdout.startswith("answered "), run.stdout


@pytest.mark.parametrize("trespass", ["import", "clock", "file", "socket"])
def test_refusal_does_refuse(trespass: str) -> None:
    """The refusing run fails when something is asked of the machine."""
    run = subprocess.run(
        [sys.executable, "-B", REFUSED_RUN, trespass],
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert run.returncode != 0
    assert "refused" in run.stderr


@pytest.mark.parametrize("source", SOURCES, ids=lambda file: f"{file.parent.name}-{file.stem}")
def test_source_is_pure(source: Path) -> None:
    assert list(faults(source.read_text("utf-8"), source.parent.name)) == []


@pytest.mark.parametrize(
    "line",
    [
        "import os",
        "import urllib.request",
        "from time import time",
        "from scout.notebook import journal",
        "from scout.packing import engine_packs",
        "from .. import installed",
        "total = sum(weights)",
        "total = sum(w * 2.0 for w in weights)",
        "text = open('x').read()",
        "moment = datetime.now(UTC)",
        "for kind in {'post', 'branch'}: pass",
        "kinds = [k for k in set(names)]",
        "kinds = list({n for n in names})",
        "text = ', '.join(set(names))",
    ],
)
def test_fault_is_found(line: str) -> None:
    assert len(list(faults(line, "engine"))) == 1


@pytest.mark.parametrize(
    "line",
    [
        "from scout.records.fields import bounds",
        "from . import sun",
        "total = math.fsum(weights)",
        "count = sum(1 for w in weights)",
        "count = sum(w is not None for w in weights)",
        "for kind in sorted({'post', 'branch'}): pass",
        "known = kind in {'post', 'branch'}",
        "moment = datetime(2025, 3, 20, tzinfo=UTC)",
    ],
)
def test_sound_line_is_let_pass(line: str) -> None:
    assert list(faults(line, "engine")) == []


def faults(source: str, room: str) -> Iterator[str]:
    """Yield a sentence for each thing in a source that these two rooms may not do."""
    for node in ast.walk(ast.parse(source)):
        where = f"line {getattr(node, 'lineno', 0)}: "
        for name in imported(node, room):
            top, _, rest = name.partition(".")
            if top in BANNED_MODULES:
                yield f"{where}imports {name}"
            if top == "scout" and rest.split(".")[0] not in allowed_rooms(room):
                yield f"{where}{room} imports {name}, which stands above it"
        if isinstance(node, ast.Call):
            called = node.func.id if isinstance(node.func, ast.Name) else None
            if called in BANNED_BUILTINS:
                yield f"{where}calls {called}()"
            if called == "sum" and not counts(node):
                yield f"{where}sum() differs between Pythons for floats: math.fsum"
            if called in {"list", "tuple", "enumerate"} and node.args and is_set(node.args[0]):
                yield f"{where}a set has no order: sorted() it"
            if isinstance(node.func, ast.Attribute):
                if node.func.attr in CLOCKS:
                    yield f"{where}asks the clock by {node.func.attr}()"
                if node.func.attr == "join" and node.args and is_set(node.args[0]):
                    yield f"{where}a set has no order: sorted() it"
        if isinstance(node, ast.For | ast.comprehension) and is_set(node.iter):
            yield f"line {node.iter.lineno}: a set has no order: sorted() it"


def imported(node: ast.AST, room: str) -> list[str]:
    """Return the full names of the modules that an import statement of this room asks for."""
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.ImportFrom):
        base = {0: [], 1: ["scout", room]}.get(node.level, ["scout"])
        stem = [*base, node.module] if node.module else base
        whole = ".".join(stem) in ("scout", "")
        return (
            [".".join([*stem, alias.name]) for alias in node.names] if whole else [".".join(stem)]
        )
    return []


def allowed_rooms(room: str) -> tuple[str, ...]:
    """Return the rooms of the package that a room may import from."""
    return ("records", "engine") if room == "engine" else ("records",)


def is_set(node: ast.expr) -> bool:
    """Tell whether an expression is plainly a set."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return node.func.id in {"set", "frozenset"}
    return isinstance(node, ast.Set | ast.SetComp)


def counts(call: ast.Call) -> bool:
    """Tell whether a sum() adds whole numbers: a literal one, a comparison or a len() for each."""
    each = call.args[0] if call.args else None
    element = each.elt if isinstance(each, ast.GeneratorExp) else None
    if isinstance(element, ast.Compare):
        return True
    if isinstance(element, ast.Call) and isinstance(element.func, ast.Name):
        return element.func.id == "len"
    return isinstance(element, ast.Constant) and isinstance(element.value, int)
