"""Load cases on a dwelling's partition, as the rule file gives them: a line, an area, a point, a pressure.

Each case stands alone; they are not added to one another (BS 6180; SCI advisory desk note 535).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from wallcalc.strength.beam import Beam, LineLoad, Load, PointLoad

KINDS = ("line", "area", "point", "pressure")


@dataclass(frozen=True, slots=True)
class LoadCase:
    """One load case.

    Attributes
    ----------
    name : str
        In words ("line load", "pressure").
    kind : str
        One of :data:`KINDS`: N/mm along the wall at ``height``; N/mm2 on the whole face; N at mid-height of
        one stud; N/mm2 for deflection only.
    value : float
        Characteristic value, N/mm, N/mm2 or N.
    height : float
        Height above finished floor [mm] of a line load.
    duration : str
        Load duration class.
    strength : bool
        Whether bending and shear are checked, not only deflection.
    limit : float
        Deflection limit: a length [mm], or with ``ratio`` the divisor of the span.
    ratio : bool
        Whether ``limit`` divides the span.
    source, status : str
        Where the value comes from.
    """

    name: str
    kind: str
    value: float
    height: float
    duration: str
    strength: bool
    limit: float
    ratio: bool
    source: str
    status: str

    def loads(self, span: float, tributary: float, foot: float) -> tuple[Load, ...]:
        """Return what one stud carries of this case.

        Parameters
        ----------
        span : float
            Length of the stud [mm].
        tributary : float
            Width of wall it carries [mm].
        foot : float
            Height of its lower end above finished floor [mm].

        Returns
        -------
        tuple of loads
            Empty when the load passes above or below the stud.
        """
        if self.kind == "line":
            at = self.height - foot
            return (PointLoad(at, self.value * tributary),) if 0 <= at <= span else ()
        if self.kind == "point":
            return (PointLoad(span / 2, self.value),)
        return (LineLoad(0.0, span, self.value * tributary),)

    def deflection_limit(self, span: float) -> float:
        """Return the deflection allowed [mm] over a span [mm].

        Parameters
        ----------
        span : float
            Span [mm].

        Returns
        -------
        float
        """
        return span / self.limit if self.ratio else self.limit


@dataclass(frozen=True, slots=True)
class Effects:
    """Greatest moment [N.mm], shear [N] and deflection [mm] of a stud, and where it deflects most [mm]."""

    moment: float
    shear: float
    deflection: float
    place: float

    def times(self, factor: float) -> Effects:
        """Return the effects of the same loads grown by a factor.

        Parameters
        ----------
        factor : float
            0 or more [-].

        Returns
        -------
        Effects
        """
        return Effects(self.moment * factor, self.shear * factor, self.deflection * factor, self.place)


@lru_cache(maxsize=4096)
def effects(span: float, loads: tuple[Load, ...], stiffness: float, shear_stiffness: float) -> Effects:
    """Return the greatest moment, shear and deflection of a stud under loads; kept, as studs repeat.

    Parameters
    ----------
    span : float
        Span [mm].
    loads : tuple
        Loads on it.
    stiffness, shear_stiffness : float
        E I [N.mm2] and G A / 1.2 [N].

    Returns
    -------
    Effects
    """
    beam = Beam(span, loads)
    place, most = beam.greatest_deflection(stiffness, shear_stiffness)
    return Effects(beam.greatest_moment()[1], beam.greatest_shear()[1], most, place)
