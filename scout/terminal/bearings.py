"""A reading made true, and a perch placed, in the terminal.

Not for: working out any of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scout.terminal.page import Page


def print_compass(page: Page, answer: Mapping[str, Any]) -> None:
    """Print a reading as degrees true and magnetic."""
    page.heading(answer["words"])
    page.line(f"magnetic {answer['magnetic_deg']:g}°")
    spread = answer["declination_plus_minus_deg"]
    declination = answer["declination_deg"]
    side = "east" if declination >= 0 else "west"
    page.line(f"declination {abs(declination):g}° {side} ± {spread:g}° (World Magnetic Model)")
    if "correction_deg" in answer:
        page.line(f"sun in {answer['sun_azimuth_deg']:g}° true")
        page.line(
            f"add {_signed(answer['correction_deg'])}° to what this compass reads on this spot: "
            "that gives degrees true, declination and all, so do not add it again"
        )
    for warning in answer["warnings"]:
        page.line(warning)


def print_place(page: Page, answer: Mapping[str, Any]) -> None:
    """Print where a perch stands."""
    position = answer["position"]
    page.heading(f"{answer['written']}, within {position['accuracy_m']:g} m")
    page.line(f"from the vantage within {answer['from_vantage_plus_minus_m']:g} m")
    page.line(f"bearing {answer['true_deg']:g}° true ± {answer['true_plus_minus_deg']:g}°")
    page.line(
        f"{_signed(answer['rise_m'])} m to the lens's height ± {answer['rise_plus_minus_m']:g} m"
    )
    if answer["elevation_m"] is not None:
        page.line(f"{answer['elevation_m']:g} m above sea level")


def _signed(value: float) -> str:
    return f"{value:+g}".replace("-", "−") if value else "0"
