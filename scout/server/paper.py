"""The paper page: one outing card as one self-contained page, to print or to hand to a friend.

On A4 it is one side; on A5 one sheet, the way there on the front and the light on the back. Black
on white, no script, nothing fetched. Not for: the screens of the app, or computing anything.
"""

from __future__ import annotations

import re
import unicodedata
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from scout.engine.calls import ENGINE_VERSION
from scout.engine.cautions import ALWAYS
from scout.engine.minutes import CASES
from scout.server import stretches, strip
from scout.server.clipped import clipped, fitted
from scout.server.ink import written
from scout.server.layout import Texts, lines_of, planned, reasons_in
from scout.server.line_words import line_words, name_alone
from scout.server.marks import mark_sample
from scout.server.printed import filled
from scout.server.sheet_sizes import SHEETS, Sheet
from scout.server.sketch import Drawn, sketch

_BEST_BEGINS, _BEST_ENDS = "best stretch begins", "best stretch ends"
_ACTS = ("get up", "leave home", "leave the car", "in place and quiet", "leave")
_OTHERS = 8  # sightlines named without a strip; more are counted
_WHY = 116  # letters of a barred sightline, name and reason
_MARKS = ("perch", "vantage", "hide", "landmark", "hazard", "pin is unsure")
_STATES = (
    ("dark", "too dark"),
    ("sky light", "shutter reached, other light"),
    ("sun", "sun, shutter not reached"),
    ("good", "good"),
)


def paper_page(
    card: dict[str, Any], site_map: dict[str, Any] | None, made_at: str, paper: str = "A4"
) -> str:
    """Write a card as one page of HTML.

    `card` is an answer of `outing_card`, `site_map` that of `site_map` to the same request, or
    None; a card by code name alone never gets a map. `made_at` is printed as it is given; `paper`
    is A4 or A5. Raises ValueError for another size.
    """
    if paper not in SHEETS:
        raise ValueError(f"The paper must be {' or '.join(SHEETS)}, not {paper!r}.")
    size = SHEETS[paper]
    secret = bool(card["title"]["code_name_only"])
    land = None if secret or site_map is None or site_map.get("withheld") else site_map
    zone = ZoneInfo(card["title"]["zone"])
    ends = stretches.span_of(card)
    sky, ranked_by = card["asked"]["sky"], card["asked"]["ranked_by_sky"]
    title = _title(card)
    skies = (sky,) if sky else stretches.SKIES
    lines = [] if ends is None else card["sightlines"]
    told = [line_words(card, line, size) for line in lines]
    times, arrivals = _timeline(card, size), _arrivals(card)
    columns = _columns(card, land)
    verdict = clipped(card["verdict"], size.verdict_lines * size.verdict - 10)
    always = [one for one in card["cautions"] if one in ALWAYS]
    barred = _barred(card, size)
    plan = planned(
        size,
        Texts(
            heading=" · ".join(title[part] for part in ("site", "session", "day")),
            asked=" · ".join([title["species"], *_asked(card), title["kit"]]),
            verdict=verdict,
            times=[f"{entry['what']} {entry['note']}" for entry in times],
            arrivals=[f"{row['shutter']} {row['behaviour']}" for row in arrivals],
            has_sketch=land is not None,
            has_marks=any(line["marks"] for line in lines),
            skies=len(skies),
            worth=[any(line["good_min"].values()) for line in lines],
            names=[name_alone(one) for one in told],
            titles=[f"{one['name']} {one['facts']} {one['level']}" for one in told],
            reasons=[one["said"] for one in told],
            owed=[one["owed"] for one in told],
            minded=[one["minded"] for one in told],
            always=len(always),
            barred=[f"{one['name']} {one['why']}" for one in barred],
            columns=[said for _, said in columns],
        ),
    )
    behind: list[str] = []
    if plan.behind:
        name, cautions = columns[1]
        columns[1] = (name, cautions[: -plan.behind])
        behind = cautions[-plan.behind :]
    version = str(card.get("engine", ENGINE_VERSION))
    in_full, short = told[: plan.in_full], [told[place] for place in plan.short]
    others = [one for one in told[plan.in_full :] if one not in short]
    for one in in_full:
        one["said"] = reasons_in(size, one["said"], plan.reasons, one["owed"])
    for one, line in zip(told, lines, strict=True):
        if ends is not None and one in in_full:
            one["strip"] = written(strip.full_strip(line, skies, ends, zone, size.strip_mm))
        elif ends is not None and one in short:
            one["strip"] = written(
                strip.short_strip(line, ranked_by, ends, zone, size.short_strip_mm)
            )
    return filled(
        "paper.html",
        paper=size.name,
        title=title,
        asked=_asked(card),
        verdict=verdict,
        routine=clipped(card["routine"], 70),
        timeline=times,
        arrivals=arrivals,
        dusk=card["title"]["session"] == "dusk",
        map=None if land is None else _map(land, card, zone, size),
        secret=secret,
        patterns=written(strip.patterns()),
        in_full=in_full,
        short=short,
        others=[name_alone(one) for one in others[:_OTHERS]],
        beyond=max(0, len(others) - _OTHERS),
        no_light=ends is None,
        halves=bool(told) and "in and out" in skies,
        ranked_by=ranked_by,
        barred=barred[: plan.barred],
        barred_more=len(barred) - plan.barred,
        behind=behind,
        behind_name="Always" if len(behind) == len(always) else "Cautions, the others",
        columns=[
            (name, fitted(said, letters, most, longest=5))
            for (name, said), letters, most in zip(columns, size.columns, plan.columns, strict=True)
        ],
        states=[(written(strip.sample(state)), words) for state, words in _STATES],
        notch=written(strip.notch_sample()),
        marks=[(written(mark_sample(mark)), mark) for mark in _MARKS],
        made=f"Made {clipped(made_at, 40)}, engine {clipped(version, 12)}",
    )


