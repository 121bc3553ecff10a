"""Behind a real nginx that holds the TLS: what it forwards is believed, and from it alone."""

from __future__ import annotations

import datetime as dt
import http.client
import json
import os
import re
import ssl
import subprocess
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import attrs
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from scout.notebook.notebook import Notebook
from scout.server import pairing
from scout.server.app import create_app
from scout.server.doors import PROXY, Door
from scout.server.serving import in_background, listen_through
from scout.server.tokens import COOKIE
from tests.conftest import program

from .house import free_ports
from .linked import API, JSON, Said

HOST = "notebook.example.org"
README = Path(__file__).parents[2] / "README.md"


def certificate(folder: Path) -> None:
    """A certificate of the proxy's own name, as one would have it from a public authority."""
    key = ec.generate_private_key(ec.SECP256R1())
    now = dt.datetime.now(dt.UTC)
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, HOST)])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - dt.timedelta(days=1))
        .not_valid_after(now + dt.timedelta(days=30))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(HOST)]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    (folder / "cert.pem").write_bytes(made.public_bytes(serialization.Encoding.PEM))
    (folder / "key.pem").write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )


def told_in_readme() -> str:
    """The server block that people are told to copy: the test runs that very text."""
    found = re.search(r"```nginx\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    assert found is not None
    return found[1]


@attrs.frozen
class Proxied:
    """A notebook behind nginx: the port of nginx, and the port that only it may ask."""

    notebook: Notebook
    folder: Path
    port: int
    behind: int

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> Said:
        trust = ssl.create_default_context(cafile=self.folder / "cert.pem")
        line = http.client.HTTPSConnection("127.0.0.1", self.port, context=trust, timeout=30)
        raw = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        raw.connect()
        line.sock = trust.wrap_socket(raw.sock, server_hostname=HOST)
        sent = {"Host": HOST, "X-Scout": "1", "Content-Type": JSON}
        sent |= {name.replace("_", "-"): value for name, value in headers.items()}
        line.request(method, path, body=body, headers=sent)
        said = line.getresponse()
        answer = Said(said.status, {k.lower(): v for k, v in said.getheaders()}, said.read())
        line.close()
        return answer

    def directly(self, **headers: str) -> tuple[int, bytes]:
        line = http.client.HTTPConnection("127.0.0.1", self.behind, timeout=30)
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        line.request("GET", f"{API}ping", headers={"Host": HOST, **sent})
        said = line.getresponse()
        found = said.status, said.read()
        line.close()
        return found


@pytest.fixture
def proxied(
    notebook: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Proxied]:
    monkeypatch.setenv("PATH", f"{os.environ['PATH']}:/usr/sbin")  # where Debian puts it
    nginx = program(("nginx",), "nginx-light")
    certificate(tmp_path)
    port, behind = free_ports(2)
    block = told_in_readme()
    for told, here in (
        ("listen 443 ssl;", f"listen 127.0.0.1:{port} ssl;"),
        ("/etc/ssl/notebook/fullchain.pem", str(tmp_path / "cert.pem")),
        ("/etc/ssl/notebook/privkey.pem", str(tmp_path / "key.pem")),
        ("127.0.0.1:8391", f"127.0.0.1:{behind}"),
    ):
        assert told in block, told
        block = block.replace(told, here)
    kinds = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    temporary = "\n".join(f"{kind}_temp_path {tmp_path / kind};" for kind in kinds)
    user = "user root;" if os.geteuid() == 0 else ""
    (tmp_path / "nginx.conf").write_text(
        f"{user} daemon off; pid {tmp_path / 'pid'}; error_log {tmp_path / 'error.log'};\n"
        "events {}\n"
        f"http {{\naccess_log {tmp_path / 'access.log'};\n{temporary}\n{block}\n}}\n"
    )
    door = Door(PROXY, (HOST,), proxy="127.0.0.1")
    with in_background(listen_through(create_app(notebook), door, behind)):
        process = subprocess.Popen([nginx, "-c", tmp_path / "nginx.conf", "-e", tmp_path / "e"])
        try:
            found = Proxied(notebook, tmp_path, port, behind)
            for _ in range(100):
                with suppress(OSError):
                    found.ask("GET", "/padlock")
                    break
                time.sleep(0.1)
            yield found
        finally:
            process.terminate()
            process.wait()


def test_a_phone_pairs_and_syncs_through_it(proxied: Proxied) -> None:
    assert proxied.ask("GET", f"{API}ping").status == 401
    first = proxied.ask("GET", "/index.html")
    assert first.status == 200
    assert first.headers["strict-transport-security"] == "max-age=31536000"
    with proxied.notebook.store.reading() as db:
        owner = db.conn.execute("SELECT id FROM person").fetchone()[0]
    printed = pairing.print_one(proxied.notebook, owner)
    device = "01900000-0000-7000-8000-00000000abcd"
    claim = {"typed": printed.secret, "device": device, "name": "phone"}
    said = proxied.ask("POST", f"{API}pair/claim", json.dumps(claim).encode())
    assert said.status == 200, said.body
    cookie = said.headers["set-cookie"].split(";")[0]
    assert cookie.startswith(COOKIE)
    assert proxied.ask("GET", f"{API}ping", Cookie=cookie).json["service"] == "scout"
    pushed = proxied.ask("POST", f"{API}push", b'{"changes": []}', Cookie=cookie)
    assert pushed.status == 200
    large = proxied.ask("POST", f"{API}push", b"x" * 2_000_000, Cookie=cookie)
    assert large.status == 413


def test_nobody_is_the_owner_for_standing_at_the_machine(proxied: Proxied) -> None:
    assert proxied.ask("GET", f"{API}people").status == 401
    status, said = proxied.directly()
    assert status == 403
    assert b"--proxy" in said


@pytest.mark.parametrize(
    "forged",
    [
        {"X_Forwarded_For": "127.0.0.1", "X_Forwarded_Proto": "https"},
        {"X_Forwarded_For": "192.168.1.4, 127.0.0.1"},
        {"Forwarded": "for=127.0.0.1;proto=https"},
        {"X_Real_IP": "127.0.0.1", "X_Forwarded_Host": "localhost"},
    ],
)
def test_what_a_client_forges_counts_for_nothing(proxied: Proxied, forged: dict[str, str]) -> None:
    device = "01900000-0000-7000-8000-00000000abcd"
    body = json.dumps({"device": device, "name": "x"}).encode()
    said = proxied.ask("POST", f"{API}pair/start", body, **forged)
    assert said.status == 200, said.body
    with proxied.notebook.store.reading() as db:
        held = db.conn.execute("SELECT address FROM pairing").fetchall()
    assert held == [("127.0.0.1",)], "the address of this test, as nginx itself saw it"
    assert proxied.ask("GET", f"{API}people", **forged).status == 401


def test_another_address_than_the_named_one_forwards_nothing(
    notebook: Notebook, tmp_path: Path
) -> None:
    (port,) = free_ports(1)
    door = Door(PROXY, (HOST,), proxy="127.0.0.2")
    with in_background(listen_through(create_app(notebook), door, port)):
        found = Proxied(notebook, tmp_path, 0, port)
        forwarded = {"X_Forwarded_For": "192.168.1.4", "X_Forwarded_Proto": "https"}
        assert found.directly(**forwarded)[0] == 403


def test_a_proxy_without_tls_is_refused(proxied: Proxied) -> None:
    plain = {"X_Forwarded_For": "192.168.1.4", "X_Forwarded_Proto": "http"}
    assert proxied.directly(**plain)[0] == 403
    safe = {"X_Forwarded_For": "192.168.1.4", "X_Forwarded_Proto": "https"}
    assert proxied.directly(**safe)[0] == 401
    assert proxied.directly(**{**safe, "X_Forwarded_For": "nonsense"})[0] == 403


def test_it_writes_down_no_address_for_a_tiles_is_a_place(proxied: Proxied) -> None:
    tile = f"{API}maps/heath/14/8093/5397"
    assert proxied.ask("GET", tile).status == 401
    body = json.dumps({"device": "01900000-0000-7000-8000-00000000abcd", "name": "x"}).encode()
    assert proxied.ask("POST", f"{API}pair/start", body).status == 200
    assert (proxied.folder / "access.log").read_text() == ""
    assert tile not in (proxied.folder / "error.log").read_text()
