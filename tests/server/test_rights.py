"""Who may ask what: every endpoint of the server by every role, with own and others' devices.

The table below is the whole of it. An endpoint that is not in it fails here until somebody has
decided whose it is, and is answered to nobody over the network until then.
"""

from __future__ import annotations

import json
import logging
import re
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from werkzeug.routing import Rule

from scout.notebook.notebook import Notebook
from scout.server import who
from scout.server.app import create_app
from scout.server.doors import PROXY, Door
from scout.server.headers import HEADERS
from scout.server.limits import Pace
from scout.server.roles import RIGHTS

from .callers import Caller, Household
from .test_tokens import changes

# endpoint: who gets past the guard: stranger, viewer, editor, owner; s = a viewer of some sites.
EVERYBODY, PAIRED, ALL_SITES, WRITERS, OWNERS = "-sveo", "sveo", "veo", "eo", "o"
MATRIX = {
    "web.first_page": EVERYBODY,
    "web.file": EVERYBODY,
    "packs.listed": EVERYBODY,
    "packs.pack": EVERYBODY,
    "packs.runtime": EVERYBODY,
    "pages.static": EVERYBODY,
    "engine.schema": EVERYBODY,
    "padlock.padlock": EVERYBODY,
    "way_in.state": EVERYBODY,
    "way_in.start": EVERYBODY,
    "way_in.poll": EVERYBODY,
    "way_in.claim": EVERYBODY,
    "way_in.leave": PAIRED,
    "way_in.look": OWNERS,
    "way_in.grant": OWNERS,
    "way_in.deny": OWNERS,
    "members.devices": PAIRED,
    "members.revoke": PAIRED,
    "members.rename": PAIRED,
    "members.wrote": OWNERS,
    "members.undo": OWNERS,
    "members.persons": OWNERS,
    "members.add": OWNERS,
    "members.change": OWNERS,
    "members.remove": OWNERS,
    "members.events": OWNERS,
    "backing.status": OWNERS,
    "backing.make": OWNERS,
    "backing.drill": OWNERS,
    "sync.ping": PAIRED,
    "sync.push": PAIRED,
    "sync.pull": PAIRED,
    "sync.offer": PAIRED,
    "sync.history": PAIRED,
    "sync.conflicts": ALL_SITES,
    "sync.quarantine": ALL_SITES,
    "blobs.progress": PAIRED,
    "blobs.append": WRITERS,
    "blobs.original": PAIRED,
    "photos.thumbnail": PAIRED,
    "photos.facts": PAIRED,
    "engine.compute": PAIRED,
    "maps.sheets": PAIRED,
    "maps.tile": PAIRED,
    "pages.sites": ALL_SITES,
    "pages.site": ALL_SITES,
    "pages.card": ALL_SITES,
    "pages.choice": ALL_SITES,
    "pages.light": ALL_SITES,
    "pages.paper": ALL_SITES,
    "kit_pages.kit": ALL_SITES,
    "kit_pages.stand": ALL_SITES,
    "land.overview": ALL_SITES,
    "land.job": ALL_SITES,
    "land.sight": ALL_SITES,
    "land.begin": OWNERS,
    "land.stop_job": OWNERS,
    "land.keep_gap": OWNERS,
    "land.sit": OWNERS,
    "land.begin_upload": OWNERS,
    "land.append": OWNERS,
    "land.add_model": OWNERS,
    "land.remove_model": OWNERS,
    "land.forget": OWNERS,
    "land_page.land": OWNERS,
    "land_page.printed": ALL_SITES,
    "exits.leave": OWNERS,
    "exits.file": OWNERS,
    "exits.ranger": OWNERS,
}
ROLES = {"-": "stranger", "s": "viewer of some sites", "v": "viewer", "e": "editor", "o": "owner"}
REFUSED = ("not_paired", "not_allowed", "device_revoked")
FILLED = {
    "sha256": "0" * 64,
    "record": "0" * 8 + "-0000-7000-8000-" + "0" * 12,
    "record_id": "0" * 8 + "-0000-7000-8000-" + "0" * 12,
    "call": "sun_day",
    "name": "x",
    "mark": "x",
    "filename": "plain.css",
    "device": "nobody",
    "person": "nobody",
}


