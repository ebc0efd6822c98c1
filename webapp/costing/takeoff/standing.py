"""Where parts stand and how large they are, exactly: worked out when a part is made, or when another asks for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import accumulate, product
from typing import TYPE_CHECKING, Final

from webapp.costing.designs.model import FACES, Axis, Hardware, Part
from webapp.costing.designs.names import WHOLE_MASS
from webapp.costing.designs.stations import Stations
from webapp.costing.designs.values import Environment
from webapp.costing.designs.within import named_in_space
from webapp.costing.errors import CostingError, FormulaError
from webapp.costing.ledger.formula import Expression
from webapp.costing.ledger.working import Figure
from webapp.costing.space.bodies import Body, box_body
from webapp.costing.space.shapes import Shape, shape_of
from webapp.costing.takeoff import aslant
from webapp.costing.takeoff.placed.stood import (
    AXES,
    Asking,
    Corner,
    Run,
    Sizes,
    Stood,
    Thing,
    evenly,
    in_each,
    lie,
    stood_aslant,
)

if TYPE_CHECKING:
    from webapp.costing.takeoff.context import Taking

#: Pieces are numbered level by level, from left to right, and from the front to the back.
_COUNTED_BY: Final[tuple[Axis, ...]] = ("z", "x", "y")
MOST_OF_ONE: Final = 5000


class LeftOutHere(FormulaError):
    """A part whose pieces can't be counted; `reason` is the whole sentence."""


