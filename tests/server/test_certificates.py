"""The notebook's own authority and its server's certificate, judged by OpenSSL and cryptography.

What phones ask of a certificate: Apple, "Requirements for trusted certificates" (103769): SAN, EKU
serverAuth, at most 825 days, P-256 or better. RFC 5280, 4.2.1: name constraints are critical.
"""

from __future__ import annotations

import datetime as dt
import ipaddress
import shutil
import ssl
import stat
import subprocess
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from scout.records.trouble import Refused
from scout.server.certificates import FOLDER, ROOT_FILE, Authority, Shown, authority, shown

NOW = dt.datetime.now(dt.UTC).replace(microsecond=0)
NAMES = ("scout.local", "localhost")
ADDRESSES = [ipaddress.IPv4Address("192.168.1.20"), ipaddress.IPv4Address("127.0.0.1")]


def made(
    home: Path, now: dt.datetime = NOW, addresses: list[ipaddress.IPv4Address] = ADDRESSES
) -> tuple[Authority, Shown]:
    root = authority(home, now)
    return root, shown(home, root, NAMES, addresses, now)


def leaf_of(certificate: Shown) -> x509.Certificate:
    return x509.load_pem_x509_certificates(certificate.chain.read_bytes())[0]


def is_believed(root: Authority, leaf: x509.Certificate, name: x509.GeneralName) -> bool:
    """Ask cryptography's own verifier, which follows the rules of the Web PKI."""
    assert isinstance(name, (x509.DNSName, x509.IPAddress))
    verifier = PolicyBuilder().store(Store([root.certificate])).build_server_verifier(name)
    try:
        verifier.verify(leaf, [])
    except VerificationError:
        return False
    return True


def forged(root: Authority, *names: x509.GeneralName) -> x509.Certificate:
    """Sign, with the root's stolen key, a certificate for names it may not vouch for."""
    key = ec.generate_private_key(ec.SECP256R1())
    return (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "forged")]))
        .issuer_name(root.certificate.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(NOW - dt.timedelta(days=1))
        .not_valid_after(NOW + dt.timedelta(days=30))
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(root.key.public_key()), False
        )
        .sign(root.key, hashes.SHA256())
    )


def test_the_verifiers_believe_it_under_each_of_its_names(tmp_path: Path) -> None:
    root, certificate = made(tmp_path)
    leaf = leaf_of(certificate)
    for name in NAMES:
        assert is_believed(root, leaf, x509.DNSName(name))
    for address in ADDRESSES:
        assert is_believed(root, leaf, x509.IPAddress(address))
    assert not is_believed(root, leaf, x509.DNSName("other.local"))
    assert not is_believed(root, leaf, x509.IPAddress(ipaddress.ip_address("192.168.1.21")))


