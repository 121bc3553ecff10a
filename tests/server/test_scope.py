"""People with some of the sites: filtered in pull, offer, history, photos; nothing is lost by it.

What belongs to a site is worked out here a second time, by hand for each kind.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import os
import random
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.notebook.folder import read_folder
from scout.notebook.notebook import Notebook, open_notebook
from scout.server.app import create_app
from tests.notebook.conftest import NOW_MS
from tests.notebook.phone import Change, Phone

from .callers import API, Caller, Household
from .linked import OverHttp, send_photo
from .pages import SAMPLE
from .test_maps import mbtiles, png

FULL = os.environ.get("SCOUT_FULL") == "1"
Record = Any
WHERE: dict[str, Callable[[Record, Callable[[str, str], Record]], set[str]]] = {
    "site": lambda one, _: {one.id},
    "permission": lambda one, _: {one.site},
    "perch": lambda one, _: {one.site},
    "vantage": lambda one, _: {one.site},
    "landmark": lambda one, _: {one.site},
    "area": lambda one, _: {one.site},
    "visit": lambda one, _: {one.site},
    "light_reading": lambda one, _: {one.site},
    "walk_in": lambda one, get: {get("vantage", one.vantage).site},
    "sightline": lambda one, get: {get("vantage", one.vantage).site},
    "canopy": lambda one, get: {get("perch", one.perch).site},
    "measurement": lambda one, get: {get("vantage", get("sightline", one.sightline).vantage).site},
    "skyline": lambda one, get: {(get("perch", one.pin) or get("vantage", one.pin)).site},
    "watch": lambda one, get: _of_watch(one, get),
    "sighting": lambda one, get: _of_watch(get("watch", one.watch), get),
    "reaction": lambda one, get: _of_watch(get("watch", one.watch), get),
}
SHARED = {"kit", "species", "settings"}


def _of_watch(watch: Record, get: Callable[[str, str], Record]) -> set[str]:
    """A trail camera's watch names perches alone."""
    if watch.vantage is not None:
        return {get("vantage", watch.vantage).site}
    return {get("perch", perch).site for perch in watch.perches}


@pytest.fixture
def home(notebook: Notebook) -> Household:
    return Household(create_app(notebook), notebook)


def synced(caller: Caller) -> Phone:
    phone = Phone(random.Random(caller.device), NOW_MS)
    phone.device = caller.device
    phone.sync(OverHttp(caller))
    return phone


def held(phone: Phone) -> set[str]:
    return {change["record"] for change in phone.changes.values()}


def of_kind(phone: Phone, kind: str) -> set[str]:
    return {one["record"] for one in phone.changes.values() if one["kind"] == kind}


def test_a_viewer_of_one_site_gets_its_records_and_no_others(
    home: Household, sample: dict[str, str]
) -> None:
    folder = read_folder(SAMPLE)
    pellwick, hobthorn = sample["pellwick"], sample["hobthorn"]

    def get(kind: str, id_: str) -> Record:
        return folder.records[kind].get(id_)

    phones = {site: synced(home.member("viewer", [site])) for site in (pellwick, hobthorn)}
    everything = synced(home.member("viewer"))
    checked = 0
    for kind, where in WHERE.items():
        for id_, record in folder.records[kind].items():
            for site, phone in phones.items():
                assert (id_ in held(phone)) == (where(record, get) == {site}), (kind, id_)
                checked += 1
    assert checked > 200
    for phone in phones.values():
        for kind in SHARED:
            assert of_kind(phone, kind) == of_kind(everything, kind), kind
    assert not (held(phones[pellwick]) & held(phones[hobthorn])) - {
        one for kind in (*SHARED, "tag") for one in of_kind(everything, kind)
    }
    texts = json.dumps(list(phones[pellwick].changes.values()))
    for secret in ("Hobthorn", "Slate", "52.95", "-0.36,"):
        assert secret not in texts


