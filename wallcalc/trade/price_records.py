"""What the price book hands out: one small record a kind of thing, lengths in 0.1 mm, prices in cents."""

from __future__ import annotations

from dataclasses import dataclass

NEEDED_UNITS = {
    "timber": "no.",
    "sheet": "no.",
    "plywood": "no.",
    "slab": "no.",
    "screw": "no.",
    "fixing": "no.",
    "tape": "m",
    "compound": "kg",
    "sealant": "ml",
    "adhesive": "ml",
}
"""By group, the unit in which ``pack`` counts what one bought unit holds."""


@dataclass(frozen=True, slots=True)
class TimberStock:
    """A length of timber as bought: thickness, depth and length in 0.1 mm, price in cents."""

    code: str
    section: str
    thickness: int
    depth: int
    length: int
    price: int
    description: str


@dataclass(frozen=True, slots=True)
class SheetStock:
    """A sheet as bought: length, width and thickness in 0.1 mm, price in cents."""

    code: str
    product: str
    length: int
    width: int
    thickness: int
    price: int
    description: str


@dataclass(frozen=True, slots=True)
class BoardProduct:
    """A board product: thickness in 0.1 mm, surface mass in kg/m2, kind (standard, moisture, dense, plywood)."""

    product: str
    thickness: int
    surface_mass: float
    kind: str
    edge: str
    description: str


@dataclass(frozen=True, slots=True)
class SlabStock:
    """A pack of slabs: length, width and thickness of a slab in 0.1 mm, price of the pack in cents."""

    code: str
    product: str
    length: int
    width: int
    thickness: int
    per_pack: int
    price_per_pack: int
    description: str


@dataclass(frozen=True, slots=True)
class FillProduct:
    """A cavity fill: thickness in 0.1 mm, density in kg/m3, air-flow resistivity in Pa s/m2."""

    product: str
    thickness: int
    density: float
    flow_resistivity: float
    description: str


@dataclass(frozen=True, slots=True)
class Item:
    """Anything bought by the pack: pack in :data:`NEEDED_UNITS` of its group, price in cents, length in 0.1 mm."""

    code: str
    group: str
    product: str
    description: str
    unit: str
    pack: float
    price: int
    length: int
    sizes: str
