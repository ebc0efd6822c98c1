"""What sags further under a load that stays: by material and by how damp it stands.

Source: EN 1995-1-1 (2004), table 3.2, and 2.2.3 for its use, read in typed copies. Service class 1 is a heated room,
2 a roofed place that is not, 3 the open. Where the copies gave one figure without its class, or where no board of the
kind is used in a class, nothing stands here, and creep is not known.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final

SERVICE_CLASSES: Final = (1, 2, 3)


def _by_class(*figures: str) -> Mapping[int, Fraction]:
    return dict(zip(SERVICE_CLASSES, map(Fraction, figures), strict=False))


#: k_def by kind of material (boards by their grades), then by service class. At the loads of a bench steel creeps by
#: nothing.
DEFORMATION: Final[Mapping[str, Mapping[int, Fraction]]] = {
    "steel": _by_class("0", "0", "0"),
    "solid_wood": _by_class("0.60", "0.80", "2.00"),
    "glued_laminated": _by_class("0.60", "0.80", "2.00"),
    "veneer_laminated": _by_class("0.60", "0.80", "2.00"),
    "plywood": _by_class("0.80", "1.00", "2.50"),
    "osb_2": _by_class("2.25"),
    "osb_3": _by_class("1.50", "2.25"),
    "osb_4": _by_class("1.50", "2.25"),
    "particleboard_p4": _by_class("2.25"),
    "particleboard_p6": _by_class("1.50"),
    "mdf": _by_class("2.25"),
}


def deformation_factor(kind: str, service_class: int = 1) -> Fraction | None:
    """k_def of a kind of material in a service class; None where none is published for it.

    Raises ValueError for a class that is none of 1, 2, 3.

    >>> deformation_factor("plywood"), deformation_factor("mdf", 3), deformation_factor("glass")
    (Fraction(4, 5), None, None)
    """
    if service_class not in SERVICE_CLASSES:
        raise ValueError(f"Service classes are 1, 2 and 3, not {service_class}.")
    return DEFORMATION.get(kind, {}).get(service_class)


def final_sag(first: Fraction, factor: Fraction, lasting: Fraction = Fraction(1)) -> Fraction:
    """The sag after years, in the unit of the first: first x (1 + lasting x k_def).

    `lasting` is the share of the load that stays (0 to 1): what comes and goes makes nothing creep. A part's own
    weight always stays. Raises ValueError for a share beyond that.

    >>> final_sag(Fraction(10), Fraction(4, 5), Fraction(1, 2))
    Fraction(14, 1)
    """
    if not 0 <= lasting <= 1:
        raise ValueError(f"The share of a load that stays is from 0 to 1, not {lasting}.")
    return first * (1 + lasting * factor)