def test_the_cursor_goes_on_over_what_is_hidden(home: Household, sample: dict[str, str]) -> None:
    caller = home.member("viewer", [])
    phone = synced(caller)
    assert phone.cursor is not None
    assert phone.cursor.split(":")[1] == home.notebook.furthest().split(":")[1]
    said = caller.get(f"pull?cursor={phone.cursor}").json
    assert said == {"changes": [], "cursor": phone.cursor, "more": False}
    assert {change["kind"] for change in phone.changes.values()} <= SHARED | {"tag"}


def two_sites(home: Household) -> tuple[Phone, OverHttp, str, str]:
    """A phone of the owner's with two sites on the server."""
    link = OverHttp(home.member("owner"))
    phone = Phone(random.Random(2), NOW_MS)
    one, two = phone.new_id(), phone.new_id()
    for site, name in ((one, "One"), (two, "Two")):
        phone.edit("site", site, {"name": name})
    phone.sync(link)
    return phone, link, one, two


def test_what_may_be_seen_later_comes_then(home: Household) -> None:
    """A sighting before its watch; a perch that moves; each sends the phone to the start once."""
    owner, link, one, two = two_sites(home)
    caller = home.member("viewer", [one])
    viewer = synced(caller)
    visit, watch, sighting, perch = (owner.new_id() for _ in range(4))
    owner.edit("sighting", sighting, {"watch": watch, "count": 2})
    owner.edit("perch", perch, {"site": two, "name": "Post"})
    owner.sync(link)
    viewer.sync(OverHttp(caller))
    assert not {sighting, perch} & held(viewer)
    owner.edit("watch", watch, {"visit": visit})
    owner.edit("visit", visit, {"site": one})
    owner.sync(link)
    viewer.sync(OverHttp(caller))
    assert {sighting, watch, visit} <= held(viewer)
    owner.edit("perch", perch, {"site": one})
    owner.sync(link)
    viewer.sync(OverHttp(caller))
    assert len([1 for change in viewer.changes.values() if change["record"] == perch]) == 2


def test_a_lost_answer_hides_nothing_for_good(home: Household) -> None:
    owner, link, one, _ = two_sites(home)
    caller = home.member("viewer", [one])
    viewer = synced(caller)
    watch, sighting = owner.new_id(), owner.new_id()
    owner.edit("sighting", sighting, {"watch": watch})
    owner.sync(link)
    viewer.sync(OverHttp(caller))
    owner.edit("watch", watch, {"visit": owner.new_id()})
    visit = owner.changes[owner.outbox[0]["id"]]["set"]["visit"]
    owner.edit("visit", visit, {"site": one})
    owner.sync(link)
    for _ in range(3):  # the answer that sends it back is lost, and so is the next
        assert caller.get(f"pull?cursor={viewer.cursor}").status == 409
    viewer.sync(OverHttp(caller))
    assert sighting in held(viewer)


def test_a_scope_that_changes_is_seen_at_once(home: Household) -> None:
    owner, link, one, two = two_sites(home)
    perches = {site: owner.new_id() for site in (one, two)}
    for site, perch in perches.items():
        owner.edit("perch", perch, {"site": site, "name": "Post"})
    owner.sync(link)
    person = home.person("Anna", "viewer", [one])
    caller = home.paired(person)
    viewer = synced(caller)
    assert held(viewer) == {one, perches[one]}
    home.owner.post(f"people/{person}", sites=[one, two])
    viewer.sync(OverHttp(caller))
    assert held(viewer) == {one, two, *perches.values()}
    home.owner.post(f"people/{person}", sites=None)
    viewer.sync(OverHttp(caller))
    home.owner.post(f"people/{person}", sites=[two])
    viewer.sync(OverHttp(caller))
    assert viewer.outbox == [], "what it holds from before is no unsent work"
    late = owner.new_id()
    owner.edit("perch", late, {"site": one, "name": "Late"})
    owner.sync(link)
    viewer.sync(OverHttp(caller))
    assert late not in held(viewer)
    assert held(synced(home.paired(person))) == {two, perches[two]}


