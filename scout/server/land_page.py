"""The plain page of the land: models in and out, what they cover, and work to begin.

Sending a file in pieces and following long work need a small script of the page's own. Not for: the
answers it shows (`land`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final
from xml.etree import ElementTree as Tree

from flask import Blueprint, Response, make_response, render_template
from werkzeug.wrappers import Response as AnyResponse

from scout.notebook.asking import at_site
from scout.server import asked, land_records
from scout.server.errors import Problem
from scout.server.ink import written
from scout.server.land import models_told
from scout.server.land_picture import pins_shown
from scout.server.land_sheet import land_sheet
from scout.server.land_spared import open_spots
from scout.server.reading import contents
from scout.server.who import notebook
from scout.terrain.model import KINDS
from scout.terrain.wanted import POSTURES

_WIDE: Final = 640.0
_ROUND: Final = 40.0
_LETTERED: Final = 90.0
_LEAST_DEG: Final = 0.004
_PRINTED: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'"
)

routes = Blueprint("land_page", __name__)


@routes.get("/plain/land")
def land() -> str:
    """Show the models and what can be worked out from them."""
    records = contents().records
    sites = list(records["site"].values())
    places = land_records.site_places(records)
    models = models_told()
    return render_template(
        "plain_land.html",
        models=models,
        coverage=written(coverage(models, places)) if models else "",
        kinds=KINDS,
        postures=POSTURES,
        species=records["species"].values(),
        kits=records["kit"].values(),
        sites=[(site, at_site(records, site.id), _layers(records, site)) for site in sites],
        lines=[
            (one.id, f"{records['vantage'][one.vantage].name} → {records['perch'][one.perch].name}")
            for one in records["sightline"].values()
        ],
        day=asked.day(notebook(), sites[0].zone) if sites else None,
    )


@routes.get("/paper/land/<record_id>")
def printed(record_id: str) -> Response:
    """Give a picture of the land as one page for printing, with pins, north and scale.

    Not of a sensitive site: contour lines would tell where it is.
    """
    records = contents().records
    layer = asked.named(records, "layer", record_id)
    site = records["site"][layer.site]
    if site.sensitivity not in (None, "open"):
        raise Problem(
            403,
            "sensitive",
            f"{site.code_name or 'This site'} is sensitive: a picture of its land would tell where "
            "it is, so none is printed. It stays on the phone.",
        )
    picture = notebook().blobs.path_of(layer.blob)
    if not picture.is_file():
        raise Problem(404, "not_here", "The bytes of this picture are not here (any more).")
    offered, left_out = open_spots(records, layer, asked.day(notebook(), site.zone))
    answer = make_response(
        render_template(
            "paper_land.html",
            offered=offered,
            left_out=left_out,
            layer=layer,
            site=site,
            drawing=written(land_sheet(layer, pins_shown(records, site), picture.read_bytes())),
        )
    )
    answer.headers["Content-Security-Policy"] = _PRINTED
    return answer


@routes.after_request
def _fresh(answer: AnyResponse) -> AnyResponse:
    answer.headers.setdefault("Cache-Control", "no-store")
    return answer


def _layers(records: Any, site: Any) -> list[tuple[Any, list[tuple[int, Any]], str]]:
    """Each layer of a site with the places that may be offered today, and what was left out."""
    on = asked.day(notebook(), site.zone)
    found = [one for one in records.get("layer", {}).values() if one.site == site.id]
    found.sort(key=lambda one: (one.kind, one.title or ""))
    return [(layer, *open_spots(records, layer, on)) for layer in found]


def coverage(
    models: Sequence[dict[str, Any]], places: Sequence[tuple[str, float, float]]
) -> Tree.Element:
    """Draw what each model covers, with the sites as dots, north up."""
    lats = [one["bounds"][edge] for one in models for edge in ("south_deg", "north_deg")]
    lons = [one["bounds"][edge] for one in models for edge in ("west_deg", "east_deg")]
    lats += [lat for _, lat, _ in places]
    lons += [lon for _, _, lon in places]
    south, north, west, east = min(lats), max(lats), min(lons), max(lons)
    squeeze = math.cos(math.radians((south + north) / 2.0))
    scale = (_WIDE - 2 * _ROUND) / max((east - west) * squeeze, _LEAST_DEG)
    high = max(160.0, min(640.0, (north - south) * scale + 2 * _ROUND))
    scale = min(scale, (high - 2 * _ROUND) / max(north - south, _LEAST_DEG))

    def spot(lat: float, lon: float) -> tuple[float, float]:
        return _ROUND + (lon - west) * squeeze * scale, _ROUND + (north - lat) * scale

    drawing = Tree.Element(
        "svg",
        {"viewBox": f"0 0 {_WIDE:.0f} {high:.0f}", "role": "img", "class": "coverage"},
    )
    Tree.SubElement(drawing, "title").text = "What each elevation model covers"
    for one in models:
        edges = one["bounds"]
        x1, y1 = spot(edges["north_deg"], edges["west_deg"])
        x2, y2 = spot(edges["south_deg"], edges["east_deg"])
        Tree.SubElement(
            drawing,
            "rect",
            {
                "x": f"{x1:.1f}",
                "y": f"{y1:.1f}",
                "width": f"{max(4.0, x2 - x1):.1f}",
                "height": f"{max(4.0, y2 - y1):.1f}",
                "fill": "currentColor",
                "fill-opacity": "0.08",
                "stroke": "currentColor",
                "stroke-width": "1.5",
                "stroke-dasharray": "" if one["kind"] == KINDS[0] else "6 4",
            },
        )
        if x2 - x1 > _LETTERED:  # smaller ones stand in the list alone
            _word(drawing, x1 + 4.0, y1 + 15.0, one["name"])
    for name, lat, lon in places:
        x, y = spot(lat, lon)
        Tree.SubElement(
            drawing,
            "circle",
            {"cx": f"{x:.1f}", "cy": f"{y:.1f}", "r": "5", "fill": "currentColor"},
        )
        _word(drawing, x + 9.0, y + 5.0, name)
    return drawing


def _word(drawing: Tree.Element, x: float, y: float, text: str) -> None:
    said = Tree.SubElement(
        drawing,
        "text",
        {"x": f"{x:.1f}", "y": f"{y:.1f}", "font-size": "14", "fill": "currentColor"},
    )
    said.text = text
