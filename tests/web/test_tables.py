"""Tables that stand in the front end and in the records mean one thing; the icons are as drawn."""

from __future__ import annotations

import json
import math
import subprocess
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageChops

from scout.installed import web_folder
from scout.records import rough, ways
from scout.records.kinds import KINDS

from .icons import ICONS, SIZES, drawing, vector
from .test_node_tests import node_program

_ASK = """
const rough = await import(process.argv[1] + '/rough.js');
const { CHIPS, ROSE, HOW, POINT8_PLUS_MINUS_DEG, POINT16_PLUS_MINUS_DEG } = rough;
const chips = CHIPS.map((chip) => ({ ...chip, value_m: chip.key === 'sky' ? null : chip.value_m }));
process.stdout.write(JSON.stringify({ chips, ROSE, HOW, POINT8_PLUS_MINUS_DEG,
  POINT16_PLUS_MINUS_DEG, sky: CHIPS.at(-1).value_m === Infinity }));
"""


@pytest.fixture(scope="module")
def said() -> Any:
    run = subprocess.run(
        [node_program(), "--input-type=module", "-e", _ASK, web_folder().as_uri()],
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    return json.loads(run.stdout)


def test_chips(said: Any) -> None:
    assert said["sky"] is True
    assert said["chips"] == [
        {
            "key": chip.key,
            "label": chip.label,
            "value_m": chip.value_m if math.isfinite(chip.value_m) else None,
            "plus_minus_m": chip.plus_minus_m,
        }
        for chip in rough.CHIPS
    ]


def test_rose(said: Any) -> None:
    assert [tuple(point) for point in said["ROSE"]] == list(rough.ROSE)
    assert said["POINT8_PLUS_MINUS_DEG"] == ways.POINT8_PLUS_MINUS_DEG
    assert said["POINT16_PLUS_MINUS_DEG"] == ways.POINT16_PLUS_MINUS_DEG


def test_ways_of_measuring(said: Any) -> None:
    names = (
        "bearing_deg",
        "distance_m",
        "distance_share",
        "tilt_deg",
        "position_m",
        "elevation_m",
        "least_distance_m",
    )
    wanted = {
        key: {name: getattr(how, name) for name in names if getattr(how, name)}
        for key, how in ways.HOW.items()
    }
    assert said["HOW"] == wanted


def test_every_kind_has_a_name() -> None:
    words = (web_folder() / "words.js").read_text("utf-8")
    for kind in KINDS:
        assert f"\n  {kind}: {{ one: " in words


@pytest.mark.parametrize("name", SIZES)
def test_icons_are_as_drawn(name: str) -> None:
    drawn = drawing(*SIZES[name])
    with Image.open(ICONS / name) as kept:
        assert kept.size == drawn.size
        # Another release of the library may round a grey differently.
        assert ImageChops.difference(kept.convert("L"), drawn).getextrema()[1] <= 8


def test_the_vector_mark_is_as_drawn() -> None:
    assert (ICONS / "mark.svg").read_text("utf-8") == vector()


def test_the_manifest_is_black_and_complete() -> None:
    # web.dev "install criteria": a name, icons of 192 and 512, a start, a display.
    manifest = json.loads((web_folder() / "manifest.webmanifest").read_text("utf-8"))
    assert manifest["background_color"] == manifest["theme_color"] == "#000000"
    assert manifest["display"] == "standalone"
    assert {"id", "name", "short_name", "start_url", "scope"} <= manifest.keys()
    sizes = {icon["sizes"]: icon for icon in manifest["icons"] if icon["type"] == "image/png"}
    assert {"192x192", "512x512"} <= sizes.keys()
    assert any(icon.get("purpose") == "maskable" for icon in manifest["icons"])
    for icon in manifest["icons"]:
        assert Path(web_folder(), icon["src"]).is_file()
