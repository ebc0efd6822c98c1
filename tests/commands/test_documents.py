"""`reckoner documents`: the papers of a job file, or a sentence."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.documents.paper_case import text_of
from webapp.cli import main

JOB = """
form: 1
job: Drawer cabinets
customer: {name: Sliphollow}
items:
- {design: bench_cabinet, quantity: 2}
"""
#: A job whose papers are short, where they are not what is looked at.
SHORT = """
form: 1
job: Drawer cabinets
lines:
- {kind: part, says: Handle, each: 4.20}
"""


@pytest.fixture(autouse=True)
def no_shop_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A data folder that holds nothing, so that the demo shop fills in."""
    monkeypatch.setenv("RECKONER_DATA", str(tmp_path / "data"))
    monkeypatch.delenv("RECKONER_DATABASE", raising=False)


def test_all_papers_are_written_as_drafts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file, out = tmp_path / "job.yaml", tmp_path / "papers" / "new"
    file.write_text(JOB, encoding="utf-8")
    assert main(["documents", str(file), "--out", str(out), "--paper", "Letter"]) == 0
    names = ("quote.pdf", "shopping-list.pdf", "workshop-pack.pdf")
    assert capsys.readouterr().out.split() == [str(out / name) for name in names]
    quote = text_of((out / "quote.pdf").read_bytes())
    assert "Draft quote: Drawer cabinets" in quote
    assert "Sliphollow" in quote
    assert "Shopping list: Drawer cabinets" in text_of((out / "shopping-list.pdf").read_bytes())
    assert "Workshop pack: Drawer cabinets" in text_of((out / "workshop-pack.pdf").read_bytes())
    assert float(PdfReader(out / "quote.pdf").pages[0].mediabox.width) == 8.5 * 72


@pytest.mark.parametrize(
    ("text", "said"),
    [(None, "can't be read"), ("job: [", ""), ("form: 1\njob: A\nform: 1\n", "form")],
)
def test_a_file_that_cannot_be_used_ends_with_a_sentence(
    text: str | None, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "job.yaml"
    if text is not None:
        file.write_text(text, encoding="utf-8")
    assert main(["documents", str(file), "--out", str(tmp_path / "papers")]) == 2
    error = capsys.readouterr().err
    assert error.strip()
    assert said in error
    assert not (tmp_path / "papers").exists()


def test_a_folder_that_cannot_be_written_to_ends_with_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "job.yaml"
    file.write_text(SHORT, encoding="utf-8")
    assert main(["documents", str(file), "--out", str(file)]) == 2
    assert "can't be written to" in capsys.readouterr().err


def test_what_is_missing_is_said_beside_the_papers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "job.yaml"
    file.write_text(f"{SHORT}- {{kind: part, says: Oak rail}}\n", encoding="utf-8")
    assert main(["documents", str(file), "--out", str(tmp_path / "papers")]) == 0
    assert "“Oak rail” has no cost" in capsys.readouterr().err
    assert "Total so far, incomplete" in text_of((tmp_path / "papers" / "quote.pdf").read_bytes())
