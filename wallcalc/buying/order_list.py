"""The order list: everything that is bought, packs rounded up, needed and bought both shown.

Money is whole cents net of tax; every total is a sum of lines, so totals reconcile to the cent.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from wallcalc.buying import finishing
from wallcalc.buying.finishing import Structure
from wallcalc.buying.packs import cheapest_packs, choose_screw
from wallcalc.buying.pattress_boards import pattresses
from wallcalc.buying.screws import ScrewLine, count_screws, screw_length, screw_lines
from wallcalc.buying.waste import fixed_area2
from wallcalc.records import Bar, CutPlan, Frame, OrderLine, SheetUse
from wallcalc.trade.prices import Item, PriceBook
from wallcalc.trade.rules import Rules

COST_GROUPS = {"timber": "timber", "sheet": "board", "plywood": "board", "slab": "fill"}
"""Which cost column a group of the price book counts in; all others count as "fixings"."""

SPARES = {"timber": "spare.timber", "sheet": "spare.board", "plywood": "spare.board", "slab": "spare.fill"}


def take_off(
    frame: Frame,
    plans: Iterable[CutPlan],
    rules: Rules,
    book: PriceBook,
    *,
    structure: Structure | None = None,
    finish: str = "taped",
    screws: Sequence[ScrewLine] | None = None,
    hung_screws: int = 0,
) -> tuple[OrderLine, ...]:
    """Return the order list of a wall.

    Timber, boards, fill, screws, fixings, tape, compound, sealant, adhesive. ``needed`` includes the rule's
    allowance; spares are in ``bought`` and named in the description. Raises KeyError: when the price book
    lacks a product that the rules name.
    """
    lines = stock_lines(frame, plans, rules, book)
    rows = screw_lines(frame, rules) if screws is None else screws
    lines += _board_screws(frame, rows, rules, book)
    lines += _fixings(frame, rules, book, structure or Structure(), hung_screws)
    lines += _finish(frame, rules, book, finish)
    return tuple(lines)


def totals(lines: Iterable[OrderLine]) -> dict[str, int]:
    """Return the cost by group, cents; their sum is the cost of the list.

    Groups in the order they appear.
    """
    out: dict[str, int] = {}
    for line in lines:
        out[line.group] = out.get(line.group, 0) + line.cost
    return out


def cost_columns(lines: Iterable[OrderLine]) -> dict[str, int]:
    """Return the cost by column of a study, cents: timber, board, fill and fixings.

    Always the four keys, in that order.
    """
    out = dict.fromkeys(("timber", "board", "fill", "fixings"), 0)
    for line in lines:
        out[COST_GROUPS.get(line.group, "fixings")] += line.cost
    return out


def spare_stock(plans: Iterable[CutPlan], rules: Rules, book: PriceBook) -> dict[str, int]:
    """Return the spares bought beyond the plans: whole lengths by section, sheets by product, slabs.

    The spare is of the stock that the plan uses most (the larger one when two are used alike), so that it can
    stand in for most pieces.

    Number by stock code.
    """
    used = Counter(use.code for plan in plans for use in plan.uses)
    by_product: dict[tuple[str, str], list[str]] = {}
    for code in sorted(used):
        item = book.item(code)
        by_product.setdefault((item.group, item.product), []).append(code)
    out: dict[str, int] = {}
    for (group, _), codes in by_product.items():
        number = int(rules.value(SPARES[group])) if group in SPARES else 0
        if number:
            best = max(codes, key=lambda c: (used[c], book.item(c).length, c))
            out[best] = number
    return out


def stock_lines(frame: Frame, plans: Iterable[CutPlan], rules: Rules, book: PriceBook) -> list[OrderLine]:
    """Return the lines of what the cutting plans use: timber in m, boards in m2, fill in slabs.

    In the order of the plans, then by code.
    """
    plans = tuple(plans)
    spares = spare_stock(plans, rules, book)
    areas = {b.mark: fixed_area2(b) for b in frame.boards}
    areas |= {m.mark: 2 * m.width * m.height for m in pattresses(frame.members)}
    out = []
    for plan in plans:
        by_code: dict[str, list[Bar | SheetUse]] = {}
        for use in plan.uses:
            by_code.setdefault(use.code, []).append(use)
        for code in sorted(by_code):
            uses, item, spare = by_code[code], book.item(code), spares.get(code, 0)
            number = len(uses) + spare
            if isinstance(uses[0], Bar):
                pack, needed, unit = uses[0].length / 1e4, sum(n for u in uses for _, n in u.cuts) / 1e4, "m"
            elif item.group == "slab":
                pack, needed, unit = item.pack, float(len(uses)), "slab"
                number = math.ceil(Fraction(number) / Fraction(str(item.pack)))
            else:
                pack, unit = uses[0].length * uses[0].width / 1e8, "m2"
                needed = sum(areas.get(cut.mark, 0) for u in uses for cut in u.cuts) / 2e8
            out.append(_line(item, item.product, unit, pack, needed, number, spare=spare))
    return out


def _board_screws(frame: Frame, rows: Sequence[ScrewLine], rules: Rules, book: PriceBook) -> list[OrderLine]:
    penetration = rules.tenths("screw.penetration")
    allowance = Fraction(str(rules.value("screw.allowance"))) / 100
    thick: dict[tuple[str, int], int] = {}
    for board in frame.boards:
        at = (board.side, board.layer)
        thick[at] = max(thick.get(at, 0), book.board(board.product).thickness)
    wanted: dict[int, int] = {}
    for (side, layer), number in count_screws(rows).items():
        least = screw_length([thick.get((side, n), 0) for n in range(1, layer + 1)], penetration)
        wanted[least] = wanted.get(least, 0) + number
    product = str(rules.value("order.board_screw"))
    offer = [i for i in _on_offer(book, "screw", rules) if i.product == product]
    by_product: dict[tuple[str, int], tuple[list[Item], int, list[int]]] = {}
    for least, number in sorted(wanted.items()):
        items = choose_screw(offer, least)
        if not items:
            raise KeyError(f"the price book has no board screw of {least / 10:g} mm or longer")
        packs, already, lengths = by_product.setdefault((items[0].product, items[0].length), (items, 0, []))
        by_product[(items[0].product, items[0].length)] = (packs, already + number, [*lengths, least])
    out = []
    for items, number, lengths in by_product.values():
        total = math.ceil(number * (1 + allowance))
        why = (
            f"{number} counted + {float(allowance * 100):g} %;"
            f" least length {', '.join(f'{n / 10:g}' for n in lengths)} mm"
        )
        out += _pack_lines(items, total, why)
    return out


def _fixings(frame: Frame, rules: Rules, book: PriceBook, structure: Structure, hung: int) -> list[OrderLine]:
    allowance = Fraction(str(rules.value("fixing.allowance"))) / 100
    wanted: dict[str, list[tuple[str, int]]] = {}
    number = finishing.frame_fixings(frame, rules)
    frame_fixing = wanted.setdefault(str(rules.value("order.frame_fixing")), [])
    frame_fixing.append(("framing joints", number))
    if frame.joist_noggins:
        frame_fixing.append(("noggins between joists", finishing.joist_noggin_fixings(frame, rules)))
    if frame.cleats:
        frame_fixing.append(("cleats to studs", finishing.cleat_fixings(frame, rules)))
    if hung:
        wanted.setdefault(str(rules.value("order.hung_screw")), []).append(("hung items", hung))
    undrilled = ""
    for (product, what), count in finishing.structure_fixings(frame, rules, structure).items():
        if product:
            wanted.setdefault(product, []).append((what, count))
        else:
            undrilled = f"; {what} not drilled into the {structure.floor}: fix it by another method"
    out = []
    for product, uses in wanted.items():
        counted = sum(n for _, n in uses)
        why = ", ".join(f"{what} {n}" for what, n in uses) + f"; + {float(allowance * 100):g} %"
        why += undrilled if product == str(rules.value("order.plate_to_timber")) else ""
        out += _pack_lines(_of_product(book, product, rules), math.ceil(counted * (1 + allowance)), why)
    return out


def _finish(frame: Frame, rules: Rules, book: PriceBook, finish: str) -> list[OrderLine]:
    if not frame.boards:
        return []

    def share(key: str) -> float:
        return 1 + float(rules.value(key)) / 100

    area = finishing.face_area(frame)
    tape = finishing.tape_length(frame, rules) * share("finish.tape_allowance")
    wanted = [("order.tape", tape, f"joints and angles + {float(rules.value('finish.tape_allowance')):g} %")]
    if finish == "skim":
        rate = float(rules.value("finish.skim_per_area"))
        wanted.append(("order.skim", area * rate, f"{area:.2f} m2 at {rate:g} kg/m2"))
    else:
        rate = float(rules.value("finish.compound_per_area"))
        wanted.append(("order.compound", area * rate, f"{area:.2f} m2 at {rate:g} kg/m2"))
    sealant = finishing.sealant_volume(frame, rules) * share("sealant.allowance")
    wanted.append(
        ("order.sealant", sealant, f"perimeter + {float(rules.value('sealant.allowance')):g} %"),
    )
    adhesive = finishing.adhesive_volume(frame, rules)
    wanted.append(("order.adhesive", adhesive, "boards to timber"))
    out = []
    for key, needed, why in wanted:
        if needed > 0:
            out += _pack_lines(_of_product(book, str(rules.value(key)), rules), round(needed, 3), why)
    return out


def _of_product(book: PriceBook, product: str, rules: Rules) -> list[Item]:
    found = [i for group in _PACKED for i in _on_offer(book, group, rules) if i.product == product]
    if not found:
        raise KeyError(f"the price book has no product {product!r}, which the rules ask for")
    return found


def _on_offer(book: PriceBook, group: str, rules: Rules) -> list[Item]:
    """Return the items of a group in the sizes that the rules build with."""
    return [i for i in book.items(group) if i.sizes in (rules.value("catalogue.sizes"), "both")]


_PACKED = ("screw", "fixing", "tape", "compound", "sealant", "adhesive")


def _pack_lines(items: Sequence[Item], needed: float, why: str) -> list[OrderLine]:
    """Return the lines of one need; when two pack sizes share it, each takes what it can hold in turn."""
    out, left = [], needed
    for item, number in cheapest_packs(needed, items):
        takes = min(left, number * item.pack)
        left = round(left - takes, 6)
        out.append(_line(item, item.product, item.unit, item.pack, takes, number, why=why))
    return out


def _line(
    item: Item,
    name: str,
    unit: str,
    pack: float,
    needed: float,
    bought: int,
    *,
    spare: int = 0,
    why: str = "",
) -> OrderLine:
    note = f" ({why})" if why else f" ({spare} spare)" if spare else ""
    return OrderLine(
        item=name,
        code=item.code,
        group=item.group,
        description=item.description + note,
        unit=unit,
        pack=float(pack),
        needed=round(float(needed), 4),
        bought=bought,
        unit_price=item.price,
        cost=bought * item.price,
    )


def as_mapping(lines: Iterable[OrderLine]) -> Mapping[str, int]:
    """Return the number bought by code."""
    out: dict[str, int] = {}
    for line in lines:
        out[line.code] = out.get(line.code, 0) + line.bought
    return out
