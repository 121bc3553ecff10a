"""The engine's zips: same files, same bytes; the name follows the content; nothing too much."""

from __future__ import annotations

import io
import zipfile
from importlib.metadata import version
from pathlib import Path

import pytest

from scout import packing
from scout.packing import Pack, engine_packs


def names_in(pack: Pack) -> list[str]:
    """Return the paths in a pack."""
    with zipfile.ZipFile(io.BytesIO(pack.content)) as archive:
        return archive.namelist()


def test_packing_twice_gives_the_same_bytes() -> None:
    assert engine_packs() == engine_packs()


def test_only_what_the_engine_needs_is_packed() -> None:
    ours, libraries = map(names_in, engine_packs())
    assert "scout/engine/calls.py" in ours
    assert {name.split("/")[1] for name in ours} == {"__init__.py", "engine", "records"}
    assert [name for name in libraries if name.startswith("pygeomag/wmm/")] == [
        "pygeomag/wmm/WMM_2025.COF"
    ]
    assert "tzdata/zoneinfo/Pacific/Apia" in libraries
    assert not [name for name in ours + libraries if "__pycache__" in name or "/test" in name]


def test_name_follows_the_content(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "heron_and_pool"
    package.mkdir()
    (package / "__init__.py").write_text("")
    monkeypatch.syspath_prepend(tmp_path)
    wanted = {"heron_and_pool": ("*.py",)}
    before = packing._pack("birds", wanted).name
    (package / "__init__.py").write_text("# one word more\n")
    assert packing._pack("birds", wanted).name != before


def test_missing_package_is_named() -> None:
    with pytest.raises(ModuleNotFoundError, match="'no_such_package' is not installed"):
        packing._pack("none", {"no_such_package": ("*.py",)})


def test_zone_data_is_whole() -> None:
    """Every file that the installed tzdata lists as a zone is packed."""
    import tzdata

    listed = (Path(tzdata.__file__).parent / "zones").read_text("ascii").split()
    packed = set(names_in(engine_packs()[1]))
    assert len(listed) > 400, version("tzdata")
    assert [zone for zone in listed if f"tzdata/zoneinfo/{zone}" not in packed] == []
