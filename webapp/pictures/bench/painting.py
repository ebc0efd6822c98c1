"""Faces painted from the back: which pieces come after which, and what is cut out of one that comes too late."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from webapp.pictures.bench.hiding import Hiding
from webapp.pictures.bench.looking import Seen, faces_of

Flat = tuple[float, float]
Ring = list[Flat]
#: The left, lower, right and upper end of a ring.
_Reach = tuple[float, float, float, float]
Tone = Literal["lit", "half", "shade"]

#: What is left of a face over less than this is not painted, mm2.
SMALLEST: Final = 1e-4
#: The first faces of a cell are its broad ones.
BROAD: Final = 2
#: A face that leans back no further than this is lit from above, and one that hangs over as far is in the shade.
_LEVEL: Final = 0.5
_STRAIGHT: Final = 0.9


@dataclass(frozen=True, slots=True)
class Fill:
    """A face in sight, or what is left of it: convex rings of corners in the picture. It is `joined` to others where it
    is the broad side of a cell of a panel."""

    piece: int
    tone: Tone
    rings: tuple[Ring, ...]
    joined: bool = False


def paint(seen: Seen, hiding: Hiding) -> list[list[Fill]]:
    """The faces in layers from the back; no face of a layer hides another of it."""
    near, far = hiding.near.tolist(), hiding.far.tolist()
    layers, late = order_from_back([place for place, gone in enumerate(hiding.gone.tolist()) if not gone], near, far)
    faces = _faces(seen)
    outlines = {by: _ring(seen, by) for cut_by in late.values() for by in cut_by}
    painted = []
    for layer in layers:
        fills = []
        for piece in layer:
            for tone, ring, joined in faces[piece]:
                rings = cut_out([ring], [outlines[by] for by in late.get(piece, ())])
                if rings:
                    fills.append(Fill(piece, tone, tuple(rings), joined))
        painted.append(fills)
    return painted


def order_from_back(
    pieces: Sequence[int], near: Sequence[int], far: Sequence[int]
) -> tuple[list[list[int]], dict[int, list[int]]]:
    """Pieces in layers, each after all that it hides; and for those that come too late, what should hide them.

    Where pieces go round in a circle, the one with the fewest still in its way is taken: what it should have come after
    is painted over it, without what lies under its outline.
    """
    behind: dict[int, set[int]] = {piece: set() for piece in pieces}
    before: dict[int, list[int]] = {piece: [] for piece in pieces}
    for one, other in zip(near, far, strict=True):
        behind[one].add(other)
        before[other].append(one)
    layers: list[list[int]] = []
    late: dict[int, list[int]] = {}
    waiting = [piece for piece in pieces if not behind[piece]]
    left = set(pieces)
    while left:
        if not waiting:
            chosen = min(left, key=lambda piece: (len(behind[piece]), piece))
            for other in behind[chosen]:
                late.setdefault(other, []).append(chosen)
            waiting = [chosen]
        layers.append(sorted(waiting))
        left.difference_update(waiting)
        freed = []
        for piece in waiting:
            for one in before[piece]:
                if one in left and piece in behind[one]:
                    behind[one].discard(piece)
                    if not behind[one]:
                        freed.append(one)
        waiting = freed
    return layers, late


def _faces(seen: Seen) -> dict[int, list[tuple[Tone, Ring, bool]]]:
    """The faces turned to the eye of every piece, with their tones, and whether they are joined to others."""
    found: dict[int, list[tuple[Tone, Ring, bool]]] = {}
    is_cell = seen.heap.is_cell.tolist()
    for group, corners in zip(seen.heap.groups, seen.corners, strict=True):
        flat = corners[:, :, :2].tolist()
        for row, piece in enumerate(group.places.tolist()):
            planes = seen.planes[piece]
            found[piece] = [
                (_tone(seen, planes[face].tolist()), [(u, v) for u, v in (flat[row][c] for c in group.faces[face])],
                 (is_cell[piece] and face < BROAD) or seen.heap.pieces[piece].curved)
                for face in faces_of(group.faces, seen.turned[piece])
            ]  # fmt: skip
    return found


def _tone(seen: Seen, normal: Sequence[float]) -> Tone:
    """Lit from above and from the left of whoever looks; what is turned straight to the eye is lit."""
    across, up, towards = normal[0], normal[1], normal[2]
    if towards > _STRAIGHT:
        return "lit"
    upright = up * seen.look.up[2] + towards * seen.look.towards[2]
    if upright > _LEVEL:
        return "lit"
    return "shade" if across > 0 or upright < -_LEVEL else "half"


def _ring(seen: Seen, piece: int) -> Ring:
    return [(u, v) for u, v in seen.rounds[piece].tolist()]


def cut_out(rings: list[Ring], holes: Sequence[Ring]) -> list[Ring]:
    """What is left of convex rings once convex holes are cut out of them, as convex rings again."""
    for hole in holes:
        if not rings:
            break
        reach = _reach(hole)
        rings = [part for ring in rings for part in _without(ring, hole, reach)]
    return rings


def _without(ring: Ring, hole: Ring, reach: _Reach) -> Iterator[Ring]:
    """A convex ring without a convex hole of that reach: what lies beyond each side of it in turn."""
    left, low, right, high = _reach(ring)
    if left >= reach[2] or right <= reach[0] or low >= reach[3] or high <= reach[1]:
        yield ring
        return
    beyond = []
    rest = ring
    for (x1, y1), (x2, y2) in zip(hole, (*hole[1:], hole[0]), strict=True):
        a, b = y2 - y1, x1 - x2
        if not a and not b:
            continue
        outside, rest = _parted(rest, a, b, a * x1 + b * y1)
        if area(outside) > SMALLEST:
            beyond.append(outside)
        if area(rest) <= SMALLEST:
            # Nothing of the hole lies in it.
            yield ring
            return
    yield from beyond


def _parted(ring: Ring, a: float, b: float, reach: float) -> tuple[Ring, Ring]:
    """A convex ring parted along a line: what lies beyond it, and what does not."""
    outside: Ring = []
    inside: Ring = []
    x1, y1 = ring[-1]
    far1 = a * x1 + b * y1 - reach
    for x2, y2 in ring:
        far2 = a * x2 + b * y2 - reach
        if (far1 > 0) != (far2 > 0):
            share = far1 / (far1 - far2)
            crossing = (x1 + share * (x2 - x1), y1 + share * (y2 - y1))
            outside.append(crossing)
            inside.append(crossing)
        (outside if far2 > 0 else inside).append((x2, y2))
        x1, y1, far1 = x2, y2, far2
    return outside, inside


def _reach(ring: Ring) -> _Reach:
    across, up = zip(*ring, strict=True)
    return min(across), min(up), max(across), max(up)


def area(ring: Sequence[Flat]) -> float:
    """The area of an anticlockwise ring."""
    if len(ring) < 3:
        return 0.0
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2
