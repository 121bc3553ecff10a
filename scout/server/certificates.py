"""The notebook's own certificate authority, and the certificate that its server shows on the LAN.

The root lives ten years in the notebook's folder `door`, its key readable by its owner alone, and
can vouch for nothing but this house: names under `.local` and `.home.arpa`, and private addresses.
The server's certificate is made anew at a start when it is about to end or its names changed. Not
for: a certificate of a public name (the proxy in front holds that), or what is served.
"""

from __future__ import annotations

import datetime as dt
import ipaddress
import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final

import attrs
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from scout.records.trouble import Refused

Address = ipaddress.IPv4Address | ipaddress.IPv6Address

FOLDER: Final = "door"
ROOT_FILE: Final = "scout-root.pem"
ROOT_DAYS: Final = 3650
LEAF_DAYS: Final = 397
"""Phones refuse a server's certificate that is valid for more than 825 days."""
RENEW_DAYS: Final = 30
_BEFORE = dt.timedelta(days=1)  # a phone's clock may be behind ours
NAMES: Final = ("local", "home.arpa", "localhost")
NETWORKS: Final = (
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "127.0.0.0/8",
    "fc00::/7",
    "fe80::/10",
    "::1/128",
)
_PRIVATE = [ipaddress.ip_network(network) for network in NETWORKS]


@attrs.frozen
class Authority:
    """The notebook's root certificate and its key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey
    fresh: bool

    @property
    def pem(self) -> bytes:
        return self.certificate.public_bytes(serialization.Encoding.PEM)

    @property
    def der(self) -> bytes:
        return self.certificate.public_bytes(serialization.Encoding.DER)

    @property
    def fingerprint(self) -> str:
        """Its SHA-256 as phones show it, to be compared by eye."""
        return self.certificate.fingerprint(hashes.SHA256()).hex(":").upper()


@attrs.frozen
class Shown:
    """The certificate that the server shows: its files, and why it was made anew (or None)."""

    chain: Path
    key: Path
    ends: dt.datetime
    renewed: str | None


def is_private(address: Address) -> bool:
    """Tell whether the root may vouch for an address."""
    return any(address in network for network in _PRIVATE if network.version == address.version)


def authority(home: Path, now: dt.datetime) -> Authority:
    """Open the authority of the notebook in `home`, made on first use. Raises Refused, OSError."""
    folder = home / FOLDER
    certificate_file, key_file = folder / ROOT_FILE, folder / "scout-root.key"
    if not certificate_file.exists() and not key_file.exists():
        folder.mkdir(mode=0o700, exist_ok=True)
        return _found(certificate_file, key_file, now)
    try:
        certificate = x509.load_pem_x509_certificate(certificate_file.read_bytes())
        key = serialization.load_pem_private_key(key_file.read_bytes(), password=None)
    except (ValueError, TypeError, FileNotFoundError):
        raise Refused.one(_SPOILT) from None
    if not isinstance(key, ec.EllipticCurvePrivateKey) or (
        key.public_key().public_numbers() != _numbers(certificate)
    ):
        raise Refused.one(_SPOILT)
    if certificate.not_valid_after_utc <= now:
        raise Refused.one(
            "this notebook's root certificate has ended; delete the two files scout-root in its "
            f"folder {FOLDER}, start again, and install the new one on every phone"
        )
    os.chmod(key_file, 0o600)
    return Authority(certificate, key, fresh=False)


def shown(
    home: Path,
    authority: Authority,
    names: Sequence[str],
    addresses: Iterable[Address],
    now: dt.datetime,
) -> Shown:
    """Answer the server's certificate for these names and addresses, renewed where it must be."""
    chain, key_file = home / FOLDER / "server.pem", home / FOLDER / "server.key"
    wanted = {*names, *map(str, addresses)}
    try:
        held = x509.load_pem_x509_certificate(chain.read_bytes())
        key = serialization.load_pem_private_key(key_file.read_bytes(), password=None)
        paired = key.public_key() == held.public_key()
    except (OSError, ValueError, TypeError):
        return _made(chain, key_file, authority, wanted, now, "it is new")
    why = None
    if not paired or not _is_of(held, authority):
        why = "the old one was of another root"
    elif held.not_valid_after_utc - now < dt.timedelta(days=RENEW_DAYS):
        why = "the old one was about to end"
    elif held.not_valid_before_utc > now:
        why = "the old one was of a later day than the clock shows"
    elif _names_of(held) != wanted:
        why = "the machine's names or addresses changed"
    if why is not None:
        return _made(chain, key_file, authority, wanted, now, why)
    return Shown(chain, key_file, held.not_valid_after_utc, None)