def paper_name(card: dict[str, Any]) -> str:
    """Name the file of a page: site, date and session; a sensitive place by its code name alone."""
    title = card["title"]
    plain = unicodedata.normalize("NFKD", title["site"]).encode("ascii", "ignore").decode()
    site = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:40].strip("-") or "site"
    date = re.sub(r"[^0-9-]", "", title["date"])
    session = "dusk" if title["session"] == "dusk" else "dawn"
    return f"{site}-{date}-{session}.html"


def _title(card: dict[str, Any]) -> dict[str, str]:
    title = card["title"]
    return {
        "site": clipped(title["site"], 34),
        "session": title["session"],
        "day": clipped(title["day"], 24),
        "species": _capital(clipped(title["species"], 40)),
        "kit": clipped(title["optic"], 60),
    }


def _asked(card: dict[str, Any]) -> list[str]:
    asked = card["asked"]
    return [
        f"{clipped(asked['behaviour'], 24)} {asked['shutter']}",
        f"sky {asked['sky']}" if asked["sky"] else "sky not typed",
        f"wind: {clipped(asked['wind'], 40)}" if asked["wind"] else "wind not typed",
    ]


def _timeline(card: dict[str, Any], size: Sheet) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    ends = next((one["at"] for one in card["timeline"] if one["what"] == _BEST_ENDS), None)
    for entry in card["timeline"]:
        what, note = entry["what"], entry["note"] or ""
        if what == _BEST_BEGINS and ends is not None:
            what = f"best stretch, to {ends['clock']}"
        elif what == _BEST_ENDS and any(one["what"].startswith("best") for one in found):
            continue
        found.append(
            {
                "clock": entry["at"]["clock"],
                "what": clipped(what, 30),
                "note": clipped(note, size.note),
                "act": what in _ACTS,
                "sun": what.startswith("sun "),
            }
        )
    texts = [f"{entry['what']} {entry['note']}" for entry in found]
    if lines_of(texts, size.time) > len(found) + size.wrapped:
        for entry in found:
            # Two letters are kept back: where all are clipped, each line is as long as can be.
            room = size.time - len(entry["what"]) - 3
            entry["note"] = clipped(entry["note"], room) if room > 4 else ""
    return found