class Standing:
    """The parts of one finished thing as they stand, under one environment or another."""

    def __init__(self, taking: Taking) -> None:
        self._taking = taking
        self._stood: dict[tuple[str, str, str], Stood] = {}
        self._pieces: dict[tuple[str, str, str], Sequence[tuple[Body, Shape]]] = {}
        self._waiting: list[str] = []
        self.masses: dict[str, Figure] = {}
        self.whole_mass: Figure | None = None

    # ---- what formulas ask for --------------------------------------------------------------------------------------

    def figure(self, environment: Environment, name: str, attribute: str) -> Figure:
        """What a formula names of a part, as 'leg.top'; raises FormulaError where it can't be worked out."""
        if name == WHOLE_MASS and not attribute:
            if self.whole_mass is None:
                raise FormulaError(name, "The weight of the whole is known when all is made: it stands in rules only.")
            return self.whole_mass
        part, frame = named_in_space(environment.design, name)
        if part is None:
            raise FormulaError(f"{name}.{attribute}", f"Nothing in the design defines '{name}'.")
        if not environment.active(part):
            raise FormulaError(f"{name}.{attribute}", f"The part “{part.says}” is not there under the answers chosen.")
        if attribute == "mass":
            if part.name not in self.masses:
                raise FormulaError(
                    f"{name}.mass",
                    f"The weight of “{part.says}” is not known where it is asked for: it stands in rules and loads "
                    "only, and its material has to state a density.",
                )  # fmt: skip
            return self.masses[part.name]
        try:
            return self._asked(environment, part, attribute, name, frame)
        except FormulaError:
            raise
        except CostingError as error:
            raise FormulaError(f"{name}.{attribute}", str(error)) from None

    def _asked(self, environment: Environment, part: Thing, attribute: str, name: str, frame: str) -> Figure:
        with self.asking(part, attribute, name):
            if attribute == "count":
                return self.count(environment, part, frame)
            if isinstance(part, Part) and attribute in ("length", "width", "thickness"):
                size = getattr(self.sizes(environment, part), attribute)
                if size is None:
                    raise FormulaError(f"{name}.{attribute}", f"Nothing states the {attribute} of “{part.says}”.")
                assert isinstance(size, Figure)
                return size
            return self._end(environment, part, attribute, name, frame)

    def _end(self, environment: Environment, part: Thing, attribute: str, name: str, frame: str) -> Figure:
        axis, upper = FACES[next(face for face in FACES if face == attribute)]
        stood = self.stood(environment, part, frame)
        if not stood.corners:
            raise FormulaError(f"{name}.{attribute}", f"There is no piece of “{part.says}” to go by.")
        value = stood.ends(AXES.index(axis))[upper]
        where = f", within “{environment.design.uses[frame].says}”" if frame else ""
        return environment.working.given(
            f"{environment.prefix}part/{name}/{attribute}", f"{part.says}: {attribute}{where}", value, "nm",
            f"where its pieces stand along {axis}: {self._said(part, axis)}",
        )  # fmt: skip

    @staticmethod
    def _said(part: Thing, axis: Axis) -> str:
        stations = part.stations.get(axis)
        if isinstance(part, Hardware) and part.under:
            return f"under each of {part.under}"
        formulas = stations.formulas if stations is not None else (part.at[axis],)
        return ", ".join(formula.text for formula in formulas) or "between others"

    def asking(self, part: Thing, attribute: str, name: str) -> Asking:
        """While one part asks for something of another. Raises FormulaError where that goes round in a circle."""
        return Asking(self._waiting, part, f"{name}.{attribute}")

    # ---- sizes and counts -------------------------------------------------------------------------------------------

    def sizes(self, environment: Environment, part: Part) -> Sizes:
        """The exact sizes of one piece. Raises FormulaError where one that is written can't be worked out."""
        key, says = f"part/{part.name}", part.says
        if part.slanting is not None:
            return Sizes(aslant.length(self, environment, part), *self.section(environment, part))
        length = self.sized(environment, f"{key}/exact_length", f"{says}: length, exact", "nm", part.length)
        return Sizes(length, *self.section(environment, part))

    def section(self, environment: Environment, part: Part) -> tuple[Figure | None, Figure | None]:
        """The exact width and thickness of one piece. Raises FormulaError as `sizes` does."""
        key, says = f"part/{part.name}", part.says
        if part.width is not None:
            width: Figure | None = self.sized(
                environment, f"{key}/exact_width", f"{says}: width, exact", "nm", part.width
            )
        else:
            width = self._of_stock(environment, part, "width")
        if part.thickness is not None:
            return width, self.sized(
                environment, f"{key}/exact_thickness", f"{says}: thickness, exact", "nm", part.thickness
            )
        thickness = self._of_stock(environment, part, "thickness")
        if thickness is not None and part.layers > 1:
            thickness = environment.working.derive(
                f"{environment.prefix}{key}/thickness", f"{says}: thickness", "nm", "thickness of the stock x layers",
                "thickness * layers", thickness=thickness, layers=self._taking.layers(part),
            )  # fmt: skip
        return width, thickness

    @staticmethod
    def sized(environment: Environment, key: str, label: str, unit: str, expression: Expression) -> Figure:
        """A formula of a part as a figure; one that is a name alone is the figure of that name."""
        return environment.figure_of(f"{environment.prefix}{key}", label, unit, expression)

    def _of_stock(self, environment: Environment, part: Part, name: str) -> Figure | None:
        """A size that a part has from its stock; where nothing states it the part keeps its count, and that is said."""
        try:
            return environment.named(f"{part.stock}.{name}")
        except FormulaError as error:
            if part.stock in self._taking.stock:
                self._taking.wrong(f"materials.{part.stock}", str(error), "warning")
            return None

    def count(self, environment: Environment, part: Thing, frame: str = "") -> Figure:
        """How many pieces of a part, or places of a use, there are in the whole or within one place of a use.

        As the design says, else one at each crossing of its stations; and that in every place of the uses around it.
        """
        own = self._count_here(environment, part)
        if part.within == frame:
            return own
        around = environment.design.uses[part.within]
        within = f"_within_{frame}" if frame else ""
        figure = environment.working.derive(
            f"{environment.prefix}part/{part.name}/count_in_all{within}", f"{part.says}: count in all", "piece",
            f"in one x places of “{around.says}”", "in_one * places",
            in_one=own, places=self.count(environment, around, frame),
        )  # fmt: skip
        self._taking.check_count(figure, f"The part “{part.says}”", MOST_OF_ONE)
        return figure

    def _count_here(self, environment: Environment, part: Thing) -> Figure:
        sort = "hardware" if isinstance(part, Hardware) else "part"
        key, label = f"{sort}/{part.name}/count", f"{part.says}: count"
        entry = f"The {sort} “{part.says}”"
        if part.count is not None:
            figure = self.sized(environment, key, label, "piece", part.count)
            self._taking.check_count(figure, entry, MOST_OF_ONE)
            return figure
        if isinstance(part, Hardware) and part.under:
            other = environment.design.parts[part.under]
            return environment.working.derive(
                f"{environment.prefix}{key}", label, "piece", f"one under each “{other.says}”", "pieces",
                pieces=self.count(environment, other),
            )  # fmt: skip
        counts = {
            f"along_{axis}": self._stations_of(environment, part, axis, stations)
            for axis, stations in part.stations.items()
        }
        figure = environment.working.derive(
            f"{environment.prefix}{key}", label, "piece", "one at each crossing of its stations",
            " * ".join(counts) or "1", **counts,
        )  # fmt: skip
        self._taking.check_count(figure, entry, MOST_OF_ONE)
        return figure

    def _stations_of(self, environment: Environment, part: Thing, axis: Axis, stations: Stations) -> Figure:
        key, label = f"part/{part.name}/along_{axis}", f"{part.says}: stations along {axis}"
        if stations.count is not None:
            figure = self.sized(environment, key, label, "", stations.count)
            self._taking.check_count(figure, f"“{part.says}”", MOST_OF_ONE)
            return figure
        number = {
            "at": len(stations.formulas), "around": len(stations.formulas), "run": len(stations.formulas) // 2,
        }.get(stations.pattern, 1)  # fmt: skip
        if stations.pattern in ("bays", "bay_sides"):
            number = len(self._bays(environment, part, axis, stations.beside)) * (1 + (stations.pattern == "bay_sides"))
        elif stations.pattern in ("beyond_each", "before_each"):
            number = len(self._pieces_along(environment, axis, stations.beside))
        return environment.working.given(f"{environment.prefix}{key}", label, number, "", "the design")

    # ---- places -----------------------------------------------------------------------------------------------------

    def stood(self, environment: Environment, part: Thing, frame: str = "") -> Stood:
        """The pieces of a part, or the boxes of a use, as they stand in the whole or by the corner of a use around it.

        Raises FormulaError where a size or a place can't be worked out.
        """
        key = environment.prefix, part.name, frame
        kept = self._stood.get(key)
        if kept is None:
            here = part.within == frame
            found = self._stand(environment, part) if here else self._stand_in_uses(environment, part, frame)
            kept = self._stood[key] = found
        return kept

    def _stand_in_uses(self, environment: Environment, part: Thing, frame: str) -> Stood:
        """What stands in a use, in every place of that: by its corner, or as far from the other end where mirrored."""
        around = environment.design.uses[part.within]
        while around.within != frame:
            around = environment.design.uses[around.within]
        within, boxes = self.stood(environment, part, around.name), self.stood(environment, around, frame)
        # Counted before they are placed: too many are refused.
        self.count(environment, part, frame)
        return in_each(boxes, within, [axis in around.mirrored for axis in AXES])

    def _extent(self, environment: Environment, part: Thing) -> Corner:
        if isinstance(part, Hardware) and not part.size:
            raise FormulaError(part.name, f"“{part.says}” is counted only; nothing says where it stands.")
        if not isinstance(part, Part):
            x, y, z = (environment.value(part.size[axis]) for axis in AXES)
            return x, y, z
        length = Fraction(0)
        if part.slanting is None:
            sizes = self.sizes(environment, part)
            length, width, thickness = sizes.length.value, sizes.width, sizes.thickness
        else:
            width, thickness = self.section(environment, part)
        if width is None or thickness is None:
            raise FormulaError(part.name, f"Nothing states how wide or thick “{part.says}” is, so it stands nowhere.")
        return lie(part, length, width.value, thickness.value)

    def _under(self, environment: Environment, hardware: Hardware, extent: Corner) -> Stood:
        """One in the middle under each piece of a part."""
        stood = self.beside(environment, hardware.under, hardware.within)
        if stood.bodies:
            corners = []
            for body in stood.bodies:
                x, y, z = aslant.foot(body)
                corners.append((x - extent[0] / 2, y - extent[1] / 2, z - extent[2]))
            return Stood(tuple(corners), extent)
        wide, deep, _ = (whole - own for whole, own in zip(stood.extent, extent, strict=True))
        return Stood(tuple((x + wide / 2, y + deep / 2, z - extent[2]) for x, y, z in stood.corners), extent)

    def beside(self, environment: Environment, name: str, frame: str) -> Stood:
        """The pieces of a part by whose places another one stands, by the corner of the use in which that is.

        Raises FormulaError as `stood` does.
        """
        other = environment.design.parts[name]
        with self.asking(other, "places", other.name):
            return self.stood(environment, other, frame)

    def pieces(self, environment: Environment, name: str, frame: str) -> Sequence[tuple[Body, Shape]]:
        """The pieces of a part as convex ones, exact and in doubles. Raises FormulaError as `stood` does."""
        key = (environment.prefix, name, frame)
        if key not in self._pieces:
            stood = self.beside(environment, name, frame)
            bodies = stood.bodies or [
                box_body(name, number, stood.extent, corner) for number, corner in enumerate(stood.corners, 1)
            ]
            self._pieces[key] = [(body, shape_of(body)) for body in bodies]
        return self._pieces[key]

    def _stand(self, environment: Environment, part: Thing) -> Stood:
        extent = self._extent(environment, part)
        if isinstance(part, Hardware) and part.under:
            return self._under(environment, part, extent)
        runs = [self._run_along(environment, part, axis, extent) for axis in part.stations]
        places = dict(zip(part.stations, runs, strict=True))
        fixed = {
            axis: None if axis in places or "number" in part.at[axis].names else environment.value(part.at[axis])
            for axis in AXES
        }
        stood = []
        crossings = product(*(places.get(axis, [None]) for axis in _COUNTED_BY))
        for number, crossing in enumerate(self._repeated(environment, part, list(crossings)), 1):
            at = dict(zip(_COUNTED_BY, crossing, strict=True))
            x, y, z = (
                place if (place := at[axis]) is not None
                else (value, value) if (value := fixed[axis]) is not None
                else 2 * (environment.value(part.at[axis], number),)
                for axis in AXES
            )  # fmt: skip
            stood.append((x, y, z))
        if isinstance(part, Part) and part.slanting is not None:
            bodies = aslant.bodies_of(self, environment, part, extent, stood)
            return stood_aslant(bodies, extent)
        return Stood(tuple((x[0], y[0], z[0]) for x, y, z in stood), extent)

    def _run_along(self, environment: Environment, part: Thing, axis: Axis, extent: Corner) -> list[Run]:
        """From where to where the pieces go along an axis whose stations are said in words; a square one stands."""
        stations = part.stations[axis]
        if stations.pattern == "run":
            values = [environment.value(formula) for formula in stations.formulas]
            return list(zip(values[::2], values[1::2], strict=True))
        return [(place, place) for place in self._along(environment, part, axis, extent[AXES.index(axis)])]

    def _repeated(
        self, environment: Environment, part: Thing, crossings: list[tuple[Run | None, ...]]
    ) -> list[tuple[Run | None, ...]]:
        """As many as the count says: each crossing once, or all of them over again for pieces told apart by number."""
        count = int(self._count_here(environment, part).value)
        if not crossings or count == len(crossings):
            return crossings[:count]
        if count % len(crossings):
            raise LeftOutHere(
                part.name,
                f"“{part.says}” is said to be {count}, and its places are {len(crossings)}.",
            )
        return crossings * (count // len(crossings))

    def _along(self, environment: Environment, part: Thing, axis: Axis, extent: Fraction) -> Iterator[Fraction]:
        """The lower ends of the pieces along an axis whose stations are said in words."""
        stations = part.stations[axis]
        if stations.pattern in ("between", "bays", "bay_sides"):
            bays = self._bays(environment, part, axis, stations.beside)
            for before, after in bays[:1] if stations.pattern == "between" else bays:
                middle = (before + after - extent) / 2
                yield from (before, after - extent) if stations.pattern == "bay_sides" else (middle,)
            return
        values = [environment.value(formula) for formula in stations.formulas]
        if stations.pattern == "at":
            yield from values
            return
        if stations.pattern in ("beyond_each", "before_each"):
            beyond = stations.pattern == "beyond_each"
            reached = self._pieces_along(environment, axis, stations.beside)
            yield from ((high if beyond else low - extent) + values[0] for low, high in reached)
            return
        if stations.beside:
            values = list(self._bays(environment, part, axis, stations.beside)[0])
        first, last = values[0], values[-1]
        if stations.pattern == "up_to":
            yield first - extent
        elif stations.pattern == "middle":
            yield (first + last - extent) / 2
        elif stations.pattern == "around":
            yield from (first - extent, last)
        else:
            count = int(self._stations_of(environment, part, axis, stations).value)
            yield from evenly(stations.pattern, first, last, extent, count)

    def _pieces_along(self, environment: Environment, axis: Axis, name: str) -> list[tuple[Fraction, Fraction]]:
        """From where to where the pieces of another part reach along an axis, those that stand alike once."""
        other, frame = named_in_space(environment.design, name)
        assert other is not None
        if not environment.active(other):
            raise FormulaError(name, f"The part “{other.says}” is not there under the answers chosen.")
        with self.asking(other, "places", name):
            return sorted(set(self.stood(environment, other, frame).reaches(AXES.index(axis))))

    def _bays(
        self, environment: Environment, part: Thing, axis: Axis, name: str
    ) -> list[tuple[Fraction, Fraction]]:
        """The bays between the pieces of another part along an axis, from where to where each reaches."""
        ends = self._pieces_along(environment, axis, name)
        reached = accumulate((high for _, high in ends), max)
        bays = [(high, low) for high, (low, _) in zip(reached, ends[1:], strict=False) if low > high]
        if bays:
            return bays
        raise FormulaError(
            part.name,
            f"“{part.says}” can't stand between “{environment.design.parts[name].says}”: no two of these stand apart "
            f"along {axis}.",
        )