def test_an_offer_and_a_history_say_nothing_of_what_is_hidden(home: Household) -> None:
    owner, _, one, two = two_sites(home)
    caller = home.member("viewer", [one])
    ids = list(owner.changes)
    said = caller.post("offer", changes=ids, blobs=[]).json
    shown = [id_ for id_ in ids if owner.changes[id_]["record"] == one]
    assert set(said["present"]) == set(shown)
    assert set(said["missing"]) == set(ids) - set(shown)
    assert len(caller.get(f"history/{one}").json["changes"]) == 1
    assert caller.get(f"history/{two}").json == {"changes": []}
    assert caller.get(f"history/{owner.new_id()}").json == {"changes": []}


def test_photos_of_hidden_places_are_not_here(home: Household) -> None:
    owner, link, one, two = two_sites(home)
    full = home.member("owner")
    hashes = {}
    for site in (one, two):
        picture = f"not a picture, of {site}".encode()
        hashes[site] = send_photo(full, picture)
        blob = hashlib.sha256(picture).hexdigest()
        owner.edit("photo", owner.new_id(), {"site": site, "blob": blob, "file_name": "a.jpg"})
    owner.sync(link)
    caller = home.member("viewer", [one])
    path = f"{API}blobs/{{}}".format
    assert caller.ask("GET", path(hashes[one])).status == 200
    assert caller.ask("GET", path(hashes[two])).status == 404
    assert caller.ask("GET", f"{API}photos/{hashes[two]}").status == 404
    assert caller.ask("GET", f"{API}photos/{hashes[two]}/thumbnail").status == 404
    nothing = "0" * 64
    assert (
        caller.ask("HEAD", path(hashes[two])).headers["upload-offset"]
        == caller.ask("HEAD", path(nothing)).headers["upload-offset"]
    )
    said = caller.post("offer", changes=[], blobs=list(hashes.values())).json["blobs"]
    assert said == {hashes[one]: "here", hashes[two]: "missing"}


def test_a_map_is_shown_to_whom_a_site_on_it_was_given(
    home: Household, sample: dict[str, str]
) -> None:
    folder = home.notebook.folder / "maps"
    folder.mkdir()
    tile = png((0, 90, 0))
    bounds = {"meadows": "-0.50,52.86,-0.44,52.88", "dean": "-0.40,52.94,-0.34,52.97"}
    for name, edges in bounds.items():
        said = {"name": name, "bounds": edges, "format": "png", "minzoom": "3", "maxzoom": "3"}
        mbtiles(folder / f"{name}.mbtiles", {(3, 3, 2): tile}, **said)
    given: list[tuple[list[str] | None, set[str]]] = [
        ([sample["pellwick"]], {"meadows"}),
        ([], set()),
        (None, {"meadows", "dean"}),
    ]
    for sites, seen in given:
        caller = home.member("viewer", sites)
        listed = caller.get("maps").json["maps"]
        assert {one["name"] for one in listed} == seen
        for name in ("meadows", "dean"):
            assert caller.get(f"maps/{name}/3/3/2").status == (200 if name in seen else 404)


# -- an editor of some sites


def answers(caller: Caller, sent: list[Change]) -> list[str]:
    said = caller.ask("POST", f"{API}push", json.dumps({"changes": sent}).encode())
    assert said.status == 200, said.body
    return [one.get("code", one["status"]) for one in said.json["answers"]]


