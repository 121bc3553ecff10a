"""Coarsening against its published degrees, and the promises that make it safe.

Degrees per class: A. D. Chapman, Current Best Practices for Generalizing Sensitive Species
Occurrence Data (2020), doi 10.15468/doc-5jp4-5g10, table 7.
"""

from __future__ import annotations

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from scout.notebook.sharing.grid import spot

CHAPMAN_DEG = {"low": 0.001, "medium": 0.01, "high": 0.1}
lats = st.floats(-90, 90)
lons = st.floats(-180, 180)
coarse = st.sampled_from(tuple(CHAPMAN_DEG))


@pytest.mark.parametrize(("mark", "cell_deg"), CHAPMAN_DEG.items())
def test_cells_are_the_published_ones(mark: str, cell_deg: float) -> None:
    at = spot(51.29137, -2.41358, None, mark)
    assert at.cell_deg == pytest.approx(cell_deg)
    assert abs(at.lat - 51.29137) <= cell_deg / 2 + 1e-9
    assert abs(at.lon - -2.41358) <= cell_deg / 2 + 1e-9


def test_a_high_cell_at_the_equator_is_about_the_published_size() -> None:
    # "adds about 15.7 km" is the whole diagonal of 0.1° at the equator; from the middle it is half.
    at = spot(0.03, 10.03, None, "high")
    assert at.uncertainty_m == pytest.approx(15_700 / 2, rel=0.01)


@given(lats, lons, coarse)
def test_twice_coarse_is_once_coarse(lat: float, lon: float, mark: str) -> None:
    once = spot(lat, lon, None, mark)
    again = spot(once.lat, once.lon, None, mark)
    assert (again.lat, again.lon) == (once.lat, once.lon)


@given(lats, lons, coarse, st.floats(0, 500))
def test_the_true_place_lies_within_the_stated_uncertainty(
    lat: float, lon: float, mark: str, accuracy_m: float
) -> None:
    at = spot(lat, lon, accuracy_m, mark)
    assert at.uncertainty_m is not None
    away = Geodesic.WGS84.Inverse(lat, lon, at.lat, at.lon)["s12"]
    assert away + accuracy_m <= at.uncertainty_m


@given(lats, lons, st.sampled_from(("open", *CHAPMAN_DEG)))
def test_stays_on_the_earth_and_below_180_degrees(lat: float, lon: float, mark: str) -> None:
    at = spot(lat, lon, None, mark)
    assert -90 <= at.lat <= 90
    assert -180 <= at.lon < 180
