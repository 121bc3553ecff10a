"""The types of the front end, strictly checked out of its comments."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from scout.installed import web_folder

from .node_packages import packages
from .test_node_tests import node_program

# The libraries are typed by their packages, at the doors; their shipped code is not read.
VENDOR = ("preact", "preact_hooks", "htm", "idb", "canonicalize", "leaflet/leaflet")


@pytest.fixture(scope="module")
def checked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Lay the front end beside its packages, so that their types are found."""
    folder = tmp_path_factory.mktemp("types")
    found = packages()
    (folder / "node_modules").symlink_to(found / "node_modules", target_is_directory=True)
    unread = shutil.ignore_patterns("vendor", "vendor.new", "node_modules", "icons", "*.py")
    shutil.copytree(web_folder(), folder / "web", ignore=unread)
    for name in VENDOR:
        file = folder / "web" / "vendor" / f"{name}.js"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text("export {};\n", "utf-8")
    return folder


def errors(folder: Path, project: str) -> str:
    compiler = folder / "node_modules" / "typescript" / "bin" / "tsc"
    run = subprocess.run(
        [node_program(), compiler, "-p", folder / "web" / project],
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert (run.returncode == 0) == (run.stdout.strip() == ""), run.stderr
    return run.stdout


@pytest.mark.parametrize("project", ["tsconfig.json", "tsconfig.sw.json"])
def test_types(checked: Path, project: str) -> None:
    assert errors(checked, project) == ""


def test_a_misspelt_property_is_found(checked: Path) -> None:
    wrong = checked / "web" / "wrong.js"
    wrong.write_text(
        "import { phone } from './phone.js';\nexport const x = phone().lok;\n", "utf-8"
    )
    try:
        assert "Property 'lok' does not exist" in errors(checked, "tsconfig.json")
    finally:
        wrong.unlink()
