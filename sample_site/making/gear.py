"""Two kits that a modest photographer weighs against each other, and what four animals ask of them.

Keep-distances are this invented notebook's own; no figure holds everywhere. Not for: the land.
"""

from __future__ import annotations

from making.ground import Record


def kits() -> list[Record]:
    """Answer the two kits."""
    return [
        {
            "id": "long-zoom",
            "name": "Long zoom 500 mm f/7.1 on full frame",
            "sensor_width_mm": 36.0,
            "sensor_height_mm": 24.0,
            "pixels_wide": 6000,
            "pixels_high": 4000,
            "iso_base": 100,
            "iso_ceiling": 6400,
            "iso_ceiling_video": 3200,
            "frame_rate_fps": 7,
            "focal_mm": 500,
            "apertures": [
                {"focal_mm": 150, "f_number": 5.0},
                {"focal_mm": 240, "f_number": 5.6},
                {"focal_mm": 340, "f_number": 6.3},
                {"focal_mm": 440, "f_number": 7.1},
            ],
            "nearest_focus_m": 2.4,
            "stabiliser_ev": 4,
            "transmission_ev": 0.33,
        },
        {
            "id": "short-prime",
            "name": "300 mm f/4 with 1.4× extender on the small sensor",
            "sensor_width_mm": 23.4,
            "sensor_height_mm": 15.6,
            "pixels_wide": 6000,
            "pixels_high": 4000,
            "iso_base": 100,
            "iso_ceiling": 3200,
            "iso_ceiling_video": 1600,
            "frame_rate_fps": 10,
            "focal_mm": 300,
            "apertures": [{"focal_mm": 300, "f_number": 4.0}],
            "extender": 1.4,
            "nearest_focus_m": 1.5,
            "stabiliser_ev": 3,
            "transmission_ev": 0.33,
        },
    ]


def species() -> list[Record]:
    """Answer two birds, a deer, and an otter whose places are withheld."""
    return [
        {
            "id": "stonechat",
            "name": "Stonechat",
            "animal": "bird",
            "length_m": 0.125,
            "keep_distance_open_m": 15,
            "keep_distance_hide_m": 8,
            "places": "open",
            "perched_s": 0.004,
            "fidgeting_s": 0.001,
            "flight_s": 0.0003125,
        },
        {
            "id": "little-egret",
            "name": "Little egret",
            "animal": "bird",
            "length_m": 0.6,
            "keep_distance_open_m": 60,
            "keep_distance_hide_m": 25,
            "trim_ev": -0.67,
            "places": "open",
            "perched_s": 0.004,
            "fidgeting_s": 0.001,
            "flight_s": 0.0005,
        },
        {
            "id": "roe-deer",
            "name": "Roe deer",
            "animal": "mammal",
            "length_m": 1.15,
            "keep_distance_open_m": 80,
            "keep_distance_hide_m": 40,
            "trim_ev": 0.33,
            "places": "low",
            "early": True,
            "perched_s": 0.005,
            "fidgeting_s": 0.002,
            "flight_s": 0.0008,
        },
        {
            "id": "otter",
            "name": "Otter",
            "code_name": "Russet",
            "animal": "mammal",
            "length_m": 1.1,
            "keep_distance_open_m": 50,
            "keep_distance_hide_m": 25,
            "trim_ev": 0.33,
            "places": "withheld",
            "early": True,
            "perched_s": 0.005,
            "fidgeting_s": 0.002,
            "flight_s": 0.0008,
        },
    ]