@pytest.fixture
def home(notebook: Notebook) -> Household:
    return Household(create_app(notebook), notebook)


@pytest.fixture
def callers(home: Household) -> dict[str, Caller]:
    return {
        "-": home.caller(),
        "s": home.member("viewer", sites=[]),
        "v": home.member("viewer"),
        "e": home.member("editor"),
        "o": home.member("owner"),
    }


def asked(home: Household) -> Iterator[tuple[str, str, str]]:
    """Every endpoint with its methods and an address that leads to it."""
    adapter = home.app.url_map.bind("scout.local", url_scheme="https")
    for rule in home.app.url_map.iter_rules():
        assert isinstance(rule, Rule)
        values = {name: FILLED.get(name, 1) for name in rule.arguments}
        values = {name: 1 if name in ("zoom", "x", "y") else of for name, of in values.items()}
        path = adapter.build(rule.endpoint, values) if rule.arguments else rule.rule
        for method in sorted(rule.methods or ()):
            if method != "OPTIONS" and not (method == "HEAD" and "GET" in (rule.methods or ())):
                yield rule.endpoint, method, path


def is_refused(caller: Caller, method: str, path: str) -> bool:
    said = caller.ask(method, path, b"{}" if method not in ("GET", "HEAD") else None)
    if method == "HEAD" or not path.startswith("/api/"):
        return said.status in (401, 403)
    return said.status in (401, 403) and said.json["error"]["code"] in REFUSED


def test_every_endpoint_has_its_place_in_the_table(home: Household) -> None:
    endpoints = {rule.endpoint for rule in home.app.url_map.iter_rules()}
    assert endpoints == set(MATRIX), "decide who may ask for what is new, here and in roles.RIGHTS"
    assert set(RIGHTS) == endpoints


def test_each_role_gets_what_the_table_gives_it_and_no_more(
    home: Household, callers: dict[str, Caller]
) -> None:
    # Who leaves is out for all that follows, so that comes last.
    ordered = sorted(asked(home), key=lambda one: one[0] == "way_in.leave")
    for letter, role in ROLES.items():
        for endpoint, method, path in ordered:
            refused = is_refused(callers[letter], method, path)
            assert refused == (letter not in MATRIX[endpoint]), f"{role}: {method} {endpoint}"


def test_a_revoked_device_gets_what_a_stranger_gets(home: Household) -> None:
    caller = home.member("owner")
    home.owner.post(f"devices/{caller.device}/revoke")
    for endpoint, method, path in asked(home):
        assert is_refused(caller, method, path) == ("-" not in MATRIX[endpoint]), endpoint


@pytest.mark.parametrize(
    ("role", "own", "others"), [("v", 200, 403), ("e", 200, 403), ("o", 200, 200)]
)
def test_own_and_others_devices(
    home: Household, callers: dict[str, Caller], role: str, own: int, others: int
) -> None:
    caller = callers[role]
    other = callers["e" if role == "v" else "v"]
    for act, body in (("name", {"name": "new"}), ("revoke", {"wipe": True})):
        assert caller.post(f"devices/{other.device}/{act}", **body).status == others
    listed = {one["id"] for one in caller.get("devices").json["devices"]}
    assert (other.device in listed) == (role == "o")
    assert caller.device in listed
    for act, body in (("name", {"name": "new"}), ("revoke", {})):
        assert caller.post(f"devices/{caller.device}/{act}", **body).status == own


def test_nobody_writes_under_another_devices_name_unmarked(
    home: Household, callers: dict[str, Caller]
) -> None:
    sent = changes(2)
    sent[0]["device"] = callers["e"].device
    said = callers["e"].ask("POST", "/api/v1/push", json.dumps({"changes": sent}).encode())
    assert [one["status"] for one in said.json["answers"]] == ["ok", "ok"]
    with home.notebook.store.reading() as db:
        via = dict(db.conn.execute("SELECT device_id, received_via FROM journal").fetchall())
    assert via[callers["e"].device] == "push"
    assert via[str(sent[1]["device"])] == "relay"


