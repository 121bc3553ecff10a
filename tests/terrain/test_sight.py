"""Lines of sight over lands in closed form: blocked where they must be, gaps known by geometry."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as Tree

import numpy as np
import pytest

from scout.records.trouble import Refused
from scout.terrain.sight import Line, Sighted, sight_of
from scout.terrain.sight_picture import side_view

from .lands import LAT, LON, model_of


def _line(**changed: Any) -> Line:
    usual = {
        "lat_deg": LAT,
        "lon_deg": LON,
        "bearing_deg": 90.0,
        "distance_m": 20.0,
        "lens_height_m": 1.2,
        "perch_height_m": 1.2,
    }
    return Line(**{**usual, **changed})


def _seen(tmp_path: Path, land: Any, cell_m: float = 0.5, **changed: Any) -> Sighted:
    model = model_of(tmp_path, land, half_m=300 * cell_m, cell_m=cell_m)
    return sight_of([model], _line(**changed), behind_m=120.0)


def test_over_level_ground_shooting_down_meets_it_where_the_tilt_says(tmp_path: Path) -> None:
    # Lens 1.9 m, eye of the animal 0.15 m, 20 m off: 5.0° down, ground 0.15/tan 5° = 1.71 m behind.
    found = _seen(tmp_path, lambda x, y: 0 * x, lens_height_m=1.9, perch_height_m=0.15)
    assert found.blocked_at_m is None
    assert found.tilt_deg == pytest.approx(-math.degrees(math.atan(1.75 / 20)), abs=0.01)
    assert found.gap_m == pytest.approx(0.15 / (1.75 / 20), abs=0.02)
    assert found.gap_words.startswith("The land stands 1.7 m behind the perch")


def test_a_bank_behind_is_the_gap(tmp_path: Path) -> None:
    # A bank rising 1 in 2 from 35 m on: the level line at 1.2 m meets it at 35 + 2.4 m.
    found = _seen(tmp_path, lambda x, y: np.maximum(0.0, 0.5 * (x - 35)))
    assert found.gap_m == pytest.approx(17.4, abs=0.1)
    assert found.gap_low_m is not None
    assert found.gap_high_m is not None
    assert found.gap_low_m < found.gap_m < found.gap_high_m


def test_a_ridge_between_blocks_and_says_where(tmp_path: Path) -> None:
    found = _seen(tmp_path, lambda x, y: np.maximum(0.0, 2.0 - np.abs(x - 8.0)))
    # 1.2 m of line: the ridge stands in it from 7.2 m, and by 0.8 m at its crest.
    assert found.blocked_at_m == pytest.approx(7.25, abs=0.3)
    assert found.clearance_m == pytest.approx(-0.8, abs=0.05)
    assert found.clearance_at_m == pytest.approx(8.0, abs=0.3)
    assert found.sight_words.startswith("Blocked 7 m from the lens")


def test_sky_behind_and_an_end_of_the_model_are_two_things(tmp_path: Path) -> None:
    down = _seen(tmp_path / "a", lambda x, y: -0.1 * x)
    assert down.gap_m == math.inf
    assert down.gap_words.startswith("Sky stands behind the perch")
    model = model_of(tmp_path / "b", lambda x, y: 0 * x, half_m=60, cell_m=0.5)
    short = sight_of([model], _line(), behind_m=500.0)
    assert short.gap_m is None
    assert "Nothing stands within 40 m behind the perch" in short.gap_words


def test_too_coarse_a_model_is_refused_with_the_cell_that_would_do(tmp_path: Path) -> None:
    model = model_of(tmp_path, lambda x, y: 0 * x, half_m=900, cell_m=30)
    with pytest.raises(
        Refused, match=r"Cells of 30 m are too coarse for a line of 20 m; a model with cells of 2 m"
    ):
        sight_of([model], _line())
    with pytest.raises(Refused, match="o elevation model here yet"):
        sight_of([], _line())


def test_a_measured_tilt_counts_before_the_ground(tmp_path: Path) -> None:
    found = _seen(tmp_path, lambda x, y: 0 * x, tilt_deg=8.0)
    assert found.tilt_deg == pytest.approx(8.0)
    assert found.gap_m == math.inf
    assert any("measured as +8°, the land says +0°" in said for said in found.remarks)


def test_the_gap_goes_on_over_a_coarser_model_where_that_is_fine_enough(tmp_path: Path) -> None:
    def hill(x: Any, y: Any) -> Any:
        return np.maximum(0.0, 0.2 * (x - 600))

    fine = model_of(tmp_path, hill, "fine", half_m=80, cell_m=0.5)
    coarse = model_of(tmp_path, hill, "coarse", half_m=3000, cell_m=5)
    found = sight_of([fine, coarse], _line())
    assert found.gap_m == pytest.approx(600 + 6 - 20, abs=8)
    rough = model_of(tmp_path, hill, "rough", half_m=3000, cell_m=30)
    cut = sight_of([fine, rough], _line())
    # Thirty-metre cells say nothing 80 m off: what stands there is not known.
    assert cut.gap_m is None


def test_the_side_view_is_a_drawing_of_it(tmp_path: Path) -> None:
    found = _seen(tmp_path, lambda x, y: np.maximum(0.0, 2.0 - np.abs(x - 8.0)))
    drawing = Tree.fromstring(side_view(found))
    words = " ".join("".join(one.itertext()) for one in drawing.findall(".//{*}text"))
    assert "blocked here" in words
    assert "perch, 1.2 m up, 20 m off" in words
    assert "heights ×" in words
    assert not any("style" in one.attrib for one in drawing.iter())
