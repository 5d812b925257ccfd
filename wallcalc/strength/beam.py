"""A simply supported beam under any loads: reactions, shear, moment and deflection, exactly.

Lengths in mm, forces in N, distributed loads in N/mm, moments in N.mm, E and G in N/mm2. Loads act the way
the beam deflects (positive), a positive moment sags. Derived from statics and beam theory (Euler-Bernoulli
bending, Timoshenko shear); the formulas are Macaulay's brackets and hold for any position of the loads.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise

from scipy.optimize import brentq

SHEAR_FORM_RECTANGLE = 1.2
"""Form factor of a rectangle in shear deflection: 6/5 (mechanics of materials)."""

NEAR, RELATIVE = 1e-9, 1e-15
"""How near [mm] to a turning point the search ends; the value there is flat, so its error is far smaller."""


@dataclass(frozen=True, slots=True)
class PointLoad:
    """A force [N] at a position [mm] from the beam's left end."""

    position: float
    force: float


@dataclass(frozen=True, slots=True)
class LineLoad:
    """A uniform load [N/mm] from ``start`` to ``end`` [mm]."""

    start: float
    end: float
    intensity: float


@dataclass(frozen=True, slots=True)
class AppliedMoment:
    """A couple [N.mm] at a position [mm]; positive raises the bending moment to the right of it."""

    position: float
    moment: float


Load = PointLoad | LineLoad | AppliedMoment