def _arrivals(card: dict[str, Any]) -> list[dict[str, Any]]:
    return [
        {
            "shutter": row["shutter"],
            "behaviour": clipped(row["behaviour"], 22),
            "times": [row[case]["clock"] if row[case] else "–" for case in CASES],
        }
        for row in card["arrivals"]
    ]


def _map(land: dict[str, Any], card: dict[str, Any], zone: ZoneInfo, size: Sheet) -> dict[str, Any]:
    """The sketch, its lines in the state of one moment: the middle of the best stretch."""
    case = stretches.cases_of(card["asked"]["ranked_by_sky"])[0]
    at = _moment_shown(card)
    lines = [
        Drawn(
            id=line["id"],
            rank=line["rank"],
            state="dark" if at is None else stretches.state_at(line, case, at),
            worth=any(line["good_min"].values()),
        )
        for line in card["sightlines"]
    ]
    drawn = sketch(land, lines, *size.sketch_mm)
    when = "" if at is None else f"lines as at {at.astimezone(zone):%H:%M}, {case}"
    shown = sum(1 for one in drawn.iter() if one.get("data-rank"))
    if shown < len(lines):
        when += f"; {len(lines) - shown} not drawn"
    if any(one.get("data-came") for one in drawn.iter()):
        when += f"; k of n: {card['title']['session']}s it came"
    of = drawn.get("data-from")
    return {
        "drawing": written(drawn),
        "when": when.removeprefix("; "),
        "edge": "" if of is None else f"at the edge: m from {of}",
    }


def _moment_shown(card: dict[str, Any]) -> datetime | None:
    best = next((line["best"] for line in card["sightlines"] if line["best"]), None)
    if best is not None:
        start, end = stretches.moment(best["from"]), stretches.moment(best["to"])
        minutes = int((end - start).total_seconds() // 120)
        return start + timedelta(minutes=minutes)
    level = card["session"]["sun_level"]
    return None if level is None else stretches.moment(level)


def _barred(card: dict[str, Any], size: Sheet) -> list[dict[str, str]]:
    found = []
    for line in card["barred"]:
        reasons = line["barred"]
        more = f" (and {len(reasons) - 1} more)" if len(reasons) > 1 else ""
        name = clipped(line["name"], 46)
        found.append({"name": name, "why": clipped(reasons[0], _WHY - len(name)) + more})
    return found


def _columns(card: dict[str, Any], land: dict[str, Any] | None) -> list[tuple[str, list[str]]]:
    getting = [
        *_way(card, land),
        *([card["access"]] if card["access"] else []),
        card["permission"],
    ]
    return [
        ("Walk-in and permission", [clipped(one, 300) for one in getting]),
        ("Cautions", [clipped(one, 300) for one in card["cautions"]]),
        ("Not known", [clipped(one, 200) for one in card["not_known"]]),
    ]


def _way(card: dict[str, Any], land: dict[str, Any] | None) -> list[str]:
    """The walk-in to the first sightline's vantage, leg by leg."""
    if land is None or not card["sightlines"]:
        return []
    known = {line["id"]: line["vantage"] for line in land["sightlines"]}
    vantage = known.get(card["sightlines"][0]["id"])
    way = next((way for way in land["ways"] if way["vantage"] == vantage), None)
    if way is None:
        return ["No walk-in noted."]
    start = f"From {way['start']} ({way['letter']})" if way["start"] else "From the car"
    legs = ", then ".join(
        f"{leg['distance_m']} m {leg['bearing_deg']}°{' (seen)' if leg['seen_from'] else ''}"
        for leg in way["legs"]
    )
    return [f"{start}: {legs}." if legs else f"{start}: legs not noted."]


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