def test_a_viewer_adds_nothing_whatever_they_send(
    home: Household, callers: dict[str, Caller]
) -> None:
    sent = changes(3)
    here = json.dumps({"changes": sent[:2]}).encode()
    assert callers["e"].ask("POST", "/api/v1/push", here).status == 200
    assert (
        callers["v"].ask("POST", "/api/v1/push", here).json["answers"][0]["status"] == "duplicate"
    )
    bad = [{**sent[2], "set": {"nonsense": 1}}, {"id": 5}, "text", {**sent[2], "schema": 9999}]
    for more in (sent[2], {**sent[0], "set": {"name": "Other"}}, *bad):
        body = json.dumps({"changes": [*sent[:2], more]}).encode()
        said = callers["v"].ask("POST", "/api/v1/push", body)
        assert (said.status, said.json["error"]["code"]) == (403, "not_allowed")
    with home.notebook.store.reading() as db:
        assert db.conn.execute("SELECT count(*) FROM journal").fetchone()[0] == 2
        assert db.conn.execute("SELECT count(*) FROM quarantine").fetchone()[0] == 0


# -- headers, on every route and every refusal


def test_every_answer_carries_the_headers(home: Household, callers: dict[str, Caller]) -> None:
    nowhere = [("nowhere", method, path) for method, path in NOWHERE]
    for caller in (callers["-"], callers["o"]):
        for endpoint, method, path in [*asked(home), *nowhere]:
            if endpoint == "way_in.leave":
                continue
            said = caller.ask(method, path, b"{}" if method not in ("GET", "HEAD") else None)
            policy = said.headers["content-security-policy"]
            assert "default-src 'none'" in policy, endpoint
            assert "unsafe-eval'" not in policy.replace("'wasm-unsafe-eval'", "")
            for name, value in HEADERS.items():
                if (endpoint, name) == ("padlock.padlock", "Cross-Origin-Resource-Policy"):
                    continue
                assert said.headers[name.lower()] == value, (endpoint, name)
            assert "access-control-allow-origin" not in said.headers


NOWHERE = [
    ("GET", "/nowhere"),
    ("GET", "/api/v1/nowhere"),
    ("DELETE", "/api/v1/push"),
    ("TRACE", "/"),
    ("GET", "/.git/config"),
    ("GET", "/door/scout-root.key"),
    ("GET", "/api/v1/../../notebook.db"),
]


def test_what_lies_in_the_notebooks_folder_is_not_served(callers: dict[str, Caller]) -> None:
    for path in ("/notebook.db", "/door/scout-root.key", "/door/server.key", "/.git/HEAD"):
        assert callers["o"].ask("GET", path).status == 404


def test_over_a_name_that_one_owns_the_browser_is_told_to_stay_with_tls(home: Household) -> None:
    door = Door(PROXY, ("notebook.example.org",), proxy="127.0.0.1")
    named = Caller(home.app, door=door, address="203.0.113.9")
    assert "max-age=" in named.ask("GET", "/index.html").headers["strict-transport-security"]
    assert "strict-transport-security" not in home.caller().ask("GET", "/index.html").headers


# -- other sites


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"X_Scout": ""}, 403),
        ({"Sec_Fetch_Site": "cross-site"}, 403),
        ({"Sec_Fetch_Site": "same-site"}, 403),
        ({"Sec_Fetch_Site": "none"}, 403),
        ({"Content_Type": "text/plain"}, 415),
        ({"Content_Type": "application/x-www-form-urlencoded"}, 415),
        ({}, 200),
    ],
)
def test_a_page_of_another_site_changes_nothing(
    home: Household, callers: dict[str, Caller], headers: dict[str, str], status: int
) -> None:
    before = len(home.owner.get("people").json["people"])
    body = json.dumps({"name": "Mallory", "role": "owner"}).encode()
    assert callers["o"].ask("POST", "/api/v1/people", body, **headers).status == status
    after = len(home.owner.get("people").json["people"])
    assert after - before == (status == 200)


def test_every_address_that_changes_something_asks_for_our_header(
    home: Household, callers: dict[str, Caller]
) -> None:
    for endpoint, method, path in asked(home):
        if method in ("GET", "HEAD"):
            continue
        said = callers["o"].ask(method, path, b"{}", X_Scout="")
        assert said.json["error"]["code"] == "header_missing", endpoint


