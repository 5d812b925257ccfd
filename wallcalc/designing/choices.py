"""What an option comes to on a given wall: products, sheets, timber and rules resolved, or the reasons why not."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache

from wallcalc.boarding.sheet_choice import pick_sheets
from wallcalc.carcass.build import CarcassInput
from wallcalc.checks.hung_loads import item_loads
from wallcalc.errors import OptionError, Refusal
from wallcalc.geometry.rectangles import Clear
from wallcalc.given.option import SECTIONS, Option
from wallcalc.given.parts import Room
from wallcalc.given.wall import Wall
from wallcalc.hanging.backing import heavy_items
from wallcalc.hanging.fixings import HungRules
from wallcalc.site.frame_rules import frame_rules
from wallcalc.site.openings import structural_openings
from wallcalc.trade.price_records import SheetStock, TimberStock
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM


@dataclass(frozen=True, slots=True)
class Choices:
    """An option resolved: the input of the first stage, and the products that later stages look up."""

    carcass: CarcassInput
    fill: str | None


def resolve(wall: Wall, option: Option, rules: Rules, book: PriceBook) -> Choices:
    """Return an option's products, sheets and timber on a wall.

    Raises OptionError: with every reason at once: products the book does not have. Raises WallError: when an
    opening does not fit the wall.
    """
    refusals: list[Refusal] = []
    sizes = str(rules.value("catalogue.sizes"))
    timber: tuple[TimberStock, ...] = ()
    try:
        timber = _timber(book, option.section, sizes)
    except KeyError:
        refusals.append(_unknown("section", option.section, _sections(book, sizes)))
    sides: list[tuple[str, tuple[SheetStock, ...]]] = []
    for side, room, wanted in (("A", wall.room_a, option.board_a), ("B", wall.room_b, option.board_b)):
        product = wanted or default_board(room, wall.finish, rules)
        try:
            sides.append((product, pick_sheets(_sheets(book, product, sizes), option.sheet, product)))
        except KeyError:
            refusals.append(_unknown(f"board_{side.lower()}", product, book.boards(sizes)))
        except OptionError as error:
            refusals += [r for r in error.refusals if r not in refusals]
    if option.fill is not None:
        try:
            book.fill(option.fill)
        except KeyError:
            refusals.append(_unknown("fill", option.fill, (*book.fills(sizes), "None")))
    if refusals:
        raise OptionError(refusals)
    (product_a, sheets_a), (product_b, sheets_b) = sides
    hung, ply = _hung(wall, rules, book) if wall.hung else (None, ())
    given = CarcassInput(
        wall=wall,
        clears=_clears(wall, rules),
        rules=frame_rules(rules),
        section=option.section,
        timber=timber,
        end_trim=rules.tenths("cutting.end_trim"),
        centres=round(option.stud_centres * MM),
        set_out_from=option.set_out_from,
        lying=option.board_orientation == "horizontal",
        sheets_a=sheets_a,
        sheets_b=sheets_b,
        product_a=product_a,
        product_b=product_b,
        layers_a=option.layers_a,
        layers_b=option.layers_b,
        course_from=option.course_from,
        hung=hung,
        ply=ply,
    )
    return Choices(given, option.fill)


def default_board(room: Room, finish: str, rules: Rules) -> str:
    """Return the board product that a room asks for: by wetness first, then by the finish."""
    if room.wet:
        return str(rules.value("board.default_wet"))
    return str(rules.value("board.default_skim" if finish == "skim" else "board.default"))


@lru_cache(maxsize=64)
def _timber(book: PriceBook, section: str, sizes: str) -> tuple[TimberStock, ...]:
    return book.timber(section, sizes)


@lru_cache(maxsize=64)
def _sheets(book: PriceBook, product: str, sizes: str) -> tuple[SheetStock, ...]:
    return book.sheets(product, sizes)


@lru_cache(maxsize=64)
def _clears(wall: Wall, rules: Rules) -> tuple[Clear, ...]:
    return structural_openings(wall, rules)


@lru_cache(maxsize=64)
def _hung(wall: Wall, rules: Rules, book: PriceBook) -> tuple[HungRules, tuple[SheetStock, ...]]:
    """Return the rules for backing the wall's hung items and the sheets pattresses are cut from."""
    product = str(rules.value("pattress.product"))
    try:
        board, ply = book.board(product), book.sheets(product, str(rules.value("catalogue.sizes")))
    except KeyError:
        raise OptionError([_unknown("pattress.product", product, ())]) from None
    heavy = heavy_items(
        wall.hung,
        lambda item: max(max(load.down, load.out) for load in item_loads(item, rules)),
        float(rules.value("hung.double_studs_from")),
    )
    t = rules.tenths
    edge, end, least = t("hung.edge_distance"), t("hung.end_distance"), t("pattress.height_least")
    cleat = t("pattress.cleat_least")
    return HungRules(edge, end, product, board.thickness, least, heavy, cleat), ply


def _sections(book: PriceBook, sizes: str) -> list[str]:
    """Return the sections that the price book has timber of."""
    sold = []
    for section in SECTIONS:
        with suppress(KeyError):
            sold += [section] if _timber(book, section, sizes) else []
    return sold


def _unknown(field: str, found: str, sold: Sequence[str]) -> Refusal:
    names = ", ".join(sold)
    change = f"use one of {names}" if names else "add it to the price book"
    return Refusal(field, "price book", f"found {found!r}, which the price book does not have", change)
