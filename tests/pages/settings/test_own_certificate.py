"""A certificate of the shop's own: Python's own ssl trusts it for the shop's names alone, and a page shows how to."""

from __future__ import annotations

import ipaddress
import os
import socket
import ssl
import stat
import subprocess
import sys
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zipfile import ZipFile

import httpx2
import pytest
from cryptography import x509

from tests.harness.program import STARTS_IN
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.cli import main
from webapp.own_certificate import (
    CertificateRefused,
    Made,
    authority_as_sent,
    check_served,
    files_in,
    fingerprint_of,
    keep_certificate,
    make_certificate,
    read_authority,
)
from webapp.persistence.backups.restore import make_backup
from webapp.persistence.database.database import Database
from webapp.settings import Settings

NOW = datetime(2026, 3, 4, 12, tzinfo=UTC)
NAMES = ["shop.local", "localhost", "192.168.7.20"]


@pytest.fixture(scope="module")
def made() -> Made:
    return make_certificate(NAMES, datetime.now(UTC))


def shake_hands(made: Made, folder: Path, called: str) -> None:
    """A client that trusts the authority calls a server that has the certificate by a name. Raises ssl.SSLError."""
    files = keep_certificate(folder, made)
    serving = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    serving.load_cert_chain(files.chain, files.key)
    asking = ssl.create_default_context(cadata=made.authority.decode())
    here, there = socket.socketpair()

    def answer() -> None:
        try:
            with serving.wrap_socket(there, server_side=True) as line:
                line.recv(1)
        except OSError:
            there.close()

    answering = threading.Thread(target=answer)
    answering.start()
    try:
        with asking.wrap_socket(here, server_hostname=called) as line:
            line.send(b"x")
    finally:
        here.close()
        answering.join(30)


@pytest.mark.parametrize("name", NAMES)
def test_whoever_took_it_trusts_the_shop_by_its_names(made: Made, tmp_path: Path, name: str) -> None:
    shake_hands(made, tmp_path, name)


@pytest.mark.parametrize("name", ["bank.example", "192.168.7.21", "shop.local.example"])
def test_and_nobody_by_another_name(made: Made, tmp_path: Path, name: str) -> None:
    with pytest.raises(ssl.SSLCertVerificationError, match=r"mismatch|not valid for"):
        shake_hands(made, tmp_path, name)


def test_the_authority_vouches_for_these_names_alone_and_signs_nothing_more(made: Made) -> None:
    """RFC 5280 (2008), 4.2.1.9 and 4.2.1.10: a path of length nothing, and names outside the permitted are refused."""
    authority = x509.load_pem_x509_certificate(made.authority)
    basic = authority.extensions.get_extension_for_class(x509.BasicConstraints)
    assert basic.critical
    assert (basic.value.ca, basic.value.path_length) == (True, 0)
    only = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert only.critical
    assert [one.value for one in only.value.permitted_subtrees or ()] == [
        "shop.local", "localhost", ipaddress.ip_network("192.168.7.20/32")
    ]  # fmt: skip
    # The key that is kept is the shop's own, whose certificate may sign none.
    shop = x509.load_pem_x509_certificate(made.chain)
    assert not shop.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    assert made.key.count(b"PRIVATE KEY") == 2
    assert shop.public_key() != authority.public_key()
    shop.verify_directly_issued_by(authority)


def test_a_sort_of_name_that_the_shop_has_not_is_ruled_out() -> None:
    """What no rule names would be free: RFC 5280 (2008), 4.2.1.10."""
    by_name, by_address = (
        x509.load_pem_x509_certificate(make_certificate([name], NOW).authority)
        .extensions.get_extension_for_class(x509.NameConstraints)
        .value
        for name in ("shop.local", "192.168.7.20")
    )
    assert [str(one.value) for one in by_name.excluded_subtrees or ()] == ["0.0.0.0/0", "::/0"]
    assert [one.value for one in by_address.excluded_subtrees or ()] == [""]


def test_it_holds_no_longer_than_telephones_allow(made: Made) -> None:
    """825 days at most, as makers of telephones publish (common practice), from a day ago: clocks differ."""
    for pem in (made.chain, made.authority):
        one = x509.load_pem_x509_certificate(pem)
        assert one.not_valid_after_utc - one.not_valid_before_utc <= timedelta(days=825)
        assert one.not_valid_before_utc < datetime.now(UTC) - timedelta(hours=23)


@pytest.mark.parametrize("name", ["", "a b", "shop..local", "-shop", "https://shop", "x" * 64, "*.shop.local"])
def test_what_can_be_no_name_is_named(name: str) -> None:
    with pytest.raises(CertificateRefused, match="neither a name nor an address"):
        make_certificate([name], NOW)


