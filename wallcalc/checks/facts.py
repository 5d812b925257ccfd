"""What checks look at: the wall, the option and what was made of them, with readings shared by several checks."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any

from wallcalc.buying.waste import fixed_area2
from wallcalc.checks.supports import Bay, StudLine, board_bays, stud_lines
from wallcalc.geometry.sloped import area2, between
from wallcalc.given.option import Option
from wallcalc.given.parts import Access, Room
from wallcalc.given.wall import Wall
from wallcalc.records import Board, Frame, Member, SheetUse, SlabPiece
from wallcalc.trade.prices import BoardProduct, FillProduct, PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM


@dataclass(frozen=True)
class Facts:
    """What a check may look at.

    Attributes
    ----------
    wall : Wall
        The given wall.
    option : Option
        The choices.
    rules : Rules
        The trade rules in force.
    book : PriceBook
        The price book, for what boards, fill and screws are.
    frame : Frame
        Members, boards and joints.
    fill : tuple of SlabPiece
        The cavity fill.
    sound : Sound or None
        The predicted sound reduction: ``Rw``, ``STC``, ``uncertainty`` (with ``Rw`` and ``STC``).
    sheets : tuple of SheetUse
        The sheets bought, where known; otherwise their masses are judged by the boards.
    """

    wall: Wall
    option: Option
    rules: Rules
    book: PriceBook
    frame: Frame
    fill: tuple[SlabPiece, ...] = ()
    sound: Any = None
    sheets: tuple[SheetUse, ...] = field(default=())

    @cached_property
    def studs(self) -> tuple[StudLine, ...]:
        """Full-height studs, neighbours that touch taken together, with the width of wall each carries."""
        return stud_lines(self.frame)

    @cached_property
    def bays(self) -> tuple[Bay, ...]:
        """Distances that boards span, from support to support."""
        return board_bays(self.frame, self.studs)

    @cached_property
    def section(self) -> tuple[float, float]:
        """Thickness and depth of a stud [mm]."""
        thickness, depth = self.option.section.split("x")
        return float(thickness), float(depth)

    @property
    def access(self) -> Access:
        """The way in for the sheets, as the wall gives it."""
        return self.wall.access

    @property
    def sizes(self) -> str:
        """Which stock is bought, "metric" or "inch"."""
        return str(self.rules.value("catalogue.sizes"))

    def room(self, side: str) -> Room:
        """Return the room on a side."""
        return self.wall.room_a if side == "A" else self.wall.room_b

    @cached_property
    def linings(self) -> dict[tuple[str, int], tuple[Board, ...]]:
        """Boards by side and layer, in that order."""
        found: dict[tuple[str, int], list[Board]] = {}
        for board in self.frame.boards:
            found.setdefault((board.side, board.layer), []).append(board)
        return {key: tuple(boards) for key, boards in sorted(found.items())}

    def product(self, name: str) -> BoardProduct:
        """Return what a board product is."""
        return _board(self.book, name)

    def layers(self, side: str) -> tuple[BoardProduct, ...]:
        """Return the board product of each layer of a side, from the frame outwards (the thinnest where mixed)."""
        return tuple(
            min(
                (self.product(p) for p in {b.product for b in boards}), key=lambda p: (p.thickness, p.product)
            )
            for (at, _), boards in self.linings.items()
            if at == side
        )

    @cached_property
    def masses(self) -> dict[str, float]:
        """Mass of frame, boards, fill, tiles and hung items [kg]."""
        return _masses(self)


@lru_cache(maxsize=256)
def _board(book: PriceBook, name: str) -> BoardProduct:
    return book.board(name)


@lru_cache(maxsize=64)
def _fill(book: PriceBook, name: str) -> FillProduct:
    return book.fill(name)


def _seen(m: Member) -> float:
    """Area of a piece as it is seen in elevation, (0.1 mm)^2."""
    return area2(m.outline) / 2 if m.outline else m.width * m.height


def _masses(facts: Facts) -> dict[str, float]:
    rules, frame = facts.rules, facts.frame
    timber = sum(_seen(m) * m.depth for m in frame.members if m.role != "pattress")
    thickness = round(facts.section[0] * MM)
    timber += sum(thickness * c.depth * c.length for c in frame.cleats)
    ply = sum(_seen(m) * facts.product(m.section).surface_mass for m in frame.members if m.role == "pattress")
    boards = sum(fixed_area2(b) * facts.product(b.product).surface_mass for b in frame.boards) / 2
    wool = 0.0
    if facts.option.fill and facts.fill:
        density = _fill(facts.book, facts.option.fill).density
        wool = sum(p.area * p.thickness for p in facts.fill) * density
    tiles = sum(tiled_area(facts, side) * tile_mass(facts, side) for side in "AB")
    cubic, square = (MM * 1000.0) ** 3, (MM * 1000.0) ** 2
    return {
        "frame": timber / cubic * float(rules.value("mass.timber_density")) + ply / square,
        "boards": boards / square,
        "fill": wool / cubic,
        "tiles": tiles,
        "hung items": sum(item.mass + item.extra for item in facts.wall.hung),
    }


def tile_mass(facts: Facts, side: str) -> float:
    """Return the mass of tiling with adhesive and grout on a side [kg/m2], 0 where there is none."""
    room = facts.room(side)
    if room.tiled_to <= 0:
        return 0.0
    return room.tile_mass + float(facts.rules.value("tile.adhesive_and_grout"))


def tiled_area(facts: Facts, side: str) -> float:
    """Return the tiled area of a side without its openings [m2]."""
    top, profile = facts.room(side).tiled_to, facts.frame.profile
    if top <= profile.lowest:
        return 0.0
    rects = [(c.left, c.bottom, c.right, c.top) for c in facts.frame.clears]
    area = 0.0
    for patch in between((0, profile.lowest, profile.length, top), rects, profile.floor, profile.ceiling):
        area += area2(patch.outline) / 2 - sum((c - a) * (d - b) for a, b, c, d in patch.holes)
    return area / (MM * 1000.0) ** 2