def test_an_editor_of_one_site_writes_there_and_nowhere_else(home: Household) -> None:
    owner, link, one, two = two_sites(home)
    mine, theirs = owner.new_id(), owner.new_id()
    owner.edit("perch", mine, {"site": one, "name": "Post"})
    owner.edit("perch", theirs, {"site": two, "name": "Den"})
    owner.sync(link)
    caller = home.member("editor", [one])
    editor = synced(caller)
    fresh, line = editor.new_id(), editor.new_id()
    sent = [
        editor.edit("perch", mine, {"name": "Better"}),
        editor.edit("perch", fresh, {"site": one, "name": "New"}),
        editor.edit("perch", theirs, {"name": "Spoilt"}),
        editor.edit("perch", mine, {"site": two}),
        editor.edit("sightline", line, {"perch": theirs}),
        editor.edit("species", editor.new_id(), {"name": "Wren"}),
        editor.edit("tag", editor.new_id(), {"record": theirs, "word": "x"}),
        editor.edit("species", theirs, {"name": "in disguise"}),
    ]
    no = "not_your_sites"
    assert answers(caller, sent) == ["ok", "ok", no, no, no, "ok", no, no]
    assert answers(caller, sent) == ["duplicate", "duplicate", no, no, no, "duplicate", no, no]
    owner.sync(link)
    assert owner.state("perch", theirs).heads["name"][0].value == '"Den"'


def test_a_site_that_an_editor_makes_is_theirs(home: Household) -> None:
    _, _, one, _ = two_sites(home)
    person = home.person("Anna", "editor", [one])
    caller = home.paired(person)
    editor = synced(caller)
    site, perch = editor.new_id(), editor.new_id()
    editor.edit("site", site, {"name": "Mine"})
    editor.edit("perch", perch, {"site": site, "name": "Post"})
    cursor = editor.cursor
    editor.sync(OverHttp(caller))
    assert editor.outbox == []
    assert editor.parked == {}
    editor.edit("perch", perch, {"name": "Better post"})
    editor.sync(OverHttp(caller))
    assert editor.parked == {}
    assert caller.get(f"pull?cursor={cursor}").status == 200, "nobody is sent back to the start"
    listed = {one["id"]: one for one in home.owner.get("people").json["people"]}
    assert set(listed[person]["sites"]) == {one, site}


@settings(max_examples=100 if FULL else 6)
@given(st.data())
def test_whatever_is_written_a_viewer_holds_what_they_may_see(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    """Random links among two sites' records, in any order, pulled in between."""
    now = dt.datetime.fromtimestamp(NOW_MS / 1000, dt.UTC)
    folder = tmp_path_factory.mktemp("scope")
    with open_notebook(folder / "n", lambda: now, create=True) as notebook:
        home = Household(create_app(notebook), notebook)
        owner, link, one, two = two_sites(home)
        caller = home.member("viewer", [one])
        viewer = synced(caller)
        perches = [owner.new_id() for _ in range(3)]
        notes = [owner.new_id() for _ in range(3)]
        for _ in range(data.draw(st.integers(1, 12))):
            act = data.draw(st.sampled_from(["perch", "note", "pull"]))
            if act == "perch":
                site = data.draw(st.sampled_from([one, two]))
                owner.edit("perch", data.draw(st.sampled_from(perches)), {"site": site})
            elif act == "note":
                pin = data.draw(st.sampled_from(perches))
                owner.edit("note", data.draw(st.sampled_from(notes)), {"pin": pin})
            else:
                viewer.sync(OverHttp(caller))
            owner.sync(link)
        viewer.sync(OverHttp(caller))
        state = owner.state
        seen = {one}
        for perch in perches:
            heads = state("perch", perch).heads.get("site", ())
            if heads and {json.loads(head.value) for head in heads} == {one}:
                seen.add(perch)
        for note in notes:
            heads = state("note", note).heads.get("pin", ())
            if heads and {json.loads(head.value) for head in heads} <= seen:
                seen.add(note)
        now_held = held(viewer)
        assert seen <= now_held
        assert two not in now_held
        for change in owner.changes.values():
            if change["record"] in seen:
                assert change["id"] in viewer.changes
        fresh = synced(home.member("viewer", [one]))
        assert held(fresh) == seen
