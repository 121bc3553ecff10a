"""What pip installs is whole and carries nothing else, and no file tells where it was made."""

from __future__ import annotations

import json
import pkgutil
import re
import shutil
import subprocess
import sys
import zipfile
from importlib import import_module
from pathlib import Path

import pytest

import scout

ROOT = Path(scout.__file__).parents[1]
WEB = ROOT / "web"
PYODIDE = {
    "pyodide.asm.mjs",
    "pyodide.asm.wasm",
    "pyodide.mjs",
    "pyodide-lock.json",
    "python_stdlib.zip",
}
MODULES = sorted(module.name for module in pkgutil.walk_packages(scout.__path__, "scout."))

REGISTRIES = re.compile(
    r"(registry\.(npmjs|yarnpkg|npmmirror)|npmjs\.com/|pypi\.(org|python)|pythonhosted\.org"
    r"|(deb|security)\.debian\.org|archive\.ubuntu\.com|unpkg\.com|jsdelivr\.net|cdnjs\.)"
)
# Folders of one machine. A path in a web address is none, so nothing of one may stand before it.
MACHINE_PATHS = re.compile(r"(?<![\w.:/@*-])/(home|Users|root|work|opt|mnt|srv)/\w")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.Path:
    """Build the wheel from this checkout without asking any registry."""
    sys.path.insert(0, str(WEB))
    try:
        current = import_module("vendor_hook").is_current(WEB)
    finally:
        sys.path.remove(str(WEB))
    if not current:
        pytest.fail("web/vendor is missing or out of date. Fetch it with: pip install -e .")
    folder = tmp_path_factory.mktemp("wheel")
    options = ["--no-build-isolation", "--no-deps", "--no-index", "--no-cache-dir", "-w", folder]
    run = subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--disable-pip-version-check", ROOT, *options],
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert run.returncode == 0, run.stdout[-2000:] + run.stderr[-2000:]
    return zipfile.Path(next(folder.glob("*.whl")))


def test_wheel_carries_pyodide_and_nothing_more_of_it(wheel: zipfile.Path) -> None:
    vendor = wheel / "scout" / "web" / "vendor"
    assert {file.name for file in (vendor / "pyodide").iterdir()} == PYODIDE
    assert "pyodide" in (vendor / "licences.txt").read_text("utf-8")


def test_wheel_leaves_out_what_only_the_build_needs(wheel: zipfile.Path) -> None:
    names = wheel.root.namelist()
    unwanted = re.compile(
        r"node_modules|package(-lock)?\.json|\.npmrc|vendor_hook|__pycache__|\.map$"
    )
    assert [name for name in names if unwanted.search(name)] == []
    assert {name.split("/")[0] for name in names if ".dist-info/" not in name} == {"scout"}


def test_wheel_carries_every_committed_file_of_its_folders(wheel: zipfile.Path) -> None:
    build_only = {"vendor_hook.py", "package.json", "package-lock.json", ".npmrc"}
    moved = {"scout": "scout", "web": "scout/web", "sample_site": "scout/sample_site"}
    wanted = {
        f"{moved[file.parts[0]]}/{file.relative_to(file.parts[0]).as_posix()}"
        for file in committed_files()
        if file.parts[0] in moved and (ROOT / file).exists()
        if file.as_posix() not in {f"web/{name}" for name in build_only}
    }
    assert sorted(wanted - set(wheel.root.namelist())) == []


def test_wheel_names_its_licence(wheel: zipfile.Path) -> None:
    about = next(folder for folder in wheel.iterdir() if folder.name.endswith(".dist-info"))
    assert "\nLicense-Expression: MIT\n" in (about / "METADATA").read_text("utf-8")
    assert (about / "licenses" / "scout" / "LICENSE").is_file()


@pytest.mark.parametrize("module", MODULES)
def test_module_imports(module: str) -> None:
    import_module(module)


def test_ci_calls_the_test_command_of_the_readme() -> None:
    command = ".venv/bin/pip install -e '.[test]' && .venv/bin/pytest"
    assert command in (ROOT / ".ci" / "run").read_text("utf-8")
    if not (ROOT / "README.md").is_file():
        pytest.skip("There is no README.md to compare with.")
    assert command in (ROOT / "README.md").read_text("utf-8")


def test_lock_pins_by_hash_and_names_no_host() -> None:
    text = (WEB / "package-lock.json").read_text("utf-8")
    packages = json.loads(text)["packages"]
    assert "resolved" not in text
    assert "://" not in text
    assert all("integrity" in package for path, package in packages.items() if path)


def test_the_house_has_its_agreed_rooms_at_the_top_and_nothing_else() -> None:
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "scout", "web", "tests"}
    agreed.add("sample_site")
    top = {Path(file).parts[0] for file in committed_files()}
    assert {name for name in top if not name.startswith(".")} == agreed


def test_committed_files_name_no_registry_and_no_machine() -> None:
    told = [
        f"{file}: {found.group()}"
        for file in committed_files()
        if (ROOT / file).is_file()
        for pattern in (REGISTRIES, MACHINE_PATHS)
        for found in pattern.finditer((ROOT / file).read_text("utf-8", errors="replace"))
    ]
    assert told == []


@pytest.mark.parametrize("parts", [["see ", "home", "ann"], ["cd ", "work", "x"]])
def test_a_machine_path_is_found(parts: list[str]) -> None:
    # Put together here, for this file is looked at as well.
    assert MACHINE_PATHS.search("/".join(parts))
    assert not MACHINE_PATHS.search("https://example.org/" + "/".join(parts[1:]))


@pytest.mark.parametrize("parts", [["https://pypi", "org/simple"], ["registry", "npmjs", "org"]])
def test_a_registry_is_found(parts: list[str]) -> None:
    assert REGISTRIES.search(".".join(parts))


def committed_files() -> list[Path]:
    """Return the paths git keeps, relative to the root; skip where there is no git."""
    if not (ROOT / ".git").exists() or shutil.which("git") is None:
        pytest.skip("This is no git checkout, so there is no list of committed files to look at.")
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, encoding="utf-8", check=True
    )
    return [Path(name) for name in listed.stdout.split("\0") if name]
