"""Starting the program as a person does: what it prints, what it refuses, and that it stops when told."""

from __future__ import annotations

import importlib.util
import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.request import urlopen

import pytest

from tests.commands.test_commands import reckoner
from webapp import bootstrap
from webapp.opening import DEMO_PASSWORD


def _command(*arguments: str) -> list[str]:
    return [sys.executable, "-m", "webapp.cli", "serve", *arguments]


def _environment(data: Path) -> dict[str, str]:
    return {**os.environ, "RECKONER_DATA": str(data), "RECKONER_PLAN_WORKERS": "0"}


@contextmanager
def _serving(data: Path, *arguments: str) -> Iterator[tuple[str, list[str]]]:
    """The address and the lines that are printed at the start."""
    process = subprocess.Popen(
        _command("--port", "0", *arguments), env=_environment(data), stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    lines = list[str]()
    while not lines or not lines[-1].startswith("The data is in"):
        line = process.stdout.readline()
        assert line, f"it stopped after {lines}"
        lines.append(line.rstrip("\n"))
    found = re.search(r"http://\S+/", lines[0])
    assert found is not None
    yield found.group(), lines
    process.send_signal(signal.SIGTERM)
    process.stdout.close()
    assert process.wait(20) in {0, -signal.SIGTERM}


def test_serve_prints_the_address_and_the_demo_sign_in(tmp_path: Path) -> None:
    for _ in range(2):
        with _serving(tmp_path / "data") as (address, lines):
            assert DEMO_PASSWORD in lines[1]
            with urlopen(f"{address}health", timeout=20) as answer:
                assert answer.read() == b"well\n"


def test_serve_empty_leaves_the_store_empty(tmp_path: Path) -> None:
    with _serving(tmp_path / "data", "--empty") as (address, lines):
        assert "the first visit sets up your shop" in lines[1]
        with urlopen(address, timeout=20) as answer:
            assert answer.url == f"{address}set-up"


def test_a_port_that_is_taken_is_said(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        done = reckoner(tmp_path, "serve", "--port", str(port), "--empty")
    assert done.returncode == 2
    assert f"Nothing can listen on 127.0.0.1 port {port}" in done.stderr


def test_set_up_asks_for_a_newer_python(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 10, 2))
    assert bootstrap.main(["test"]) == 2
    assert "needs Python 3.11 or newer" in capsys.readouterr().err


def test_set_up_says_what_to_type_for_missing_libraries(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(bootstrap, "LIBRARIES", {"libnowhere-7.so.0": "libnowhere-7-0"})
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    assert bootstrap.main(["serve"]) == 2
    said = capsys.readouterr().err
    assert "sudo apt-get install -y --no-install-recommends python3-venv libnowhere-7-0" in said


@pytest.mark.parametrize("arguments", [[], ["bake"]])
def test_set_up_says_how_it_is_used(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert bootstrap.main(arguments) == 2
    assert "python3 webapp/bootstrap.py serve" in capsys.readouterr().err


def test_nothing_is_installed_twice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the digest of the lock kept, no program is run; once the lock changes, pip is."""
    for name, content in (("lock", "a"), ("project", "b"), ("installed", "")):
        (tmp_path / name).write_text(content)
    (tmp_path / "bin").mkdir()
    (tmp_path / "bin" / "reckoner").touch()
    for name in ("LOCK", "PROJECT", "INSTALLED"):
        monkeypatch.setattr(bootstrap, name, str(tmp_path / name.lower()))
    monkeypatch.setattr(bootstrap, "VENV", str(tmp_path))
    run = list[list[str]]()

    def note(command: list[str]) -> subprocess.CompletedProcess[str]:
        run.append(command)
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr(subprocess, "run", note)
    assert bootstrap.install_lock() == 0
    assert len(run) == 2
    assert {"--require-hashes", "--no-deps"} < set(run[0])
    assert bootstrap.install_lock() == 0
    assert len(run) == 2
    (tmp_path / "lock").write_text("changed")
    assert bootstrap.install_lock() == 0
    assert len(run) == 4


@pytest.mark.parametrize("long", [True, False])
def test_a_long_run_tells_the_tests_so_and_nobody_else(long: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    run = list[tuple[list[str], str | None]]()

    def note(command: list[str], *, cwd: str, env: dict[str, str]) -> subprocess.CompletedProcess[str]:
        run.append((command, env.get("RECKONER_LONG")))
        assert env["PYTHONPYCACHEPREFIX"] == bootstrap.BYTECODE
        assert "PYTHONDONTWRITEBYTECODE" not in env, "each process would compile everything again"
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr(subprocess, "run", note)
    monkeypatch.delenv("RECKONER_LONG", raising=False)
    monkeypatch.setenv("PYTHONDONTWRITEBYTECODE", "1")
    assert bootstrap.run_checks(["-x", *(["--long"] if long else [])]) == 0
    tests, told = run[-1]
    assert told == ("1" if long else None)
    assert "--long" not in tests
    assert tests[-1] == "-x"
    assert {"--durations", "20"} < set(tests), "the log names the slowest"