_SPOILT = (
    f"the root certificate in the notebook's folder {FOLDER} or its key is missing or spoilt; put "
    "both back from a copy, or delete both files scout-root, start again, and install the new "
    "certificate on every phone"
)


def _found(certificate_file: Path, key_file: Path, now: dt.datetime) -> Authority:
    key = ec.generate_private_key(ec.SECP256R1())
    public = key.public_key()
    # Phones list a root by its CommonName, and not at all without one.
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.COMMON_NAME, f"Scouting notebook {now:%Y-%m-%d}"),
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, "This notebook alone"),
        ]
    )
    permitted: list[x509.GeneralName] = [x509.DNSName(one) for one in NAMES]
    permitted += [x509.IPAddress(network) for network in _PRIVATE]
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(public)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _BEFORE)
        .not_valid_after(now + dt.timedelta(days=ROOT_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        .sign(key, hashes.SHA256())
    )
    _write_key(key_file, key)
    certificate_file.write_bytes(certificate.public_bytes(serialization.Encoding.PEM))
    return Authority(certificate, key, fresh=True)


def _made(
    chain: Path, key_file: Path, root: Authority, wanted: set[str], now: dt.datetime, why: str
) -> Shown:
    key = ec.generate_private_key(ec.SECP256R1())
    named = sorted(wanted)
    ends = min(now + dt.timedelta(days=LEAF_DAYS), root.certificate.not_valid_after_utc)
    identifier = root.certificate.extensions.get_extension_for_class(x509.SubjectKeyIdentifier)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, _first_name(named))]))
        .issuer_name(root.certificate.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(max(now - _BEFORE, root.certificate.not_valid_before_utc))
        .not_valid_after(ends)
        .add_extension(x509.SubjectAlternativeName([_general(one) for one in named]), False)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(identifier.value), False
        )
        .sign(root.key, hashes.SHA256())
    )
    _write_key(key_file, key)
    chain.write_bytes(certificate.public_bytes(serialization.Encoding.PEM) + root.pem)
    return Shown(chain, key_file, certificate.not_valid_after_utc, why)


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        encipher_only=False,
        decipher_only=False,
    )


def _write_key(path: Path, key: ec.EllipticCurvePrivateKey) -> None:
    """Write a key so that at no moment anybody else can read it."""
    path.unlink(missing_ok=True)
    with open(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(
            key.private_bytes(
                serialization.Encoding.PEM,
                serialization.PrivateFormat.PKCS8,
                serialization.NoEncryption(),
            )
        )


def _general(one: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(one))
    except ValueError:
        return x509.DNSName(one)


def _first_name(named: list[str]) -> str:
    """A name rather than an address, the longest first label last."""
    names = [one for one in named if isinstance(_general(one), x509.DNSName)]
    return next((one for one in names if one.endswith(".local")), (names or named)[0])[:64]


def _names_of(held: x509.Certificate) -> set[str]:
    try:
        extension = held.extensions.get_extension_for_class(x509.SubjectAlternativeName)
    except x509.ExtensionNotFound:
        return set()
    found = extension.value.get_values_for_type(x509.DNSName)
    return {*found, *map(str, extension.value.get_values_for_type(x509.IPAddress))}


def _is_of(held: x509.Certificate, root: Authority) -> bool:
    try:
        held.verify_directly_issued_by(root.certificate)
    except Exception:  # whatever is wrong with it, it is made anew
        return False
    return True


def _numbers(certificate: x509.Certificate) -> ec.EllipticCurvePublicNumbers | None:
    public = certificate.public_key()
    return public.public_numbers() if isinstance(public, ec.EllipticCurvePublicKey) else None
