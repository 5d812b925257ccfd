"""Values that strength checks need, read once from the rule file into plain records."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from wallcalc.shipped import data_folder
from wallcalc.strength.loads import LoadCase
from wallcalc.strength.timber_ec5 import (
    DepthRule,
    Factors,
    Section,
    TimberClass,
    bending_strength,
    load_classes,
    shear_strength,
)
from wallcalc.strength.timber_us import Adjustment, adjusted, psi
from wallcalc.trade.rules import Rules

EUROPEAN = "EN 1995-1-1"
"""The name of the limit-state method in the rule ``strength.method``."""

SQUARE_METRE, CUBE = 1e6, 1e3


@dataclass(frozen=True, slots=True)
class Timber:
    """Strength and stiffness of a stud by the method in force.

    Attributes
    ----------
    name : str
        Class or grade.
    modulus, shear_modulus : float
        Mean moduli [N/mm2].
    load_factor : float
        What loads are multiplied by when strength is checked.
    crack : float
        Share of the section that carries shear.
    creep : float
        What a variable load's deflection grows by in the end (psi2 times kdef).
    lasting : float
        What a permanent load's deflection grows by (kdef).
    source, status : str
        Where the strength comes from.
    """

    name: str
    modulus: float
    shear_modulus: float
    load_factor: float
    crack: float
    creep: float
    lasting: float
    source: str
    status: str


@lru_cache(maxsize=64)
def factors(rules: Rules) -> Factors:
    """Return the factors of EN 1995-1-1 as the rules set them."""

    def v(key: str) -> float:
        return float(rules.value(f"strength.{key}"))

    service = int(v("service_class"))
    return Factors(
        kmod=tuple(
            (r["duration"], float(r["value"])) for r in rules.rows("kmod") if r["service_class"] == service
        ),
        gamma_m=v("gamma_m"),
        gamma_m_connection=v("gamma_m_connection"),
        gamma_g=v("gamma_g"),
        gamma_q=v("gamma_q"),
        psi_2=v("psi_2"),
        kdef=next(float(r["value"]) for r in rules.rows("kdef") if r["service_class"] == service),
        kcr=v("kcr"),
        ksys=v("ksys") if rules.value("strength.load_sharing") else 1.0,
        depth=DepthRule(
            v("depth_reference"), v("depth_exponent"), v("depth_factor_most"), v("depth_density_most")
        ),
    )


@lru_cache(maxsize=64)
def timber_class(rules: Rules) -> TimberClass:
    """Return the strength class that the rules name.

    Raises KeyError: when the table of classes has none of that name.
    """
    classes = load_classes(data_folder() / "timber_classes.csv")
    name = str(rules.value("strength.timber_class"))
    if name not in classes:
        raise KeyError(f"no timber class {name!r}; there are: {', '.join(classes)}")
    return classes[name]


@lru_cache(maxsize=64)
def lumber(rules: Rules) -> dict | None:
    """Return the row of the lumber grade that the rules name; None for the limit-state method."""
    if rules.value("strength.method") == EUROPEAN:
        return None
    name = rules.value("strength.lumber_grade")
    return next(dict(row) for row in rules.rows("lumber_grade") if row["grade"] == name)


@lru_cache(maxsize=64)
def timber(rules: Rules) -> Timber:
    """Return the timber of the studs by the method in force."""
    grade = lumber(rules)
    if grade is None:
        found, f = timber_class(rules), factors(rules)
        return Timber(
            found.name, found.E_0_mean, found.G_mean, f.gamma_q, f.kcr, f.psi_2 * f.kdef, f.kdef,
            f"EN 1995-1-1, with {found.edition}", found.status,
        )  # fmt: skip
    modulus = psi(grade["modulus"])
    return Timber(
        f"{grade['species']} {grade['grade']}", modulus, modulus / float(rules.value("strength.modulus_ratio")), 1.0,
        1.0, 0.0, float(rules.value("strength.creep_factor")) - 1.0, str(grade["source"]), str(grade["status"]),
    )  # fmt: skip


@lru_cache(maxsize=512)
def strengths(rules: Rules, depth: float, duration: str, close: bool) -> tuple[float, float]:
    """Return bending and shear strength to design with [N/mm2]."""
    grade = lumber(rules)
    if grade is None:
        found, f = timber_class(rules), factors(rules)
        return bending_strength(found, depth, duration, f), shear_strength(found, duration, f)
    lasting = float(rules.value("strength.load_duration_factor"))
    repeat = float(rules.value("strength.repetitive_factor")) if close else 1.0
    bending = adjusted(grade["bending"], Adjustment(CD=lasting, Cr=repeat))
    return psi(bending), psi(adjusted(grade["shear"], Adjustment(CD=lasting)))


@lru_cache(maxsize=64)
def load_cases(rules: Rules, tiled: bool) -> tuple[LoadCase, ...]:
    """Return the horizontal load cases that the rules ask for; a case with no load is left out."""
    duration = str(rules.value("loads.duration"))
    height = rules.tenths("loads.line_height") / 10
    give = rules.tenths("loads.give_most") / 10
    cases = []
    for kind, key, size in (
        ("line", "loads.line", 1.0),
        ("area", "loads.area", 1 / CUBE),
        ("point", "loads.point", CUBE),
    ):
        rule = rules.rule(key)
        value = float(rule.value)
        if value > 0:
            name = {"line": "line load", "area": "area load", "point": "point load"}[kind]
            cases.append(
                LoadCase(
                    f"{name} {value:g} {rule.unit}",
                    kind,
                    value * size,
                    height,
                    duration,
                    True,
                    give,
                    False,
                    rule.source,
                    rule.status,
                )
            )
    rule = rules.rule("loads.check_pressure")
    limit = rules.rule("loads.deflection_limit_tiled" if tiled else "loads.deflection_limit")
    if float(rule.value) > 0:
        cases.append(
            LoadCase(
                f"{float(rule.value):g} Pa",
                "pressure",
                float(rule.value) / SQUARE_METRE,
                height,
                duration,
                False,
                float(limit.value),
                True,
                limit.source,
                limit.status,
            )
        )
    return tuple(cases)


@lru_cache(maxsize=64)
def section_of(name: str) -> Section:
    """Return a section from its name."""
    thickness, depth = name.split("x")
    return Section(float(thickness), float(depth))
