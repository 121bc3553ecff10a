"""A folder is judged fault by fault, and the exit code says whether it may be used."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any


def test_the_sample_site_is_sound(run: Callable[..., Any]) -> None:
    result = run("check", "sample_site")
    assert result.exit_code == 0
    assert result.stderr == ""
    assert re.search(r"^sightline +14$", result.stdout, re.MULTILINE)
    assert "no faults, no warnings." in result.stdout


def test_every_fault_is_told_with_its_file_and_line(
    run: Callable[..., Any], own_site: Path
) -> None:
    kits = own_site / "kits.json"
    text = kits.read_text("utf-8")
    line = text.count("\n", 0, text.index('"iso_ceiling"')) + 1
    kits.write_text(re.sub(r'("iso_ceiling": )\d+', r'\1"lots"', text, count=1), "utf-8")
    (own_site / "sites.json").write_text("[{", "utf-8")
    result = run("check", "own")
    assert result.exit_code == 2
    assert re.search(rf'^kits\.json, line {line}: iso_ceiling: "lots"', result.stderr, re.M)
    assert re.search(r"^sites\.json, line 1: ", result.stderr, re.MULTILINE)
    told = int(re.search(r"(\d+) faults", result.stdout)[1])  # type: ignore[index]
    assert len(result.stderr.strip().splitlines()) == told


def test_a_warning_alone_is_no_fault(run: Callable[..., Any], own_site: Path) -> None:
    (own_site / "birds.json").write_text("[]", "utf-8")
    result = run("check", "own")
    assert result.exit_code == 0
    assert result.stderr.startswith("Warning: birds.json")
    assert "no faults, 1 warning." in result.stdout


def test_a_program_can_read_the_same(run: Callable[..., Any], own_site: Path) -> None:
    (own_site / "sites.json").write_text('[{"id": 7}]', "utf-8")
    result = run("check", "own", "--json")
    assert result.exit_code == 2
    read = json.loads(result.stdout)
    assert {"file", "line", "says"} == set(read["faults"][0])
    assert read["records"]["kit"] == 2
    assert read["warnings"] == []


def test_a_folder_that_is_not_there(run: Callable[..., Any]) -> None:
    for name in ("nowhere", "9" * 400, ""):
        result = run("check", name)
        assert result.exit_code == 2
        assert result.stderr.strip()
        assert "fault of the program" not in result.stderr


def test_an_empty_folder_is_told_what_it_lacks(run: Callable[..., Any], place: Path) -> None:
    (place / "new").mkdir()
    result = run("check", "new")
    assert result.exit_code == 2
    assert "folder.json: is missing" in result.stderr
    (place / "new" / "folder.json").write_text(
        '{"format": 1, "folder": "5f1c3b0e-7a42-4d0b-9c8e-2b6f4a1d7e93", "name": "New"}', "utf-8"
    )
    result = run("check", "new")
    assert result.exit_code == 0
    assert "No records." in result.stdout
    asked = run("card", "--folder", "new")
    assert asked.exit_code == 2
    assert "--site: the folder has no site yet; write one in sites.json." in asked.stderr
