"""A certificate of the shop's own, so that telephones reach it over an encrypted line and open a list without signal.

An authority is made for this one certificate, says that it vouches for the shop's names alone, and its key is thrown
away at once: nobody can ever have anything else signed by what the telephones trust. What stays is the certificate,
its key, which only its owner may read and no backup holds, and the authority's certificate for the telephones. After
some two years a new one is made, and the telephones take it anew.
"""

from __future__ import annotations

import ipaddress
import re
import ssl
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from webapp.persistence.foundation.kept_files import make_folder, new_file

#: Telephones refuse certificates of one's own that hold for more than 825 days.
HOLDS: Final = timedelta(days=820)
#: A telephone's clock may be behind the shop's.
BEFORE: Final = timedelta(days=1)
_EVERYTHING: Final = ("0.0.0.0/0", "::/0")
_NAME: Final = re.compile(r"(?=.{1,253}$)[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?(\.[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?)*")
#: How many names one certificate holds at most.
MOST_NAMES: Final = 20


class CertificateRefused(Exception):
    """Why a certificate can't be made or served with, in a sentence."""


@dataclass(frozen=True, slots=True)
class Made:
    """The certificate with the authority's behind it, its key, and the authority's certificate, each as PEM."""

    chain: bytes
    key: bytes
    authority: bytes


@dataclass(frozen=True, slots=True)
class Authority:
    """What a telephone is shown of the authority: for which names it is good, until when, and its fingerprint."""

    names: tuple[str, ...]
    until: datetime
    fingerprint: str


@dataclass(frozen=True, slots=True)
class Files:
    """Where the three are kept."""

    chain: Path
    key: Path
    authority: Path


def files_in(data_folder: Path) -> Files:
    """The places of a shop's own certificate."""
    folder = data_folder / "certificate"
    return Files(folder / "shop.pem", folder / "shop.key", folder / "telephones.pem")


def make_certificate(names: Sequence[str], at: datetime) -> Made:
    """A certificate for these names and addresses, from `at` on. Raises CertificateRefused naming what can't be one."""
    if not 1 <= len(names) <= MOST_NAMES:
        raise CertificateRefused(f"A certificate is for 1 to {MOST_NAMES} names, not for {len(names)}.")
    known = [_general_name(name) for name in dict.fromkeys(names)]
    vouching, serving = (ec.generate_private_key(ec.SECP256R1()) for _ in range(2))
    issuer = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Shop Reckoner at {names[0]}"[:64])])
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0][:64])])
    authority = (
        _begun(issuer, issuer, vouching, at)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(_only(known), critical=True)
        .sign(vouching, hashes.SHA256())
    )
    shop = (
        _begun(subject, issuer, serving, at)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(known), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(vouching.public_key()), critical=False)
        .sign(vouching, hashes.SHA256())
    )
    plain = serialization.Encoding.PEM
    key = serving.private_bytes(plain, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    vouches = authority.public_bytes(plain)
    return Made(shop.public_bytes(plain) + vouches, key, vouches)


def keep_certificate(data_folder: Path, made: Made) -> Files:
    """Keep the three in the data folder, for their owner alone. Raises StoreFull."""
    files = files_in(data_folder)
    make_folder(files.chain.parent)
    for file, content in ((files.key, made.key), (files.chain, made.chain), (files.authority, made.authority)):
        with new_file(file) as target:
            target.write(content)
    return files


def read_authority(data_folder: Path) -> Authority | None:
    """What is told of the shop's own authority; None where the shop has none."""
    found = authority_as_sent(data_folder)
    if found is None:
        return None
    one = x509.load_der_x509_certificate(found)
    only = one.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    names = tuple(str(name.value).removesuffix("/32").removesuffix("/128") for name in only)
    return Authority(names, one.not_valid_after_utc, fingerprint_of(one))


def authority_as_sent(data_folder: Path) -> bytes | None:
    """The authority's certificate as telephones take it; None where the shop has none that can be read."""
    try:
        one = x509.load_pem_x509_certificate(files_in(data_folder).authority.read_bytes())
    except (OSError, ValueError):
        return None
    return one.public_bytes(serialization.Encoding.DER)


def fingerprint_of(one: x509.Certificate) -> str:
    """The SHA-256 of a certificate in pairs, as telephones and browsers show it."""
    return one.fingerprint(hashes.SHA256()).hex(" ").upper()


def check_served(chain: Path, key: Path) -> None:
    """Whether these can be served with. Raises CertificateRefused saying why not."""
    for file, what in ((chain, "certificate"), (key, "key")):
        try:
            file.read_bytes()
        except OSError as error:
            raise CertificateRefused(f"The {what} {file} can't be read: {error.strerror}.") from error
    try:
        # A key that is locked is refused; nobody is asked for its password in the middle of starting.
        ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(chain, key, password=lambda: "")
    except (ssl.SSLError, ValueError) as error:
        raise CertificateRefused(
            f"The certificate {chain} can't be served with the key {key}: they don't belong together, one isn't PEM, "
            "or the key is locked by a password."
        ) from error


def _general_name(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        pass
    if not _NAME.fullmatch(name):
        raise CertificateRefused(f"“{name}” is neither a name nor an address that a shop can be reached by.")
    return x509.DNSName(name)


def _only(names: Sequence[x509.GeneralName]) -> x509.NameConstraints:
    """These names and no other; a sort that none of them is of is ruled out, for what isn't named would be free."""
    permitted: list[x509.GeneralName] = []
    for name in names:
        permitted.append(x509.IPAddress(ipaddress.ip_network(name.value)) if isinstance(name, x509.IPAddress) else name)
    excluded: list[x509.GeneralName] = []
    if not any(isinstance(name, x509.IPAddress) for name in names):
        excluded += [x509.IPAddress(ipaddress.ip_network(every)) for every in _EVERYTHING]
    if not any(isinstance(name, x509.DNSName) for name in names):
        excluded.append(x509.DNSName(""))
    return x509.NameConstraints(permitted, excluded or None)


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, at: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - BEFORE)
        .not_valid_after(at - BEFORE + HOLDS)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates, key_cert_sign=signs_certificates, crl_sign=signs_certificates,
        content_commitment=False, key_encipherment=False, data_encipherment=False, key_agreement=False,
        encipher_only=False, decipher_only=False,
    )  # fmt: skip
