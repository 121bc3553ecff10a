"""The house's door: TLS with our own root, a page for trust, one stable place; strangers wait."""

from __future__ import annotations

import http.client
import json
import socket
import ssl
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from scout.notebook.notebook import Notebook
from scout.records.trouble import Refused
from scout.server import lan
from scout.server.certificates import FOLDER, ROOT_FILE
from scout.server.lines import MOST_OF_ADDRESS

from .house import Opened, opened


@pytest.fixture
def house(notebook: Notebook) -> Iterator[Opened]:
    with opened(notebook) as found:
        yield found


def ask(
    house: Opened, path: str, host: str | None = None, name: str = "127.0.0.1"
) -> tuple[int, dict[str, str], bytes]:
    """Ask over TLS under a name, as a phone that found it."""
    raw = socket.create_connection(("127.0.0.1", house.port), timeout=20)
    line = http.client.HTTPSConnection("127.0.0.1", house.port, context=house.trust)
    line.sock = house.trust.wrap_socket(raw, server_hostname=name)
    line.request("GET", path, headers={"Host": host or f"{name}:{house.port}"})
    said = line.getresponse()
    body = said.read()
    line.close()
    return said.status, {key.lower(): value for key, value in said.getheaders()}, body


@pytest.mark.parametrize("name", ["scout.local", "localhost", "127.0.0.1"])
def test_a_phone_that_trusts_the_root_is_answered_under_every_name(
    house: Opened, name: str
) -> None:
    status, headers, body = ask(house, "/padlock", name=name)
    assert (status, body) == (204, b"")
    assert headers["cross-origin-resource-policy"] == "cross-origin"
    assert ask(house, "/index.html", name=name)[0] == 200, "the app comes before pairing"
    status, _, body = ask(house, "/", name=name)
    assert (status, body) == (200, ask(house, "/index.html", name=name)[2])


def test_a_phone_that_does_not_trust_the_root_hears_nothing(house: Opened) -> None:
    strict = ssl.create_default_context()
    with (
        socket.create_connection(("127.0.0.1", house.port)) as raw,
        pytest.raises(ssl.SSLCertVerificationError),
    ):
        strict.wrap_socket(raw, server_hostname="127.0.0.1")
    assert ask(house, "/padlock")[0] == 204, "and others are still answered"


def test_nothing_older_than_tls_1_2_is_spoken(house: Opened) -> None:
    for version in (ssl.TLSVersion.TLSv1_2, ssl.TLSVersion.TLSv1_3):
        context = ssl.create_default_context(cafile=house.house.home / FOLDER / ROOT_FILE)
        context.minimum_version = context.maximum_version = version
        with (
            socket.create_connection(("127.0.0.1", house.port)) as raw,
            context.wrap_socket(raw, server_hostname="127.0.0.1") as line,
        ):
            assert line.version() == {"TLSv1_2": "TLSv1.2", "TLSv1_3": "TLSv1.3"}[version.name]
    assert house.house.tls.context.minimum_version == ssl.TLSVersion.TLSv1_2


@pytest.mark.parametrize(
    "path",
    ["/api/v1/ping", "/api/v1/pull", "/plain", "/api/v1/maps", "/api/v1/conflicts"],
)
def test_a_stranger_is_told_to_pair_and_sees_nothing(house: Opened, path: str) -> None:
    status, _, body = ask(house, path)
    assert status == 401
    assert b"not paired" in body


def test_the_machine_itself_needs_no_ceremony_but_over_tls_it_is_a_stranger_too(
    house: Opened,
) -> None:
    with urllib.request.urlopen(f"{house.here}/api/v1/ping") as said:
        assert json.load(said)["service"] == "scout"
    assert ask(house, "/api/v1/ping")[0] == 401


def test_another_name_is_refused(house: Opened) -> None:
    assert ask(house, "/padlock", host="elsewhere.example")[0] == 421


def test_forwarded_headers_are_nobodys_word(house: Opened) -> None:
    line = http.client.HTTPSConnection("127.0.0.1", house.port, context=house.trust)
    line.request("GET", "/api/v1/ping", headers={"X-Forwarded-For": "127.0.0.1", "Via": "x"})
    assert line.getresponse().status == 401
    line.close()


@pytest.mark.parametrize(
    "name", ["X-Forwarded-For", "X-Forwarded-Proto", "X-Real-IP", "Forwarded", "X-Forwarded-Host"]
)
def test_a_proxy_before_the_machines_own_port_makes_nobody_the_owner(
    house: Opened, name: str
) -> None:
    request = urllib.request.Request(f"{house.here}/api/v1/ping", headers={name: "203.0.113.7"})
    with pytest.raises(urllib.error.HTTPError) as refusal:
        urllib.request.urlopen(request)
    assert refusal.value.code == 403
    assert b"--proxy" in refusal.value.read()
    refusal.value.close()


