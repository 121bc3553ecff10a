"""The plain pages and the engine's calls over HTTP."""

from __future__ import annotations

import html
import json
import re
from typing import Any
from urllib.parse import urlencode

import pytest

from scout.engine.calls import call_text
from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit
from scout.records.kinds import write_record
from scout.records.schema import describe

from .linked import API, Client
from .pages import request as case_request

Ids = dict[str, str]


def page(link: Client, path: str, status: int = 200) -> str:
    said = link.ask("GET", path)
    text = said.body.decode()
    assert said.status == status, said_of(text)
    assert said.headers["content-type"].startswith("text/html")
    assert said.headers["cache-control"] == "no-store"
    assert "<script" not in text
    return text


def said_of(text: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def asked(ids: Ids, **more: str) -> str:
    usual = {
        "site": ids["pellwick"],
        "species": ids["stonechat"],
        "kit": ids["long-zoom"],
        "date": "2026-05-12",
        "session": "dawn",
    }
    return urlencode(usual | more)


def test_an_empty_notebook_says_what_to_do(link: Client) -> None:
    assert "no site here yet" in said_of(page(link, "/plain"))


def test_from_the_list_of_sites_to_the_page_for_printing_by_links_alone(
    link: Client, sample: Ids
) -> None:
    sites = page(link, "/plain")
    assert "Pellwick Meadows" in said_of(sites)
    (way,) = re.findall(rf'href="(/plain/site/{sample["pellwick"]})"', sites)
    site = page(link, way)
    for words in ("Bramble spray", "Pump house", "Pump house → Bramble spray", "Dray yard"):
        assert words in said_of(site)
    light = html.unescape(re.findall(r'href="(/plain/light[^"]*)"', site)[0])
    assert "light on the animal" in said_of(page(link, light))
    card = page(link, f"/plain/card?{asked(sample)}")
    assert "sun clears" in said_of(card)
    printed = html.unescape(re.findall(r'href="(/paper[^"]*)"', card)[0])
    paper = link.ask("GET", printed)
    assert paper.status == 200
    assert "script" not in paper.headers["content-security-policy"].replace("script-src", "")
    assert b"@page" in paper.body


def test_a_card_says_what_the_engine_says(link: Client, sample: Ids) -> None:
    shown = said_of(page(link, f"/plain/card?{asked(sample)}"))
    card = json.loads(call_text("outing_card", json.dumps(case_request("may"))))
    for sentence in (card["verdict"], card["routine"], card["permission"], *card["cautions"]):
        assert " ".join(sentence.split()) in shown
    for line in card["sightlines"]:
        assert line["best_words"] in shown
        assert line["clears_words"] in shown


def test_a_kits_table_and_where_to_stand_say_what_the_engine_says(
    link: Client, notebook: Notebook, sample: Ids
) -> None:
    held = notebook.contents().records
    kits = [write_record(held["kit"][sample[word]]) for word in ("long-zoom", "short-prime")]
    species = write_record(held["species"][sample["stonechat"]])
    ids = {"species": sample["stonechat"], "distance": "about 12 m", "gap": "30"}
    both = [("kit", sample["long-zoom"]), ("kit", sample["short-prime"]), *ids.items()]
    said = said_of(page(link, f"/plain/kit?{urlencode(both)}"))
    where = {"species": species, "distance_m": 12.0, "gap_m": 30.0}
    wanted = {"kits": kits, "settings": {}, "background": None, "tone": None, "in_shade": False}
    for kit in json.loads(call_text("kit_table", json.dumps(wanted | where)))["kits"]:
        for words in (kit["name"], kit["blur"], kit["look"], kit["framing"], kit["sharp"]):
            assert words in said
        assert all(row["shutter"] in said for row in kit["shutters"])
    stood = ids | {"kit": sample["short-prime"], "like": sample["long-zoom"], "gap": "sky"}
    said = said_of(page(link, f"/plain/stand?{urlencode(stood)}"))
    asked_for = {"kit": kits[1], "like": kits[0], "in_hide": False}
    answer = json.loads(call_text("stand_where", json.dumps(asked_for | where | {"gap_m": "sky"})))
    for field in ("wanted", "now", "gap_words", "stand_words"):
        assert answer[field] in said
    front = page(link, "/plain")
    for way in ("/plain/kit", "/plain/stand"):
        assert f'href="{way}"' in front
        assert "Work it out" in said_of(page(link, way))


def test_the_choice_table_leads_to_cards(link: Client, sample: Ids) -> None:
    table = page(link, f"/plain/choice?kit={sample['long-zoom']}&first=2026-05-12&days=2")
    card = html.unescape(re.findall(r'href="(/plain/card[^"]*)"', table)[0])
    assert "2026" in said_of(page(link, card))


def test_no_page_has_a_position_or_style_or_script_in_it(link: Client, sample: Ids) -> None:
    for path in (
        "/plain",
        f"/plain/site/{sample['pellwick']}",
        f"/plain/card?{asked(sample)}",
        f"/plain/choice?kit={sample['long-zoom']}&first=2026-05-12&days=1",
    ):
        text = page(link, path)
        assert not re.search(r"\sstyle=|<style|\son\w+=|javascript:", text)
        for link_text in re.findall(r'(?:href|action|value)="([^"]*)"', text):
            assert not re.search(r"\d{1,3}\.\d{3,}", link_text)


def test_what_a_stranger_wrote_is_shown_as_text(
    link: Client, notebook: Notebook, sample: Ids
) -> None:
    bad = '"><script>alert(1)</script><img src=x onerror=alert(1)>'
    notebook.save(
        [
            Edit(
                kind="perch",
                set={"site": sample["pellwick"], "name": bad, "position": {"lat": 1, "lon": 1}},
            ),
            Edit(kind="note", set={"site": sample["pellwick"], "text": bad}),
            Edit(kind="site", record=sample["pellwick"], set={"name": bad, "cautions": bad}),
        ]
    )
    for path in ("/plain", f"/plain/site/{sample['pellwick']}", f"/plain/card?{asked(sample)}"):
        text = page(link, path)
        assert "<img" not in text
        assert "&lt;script" in text or "&lt;" in text


@pytest.mark.parametrize(
    ("path", "status", "says"),
    [
        ("/plain/site/none", 404, "no such site"),
        ("/plain/card", 400, "site: say which one"),
        ("/plain/card?{q}&species=none", 200, ""),
        ("/plain/card?site={site}&species=none&kit=none", 404, "no such species"),
        ("/plain/card?{q}&x=1", 200, ""),
        ("/paper?{q2}&date=2026-02-30", 400, "date:"),
        ("/paper?{q2}&session=noon", 400, "session: give one of: dawn, dusk"),
        ("/paper?{q2}&sky=pink", 400, "sky: give one of"),
        ("/paper?{q2}&wind=xyzzy", 400, "wind"),
        ("/paper?{q2}&wind=" + "x" * 100, 400, "at most 60"),
        ("/paper?{q2}&size=A3", 400, "size: give one of: A4, A5"),
        ("/plain/choice?kit={kit}&days=0", 400, "days:"),
        ("/plain/choice?kit={kit}&days=99", 400, "days:"),
        ("/plain/choice", 400, "kit: say which one"),
        ("/plain/light?sightline=none", 404, "no such sightline"),
        ("/plain/kit?distance=12&gap=30", 400, "kit: choose one to 3"),
        ("/plain/kit?{q2}&distance=12", 400, "gap: give metres"),
        ("/plain/kit?{q2}&distance=far&gap=30", 400, "distance:"),
        ("/plain/kit?{q2}&distance=sky&gap=30", 400, "distance: that is no distance"),
        ("/plain/kit?{q2}&distance=12&gap=30&tone=pink", 400, "tone: give one of"),
        ("/plain/kit?kit=none&species={species}&distance=12&gap=30", 404, "no such kit"),
        ("/plain/stand?{q2}&distance=12&gap=30", 400, "like: choose another kit"),
        ("/plain/stand?{q2}&distance=12&gap=30&like={kit}&blur=1", 400, "not both"),
        ("/plain/stand?{q2}&distance=12&gap=30&blur=nan", 400, "blur: give a number"),
        ("/plain/stand?distance=12&gap=30&blur=1", 400, "kit: say which one"),
    ],
)
def test_what_cannot_be_shown_is_said(
    link: Client, sample: Ids, path: str, status: int, says: str
) -> None:
    q2 = urlencode(
        {"site": sample["pellwick"], "species": sample["stonechat"], "kit": sample["long-zoom"]}
    )
    filled = path.format(
        q=asked(sample),
        q2=q2,
        site=sample["pellwick"],
        kit=sample["long-zoom"],
        species=sample["stonechat"],
    )
    assert says in said_of(page(link, filled, status))


def test_a_sensitive_place_is_printed_by_its_code_name_alone(link: Client, sample: Ids) -> None:
    said = link.ask(
        "GET",
        f"/paper?{asked(sample, site=sample['hobthorn'], species=sample['otter'], session='dusk')}",
    )
    assert said.status == 200
    assert "hobthorn" not in said.body.decode().lower()


def test_any_one_record_may_be_deleted_and_every_page_still_stands(
    link: Client, notebook: Notebook, sample: Ids
) -> None:
    for kind in ("perch", "vantage", "sightline", "visit", "watch", "skyline", "landmark"):
        for record in list(notebook.contents().records[kind])[:2]:
            saved = notebook.save([Edit(kind=kind, record=record, delete=True)])
            page(link, f"/plain/site/{sample['pellwick']}")
            page(link, f"/plain/card?{asked(sample)}")
            notebook.undo(saved.group)


# -- the engine


def test_a_call_over_http_has_the_text_of_the_engine(link: Client) -> None:
    text = json.dumps(case_request("may"))
    said = link.ask("POST", f"{API}engine/outing_card", text.encode())
    assert said.status == 200
    assert said.body.decode() == call_text("outing_card", text)


@pytest.mark.parametrize(
    ("call", "body", "status"),
    [
        ("engine", b"{}", 200),
        ("nothing", b"{}", 404),
        ("outing_card", b"{}", 400),
        ("outing_card", b"[]", 400),
        ("outing_card", b"", 411),
        ("outing_card", b"{", 400),
        ("outing_card", b'{"date": NaN}', 400),
        ("outing_card", b"[" * 100_000, 400),
        ("outing_card", b"\xff", 400),
        ("outing_card", b'{"x":' + b"9" * 9000 + b"}", 400),
    ],
)
def test_a_bad_request_is_answered_in_sentences(
    link: Client, call: str, body: bytes, status: int
) -> None:
    said = link.ask("POST", f"{API}engine/{call}", body)
    assert said.status == status, said.body
    if status != 200:
        error: Any = said.json["error"]
        sentences = error.get("sentences") or [error["message"]]
        assert all(sentence.endswith(".") for sentence in sentences)


def test_the_schema_is_that_of_the_records(link: Client) -> None:
    assert link.ask("GET", f"{API}schema").json == json.loads(json.dumps(describe()))
