"""Set-up from a fresh checkout, with nothing but Python and Debian:

    python3 webapp/bootstrap.py serve [options]     make ready and serve the shop's pages
    python3 webapp/bootstrap.py test [options]      make ready and run every check; options go to pytest,
                                                    but --long, which tries far more drawn examples and jobs

It makes .venv, installs exactly what the lock file names, and does so again only when that has changed.
"""

from __future__ import annotations

import ctypes
import glob
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys

CHECKOUT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
VENV = os.path.join(CHECKOUT, ".venv")
LOCK = os.path.join(CHECKOUT, "requirements.lock")
PROJECT = os.path.join(CHECKOUT, "pyproject.toml")
BYTECODE = os.path.join(VENV, "bytecode")
INSTALLED = os.path.join(VENV, "installed-from")

OLDEST_PYTHON = (3, 11)
LONG = "--long"
LIBRARIES = {
    "libpango-1.0.so.0": "libpango-1.0-0",
    "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libharfbuzz-subset.so.0": "libharfbuzz-subset0",
}


def main(arguments: list[str]) -> int:
    """Make ready, then hand over to what was asked for."""
    if len(arguments) < 1 or arguments[0] not in ("serve", "test"):
        print(__doc__, file=sys.stderr)
        return 2
    if sys.version_info < OLDEST_PYTHON:
        print(f"Shop Reckoner needs Python 3.11 or newer; this is {sys.version.split()[0]}.", file=sys.stderr)
        return 2
    doing, further = arguments[0], arguments[1:]
    missing = missing_packages(for_tests=doing == "test")
    if missing and not install_packages(missing):
        return 2
    failed = make_venv() or install_lock() or compile_loops()
    if failed:
        return failed
    if doing == "serve":
        program = in_venv("reckoner")
        sys.stdout.flush()
        os.execv(program, [program, "serve", *further])
    return run_checks(further)


def in_venv(program: str) -> str:
    """The path of a program of the virtual environment."""
    return os.path.join(VENV, "bin", program)


def missing_packages(for_tests: bool) -> list[str]:
    """Debian's packages that are needed and not there."""
    missing = []
    if importlib.util.find_spec("ensurepip") is None or importlib.util.find_spec("venv") is None:
        missing.append("python3-venv")
    for library, package in LIBRARIES.items():
        try:
            ctypes.CDLL(library)
        except OSError:
            missing.append(package)
    if for_tests:
        if not os.path.exists("/usr/bin/chromium"):
            missing.append("chromium")
        if not os.path.exists("/usr/bin/strace"):
            missing.append("strace")
        if not glob.glob("/usr/lib/postgresql/*/bin/initdb"):
            missing.append("postgresql")
    return missing


def install_packages(packages: list[str]) -> bool:
    """Install Debian's packages where that is allowed, else say what to type. True where they are there now."""
    command = ["apt-get", "install", "-y", "--no-install-recommends", *packages]
    if shutil.which("apt-get") is None:
        print(f"These of Debian's packages, or their like, are needed: {' '.join(packages)}", file=sys.stderr)
        return False
    if os.geteuid() != 0:
        print("These are missing; install them with this command, then start again:", file=sys.stderr)
        print(f"    sudo {' '.join(command)}", file=sys.stderr)
        return False
    print(f"Installing {', '.join(packages)}", flush=True)
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for step in (["apt-get", "update", "-qq"], command):
        if subprocess.run(step, env=quiet, stdout=subprocess.DEVNULL).returncode:
            print(f"This didn't work: {' '.join(step)}", file=sys.stderr)
            return False
    return True


def make_venv() -> int:
    """Make .venv, or make it anew where its Python is gone or another. Returns an exit status."""
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    asked = [in_venv("python"), "-c", "import sys; print('%d.%d' % sys.version_info[:2])"]
    if os.path.exists(asked[0]):
        answer = subprocess.run(asked, capture_output=True, text=True)
        if answer.returncode == 0 and answer.stdout.strip() == version:
            return 0
    print("Making .venv", flush=True)
    return subprocess.run([sys.executable, "-m", "venv", "--clear", VENV]).returncode


def install_lock() -> int:
    """Install what the lock names, checked against its digests, unless it is installed. Returns an exit status."""
    wanted = hashlib.sha256()
    for file in (LOCK, PROJECT):
        with open(file, "rb") as held:
            wanted.update(held.read())
    if os.path.exists(INSTALLED) and os.path.exists(in_venv("reckoner")):
        with open(INSTALLED) as held_text:
            if held_text.read() == wanted.hexdigest():
                return 0
    print("Installing what requirements.lock names", flush=True)
    pip = [in_venv("python"), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-compile"]
    for what in (
        # The lock is whole. Left to follow what packages ask for themselves, pip takes an extra's newest release over
        # the one that the lock names, and then refuses it for having no digest.
        ["--require-hashes", "--no-deps", "-r", LOCK],
        # The lock holds the build tool, so that the project itself is installed without asking the network again.
        ["--no-deps", "--no-build-isolation", "--editable", CHECKOUT],
    ):
        failed = subprocess.run([*pip, *what]).returncode
        if failed:
            print("The packages couldn't be installed; nothing was started.", file=sys.stderr)
            return failed
    with open(INSTALLED, "w") as written:
        written.write(wanted.hexdigest())
    return 0


def compile_loops() -> int:
    """Compile the innermost loops of the cutting room, unless they are: once, not in each process that is started."""
    command = [in_venv("python"), "-c", "import webapp.costing.plans.first_plan"]
    return subprocess.run(command, cwd=CHECKOUT).returncode


def run_checks(further: list[str]) -> int:
    """Style, types and tests, all of them even after one has failed. Returns 0 where all passed."""
    told = {**os.environ, **({"RECKONER_LONG": "1"} if LONG in further else {}), "PYTHONPYCACHEPREFIX": BYTECODE}
    # The tests start some two hundred processes, each of some two thousand modules: to compile them again in each
    # takes longer than what they do. Whoever lets Python write no bytecode finds none beside the sources all the same.
    told.pop("PYTHONDONTWRITEBYTECODE", None)
    options = [one for one in further if one != LONG]
    # One process more than cores, since browsers and servers are waited for. Each begins with a run of neighbouring
    # tests, which share what they make, and takes from another's rest when it is done.
    parted = ["-n", str((os.cpu_count() or 1) + 1), "--dist", "worksteal", "--durations", "20"]
    checks = (
        ("style", ["ruff", "check", "."]),
        ("types", ["mypy"]),
        ("tests", ["pytest", *parted, *options]),
    )
    failed = []
    for name, (program, *arguments) in checks:
        print(f"== {name}", flush=True)
        if subprocess.run([in_venv(program), *arguments], cwd=CHECKOUT, env=told).returncode:
            failed.append(name)
    print(f"Failed: {', '.join(failed)}" if failed else "All checks passed.", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
