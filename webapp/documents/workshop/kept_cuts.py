"""Cut plans kept whole, with each drawing as a file, so that what is printed again is what was printed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from webapp.documents.workshop.cut_papers import CutFiles, CutPaper
from webapp.persistence.settings.shop import Paper


@dataclass(frozen=True, slots=True)
class KeptDrawings:
    """The drawings of one material as files: of each sheet or length, and of all sheets in one."""

    code: str
    svg: tuple[str, ...]
    dxf: tuple[str, ...]
    all_dxf: str


@dataclass(frozen=True, slots=True)
class KeptCuts:
    """The cut plans of what `belongs_to` says, in the words and lines that they are printed in."""

    belongs_to: str
    cuts: CutPaper
    drawings: tuple[KeptDrawings, ...]

    def paper(self, paper: Paper) -> CutPaper:
        """The cut plans on a paper of that size."""
        return replace(self.cuts, head=replace(self.cuts.head, paper=paper))

    def svg(self, material: str, number: int) -> str | None:
        """One sheet or length by its number from 1; None where there is no such one."""
        one = self._find(material)
        return one.svg[number - 1] if one is not None and 0 < number <= len(one.svg) else None

    def dxf(self, material: str, number: int | None = None) -> bytes | None:
        """One sheet by its number from 1, or all of a material; None where there is no such one."""
        one = self._find(material)
        if one is None or not one.dxf:
            return None
        if number is None:
            return one.all_dxf.encode()
        return one.dxf[number - 1].encode() if 0 < number <= len(one.dxf) else None

    def _find(self, material: str) -> KeptDrawings | None:
        return next((one for one in self.drawings if one.code == material), None)


def drawings_of(files: CutFiles, cuts: CutPaper) -> tuple[KeptDrawings, ...]:
    """Every drawing of these cut plans."""
    return tuple(
        KeptDrawings(
            one.code,
            tuple(files.svg(one.code, n) or "" for n in range(1, len(one.sheets or one.lengths) + 1)),
            tuple(_text(files.dxf(one.code, n)) for n in range(1, len(one.sheets) + 1)),
            _text(files.dxf(one.code)),
        )
        for one in cuts.materials
    )


def _text(content: bytes | None) -> str:
    return "" if content is None else content.decode()
