"""Plain pages for a browser: what a site has, the choice table, a card, the light; no script.

They work where nothing else does, and lead to the page for printing. The address holds ids, days
and words, never a position. Not for: the app (`web`), or the page for printing itself (`paper`).
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final
from xml.etree import ElementTree as Tree
from zoneinfo import ZoneInfo

from flask import Blueprint, Response, make_response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from scout.engine.asked import BEHAVIOURS
from scout.notebook.asking import Records, at_site, card_request, noted_most
from scout.records.visits import SKIES
from scout.server import asked, stretches, strip
from scout.server.errors import Problem
from scout.server.ink import written
from scout.server.land_under import relief_under
from scout.server.paper import paper_page
from scout.server.reading import contents
from scout.server.who import notebook

_SHOWN_VISITS = 12
_STRIP_MM = 150.0
_CASES: Final = ("clear", "sun out", "sun in", "overcast")
_PRINTED: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'"
)

routes = Blueprint("pages", __name__, static_folder="plain", static_url_path="/plain/look")


@routes.get("/plain")
def sites() -> str:
    """List the sites, and ask which morning."""
    held = contents()
    return render_template(
        "plain_sites.html",
        sites=held.records["site"].values(),
        kits=held.records["kit"].values(),
        species=held.records["species"].values(),
        counts=_counts(held.records),
        incomplete=held.incomplete,
        skies=SKIES,
    )


@routes.get("/plain/site/<record_id>")
def site(record_id: str) -> str:
    """Show what is known of a site, and ask for a card."""
    records = contents().records
    found = asked.named(records, "site", record_id)
    lists = at_site(records, found.id)
    visits = sorted(lists["visits"], key=lambda one: one.start.at, reverse=True)
    zone = ZoneInfo(found.zone)
    return render_template(
        "plain_site.html",
        site=found,
        perches=lists["perches"],
        vantages=lists["vantages"],
        sightlines=[(one, _line_name(records, one)) for one in lists["sightlines"]],
        landmarks=lists.get("landmarks", []),
        permissions=lists.get("permissions", []),
        notes=[one for one in records["note"].values() if one.site == found.id],
        visits=[_visit(one, zone) for one in visits[:_SHOWN_VISITS]],
        more_visits=max(0, len(visits) - _SHOWN_VISITS),
        kits=records["kit"].values(),
        species=records["species"].values(),
        usual=noted_most(records, found.id),
        day=asked.day(notebook(), found.zone),
        sessions=asked.SESSIONS,
        behaviours=BEHAVIOURS,
        skies=SKIES,
    )


@routes.get("/plain/card")
def card() -> str:
    """Show one outing card."""
    records = contents().records
    found = asked.record(records, "site")
    wanted = asked.card_asked(notebook(), records, found, discreet=_discreet())
    said = asked.answered("outing_card", wanted)
    paper: dict[str, Any] = {
        name: value
        for name, value in request.args.items()
        if value and name in ("site", "species", "kit", "session", "behaviour", "sky", "wind")
    }
    return render_template(
        "plain_card.html",
        card=said,
        site=found,
        paper=url_for("pages.paper", **paper, date=wanted["date"]),
        strips=_strips(said, ZoneInfo(found.zone)),
        patterns=written(_bare(strip.patterns())),
    )


@routes.get("/plain/choice")
def choice() -> str:
    """Show the sites beside each other over the coming days."""
    records = contents().records
    kit = asked.record(records, "kit")
    chosen = list(records["site"].values())
    if not chosen:
        raise Problem(404, "no_record", "There is no site here yet; make one first.")
    first = asked.day(notebook(), chosen[0].zone, "first")
    days = asked.days(first)
    sky = asked.word("sky", SKIES, None)
    one_animal = asked.record(records, "species") if request.args.get("species") else None
    animals, requests = [], []
    for one in chosen:
        animal = one_animal or noted_most(records, one.id)
        if animal is None:
            raise Problem(404, "no_record", "There is no species here yet; make one first.")
        wanted = card_request(
            records,
            site=one.id,
            species=animal.id,
            kit=kit.id,
            on=first,
            session="dawn",
            sky=sky,
        )
        animals.append(animal)
        requests.append({k: v for k, v in wanted.items() if k not in ("date", "session")})
    table = asked.answered(
        "choice_table", {"sites": requests, "first": first.isoformat(), "days": days}
    )
    each = len(table["rows"]) // len(chosen)
    rows = [(row, animals[place // each]) for place, row in enumerate(table["rows"])]
    return render_template("plain_choice.html", table=table, rows=rows, kit=kit, sky=sky)


@routes.get("/plain/light")
def light() -> str:
    """Follow the light on one sightline through a day."""
    records = contents().records
    line = asked.record(records, "sightline")
    perch = asked.named(records, "perch", line.perch)
    at = asked.named(records, "site", perch.site)
    wanted = asked.card_asked(notebook(), records, at, discreet=False)
    del wanted["session"]
    said = asked.answered("light_day", {**wanted, "sightline": line.id})
    return render_template("plain_light.html", day=said, site=at, cases=_CASES)


@routes.get("/paper")
def paper() -> Response:
    """Give a card as one page for printing; a sensitive place by its code name alone."""
    records = contents().records
    found = asked.record(records, "site")
    size = asked.word("size", asked.SHEETS, "A4") or "A4"
    wanted = asked.card_asked(notebook(), records, found, discreet=True)
    said = asked.answered("outing_card", wanted)
    land = asked.answered("site_map", wanted)
    land["relief"] = relief_under(notebook(), records, found)
    made: datetime = notebook().clock().astimezone(ZoneInfo(found.zone))
    words = f"{made:%a} {made.day} {made:%b} {made.year}, {made:%H:%M}"
    answer = make_response(paper_page(said, land, words, size))
    answer.headers["Content-Security-Policy"] = _PRINTED  # it brings its own look, and no script
    answer.headers["Cache-Control"] = "no-store"
    return answer


@routes.after_request
def _fresh(answer: AnyResponse) -> AnyResponse:
    answer.headers.setdefault("Cache-Control", "no-store")
    return answer


def _strips(card: dict[str, Any], zone: ZoneInfo) -> dict[str, str]:
    """Draw the light on each sightline that is offered."""
    ends = stretches.span_of(card)
    if ends is None:
        return {}
    sky = card["asked"]["sky"]
    skies = (sky,) if sky else stretches.SKIES
    return {
        line["id"]: written(_bare(strip.full_strip(line, skies, ends, zone, _STRIP_MM)))
        for line in card["sightlines"]
    }


def _bare(drawing: Tree.Element) -> Tree.Element:
    """Take a drawing's own size in millimetres off it: a screen sizes it by the style sheet."""
    drawing.attrib.pop("style", None)
    return drawing


def _discreet() -> bool:
    return request.args.get("discreet") == "yes"


def _counts(records: Records) -> list[tuple[str, int]]:
    return [(kind.replace("_", " "), len(of)) for kind, of in records.items() if of]


def _line_name(records: Records, line: Any) -> str:
    ends = (records["vantage"].get(line.vantage), records["perch"].get(line.perch))
    return " → ".join("not here yet" if end is None else str(end.name) for end in ends)


def _visit(visit: Any, zone: ZoneInfo) -> dict[str, str]:
    start = visit.start.at.astimezone(zone)
    end = None if visit.end is None else visit.end.at.astimezone(zone)
    return {
        "day": f"{start:%a} {start.day} {start:%b} {start.year}",
        "time": f"{start:%H:%M}" + ("" if end is None else f"–{end:%H:%M}"),
        "sky": visit.sky or "",
        "kept": "" if visit.frames is None else f"{visit.keepers or 0} of {visit.frames}",
    }
