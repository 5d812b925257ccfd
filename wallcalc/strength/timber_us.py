"""Lumber to the National Design Specification (NDS): adjusted values in psi.

Reference values and factors come from the rule file; the products of factors below are NDS table 4.3.1.
"""

from __future__ import annotations

from dataclasses import dataclass

PSI = 0.006894757293168
"""One pound per square inch in N/mm2 (exact definition of pound and inch)."""

PSF = 0.0478802589803358
"""One pound per square foot in kN/m2."""


@dataclass(frozen=True, slots=True)
class Adjustment:
    """Adjustment factors: load duration, wet service, temperature, stability, size, repetitive, incising."""

    CD: float = 1.0
    CM: float = 1.0
    Ct: float = 1.0
    CL: float = 1.0
    CF: float = 1.0
    Cr: float = 1.0
    Ci: float = 1.0

    @property
    def product(self) -> float:
        """All factors multiplied."""
        return self.CD * self.CM * self.Ct * self.CL * self.CF * self.Cr * self.Ci


def wet_bending_factor(reference: float, CF: float, wet: float, exempt_to: float) -> float:
    """Return the wet service factor in bending, NDS supplement table 4A.

    Parameters
    ----------
    reference : float
        Reference bending value Fb [psi].
    CF : float
        Size factor.
    wet : float
        The factor in wet service.
    exempt_to : float
        Fb times CF [psi] up to which no reduction applies.

    Returns
    -------
    float
        1.0 or ``wet``.
    """
    return 1.0 if reference * CF <= exempt_to else wet


def adjusted(reference: float, factors: Adjustment) -> float:
    """Return an adjusted design value [psi]: the reference value times its factors, NDS table 4.3.1.

    Parameters
    ----------
    reference : float
        Reference value [psi].
    factors : Adjustment
        The factors that apply to the property.

    Returns
    -------
    float
    """
    return reference * factors.product


@dataclass(frozen=True, slots=True)
class Lumber:
    """A grade of lumber with reference values [psi]: Fb bending, Fv shear, E modulus."""

    name: str
    Fb: float
    Fv: float
    E: float
    source: str = ""
    status: str = ""


def psi(value: float) -> float:
    """Return a stress given in psi as N/mm2.

    Parameters
    ----------
    value : float
        Stress [psi].

    Returns
    -------
    float
        Stress [N/mm2].
    """
    return value * PSI
