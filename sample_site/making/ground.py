"""The invented ground: where everything truly stands, in metres on a plane of each site.

Pins (`places`) are this truth with a receiver's error, measurements (`lines`) the same truth with
an instrument's error. So both agree within what each of them claims. Not for: records.
"""

from __future__ import annotations

import math
from typing import Any

Record = dict[str, Any]
ZONE = "Europe/London"

# Open farmland, chosen for its latitude alone: nothing on this page exists there.
CENTRES = {"pellwick": (52.8700, -0.4700), "hobthorn": (52.9500, -0.3600)}

# Declination by the World Magnetic Model 2025 (pygeomag 1.1, WMM_2025.COF, height 30 m), read off
# by hand for 2025.0 and 2026.9; between them it grows evenly within 0.01 degrees.
DECLINATION_2025_DEG = {"pellwick": 0.679, "hobthorn": 0.710}
DECLINATION_A_YEAR_DEG = 0.178

# name: (site, east m, north m, ground m above sea level, height of perch or lens above it m)
PERCHES = {
    "ditch-post": ("pellwick", 28.6, 8.4, 31.4, 1.3),
    "bramble-spray": ("pellwick", 23.7, 15.0, 31.5, 1.6),
    "gorse-bank": ("pellwick", 8.0, 60.0, 33.0, 1.2),
    "pool-margin": ("pellwick", 6.9, -22.0, 30.6, 0.0),
    "hedge-gap": ("pellwick", 140.0, 20.0, 32.2, 0.0),
    "brook-log": ("hobthorn", -38.1, 42.4, 57.2, 0.4),
    "grey-boulder": ("hobthorn", -18.4, -4.9, 59.1, 0.7),
    "ride-end": ("hobthorn", 139.0, -1.3, 63.5, 0.0),
    "seep": ("hobthorn", 66.2, -6.8, 61.0, 0.0),
}
VANTAGES = {
    "pump-house": ("pellwick", 40.0, 10.0, 31.6, 1.25),
    "track-end": ("pellwick", 30.0, 41.0, 32.3, 1.15),
    "hedge-foot": ("pellwick", 6.0, 20.0, 31.6, 0.9),
    "bank-seat": ("pellwick", 75.0, -45.0, 31.3, 0.45),
    "bale-row": ("pellwick", 60.0, 75.0, 33.1, 0.9),
    "root-plate": ("hobthorn", 0.0, 0.0, 59.0, 0.5),
    "ride-hide": ("hobthorn", 60.0, -30.0, 62.0, 1.1),
}
LANDMARKS = {
    "dray-yard": ("pellwick", 372.0, -148.0),
    "field-gate": ("pellwick", 231.0, -96.0),
    "ditch-bend": ("pellwick", 88.0, -18.0),
    "soft-edge": ("pellwick", 14.0, -30.0),
    "wood-lay-by": ("hobthorn", 296.0, -214.0),
    "ride-gate": ("hobthorn", 203.0, -131.0),
    "hollow-oak": ("hobthorn", 96.0, -70.0),
    "leaning-ash": ("hobthorn", 22.0, -24.0),
}
_WGS84_A_M, _WGS84_E2 = 6378137.0, 0.00669437999014


def at_centre(site: str, east_m: float, north_m: float) -> tuple[float, float]:
    """Answer latitude and longitude [degrees] of a point on a site's plane (WGS 84 radii)."""
    lat, lon = CENTRES[site]
    w = 1.0 - _WGS84_E2 * math.sin(math.radians(lat)) ** 2
    along_meridian = _WGS84_A_M * (1.0 - _WGS84_E2) / w**1.5
    along_parallel = _WGS84_A_M / math.sqrt(w) * math.cos(math.radians(lat))
    return lat + math.degrees(north_m / along_meridian), lon + math.degrees(east_m / along_parallel)


def place_of(name: str) -> tuple[str, float, float]:
    """Answer the site and the true point on its plane of a perch, vantage or landmark."""
    found = PERCHES.get(name) or VANTAGES.get(name) or LANDMARKS[name]
    return found[0], found[1], found[2]


def between(start: str, end: str) -> tuple[float, float]:
    """Answer the true bearing [degrees] and the level distance [m] from one place to another."""
    _, e1, n1 = place_of(start)
    _, e2, n2 = place_of(end)
    bearing = math.degrees(math.atan2(e2 - e1, n2 - n1)) % 360.0
    return bearing, math.hypot(e2 - e1, n2 - n1)


def tilt_deg(vantage: str, perch: str) -> float:
    """Answer the angle [degrees] at which the lens looks up (+) or down (-) at the perch."""
    _, _, _, ground_v, lens = VANTAGES[vantage]
    _, _, _, ground_p, height = PERCHES[perch]
    return math.degrees(math.atan2(ground_p + height - ground_v - lens, between(vantage, perch)[1]))


def declination_deg(site: str, year: float) -> float:
    """Answer how far magnetic north stands east of true north [degrees]."""
    return DECLINATION_2025_DEG[site] + DECLINATION_A_YEAR_DEG * (year - 2025.0)
