"""From a frame and its products to the wall as sound meets it."""

from __future__ import annotations

from wallcalc.given.wall import Wall
from wallcalc.records import FULL_HEIGHT, Frame, SlabPiece
from wallcalc.sound import Absorber, Build, Leaf
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM


def build_of(
    frame: Frame,
    section: str,
    fill: tuple[SlabPiece, ...],
    fill_product: str | None,
    rules: Rules,
    book: PriceBook,
) -> Build:
    """Return the wall as the sound models take it; an uneven wall is taken as one of its mean height.

    Parameters
    ----------
    frame : Frame
        Members and boards; full-height studs are the lines that bridge the cavity.
    section : str
        Stud section, mm.
    fill : tuple of SlabPiece
        The fill of the bays.
    fill_product : str or None
        What it is.
    rules : Rules
        For the screws' spacing.
    book : PriceBook
        Surface masses, density and flow resistivity.
    """
    thickness, depth = (float(p) for p in section.split("x"))
    studs = tuple(sorted((m.x + m.width / 2) / MM for m in frame.members if m.role in FULL_HEIGHT))
    absorber = None
    if fill and fill_product is not None:
        product = book.fill(fill_product)
        absorber = Absorber(product.thickness / MM, product.density, product.flow_resistivity)
    return Build(
        leaf_a=_leaf(frame, "A", book),
        leaf_b=_leaf(frame, "B", book),
        depth=depth,
        stud_width=thickness,
        stud_x=studs,
        length=frame.length / MM,
        height=frame.profile.mean_height / MM,
        fill=absorber,
        screw_spacing=rules.tenths("screw.spacing") / MM,
        openings=tuple((c.left / MM, c.right / MM) for c in frame.clears),
    )


def _leaf(frame: Frame, side: str, book: PriceBook) -> Leaf:
    layers = {b.layer: b.product for b in frame.boards if b.side == side}
    product = book.board(layers[1])
    return Leaf(product.surface_mass, product.thickness / MM, len(layers))


def doors_of(wall: Wall, frame: Frame, rules: Rules) -> tuple[tuple[float, float], ...]:
    """Return (area in m2, Rw in dB) of what fills each opening; the rule's assumed rating where none is given."""
    found = []
    for clear in frame.clears:
        rating = wall.openings[clear.index].rating
        if rating is None:
            rating = float(rules.value("door.assumed_rating"))
        found.append(
            ((clear.right - clear.left) * (clear.top - clear.bottom) / (MM * 1000) ** 2, float(rating))
        )
    return tuple(found)
