"""`reckoner certificate [NAME ...]`: a certificate of the shop's own, so that telephones open lists without signal."""

from __future__ import annotations

import argparse
import socket
import sys

from webapp.settings import Settings

#: An address set aside for examples (RFC 5737, 2010): nothing is sent to it, the machine only says which way it would.
SOMEWHERE = ("192.0.2.1", 9)


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command with its options."""
    parser = commands.add_parser("certificate", help="make a certificate of the shop's own, for telephones at the yard")
    parser.add_argument(
        "names", nargs="*", metavar="NAME",
        help="a name or an address that the shop is reached by; left out, this machine's own",
    )  # fmt: skip
    parser.add_argument("--anew", action="store_true", help="in place of the one there is; telephones take it anew")
    parser.set_defaults(run=certificate)


def certificate(arguments: argparse.Namespace) -> int:
    """Make it, and say how to serve with it. Returns 2 with a sentence where it can't be made or is there already."""
    from webapp.own_certificate import (
        CertificateRefused,
        files_in,
        keep_certificate,
        make_certificate,
        read_authority,
    )
    from webapp.running import utc_now

    folder = Settings().data_folder
    if files_in(folder).chain.exists() and not arguments.anew:
        print(
            f"The shop has one in {files_in(folder).chain}. With --anew another takes its place, and every telephone "
            "has to take that.", file=sys.stderr,
        )  # fmt: skip
        return 2
    try:
        made = make_certificate([name.lower() for name in arguments.names] or own_names(), utc_now())
    except CertificateRefused as error:
        print(error, file=sys.stderr)
        return 2
    files = keep_certificate(folder, made)
    told = read_authority(folder)
    assert told is not None
    print(f"A certificate for {', '.join(told.names)}, good until {told.until:%Y-%m-%d}.")
    print(f"Its fingerprint (SHA-256), to compare on each telephone:\n{told.fingerprint}")
    print(f"Its key is in {files.key}, for this machine alone: it is in no backup. Hand it to nobody.")
    print(f"Serve with it:\nreckoner serve --host 0.0.0.0 --tls-cert {files.chain} --tls-key {files.key}")
    print("Then open the page /phone, which shows how a telephone takes it.")
    return 0


def own_names() -> list[str]:
    """What this machine is called in its network, and its address there."""
    own = socket.gethostname().lower().partition(".")[0]
    names = [f"{own}.local", own, "localhost"]
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(SOMEWHERE)
            names.append(asked.getsockname()[0])
        except OSError:
            pass
    return [*dict.fromkeys(names), *([] if "127.0.0.1" in names else ["127.0.0.1"])]
