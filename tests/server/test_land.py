"""The land over HTTP: a model sent in pieces, work followed to its end, results as records."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

import attrs
import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit
from scout.terrain.shelf import Shelf
from tests.terrain.lands import write_tiff

from .linked import JSON, Client, Said
from .pages import SAMPLE

LAND = "/api/v1/land"
OURS = {"X_Scout": "1"}


def _ask(link: Client, method: str, path: str, body: Any = None) -> Said:
    sent = None if body is None else json.dumps(body).encode()
    headers = {**OURS, **({"Content_Type": JSON} if sent is not None else {})}
    return link.ask(method, f"{LAND}{path}", sent, **headers)


def _done(link: Client, path: str, body: Any) -> Any:
    """Begin work and follow it to its end; answers the job."""
    begun = _ask(link, "POST", path, body)
    assert begun.status == 202, begun.body
    job = begun.json
    for _ in range(1500):
        if job["state"] not in ("waiting", "running"):
            return job
        time.sleep(0.1)
        job = _ask(link, "GET", f"/jobs/{job['id']}").json
    pytest.fail("the work did not end")


@pytest.fixture
def with_land(notebook: Notebook, sample: dict[str, str]) -> dict[str, str]:
    """Put the sample's own models beside its records, and close a far perch instead of a near one.

    Round the others of Pellwick the egret's keep-distance at the pool leaves no place.
    """
    Shelf(notebook.folder).bring_from(Shelf(SAMPLE))
    perches = notebook.contents().records["perch"]
    shut = [attrs.asdict(one) for one in perches[sample["gorse-bank"]].closed]
    notebook.save(
        [
            Edit(kind="perch", record=sample["gorse-bank"], set={"closed": []}),
            Edit(kind="perch", record=sample["hedge-gap"], set={"closed": shut}),
        ]
    )
    return sample


def _hills(x: Any, y: Any) -> Any:
    return 31.0 + np.maximum(0.0, 60 - 0.3 * np.abs(np.hypot(x, y) - 2000))


def test_a_model_comes_in_pieces_is_shown_and_goes(
    link: Client, sample: dict[str, str], tmp_path: Path, notebook: Notebook
) -> None:
    path = write_tiff(tmp_path / "hills.tif", _hills, half_m=3000, cell_m=20, crs="EPSG:27700")
    data = path.read_bytes()
    begun = _ask(link, "POST", "/uploads", {"name": "../up/hills.tif", "size": len(data)})
    assert begun.status == 201
    mark, half = begun.json["upload"], len(data) // 2
    put = {**OURS, "Content_Type": "application/octet-stream"}
    first = link.ask("PUT", f"{LAND}/uploads/{mark}?offset=0", data[:half], **put)
    assert first.json == {"offset": half}
    again = link.ask("PUT", f"{LAND}/uploads/{mark}?offset=0", data[:half], **put)
    assert again.status == 409
    assert again.headers["upload-offset"] == str(half)
    last = link.ask("PUT", f"{LAND}/uploads/{mark}?offset={half}", data[half:], **put)
    assert last.json == {"offset": len(data)}
    job = _done(link, "/models", {"upload": mark, "kind": "bare earth", "name": "hills"})
    assert job["state"] == "done", job
    assert "Taken in: hills (bare earth, 20 m)." in job["result"]["sentences"]
    (model,) = _ask(link, "GET", "").json["models"]
    assert model["covers"] == ["Pellwick Meadows"]
    page = link.ask("GET", "/plain/land").body.decode()
    assert "hills (bare earth, 20 m)" in page
    assert 'class="coverage"' in page
    assert not list((notebook.folder / "land" / "incoming").iterdir())
    assert _ask(link, "DELETE", f"/models/{model['id']}").status == 200
    assert _ask(link, "GET", "").json["models"] == []
    assert _ask(link, "DELETE", f"/models/{model['id']}").status == 404


def test_what_is_no_model_is_refused_in_words(link: Client, sample: dict[str, str]) -> None:
    said = _ask(link, "POST", "/uploads", {"name": "a.exe", "size": 10})
    assert (said.status, "no elevation model that is read" in said.body.decode()) == (400, True)
    mark = _ask(link, "POST", "/uploads", {"name": "a.tif", "size": 4}).json["upload"]
    put = {**OURS, "Content_Type": "application/octet-stream"}
    link.ask("PUT", f"{LAND}/uploads/{mark}?offset=0", b"nope", **put)
    job = _done(link, "/models", {"upload": mark, "kind": "bare earth"})
    assert job["state"] == "refused"
    assert "cannot be read" in job["words"]
    for body in ({}, {"name": "x.tif"}, {"name": "x.tif", "size": True}):
        assert _ask(link, "POST", "/uploads", body).status == 400
    assert _ask(link, "POST", "/models", {"upload": "../..", "kind": "bare earth"}).status == 400
    assert _ask(link, "POST", "/jobs", {"do": "dig"}).status == 400
    assert _ask(link, "GET", "/jobs/none").status == 404
    # A form of another page cannot send the header.
    assert link.ask("POST", f"{LAND}/uploads", b"{}", Content_Type=JSON).status in (403, 400)


def test_a_skyline_from_the_land_becomes_a_record(
    link: Client, with_land: dict[str, str], notebook: Notebook
) -> None:
    pin = with_land["ditch-post"]
    job = _done(link, "/jobs", {"do": "skyline", "pin": pin, "kind": "surface"})
    assert job["state"] == "done", job
    made = [
        one
        for one in notebook.contents().records["skyline"].values()
        if one.pin == pin and one.source == "terrain"
    ]
    assert len(made) == 1
    assert len(made[0].nodes) == 720
    assert any("what was measured counts" in said for said in job["result"]["sentences"])
    notebook.undo(job["result"]["group"])
    assert not [
        one for one in notebook.contents().records["skyline"].values() if one.source == "terrain"
    ]


def test_a_line_of_sight_offers_its_gap_beside_what_was_noted(
    link: Client, with_land: dict[str, str], notebook: Notebook
) -> None:
    line = with_land["pump-post"]
    said = _ask(link, "GET", f"/sight/{line}")
    assert said.status == 200, said.body
    told = said.json
    assert told["free"]
    assert told["noted_words"].startswith("Noted: 46 m")
    assert told["svg"].startswith("<svg")
    before = notebook.contents().records["sightline"][line].gap
    assert before is not None
    assert before.m == 46
    kept = _ask(link, "POST", f"/sight/{line}/gap", {})
    assert kept.status == 200, kept.body
    after = notebook.contents().records["sightline"][line].gap
    assert after is not None
    assert after.sky or after.m == told["gap_m"]
    assert _ask(link, "GET", "/sight/nothing").status == 400


def _find(sample: dict[str, str], **changed: Any) -> dict[str, Any]:
    usual = {
        "do": "find",
        "perches": [sample["gorse-bank"]],
        "species": sample["stonechat"],
        "kit": "",
        "date": "2026-05-12",
        "light_wanted": "front",
    }
    return {**usual, **changed}


def _kit(notebook: Notebook) -> str:
    return next(one.id for one in notebook.contents().records["kit"].values() if "300" in one.name)


def test_places_to_sit_become_a_layer_and_one_a_vantage(
    link: Client, with_land: dict[str, str], notebook: Notebook
) -> None:
    job = _done(link, "/jobs", _find(with_land, kit=_kit(notebook)))
    assert job["state"] == "done", job
    result = job["result"]
    layer = notebook.contents().records["layer"][result["layer"]]
    assert layer.kind == "finder result"
    assert len(layer.spots) == len(result["spots"]) >= 2
    picture = link.ask("GET", f"/api/v1/blobs/{layer.blob}")
    assert picture.status == 200
    assert picture.body.startswith(b"\x89PNG")
    keep = 15.0
    for spot in layer.spots:
        assert spot.distance_m >= keep
        assert spot.good_clear_min > 0
    sat = _ask(link, "POST", "/places", {"layer": layer.id, "place": 0})
    assert sat.status == 200, sat.body
    records = notebook.contents().records
    vantage = records["vantage"][sat.json["vantage"]]
    line = records["sightline"][sat.json["sightline"]]
    assert (line.vantage, line.perch) == (vantage.id, layer.spots[0].perch)
    assert line.light_wanted == "front"
    assert "cautio" in " ".join(result["sentences"]).lower() or "go back" in " ".join(
        result["sentences"]
    )
    assert link.ask("GET", "/plain/land").status == 200
    assert result["sentences"][0].startswith("Searched: bare earth, trees not in it: ")
    assert "Pellwick ground (bare earth, 1 m)" in layer.made_from
    # The recorded walk-in to a vantage beside it, at least one of the sample's.
    assert any((spot.walk_by or "").startswith("by the walk-in to ") for spot in layer.spots)
    # Once more: the older result goes, for the new one stands in its place; a dusk's stays.
    # By now there is a pond where one parks.
    marks = notebook.contents().records["landmark"].values()
    car = next(one.position for one in marks if one.kind == "parking" and one.site == layer.site)
    box = ((0.0008, -0.001), (0.0008, 0.001), (-0.0008, 0.001), (-0.0008, -0.001))
    corners = [{"lat": car.lat + up, "lon": car.lon + over} for up, over in box]
    pond = {"site": layer.site, "kind": "water", "name": "Deep dyke", "outline": corners}
    notebook.save([Edit(kind="area", set=pond)])
    again = _done(link, "/jobs", _find(with_land, kit=_kit(notebook)))["result"]
    ways = [spot.walk_by for spot in notebook.contents().records["layer"][again["layer"]].spots]
    assert ways
    assert all(way.endswith("Deep dyke (water): find a way round") for way in ways)
    _done(link, "/jobs", _find(with_land, kit=_kit(notebook), session="dusk", light_wanted="any"))
    layers = notebook.contents().records["layer"].values()
    assert sorted((one.title or "").split(",")[0] for one in layers) == [
        "Places to sit at dawn",
        "Places to sit at dusk",
    ]


def test_places_that_are_not_open_are_not_offered_and_it_says_why(
    link: Client, with_land: dict[str, str], notebook: Notebook
) -> None:
    both = [with_land["gorse-bank"], with_land["hedge-gap"]]
    result = _done(link, "/jobs", _find(with_land, kit=_kit(notebook), perches=both))["result"]
    assert "1 of 2 perches left out: Hedge gap is closed from 03-15 to 07-31" in " ".join(
        result["sentences"]
    )
    assert {spot["perch"] for spot in result["spots"]} == {with_land["gorse-bank"]}
    assert "Make it a vantage" in link.ask("GET", "/plain/land").body.decode()
    # What was found stays, but is not offered once it is to be kept off by more,
    layer, animal = result["layer"], with_land["stonechat"]

    def refused_now() -> str:
        sat = _ask(link, "POST", "/places", {"layer": layer, "place": 0})
        assert sat.status == 400
        assert "±10 m: measure before you sit" not in link.ask("GET", "/plain/land").body.decode()
        assert "good minutes" not in link.ask("GET", f"/paper/land/{layer}").body.decode()
        return sat.body.decode()

    assert "±10 m: measure before you sit" in link.ask("GET", "/plain/land").body.decode()
    assert "good minutes" in link.ask("GET", f"/paper/land/{layer}").body.decode()
    raised = notebook.save([Edit(kind="species", record=animal, set={"keep_distance_open_m": 60})])
    assert "nearer than your keep-distance of 60 m" in refused_now()
    notebook.undo(raised.group)
    # or once the animal was disturbed there this morning,
    visit = Edit(kind="visit", set={"site": with_land["pellwick"], "start": "2026-05-12T03:00:00Z"})
    begun = notebook.save([visit]).records[0]
    watch = Edit(
        kind="watch",
        set={
            "visit": begun,
            "vantage": with_land["track-end"],
            "perches": [with_land["gorse-bank"]],
            "start": "2026-05-12T03:00:00Z",
        },
    )
    watched = notebook.save([watch]).records[0]
    alarm = {"watch": watched, "what": "alarm", "at": "2026-05-12T03:10:00Z", "cause": "me"}
    disturbed = notebook.save([Edit(kind="reaction", set=alarm) for _ in range(3)])
    assert "Gorse bank was disturbed lately: 3 reactions" in refused_now()
    notebook.undo(disturbed.group)
    # or once the owner's word has run out.
    permissions = notebook.contents().records["permission"].values()
    mine = next(one for one in permissions if one.site == with_land["pellwick"])
    notebook.save([Edit(kind="permission", record=mine.id, set={"ends_on": "2025-12-31"})])
    page = link.ask("GET", "/plain/land").body.decode()
    assert "Make it a vantage" not in page
    count = len(result["spots"])
    assert f"{count} places left out: Permission lapsed on 2025-12-31" in page
    sat = _ask(link, "POST", "/places", {"layer": result["layer"], "place": 0})
    assert sat.status == 400
    assert "not offered now: " in sat.body.decode()
    refused = _done(link, "/jobs", _find(with_land, kit=_kit(notebook)))
    assert "Permission lapsed on 2025-12-31" in refused["words"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"perches": ["hedge-gap"]}, "Hedge gap is closed from 03-15 to 07-31"),
        (
            {"species": "otter", "perches": ["brook-log"]},
            "this site is sensitive: it is never suggested",
        ),
        ({"perches": []}, "name one to 6 perches"),
        ({"perches": ["ditch-post", "brook-log"]}, "different sites"),
    ],
)
def test_no_place_is_looked_for_where_none_should_be(
    link: Client,
    with_land: dict[str, str],
    notebook: Notebook,
    change: dict[str, Any],
    says: str,
) -> None:
    named = {
        name: [with_land[one] for one in value] if isinstance(value, list) else with_land[value]
        for name, value in change.items()
    }
    job = _done(link, "/jobs", _find(with_land, kit=_kit(notebook), **named))
    assert job["state"] == "refused"
    assert says.lower() in job["words"].lower()


def test_no_place_is_offered_beside_a_nest_or_an_animal_that_is_not_looked_for(
    link: Client, with_land: dict[str, str], notebook: Notebook
) -> None:
    # Distances by geographiclib, to the stored places and pins.
    def away_m(spot: dict[str, Any], pin: Any) -> float:
        line = Geodesic.WGS84.Inverse(spot["lat"], spot["lon"], pin.lat, pin.lon)
        return float(line["s12"])

    kit = _kit(notebook)
    perches = notebook.contents().records["perch"]
    bank, pool = (perches[with_land[one]].position for one in ("gorse-bank", "pool-margin"))
    usual = _done(link, "/jobs", _find(with_land, kit=kit))["result"]
    assert min(away_m(spot, bank) for spot in usual["spots"]) >= 15.0
    assert min(away_m(spot, pool) for spot in usual["spots"]) >= 60.0  # the egret seen there
    assert "left out" not in " ".join(usual["sentences"])
    near = Geodesic.WGS84.Direct(bank.lat, bank.lon, 0.0, 100.0)
    nest = {
        "site": with_land["pellwick"],
        "name": "Alder hole",
        "kind": "nest or den",
        "sensitivity": "withheld",
        "position": {"lat": near["lat2"], "lon": near["lon2"], "accuracy_m": 0.0},
    }
    notebook.save([Edit(kind="perch", set=nest)])
    spared = _done(link, "/jobs", _find(with_land, kit=kit))["result"]
    pins = notebook.contents().records["perch"].values()
    hole = next(one.position for one in pins if one.name == "Alder hole")
    assert spared["spots"]
    assert min(away_m(spot, hole) for spot in spared["spots"]) >= 99.9
    said = " ".join(spared["sentences"])
    assert "left out near a spared perch." in said
    assert "Alder hole" not in said
    # One animal is to be kept off by more: by that much from the nest as well.
    notebook.save(
        [Edit(kind="species", record=with_land["roe-deer"], set={"keep_distance_open_m": 130})]
    )
    none = _done(link, "/jobs", _find(with_land, kit=kit))["result"]
    assert none["spots"] == []
    assert "Gorse bank: every place found lies near a spared perch." in none["sentences"]


def test_without_a_keep_distance_there_is_no_finder(
    link: Client, with_land: dict[str, str], notebook: Notebook
) -> None:
    edit = Edit(kind="species", record=with_land["stonechat"], set={"keep_distance_open_m": None})
    notebook.save([edit])
    job = _done(link, "/jobs", _find(with_land, kit=_kit(notebook)))
    assert job["state"] == "refused"
    assert "has no keep-distance in the open yet" in job["words"]


def test_relief_and_first_light_become_layers(
    link: Client, with_land: dict[str, str], notebook: Notebook
) -> None:
    site = with_land["pellwick"]
    light = {"do": "first light", "date": "2026-05-12"}
    # 2 May is no part of 12 May, nor is the last light of a day its first: each stands by itself.
    others = ({**light, "date": "2026-05-02"}, {**light, "session": "dusk"})
    for asked in ({"do": "relief"}, light, *others, light):
        job = _done(link, "/jobs", {"site": site, **asked})
        assert job["state"] == "done", job
    kept = notebook.contents().records["layer"].values()
    assert sorted((one.title or "").split(":")[0] for one in kept) == [
        "First light, 12 May 2026",
        "First light, 2 May 2026",
        "Last light, 12 May 2026",
        "Relief",
    ]
    for one in kept:
        if one.kind == "first light" and not (one.title or "").startswith("First light, 12"):
            assert _ask(link, "DELETE", f"/layers/{one.id}").status == 200
    layers = {one.kind: one for one in notebook.contents().records["layer"].values()}
    assert set(layers) == {"relief", "first light"}
    assert "minutes after the level sunrise at 05:09" in (layers["first light"].title or "")
    page = link.ask("GET", f"/paper/land/{layers['first light'].id}")
    assert page.status == 200
    drawn = page.body.decode()
    assert "data:image/png;base64," in drawn
    assert "Ditch post" in drawn
    assert "img-src data:" in page.headers["content-security-policy"]
    for layer in layers.values():
        edges = layer.bounds
        assert edges.south_deg < 52.87 < edges.north_deg
        assert edges.west_deg < -0.469 < edges.east_deg


def test_a_sensitive_site_is_not_printed(
    link: Client, with_land: dict[str, str], notebook: Notebook
) -> None:
    job = _done(link, "/jobs", {"do": "relief", "site": with_land["hobthorn"]})
    page = link.ask("GET", f"/paper/land/{job['result']['layer']}")
    sensitivity = notebook.contents().records["site"][with_land["hobthorn"]].sensitivity
    assert sensitivity not in (None, "open")
    assert page.status == 403
    assert "so none is printed" in page.body.decode()


def test_work_can_be_stopped_and_too_much_is_refused(
    link: Client, with_land: dict[str, str]
) -> None:
    body = {"do": "first light", "site": with_land["pellwick"], "date": "2026-05-12"}
    begun = [_ask(link, "POST", "/jobs", body) for _ in range(12)]
    assert begun[-1].status == 400
    assert "waiting already" in begun[-1].body.decode()
    marks = [one.json["id"] for one in begun if one.status == 202]
    for mark in marks:
        _ask(link, "DELETE", f"/jobs/{mark}")
    for _ in range(600):
        states = {_ask(link, "GET", f"/jobs/{mark}").json["state"] for mark in marks}
        if states <= {"stopped", "done"}:
            break
        time.sleep(0.1)
    assert "stopped" in states


def test_the_relief_lies_under_the_sketch_of_the_printed_card(
    link: Client, with_land: dict[str, str], notebook: Notebook
) -> None:
    address = (
        f"/paper?site={with_land['pellwick']}&species={with_land['stonechat']}"
        f"&kit={_kit(notebook)}&date=2026-05-12"
    )
    before = link.ask("GET", address).body.decode()
    assert "data:image/png" not in before
    _done(link, "/jobs", {"do": "relief", "site": with_land["pellwick"]})
    page = link.ask("GET", address)
    assert "data:image/png;base64," in page.body.decode()
    assert "img-src data:" in page.headers["content-security-policy"]