@pytest.mark.skipif(shutil.which("openssl") is None, reason="needs the program openssl")
def test_openssl_finds_nothing_to_say_against_it(tmp_path: Path) -> None:
    _, certificate = made(tmp_path)
    said = subprocess.run(
        [
            *("openssl", "verify", "-x509_strict", "-purpose", "sslserver"),
            *("-verify_ip", "192.168.1.20", "-CAfile", str(tmp_path / FOLDER / ROOT_FILE)),
            str(certificate.chain),
        ],
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert said.returncode == 0, said.stderr
    assert said.stdout.strip().endswith(": OK")


@pytest.mark.parametrize(
    "name",
    [
        x509.DNSName("example.org"),
        x509.DNSName("scout.local.example.org"),
        x509.IPAddress(ipaddress.ip_address("198.51.100.7")),
        x509.IPAddress(ipaddress.ip_address("2001:db8::7")),
    ],
    ids=str,
)
def test_a_stolen_root_vouches_for_nothing_outside_the_house(
    tmp_path: Path, name: x509.GeneralName
) -> None:
    root, _ = made(tmp_path)
    assert not is_believed(root, forged(root, name), name)
    inside = x509.DNSName("other.local")
    assert is_believed(root, forged(root, inside), inside), "the same forgery inside is believed"


def test_the_root_is_what_phones_ask_for(tmp_path: Path) -> None:
    root, _ = made(tmp_path)
    held = root.certificate
    assert held.subject.get_attributes_for_oid(NameOID.COMMON_NAME)[0].value
    basic = held.extensions.get_extension_for_class(x509.BasicConstraints)
    assert basic.critical
    assert (basic.value.ca, basic.value.path_length) == (True, 0)
    assert held.extensions.get_extension_for_class(x509.NameConstraints).critical
    years = (held.not_valid_after_utc - held.not_valid_before_utc).days / 365.25
    assert 9.9 < years < 10.1
    assert isinstance(held.signature_hash_algorithm, hashes.SHA256)


def test_the_servers_certificate_is_what_phones_ask_for(tmp_path: Path) -> None:
    _, certificate = made(tmp_path)
    leaf = leaf_of(certificate)
    days = (leaf.not_valid_after_utc - NOW).total_seconds() / 86_400
    assert days == 397
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc <= dt.timedelta(days=825)
    usage = leaf.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(usage) == [ExtendedKeyUsageOID.SERVER_AUTH]
    public = leaf.public_key()
    assert isinstance(public, ec.EllipticCurvePublicKey)
    assert isinstance(public.curve, ec.SECP256R1)
    assert not leaf.extensions.get_extension_for_class(x509.BasicConstraints).value.ca


def test_the_keys_are_their_owners_alone(tmp_path: Path) -> None:
    made(tmp_path)
    for name in ("scout-root.key", "server.key"):
        assert stat.S_IMODE((tmp_path / FOLDER / name).stat().st_mode) == 0o600
    (tmp_path / FOLDER / "scout-root.key").chmod(0o644)  # as a careless copy leaves it
    authority(tmp_path, NOW)
    assert stat.S_IMODE((tmp_path / FOLDER / "scout-root.key").stat().st_mode) == 0o600


def test_a_start_changes_nothing_until_it_must(tmp_path: Path) -> None:
    root, first = made(tmp_path)
    assert root.fresh
    again, second = made(tmp_path, NOW + dt.timedelta(days=300))
    assert not again.fresh
    assert again.pem == root.pem
    assert second.renewed is None
    assert leaf_of(second) == leaf_of(first)
    third, late = made(tmp_path, NOW + dt.timedelta(days=368))
    assert late.renewed == "the old one was about to end"
    assert third.pem == root.pem, "the phones need nothing"
    _, moved = made(tmp_path, NOW, [ipaddress.IPv4Address("192.168.1.99")])
    assert moved.renewed is not None


def test_new_addresses_make_it_anew(tmp_path: Path) -> None:
    made(tmp_path)
    root, moved = made(tmp_path, NOW, [ipaddress.IPv4Address("10.0.0.9")])
    assert moved.renewed == "the machine's names or addresses changed"
    assert is_believed(root, leaf_of(moved), x509.IPAddress(ipaddress.ip_address("10.0.0.9")))


def test_a_certificate_without_its_key_is_made_anew(tmp_path: Path) -> None:
    _, first = made(tmp_path)
    first.key.write_bytes(
        ec.generate_private_key(ec.SECP256R1()).private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    _, second = made(tmp_path)
    assert second.renewed is not None
    ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(second.chain, second.key)


@pytest.mark.parametrize("spoilt", ["scout-root.key", ROOT_FILE])
@pytest.mark.parametrize("how", ["gone", "cut", "another"])
def test_a_spoilt_root_is_refused_in_words(tmp_path: Path, spoilt: str, how: str) -> None:
    made(tmp_path)
    path = tmp_path / FOLDER / spoilt
    if how == "gone":
        path.unlink()
    elif how == "cut":
        path.write_bytes(path.read_bytes()[:60])
    else:
        (tmp_path / "other").mkdir()
        made(tmp_path / "other")
        path.write_bytes((tmp_path / "other" / FOLDER / spoilt).read_bytes())
    with pytest.raises(Refused, match=r"delete both files scout-root"):
        authority(tmp_path, NOW)
