"""Write the reference values of the phone's own sums from general libraries.

`.venv/bin/python tests/web/make_map_references.py` writes tests/reference/phone_geodesy.json (by
geographiclib: Karney 2013) and tests/reference/phone_attitude.json (rotations by scipy). No test.
"""

from __future__ import annotations

import json
import math
import random
from pathlib import Path

from geographiclib.geodesic import Geodesic
from scipy.spatial.transform import Rotation

HERE = Path(__file__).resolve().parents[1] / "reference"
PLACES = (
    (0.0, 0.0),
    (52.87, -0.47),
    (-33.9, 151.2),
    (64.1, -21.9),
    (78.2, 15.6),
    (-17.5, 179.9995),
)


def geodesy() -> dict[str, object]:
    lines = []
    for lat, lon in PLACES:
        for bearing in (0.0, 37.5, 90.0, 121.0, 180.0, 246.25, 270.0, 359.9):
            for along in (0.5, 12.0, 87.3, 640.0, 1000.0, 5000.0):
                end = Geodesic.WGS84.Direct(lat, lon, bearing, along)
                lines.append(
                    {
                        "lat": lat,
                        "lon": lon,
                        "true_deg": bearing,
                        "along_m": along,
                        "lat2": end["lat2"],
                        "lon2": end["lon2"],
                    }
                )
    return {"source": "geographiclib, Geodesic.WGS84.Direct (Karney 2013)", "lines": lines}


def attitude() -> dict[str, object]:
    random.seed(4)
    triples = [(0, 0, 0), (90, 0, 0), (270, 0, 0), (0, 90, 0), (120, 90, 0), (35, 70, -20)]
    triples += [
        (random.uniform(0, 360), random.uniform(-179, 179), random.uniform(-89, 89))
        for _ in range(60)
    ]
    found = []
    for alpha, beta, gamma in triples:
        turned = Rotation.from_euler("ZXY", [alpha, beta, gamma], degrees=True)
        top, right, back = (turned.apply(axis) for axis in ([0, 1, 0], [1, 0, 0], [0, 0, -1]))
        found.append(
            {
                "alpha": alpha,
                "beta": beta,
                "gamma": gamma,
                "top_deg": _heading(top),
                "back_deg": _heading(back),
                "long_edge_deg": math.degrees(math.asin(max(-1.0, min(1.0, top[2])))),
                "short_edge_deg": math.degrees(math.asin(max(-1.0, min(1.0, right[2])))),
                "screen_up": -float(back[2]),
            }
        )
    return {"source": "scipy Rotation.from_euler('ZXY'), east north up", "triples": found}


def _heading(axis: object) -> float | None:
    east, north, _ = (float(one) for one in axis)  # type: ignore[attr-defined]
    if math.hypot(east, north) < 1e-6:
        return None
    return math.degrees(math.atan2(east, north)) % 360.0


if __name__ == "__main__":
    for name, values in (("phone_geodesy", geodesy()), ("phone_attitude", attitude())):
        text = json.dumps(values, separators=(",", ":")).replace("},{", "},\n{")
        (HERE / f"{name}.json").write_text(text + "\n", encoding="utf-8")