@dataclass(frozen=True, slots=True)
class Beam:
    """A beam on two supports, at 0 and at ``span``.

    Parameters
    ----------
    span : float
        Distance between the supports [mm], more than 0.
    loads : tuple of PointLoad, LineLoad or AppliedMoment
        The loads, each within the span.

    Raises
    ------
    ValueError
        When the span is not positive or a load lies outside it.
    """

    span: float
    loads: tuple[Load, ...] = ()
    _reactions: tuple[float, float] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not self.span > 0:
            raise ValueError(f"span must be more than 0 mm, found {self.span}")
        for load in self.loads:
            ends = (load.start, load.end) if isinstance(load, LineLoad) else (load.position, load.position)
            if not 0 <= ends[0] <= ends[1] <= self.span:
                raise ValueError(f"{load} lies outside the span of {self.span} mm")
        object.__setattr__(self, "_reactions", _reactions(self.span, self.loads))

    @property
    def reactions(self) -> tuple[float, float]:
        """Reactions at the left and the right support [N], positive against the loads."""
        return self._reactions

    def shear(self, x: float) -> float:
        """Return the shear force just right of ``x`` [N].

        Parameters
        ----------
        x : float
            Position [mm].

        Returns
        -------
        float
        """
        value = self._reactions[0]
        for load in self.loads:
            if isinstance(load, PointLoad):
                value -= load.force if x >= load.position else 0.0
            elif isinstance(load, LineLoad):
                value -= load.intensity * max(0.0, min(x, load.end) - load.start)
        return value

    def moment(self, x: float) -> float:
        """Return the bending moment at ``x`` [N.mm]; at an applied moment, just right of it.

        Parameters
        ----------
        x : float
            Position [mm].

        Returns
        -------
        float
        """
        value = self._reactions[0] * x
        for load in self.loads:
            if isinstance(load, AppliedMoment):
                value += load.moment if x >= load.position else 0.0
            else:
                value -= self._bracket(load, x, 1)
        return value

    def deflection(self, x: float, stiffness: float) -> float:
        """Return the bending deflection at ``x`` [mm].

        Parameters
        ----------
        x : float
            Position [mm].
        stiffness : float
            E times I [N.mm2].

        Returns
        -------
        float
        """
        return (self._third(self.span) / self.span * x - self._third(x)) / stiffness

    def slope(self, x: float, stiffness: float) -> float:
        """Return the slope of the bending deflection at ``x`` [-].

        Parameters
        ----------
        x : float
            Position [mm].
        stiffness : float
            E times I [N.mm2].

        Returns
        -------
        float
        """
        return (self._third(self.span) / self.span - self._second(x)) / stiffness

    def shear_deflection(self, x: float, shear_stiffness: float) -> float:
        """Return the deflection at ``x`` that shear adds [mm] (Timoshenko).

        Parameters
        ----------
        x : float
            Position [mm].
        shear_stiffness : float
            G times A over the form factor [N], see :func:`shear_stiffness`.

        Returns
        -------
        float
        """
        couples = sum(load.moment for load in self.loads if isinstance(load, AppliedMoment))
        before = sum(m.moment for m in self.loads if isinstance(m, AppliedMoment) and x >= m.position)
        # integral of the shear force: the moment without the jumps of couples; uniform shear only turns the beam
        return (self.moment(x) - before + couples * x / self.span) / shear_stiffness

    def greatest_shear(self) -> tuple[float, float]:
        """Return position [mm] and absolute value [N] of the greatest shear force.

        Returns
        -------
        tuple of float
        """
        best = (0.0, 0.0)
        for x in self._breaks():
            for at in (x, math.nextafter(x, -1.0)):
                value = (
                    abs(self.shear(at)) if 0 <= at < self.span else abs(self._reactions[1]) if at > 0 else 0.0
                )
                if value > best[1]:
                    best = (x, value)
        return best

    def greatest_moment(self) -> tuple[float, float]:
        """Return position [mm] and absolute value [N.mm] of the greatest bending moment.

        Returns
        -------
        tuple of float
        """
        best = (0.0, 0.0)
        for x in self._turns():
            for at in (x, math.nextafter(x, -1.0)):
                if 0 <= at <= self.span and abs(self.moment(at)) > best[1]:
                    best = (x, abs(self.moment(at)))
        return best

    def greatest_deflection(self, stiffness: float, shear_stiffness: float = math.inf) -> tuple[float, float]:
        """Return position [mm] and absolute value [mm] of the greatest deflection.

        The true maximum: the slope is followed between its turning points and its zeros are found by bracketing,
        nothing is sampled. With a finite shear stiffness the deflection of both together is searched.

        Parameters
        ----------
        stiffness : float
            E times I [N.mm2].
        shear_stiffness : float
            G times A over the form factor [N]; infinite leaves shear out.

        Returns
        -------
        tuple of float
        """

        def value(x: float) -> float:
            return self.deflection(x, stiffness) + self.shear_deflection(x, shear_stiffness)

        couples = sum(load.moment for load in self.loads if isinstance(load, AppliedMoment))

        def slope(x: float) -> float:
            return self.slope(x, stiffness) + (self.shear(x) + couples / self.span) / shear_stiffness

        best = (0.0, 0.0)
        places = self._turns(stiffness, shear_stiffness)
        for left, right in pairwise(places):
            inner = math.nextafter(right, left)
            for x in (left, _zero(slope, left, inner)):
                if x is not None and abs(value(x)) > best[1]:
                    best = (x, abs(value(x)))
        return best

    def _bracket(self, load: PointLoad | LineLoad, x: float, power: int) -> float:
        """Macaulay's bracket of a load: its ``power``-fold effect at ``x``, divided by the factorial."""
        if isinstance(load, PointLoad):
            return load.force * max(0.0, x - load.position) ** power / math.factorial(power)
        begin = max(0.0, x - load.start) ** (power + 1)
        done = max(0.0, x - load.end) ** (power + 1)
        return load.intensity * (begin - done) / math.factorial(power + 1)

    def _second(self, x: float) -> float:
        """Integral of the moment from 0 to ``x``."""
        value = self._reactions[0] * x**2 / 2
        for load in self.loads:
            if isinstance(load, AppliedMoment):
                value += load.moment * max(0.0, x - load.position)
            else:
                value -= self._bracket(load, x, 2)
        return value

    def _third(self, x: float) -> float:
        """Double integral of the moment from 0 to ``x``."""
        value = self._reactions[0] * x**3 / 6
        for load in self.loads:
            if isinstance(load, AppliedMoment):
                value += load.moment * max(0.0, x - load.position) ** 2 / 2
            else:
                value -= self._bracket(load, x, 3)
        return value

    def _breaks(self) -> list[float]:
        """Places where a load begins, ends or stands, with both supports."""
        places = {0.0, self.span}
        for load in self.loads:
            places.update((load.start, load.end) if isinstance(load, LineLoad) else (load.position,))
        return sorted(float(p) for p in places)

    def _turns(self, stiffness: float = 1.0, shear_stiffness: float = math.inf) -> list[float]:
        """Return breaks, turns of the moment and zeros of the curvature: in between, both are monotone."""
        breaks = self._breaks()
        places = set(breaks)
        for left, right in pairwise(breaks):
            inner = math.nextafter(right, left)
            middle = (left + inner) / 2
            load = sum(
                q.intensity for q in self.loads if isinstance(q, LineLoad) and q.start <= middle < q.end
            )

            def curvature(x: float, load: float = load) -> float:
                return self.moment(x) / stiffness + load / shear_stiffness

            turn = _zero(self.shear, left, inner)
            ends = [left, inner] if turn is None else [left, turn, inner]
            places.update(ends[1:-1])
            for a, b in pairwise(ends):
                zero = _zero(curvature, a, b)
                if zero is not None:
                    places.add(zero)
        return sorted(places)


def shear_stiffness(area: float, G: float, form: float = SHEAR_FORM_RECTANGLE) -> float:
    """Return the shear stiffness of a section, G A / form [N].

    Parameters
    ----------
    area : float
        Cross-section [mm2].
    G : float
        Shear modulus [N/mm2].
    form : float
        Form factor; 1.2 for a rectangle.

    Returns
    -------
    float
    """
    return G * area / form


def _reactions(span: float, loads: tuple[Load, ...]) -> tuple[float, float]:
    total = 0.0
    right = 0.0
    for load in loads:
        if isinstance(load, PointLoad):
            total += load.force
            right += load.force * load.position
        elif isinstance(load, LineLoad):
            force = load.intensity * (load.end - load.start)
            total += force
            right += force * (load.start + load.end) / 2
        else:
            right += load.moment
    right /= span
    return total - right, right


def _zero(function: Callable[[float], float], left: float, right: float) -> float | None:
    """Find where a monotone function changes sign between two places (Brent); None if it does not."""
    low, high = function(left), function(right)
    if low == 0.0:
        return left
    if high == 0.0:
        return right
    if (low < 0) == (high < 0):
        return None
    return float(brentq(function, left, right, xtol=NEAR, rtol=RELATIVE))