def test_its_key_is_its_owners_and_in_no_backup(made: Made, tmp_path: Path, shop_database: Database) -> None:
    files = keep_certificate(tmp_path, made)
    assert stat.S_IMODE(files.key.stat().st_mode) == 0o600
    assert stat.S_IMODE(files.key.parent.stat().st_mode) == 0o700
    make_backup(shop_database, tmp_path / "kept.zip", at=NOW)
    with ZipFile(tmp_path / "kept.zip") as kept:
        for name in kept.namelist():
            assert b"PRIVATE KEY" not in kept.read(name), name
            assert "certificate" not in name, name


def test_what_it_can_not_be_served_with_is_said(made: Made, tmp_path: Path) -> None:
    files = keep_certificate(tmp_path, made)
    check_served(files.chain, files.key)
    other = keep_certificate(tmp_path / "other", make_certificate(NAMES, NOW))
    with pytest.raises(CertificateRefused, match="don't belong together"):
        check_served(files.chain, other.key)
    with pytest.raises(CertificateRefused, match=r"nowhere\.pem can't be read: No such file"):
        check_served(tmp_path / "nowhere.pem", files.key)
    (tmp_path / "empty").write_bytes(b"")
    with pytest.raises(CertificateRefused, match="one isn't PEM"):
        check_served(files.chain, tmp_path / "empty")


def test_the_commands_make_it_keep_it_and_refuse_half_of_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("RECKONER_DATA", str(tmp_path))
    assert main(["certificate", "Shop.local", "192.168.7.20"]) == 0
    said = capsys.readouterr().out
    told = read_authority(tmp_path)
    assert told is not None
    assert told.names == ("shop.local", "192.168.7.20")
    assert told.fingerprint in said
    assert f"--tls-cert {files_in(tmp_path).chain}" in said
    assert main(["certificate", "shop.local"]) == 2
    assert "every telephone has to take that" in capsys.readouterr().err
    assert read_authority(tmp_path) == told
    assert main(["certificate", "--anew"]) == 0
    anew = read_authority(tmp_path)
    assert anew is not None
    assert "localhost" in anew.names
    assert anew.fingerprint != told.fingerprint
    capsys.readouterr()
    assert main(["serve", "--tls-cert", str(files_in(tmp_path).chain)]) == 2
    assert "--tls-key is missing" in capsys.readouterr().err
    assert main(["serve", "--tls-key", "nowhere", "--tls-cert", str(files_in(tmp_path).chain)]) == 2
    assert "The key nowhere can't be read" in capsys.readouterr().err


def test_the_shop_is_served_over_https_with_it(tmp_path: Path) -> None:
    files = keep_certificate(tmp_path, make_certificate(["localhost", "127.0.0.1"], datetime.now(UTC)))
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    serving = subprocess.Popen(
        [
            sys.executable, "-m", "webapp.cli", "serve", "--empty", "--port", str(port), "--tls-cert", str(files.chain),
            "--tls-key", str(files.key),
        ],
        env={**os.environ, "RECKONER_DATA": str(tmp_path), "RECKONER_PLAN_WORKERS": "0"},
        stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    ends = threading.Timer(STARTS_IN, serving.kill)
    ends.start()
    try:
        assert serving.stdout is not None
        assert serving.stdout.readline().strip() == f"Shop Reckoner is at https://127.0.0.1:{port}/"
        trusted = ssl.create_default_context(cafile=str(files.authority))
        with httpx2.Client(base_url=f"https://127.0.0.1:{port}", verify=trusted, timeout=STARTS_IN) as client:
            page = client.get("/set-up")
            assert page.status_code == 200
            assert "; Secure" in page.headers["set-cookie"]
    finally:
        ends.cancel()
        serving.terminate()
        serving.communicate(timeout=30)


def test_a_telephone_takes_it_before_anybody_signs_in(made: Made, settings: Settings, shop_database: Database) -> None:
    visitor = Visitor(create_app(settings, shop_database))
    assert "The shop has no certificate of its own" in visitor.get("/phone").text
    assert visitor.get("/phone/certificate").status_code == 404
    keep_certificate(settings.data_folder, made)
    page = visitor.get("/phone", headers={"Host": "localhost:8420"}).text
    told = read_authority(settings.data_folder)
    assert told is not None
    assert told.fingerprint in page
    assert "came over plain http" in page
    # Not by a name that means the telephone itself there.
    assert "http://192.168.7.20:8420/phone on the telephone" in page
    sent = visitor.get("/phone/certificate")
    assert sent.headers["content-type"] == "application/x-x509-ca-cert"
    assert sent.content == authority_as_sent(settings.data_folder)
    assert fingerprint_of(x509.load_der_x509_certificate(sent.content)) == told.fingerprint