def test_plain_http_is_told_what_to_type(house: Opened) -> None:
    with socket.create_connection(("127.0.0.1", house.port), timeout=20) as line:
        line.sendall(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
        assert b"answers https: type that first" in line.recv(1000)


def test_strangers_who_say_nothing_hold_nobody_up(house: Opened) -> None:
    with ExitStack() as held:
        for sent in (b"", b"\x16", b"\x16\x03\x01", b"x", b"\x80\x2e\x01") * 2:
            dawdler = held.enter_context(socket.create_connection(("127.0.0.1", house.port)))
            dawdler.sendall(sent)
        for _ in range(5):
            assert ask(house, "/padlock")[0] == 204


def test_one_address_cannot_take_every_thread(house: Opened) -> None:
    with ExitStack() as held:
        for _ in range(MOST_OF_ADDRESS):
            held.enter_context(socket.create_connection(("127.0.0.1", house.port)))
        with pytest.raises((OSError, http.client.HTTPException)):
            ask(house, "/padlock")
    for _ in range(100):  # they have gone; room comes as the server notices it
        try:
            assert ask(house, "/padlock")[0] == 204
        except OSError:
            time.sleep(0.1)
        else:
            break
    for _ in range(3 * MOST_OF_ADDRESS):
        assert ask(house, "/padlock")[0] == 204


def test_endless_headers_are_cut_off(house: Opened) -> None:
    line = http.client.HTTPSConnection("127.0.0.1", house.port, context=house.trust)
    try:
        line.request("GET", "/padlock", headers={"X-Long": "x" * 200_000})
        assert line.getresponse().status in (400, 413)
    except (ConnectionError, http.client.HTTPException, ssl.SSLError):
        pass  # cut off before it was told
    finally:
        line.close()
    assert ask(house, "/padlock")[0] == 204


def test_the_certificate_changes_under_a_running_server(house: Opened) -> None:
    import datetime as dt

    before = ssl.get_server_certificate(("127.0.0.1", house.port))
    assert house.house.renew(dt.datetime.now(dt.UTC)) is False
    assert house.house.renew(dt.datetime.now(dt.UTC) + dt.timedelta(days=370)) is True
    assert ssl.get_server_certificate(("127.0.0.1", house.port)) != before


# -- the page by which a phone comes to trust the notebook


def fetch(url: str) -> tuple[dict[str, str], bytes]:
    with urllib.request.urlopen(url) as said:
        return {key.lower(): value for key, value in said.headers.items()}, said.read()


def test_the_trust_page_hands_out_the_root_and_nothing_else(house: Opened) -> None:
    headers, body = fetch(f"{house.trust_page}/scout-root.crt")
    assert headers["content-type"] == "application/x-x509-ca-cert"
    assert body == house.house.root.der
    for path in ("/api/v1/ping", "/plain", "/index.html", "/door/scout-root.key", "/../x"):
        with pytest.raises(urllib.error.HTTPError) as refusal:
            fetch(house.trust_page + path)
        assert refusal.value.code == 404
        refusal.value.close()


@pytest.mark.parametrize(
    ("phone", "words"),
    [
        ("iphone", ["Profile", "Certificate Trust Settings", "Home Screen"]),
        ("android", ["CA certificate", "screen lock", "Add to Home screen"]),
        ("computer", ["Authorities"]),
    ],
)
def test_each_phone_has_its_own_steps_in_order(house: Opened, phone: str, words: list[str]) -> None:
    headers, body = fetch(f"{house.trust_page}/{phone}")
    text = body.decode()
    places = [text.lower().index(word.lower()) for word in words]
    assert places == sorted(places)
    assert house.house.root.fingerprint.replace(":", " ")[:11] in text
    assert "script-src 'self'" in headers["content-security-policy"]
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"


def test_the_trust_page_takes_nothing_in(house: Opened) -> None:
    for method in ("POST", "PUT", "PATCH", "DELETE"):
        request = urllib.request.Request(house.trust_page, data=b"{}", method=method)
        with pytest.raises(urllib.error.HTTPError) as refusal:
            urllib.request.urlopen(request)
        assert refusal.value.code == 405
        refusal.value.close()


# -- the place


def test_the_place_stays_as_it_was(tmp_path: Path) -> None:
    home = ["192.168.1.20", "10.0.0.3"]
    first = lan.place_at(tmp_path, name="heath", port=9000, addresses=lambda: home)
    lan.keep(tmp_path, first)
    second = lan.place_at(tmp_path, addresses=lambda: home[::-1])
    assert (second.by_name, second.by_address) == (first.by_name, first.by_address)
    assert second.by_name == "https://heath.local:9000"
    assert second.changed_from is None


def test_a_changed_address_is_noticed(tmp_path: Path) -> None:
    lan.keep(tmp_path, lan.place_at(tmp_path, addresses=lambda: ["192.168.1.20"]))
    moved = lan.place_at(tmp_path, addresses=lambda: ["192.168.1.31"])
    assert (moved.changed_from, moved.address) == ("192.168.1.20", "192.168.1.31")


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"name": "two words"}, "no name of a machine"),
        ({"name": "localhost"}, "no name of a machine"),
        ({"address": "8.8.8.8"}, "no address of a house"),
        ({"address": "scout"}, "no IPv4 address"),
        ({"addresses": list}, "on no network"),
    ],
)
def test_what_is_no_place_is_refused(tmp_path: Path, asked: dict[str, str], words: str) -> None:
    asked = {"addresses": lambda: ["10.0.0.3"], **asked}  # type: ignore[dict-item]
    with pytest.raises(Refused, match=words):
        lan.place_at(tmp_path, **asked)  # type: ignore[arg-type]


def test_a_spoilt_note_of_the_place_is_as_none(tmp_path: Path) -> None:
    (tmp_path / FOLDER).mkdir()
    for text in ("", "[]", '{"port": "x", "name": null, "help_port": 99999999}', "\x00"):
        (tmp_path / FOLDER / "place.json").write_text(text)
        found = lan.place_at(tmp_path, addresses=lambda: ["10.0.0.3"])
        assert (found.by_address, found.help_port) == ("https://10.0.0.3:8443", 8444)
