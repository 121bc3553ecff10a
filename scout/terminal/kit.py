"""Kits side by side in the terminal, and where to stand.

Not for: working out any of it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from scout.terminal.page import Page

_Kit = Mapping[str, Any]
_WIDTHS = (
    "background: % of the width of the picture as cropped; animal: of the whole frame, before it; "
    "picture: what the crop leaves of the whole frame"
)


def print_kits(page: Page, answer: Mapping[str, Any]) -> None:
    """Print the engine's table of one kit or several beside each other."""
    kits = answer["kits"]
    page.heading(f"{answer['species']} at {answer['distance_m']:g} m, {answer['gap']} behind it")
    page.line()
    page.table(("", *(kit["name"] for kit in kits)), [(name, *map(of, kits)) for name, of in _ROWS])
    page.line(_WIDTHS)
    page.line()
    page.table(
        ("wanted", *(_short_of(kit) for kit in kits)),
        [
            (f"{row['behaviour']} {row['shutter']}", *(_needs(kit, place) for kit in kits))
            for place, row in enumerate(kits[0]["wanted"])
        ],
    )
    page.line()
    page.table(
        ("light", *(_short_of(kit) for kit in kits)),
        [
            (f"EV {row['ev100']}", *(kit["shutters"][place]["shutter"] for kit in kits))
            for place, row in enumerate(kits[0]["shutters"])
        ],
    )
    page.line("shutter at the ISO ceiling; light on the animal as EV at ISO 100")
    for kit in kits:
        if kit["frames"]:
            page.line()
            page.named(kit["name"], "; ".join(row["words"] for row in kit["frames"]))


def print_stand(page: Page, answer: Mapping[str, Any]) -> None:
    """Print where to stand and what gap to look for."""
    page.named("wanted", answer["wanted"])
    page.named("now", answer["now"])
    page.named("the gap", answer["gap_words"])
    page.named("or move", answer["stand_words"])
    keep = answer["keep_distance_m"]
    if keep is not None:
        page.named("keep-distance", f"{keep:g} m, by the species' own record")


def _short_of(kit: _Kit) -> str:
    return f"{kit['focal_mm']} mm f/{kit['f_number']:g}"


def _needs(kit: _Kit, place: int) -> str:
    row = kit["wanted"][place]
    smear = f", smear {row['smear_px']:g} px" if "smear_px" in row else ""
    return f"from EV {row['needs_ev100']:g}{smear}"


def _reach(kit: _Kit) -> str:
    reach = kit["reach_m"]
    return "never large enough" if reach is None else f"to {reach:g} m"


_ROWS: tuple[tuple[str, Callable[[_Kit], str]], ...] = (
    ("lens", _short_of),
    ("blur", lambda kit: str(kit["blur"])),
    ("background", lambda kit: str(kit["look"])),
    ("frame", lambda kit: f"{kit['frame_width_m']:g} × {kit['frame_height_m']:g} m"),
    ("animal", lambda kit: f"{kit['subject_percent']:g} % of the whole frame's width"),
    ("picture", lambda kit: str(kit["framing"])),
    ("reach", _reach),
    ("sharp", lambda kit: str(kit["sharp"])),
    ("nearest focus", lambda kit: kit["nearest_focus"] or "near enough"),
    ("diffraction", lambda kit: f"{kit['diffraction_px']:g} px"),
    ("hand-held", lambda kit: f"from {kit['hand_held']}"),
    ("ISO ceiling", lambda kit: f"{kit['iso_ceiling']:g}"),
)
