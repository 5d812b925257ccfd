"""Timber members to EN 1995-1-1, with strength classes of EN 338.

Formulas carry their clause; what a national rule set may choose (kmod, partial factors, kcr, kdef, psi2)
comes in as :class:`Factors`. Sizes in mm, forces in N, moments in N.mm, stresses and moduli in N/mm2.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import lru_cache
from os import PathLike
from typing import Any

DURATIONS = ("permanent", "long-term", "medium-term", "short-term", "instantaneous")
"""Load-duration classes, EN 1995-1-1 2.3.1.2."""


@dataclass(frozen=True, slots=True)
class TimberClass:
    """A strength class of EN 338; strengths and moduli in N/mm2, densities in kg/m3."""

    name: str
    fm_k: float
    ft_0_k: float
    ft_90_k: float
    fc_0_k: float
    fc_90_k: float
    fv_k: float
    E_0_mean: float
    E_0_05: float
    G_mean: float
    rho_k: float
    rho_mean: float
    edition: str = ""
    source: str = ""
    status: str = ""


COLUMNS = {
    "name": "class",
    "fm_k": "bending_n_mm2",
    "ft_0_k": "tension_0_n_mm2",
    "ft_90_k": "tension_90_n_mm2",
    "fc_0_k": "compression_0_n_mm2",
    "fc_90_k": "compression_90_n_mm2",
    "fv_k": "shear_n_mm2",
    "E_0_mean": "modulus_0_mean_n_mm2",
    "E_0_05": "modulus_0_low_n_mm2",
    "G_mean": "shear_modulus_mean_n_mm2",
    "rho_k": "density_low_kg_m3",
    "rho_mean": "density_mean_kg_m3",
    "edition": "edition",
    "source": "source",
    "status": "status",
}
"""Column of ``data/timber_classes.csv`` that holds each attribute of :class:`TimberClass`."""

_TEXT = ("name", "edition", "source", "status")


@lru_cache(maxsize=8)
def load_classes(path: str | PathLike[str]) -> dict[str, TimberClass]:
    """Read the table of strength classes.

    Parameters
    ----------
    path : path-like
        A CSV file with one row a class and the columns of :data:`COLUMNS`.

    Returns
    -------
    dict of str to TimberClass
        By class name.

    Raises
    ------
    ValueError
        When a column is missing or a value is not a number, naming line and column.
    """
    with open(path, encoding="utf-8-sig", newline="") as file:
        reader = csv.DictReader(file)
        missing = [column for column in COLUMNS.values() if column not in (reader.fieldnames or ())]
        if missing:
            raise ValueError(f"timber classes: no column {', '.join(missing)}; found {reader.fieldnames}")
        classes = {}
        for row in reader:
            given: dict[str, Any] = {}
            for name, column in COLUMNS.items():
                try:
                    given[name] = row[column] if name in _TEXT else float(row[column])
                except ValueError:
                    raise ValueError(
                        f"timber classes, line {reader.line_num}, {column}: found {row[column]!r}; accepted: a number"
                    ) from None
            classes[given["name"]] = TimberClass(**given)
    return classes


@dataclass(frozen=True, slots=True)
class DepthRule:
    """Depth factor kh of solid timber, EN 1995-1-1 3.2(3), equation 3.1: min((reference / h)^exponent, most).

    ``reference`` in mm; ``density_most`` [kg/m3] is the characteristic density up to which it holds.
    """

    reference: float = 150.0
    exponent: float = 0.2
    most: float = 1.3
    density_most: float = 700.0


@dataclass(frozen=True, slots=True)
class Factors:
    """What EN 1995-1-1 leaves to a table or a national annex.

    Attributes
    ----------
    kmod : tuple of (str, float)
        Modification factor by load duration (Table 3.1).
    gamma_m, gamma_m_connection : float
        Partial factors of material and of connections (Table 2.3).
    gamma_g, gamma_q : float
        Partial factors of permanent and variable load (EN 1990).
    psi_2 : float
        Quasi-permanent share of the variable load (EN 1990).
    kdef : float
        Deformation factor (Table 3.2).
    kcr : float
        Share of the width that carries shear despite cracks (6.1.7).
    ksys : float
        System factor (6.6); 1.0 leaves it off.
    depth : DepthRule
        When and by how much a shallow piece counts as stronger (3.2).
    """

    kmod: tuple[tuple[str, float], ...]
    gamma_m: float
    gamma_m_connection: float
    gamma_g: float
    gamma_q: float
    psi_2: float
    kdef: float
    kcr: float
    ksys: float = 1.0
    depth: DepthRule = DepthRule()

    def kmod_for(self, duration: str) -> float:
        """Return kmod for a load duration.

        Parameters
        ----------
        duration : str
            One of :data:`DURATIONS`.

        Returns
        -------
        float

        Raises
        ------
        ValueError
            When the duration is not known.
        """
        for name, value in self.kmod:
            if name == duration:
                return value
        raise ValueError(f"load duration {duration!r}: accepted: {', '.join(n for n, _ in self.kmod)}")


@dataclass(frozen=True, slots=True)
class Section:
    """A rectangle of timber; ``width`` is the side along the wall, ``depth`` the side that bends [mm]."""

    width: float
    depth: float

    @property
    def area(self) -> float:
        """Area [mm2]."""
        return self.width * self.depth

    @property
    def modulus(self) -> float:
        """Elastic section modulus b h2 / 6 [mm3]."""
        return self.width * self.depth**2 / 6

    @property
    def inertia(self) -> float:
        """Second moment of area b h3 / 12 [mm4]."""
        return self.width * self.depth**3 / 12

    @property
    def radius(self) -> float:
        """Radius of gyration h / sqrt(12) [mm]."""
        return self.depth / math.sqrt(12)


def kh(depth: float, rho_k: float, rule: DepthRule = DepthRule()) -> float:
    """Return the depth factor of solid timber in bending, EN 1995-1-1 3.2(3), equation 3.1.

    Parameters
    ----------
    depth : float
        Depth in bending [mm].
    rho_k : float
        Characteristic density [kg/m3]; above the rule's the factor is 1.
    rule : DepthRule
        Reference depth, exponent and cap.

    Returns
    -------
    float
        At least 1.
    """
    if depth >= rule.reference or rho_k > rule.density_most:
        return 1.0
    return min((rule.reference / depth) ** rule.exponent, rule.most)


def bending_strength(timber: TimberClass, depth: float, duration: str, factors: Factors) -> float:
    """Return the design bending strength fm,d [N/mm2], EN 1995-1-1 2.4.1 and 3.2.

    Parameters
    ----------
    timber : TimberClass
        The strength class.
    depth : float
        Depth in bending [mm].
    duration : str
        Load duration.
    factors : Factors
        Partial and modification factors.

    Returns
    -------
    float
    """
    k = factors.kmod_for(duration) * kh(depth, timber.rho_k, factors.depth) * factors.ksys
    return timber.fm_k * k / factors.gamma_m


def shear_strength(timber: TimberClass, duration: str, factors: Factors) -> float:
    """Return the design shear strength fv,d [N/mm2], EN 1995-1-1 2.4.1.

    Parameters
    ----------
    timber : TimberClass
        The strength class.
    duration : str
        Load duration.
    factors : Factors
        Partial and modification factors.

    Returns
    -------
    float
    """
    return timber.fv_k * factors.kmod_for(duration) * factors.ksys / factors.gamma_m


def bending_stress(moment: float, section: Section) -> float:
    """Return the bending stress M / W [N/mm2], EN 1995-1-1 6.1.6.

    Parameters
    ----------
    moment : float
        Bending moment [N.mm].
    section : Section
        The section.

    Returns
    -------
    float
    """
    return moment / section.modulus


def shear_stress(shear: float, section: Section, kcr: float) -> float:
    """Return the shear stress 1.5 V / (kcr b h) [N/mm2], EN 1995-1-1 6.1.7.

    Parameters
    ----------
    shear : float
        Shear force [N].
    section : Section
        The section.
    kcr : float
        Crack factor; 1 leaves cracks out.

    Returns
    -------
    float
    """
    return 1.5 * shear / (kcr * section.area)


def final_deflection(permanent: float, variable: float, kdef: float, psi_2: float) -> float:
    """Return the final deflection [mm], EN 1995-1-1 2.2.3(5).

    Parameters
    ----------
    permanent, variable : float
        Instantaneous deflections under permanent and variable load [mm].
    kdef, psi_2 : float
        Deformation factor and quasi-permanent share.

    Returns
    -------
    float
        u_G (1 + kdef) + u_Q (1 + psi2 kdef).
    """
    return permanent * (1 + kdef) + variable * (1 + psi_2 * kdef)


@dataclass(frozen=True, slots=True)
class Buckling:
    """How a column buckles: slenderness, relative slenderness, k and kc (EN 1995-1-1 6.3.2)."""

    slenderness: float
    relative: float
    k: float
    kc: float


def buckling(length: float, radius: float, fc_0_k: float, E_0_05: float, beta_c: float) -> Buckling:
    """Return slenderness and buckling factor of a column, EN 1995-1-1 6.3.2, equations 6.21 to 6.29.

    Parameters
    ----------
    length : float
        Buckling length [mm].
    radius : float
        Radius of gyration about the axis of buckling [mm].
    fc_0_k, E_0_05 : float
        Compressive strength along the grain and fifth-percentile modulus [N/mm2].
    beta_c : float
        Straightness factor; 0.2 for solid timber (6.29).

    Returns
    -------
    Buckling
        ``kc`` is 1 up to a relative slenderness of 0.3.
    """
    slenderness = length / radius
    relative = slenderness / math.pi * math.sqrt(fc_0_k / E_0_05)
    k = 0.5 * (1 + beta_c * (relative - 0.3) + relative**2)
    kc = 1.0 if relative <= 0.3 else 1 / (k + math.sqrt(k * k - relative * relative))
    return Buckling(slenderness, relative, k, kc)


def bearing_use(
    force: float,
    length: float,
    width: float,
    timber: TimberClass,
    duration: str,
    factors: Factors,
    *,
    kc_90: float = 1.0,
    overhang: float = 0.0,
    spread: float = 30.0,
) -> float:
    """Return the use of compression across the grain, EN 1995-1-1 6.1.5.

    Parameters
    ----------
    force : float
        Design force [N].
    length, width : float
        Contact length along the grain and contact width [mm].
    timber : TimberClass
        The strength class of the piece pressed.
    duration : str
        Load duration.
    factors : Factors
        Partial and modification factors.
    kc_90 : float
        1.0; 1.25 on continuous and 1.5 on discrete supports under the clause's conditions.
    overhang : float
        Timber beyond the contact at each end [mm]; counts up to ``spread`` and the contact length.
    spread : float
        Most that counts of it at each end [mm].

    Returns
    -------
    float
        Stress over strength.
    """
    effective = length + 2 * min(spread, overhang, length)
    strength = kc_90 * timber.fc_90_k * factors.kmod_for(duration) / factors.gamma_m
    return force / (effective * width) / strength