@pytest.mark.parametrize("role", ["-", "o"])
def test_bodies_are_bounded(callers: dict[str, Caller], role: str) -> None:
    large = b'{"name": "' + b"x" * 9_000_000 + b'"}'
    for path in ("pair/start", "pair/claim", "pair/poll"):
        assert callers[role].ask("POST", f"/api/v1/{path}", large).status == 413
    if role == "o":
        assert callers[role].ask("POST", "/api/v1/people", large).status == 413


def test_who_asks_too_fast_is_slowed_and_others_are_not(
    notebook: Notebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = [0.0]
    bucket = Pace(holds=20, per_s=2.0, clock=lambda: clock[0])
    monkeypatch.setattr(who, "paces", lambda: (("", bucket),))
    home = Household(create_app(notebook), notebook)
    eager, calm = home.member("viewer"), home.member("viewer")
    said = [eager.get("ping") for _ in range(21)]
    assert [one.status for one in said] == [200] * 20 + [429]
    assert said[-1].headers["retry-after"] == "1"
    assert calm.get("ping").status == 200
    clock[0] += 1.0
    assert [eager.get("ping").status for _ in range(3)] == [200, 200, 429]
    assert home.owner.get("ping").status == 200, "the machine itself is never slowed"


def test_who_is_refused_too_fast_is_slowed_too(
    notebook: Notebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    bucket = Pace(holds=20, per_s=2.0, clock=lambda: 0.0)
    monkeypatch.setattr(who, "paces", lambda: (("", bucket),))
    home = Household(create_app(notebook), notebook)
    stranger, other = home.caller("192.168.1.90"), home.caller("192.168.1.91")
    stranger.cookie = "x" * 43
    assert [stranger.get("ping").status for _ in range(21)] == [401] * 20 + [429]
    assert other.get("ping").status == 401


JSONS = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=40),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=6,
)
NAMED = ("user_code", "device_code", "typed", "device", "name", "person", "role", "sites", "wipe")


@given(
    path=st.sampled_from(
        [
            *("pair/start", "pair/poll", "pair/claim", "pair/look", "pair/grant", "pair/deny"),
            *("people", "people/x", "people/x/remove", "devices/x/name", "devices/x/revoke"),
            *("devices/x/wrote", "devices/x/undo", "backups", "backups/drill", "push", "offer"),
        ]
    ),
    body=st.dictionaries(st.sampled_from(NAMED), JSONS) | JSONS,
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
def test_whatever_is_sent_is_answered_in_words(home: Household, path: str, body: object) -> None:
    for caller in (home.owner, home.caller("192.168.9.9")):
        said = caller.ask("POST", f"/api/v1/{path}", json.dumps(body).encode())
        assert said.status < 500, (path, body, said.body)
        assert said.status == 200 or said.json["error"]["message"]


# -- the log, and addresses


def test_no_secret_and_no_position_comes_into_the_log_or_an_address(
    home: Household, callers: dict[str, Caller], caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    phone = home.caller()
    begun = phone.post("pair/start", device=phone.device, name="x").json
    phone.post("pair/poll", device_code=begun["device_code"])
    home.owner.post("pair/look", user_code=begun["user_code"])
    phone.post("pair/claim", typed="BCDFGHJKLMNPQ", device=phone.device, name="x")
    body = b'{"changes": [{"set": {"position": {"lat": 57.20833, "lon": -3.81667}}}]}'
    callers["e"].ask("POST", "/api/v1/push", body)
    callers["e"].ask("POST", "/api/v1/push", body[:-3])
    callers["e"].ask("POST", "/api/v1/engine/sun_day", body)
    phone.cookie = "s3cret-token-that-opens-nothing"
    phone.get("pull")
    log = caplog.text
    secrets = [begun["device_code"], begun["user_code"], "BCDFGHJKLMNPQ", "s3cret"]
    secrets += [one.cookie for one in callers.values() if one.cookie]
    for secret in (*secrets, "57.20833", "-3.81667"):
        assert secret not in log
    for rule in home.app.url_map.iter_rules():
        named = set(re.findall(r"[a-z_]+", rule.rule)) | set(rule.arguments)
        assert not named & {"lat", "lon", "token", "code", "secret", "user_code"}, rule.rule
