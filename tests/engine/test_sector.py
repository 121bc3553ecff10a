"""The sector of sunrises over a season, against the sunrises themselves."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from scout.engine.sector import rise_azimuths, sector_sentence
from scout.engine.sessions import dawn_of, dusk_of
from scout.engine.sun import sun_position


@pytest.mark.parametrize(("lat", "lon"), [(52.0, 0.0), (-37.0, 175.0), (10.0, -84.0)])
@pytest.mark.parametrize("rising", [True, False])
def test_the_year_holds_every_sunrise(lat: float, lon: float, rising: bool) -> None:
    first = date(2025, 1, 1)
    low, high = rise_azimuths(lat, lon, first, 365, rising=rising) or (0.0, 0.0)
    of = dawn_of if rising else dusk_of
    zone = f"Etc/GMT{-round(lon / 15):+d}"
    found = []
    for week in range(0, 365, 5):
        at = of(lat, lon, zone, first + timedelta(days=week)).sun_level_utc
        assert at is not None
        found.append(sun_position(lat, lon, at).azimuth_deg)
    assert min(found) == pytest.approx(low, abs=0.5)
    assert max(found) == pytest.approx(high, abs=0.5)
    assert low - 0.2 <= min(found)
    assert max(found) <= high + 0.2


def test_the_sentence() -> None:
    assert sector_sentence(52.0, 0.0, date(2025, 4, 10)).startswith(
        "The sun rises between 48° and 129° over the year here, 54"
    )
    assert sector_sentence(52.0, 0.0, date(2025, 4, 10), rising=False).startswith("The sun sets")
    assert "not at all in the next six weeks" in sector_sentence(75.0, 0.0, date(2025, 6, 1))


def test_a_season_has_a_length() -> None:
    assert rise_azimuths(75.0, 0.0, date(2025, 6, 1), 30) is None
    with pytest.raises(ValueError, match="1 to 366 days"):
        rise_azimuths(52.0, 0.0, date(2025, 6, 1), 0)
