"""House rules that a reader would otherwise have to watch: sizes and names of files, and what templates may do."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from importlib import metadata
from pathlib import Path

import pytest
from jinja2 import nodes
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from webapp.paths import CHECKOUT, TEMPLATES
from webapp.rendering import ENVIRONMENT

LONGEST_FILE = 400
FOLDERS = ("webapp", "migrations", "templates", "tests")
ENDINGS = frozenset({".py", ".html", ".css", ".js", ".mako"})
VAGUE_NAMES = frozenset({"utils", "util", "helpers", "helper", "services", "service", "managers", "manager", "misc"})
TOP_LEVEL = frozenset(
    [
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "requirements.lock",
        "webapp",
        "migrations",
        "templates",
        "tests",
        "seed_data",
    ]
)
PASSING = frozenset({"data", "build", "node_modules"})

SUMS = (nodes.Add, nodes.Sub, nodes.Mul, nodes.Div, nodes.FloorDiv, nodes.Mod, nodes.Pow, nodes.Neg)
SUMMING_FILTERS = frozenset({"abs", "float", "int", "round", "sum"})
DRAWING_FILES = frozenset({"macros.html"})


def _files() -> Iterator[Path]:
    for folder in FOLDERS:
        for file in sorted((CHECKOUT / folder).rglob("*")):
            if file.suffix in ENDINGS and "__pycache__" not in file.parts:
                yield file


def test_files_can_be_read_in_one_go() -> None:
    lengths = {file: len(file.read_text(encoding="utf-8").splitlines()) for file in _files()}
    long = {str(file.relative_to(CHECKOUT)): lines for file, lines in lengths.items() if lines >= LONGEST_FILE}
    assert not long, f"these have {LONGEST_FILE} lines or more: {long}"


def test_names_say_what_is_inside() -> None:
    vague = [file for file in _files() if file.stem in VAGUE_NAMES or file.parent.name in VAGUE_NAMES]
    assert not vague


def test_the_top_level_stays_as_it_is() -> None:
    found = {file.name for file in CHECKOUT.iterdir() if not file.name.startswith(".")}
    assert {name for name in found - TOP_LEVEL - PASSING if not name.endswith(".egg-info")} == set()


TEMPLATE_FILES = sorted(str(file.relative_to(TEMPLATES)) for file in TEMPLATES.rglob("*.html"))


@pytest.mark.parametrize("name", TEMPLATE_FILES)
def test_templates_do_no_sums(name: str) -> None:
    tree = ENVIRONMENT.parse((TEMPLATES / name).read_text(encoding="utf-8"))
    sums = [f"line {node.lineno}: {type(node).__name__}" for node in tree.find_all(SUMS)]
    sums += [
        f"line {node.lineno}: | {node.name}" for node in tree.find_all(nodes.Filter) if node.name in SUMMING_FILTERS
    ]
    assert not sums, f"{name} does sums, which belong to the page's dataclass: {sums}"


@pytest.mark.parametrize("name", TEMPLATE_FILES)
def test_templates_keep_to_the_content_policy(name: str) -> None:
    text = (TEMPLATES / name).read_text(encoding="utf-8")
    assert not re.search(r"\sstyle\s*=", text), f"{name} has a style of its own in a tag"
    assert not re.search(r"\son[a-z]+\s*=\s*[\"']", text), f"{name} has a script in a tag"
    assert not re.search(r"<style\b|<script(?![^>]*\ssrc=)", text), f"{name} has a style or script inside"
    assert not re.search(r"\b(src|href)\s*=\s*[\"'](https?:)?//", text), f"{name} calls another site"


@pytest.mark.parametrize("name", TEMPLATE_FILES)
def test_templates_leave_escaping_on(name: str) -> None:
    """Only the macros that set a drawing of ours into the page may pass it through as it is."""
    tree = ENVIRONMENT.parse((TEMPLATES / name).read_text(encoding="utf-8"))
    passed = [node.lineno for node in tree.find_all(nodes.Filter) if node.name == "safe"]
    assert not passed or name in DRAWING_FILES, f"{name} passes text through unescaped on lines {passed}"
    assert not list(tree.find_all((nodes.ScopedEvalContextModifier, nodes.EvalContextModifier))), name


@pytest.mark.parametrize("name", TEMPLATE_FILES)
def test_forms_carry_the_token(name: str) -> None:
    text = (TEMPLATES / name).read_text(encoding="utf-8")
    for form in re.findall(r"<form\b.*?</form>", text, re.DOTALL):
        if re.search(r"method\s*=\s*[\"']post", form, re.IGNORECASE):
            assert "csrf_field()" in form or "csrf_token" in form, f"a form of {name} carries no token: {form[:80]}"


def test_templates_compile() -> None:
    for name in TEMPLATE_FILES:
        ENVIRONMENT.get_template(name)


def test_the_lock_names_no_host() -> None:
    lock = (CHECKOUT / "requirements.lock").read_text(encoding="utf-8")
    assert not re.search(r"https?:|--index-url|--find-links|file:", lock)
    named = re.findall(r"^[a-z0-9._\[\]-]+==\S+", lock, re.MULTILINE)
    assert len(named) > 50
    blocks = re.split(r"^(?=[a-z0-9])", lock, flags=re.MULTILINE)
    assert all("--hash=sha256:" in block for block in blocks if "==" in block)


def test_the_lock_is_whole() -> None:
    """Set-up installs what the lock names and asks no package what else it needs: so nothing may be missing."""
    lock = (CHECKOUT / "requirements.lock").read_text(encoding="utf-8")
    locked = {canonicalize_name(name) for name in re.findall(r"^([\w.-]+)(?:\[[\w,-]+\])?==", lock, re.MULTILINE)}
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    open_ends = [Requirement(text) for text in project["dependencies"]]
    open_ends += [Requirement(text) for texts in project["optional-dependencies"].values() for text in texts]
    seen = set[tuple[str, str]]()
    while open_ends:
        needed = open_ends.pop()
        name = canonicalize_name(needed.name)
        assert name in locked, f"{name} is needed and not in the lock"
        assert needed.specifier.contains(metadata.version(name), prereleases=True), f"{needed} is not what is locked"
        for extra in {"", *needed.extras}:
            if (name, extra) in seen:
                continue
            seen.add((name, extra))
            for text in metadata.requires(name) or []:
                further = Requirement(text)
                if further.marker is None or further.marker.evaluate({"extra": extra}):
                    open_ends.append(further)
