"""Frames built by hand for the tests of the stages that follow framing: the worked wall and random walls.

The worked wall (3840 x 2620, 38x89 at 600 from the left, upright 1200x2700, opening 2700-3542 x 2030) was
computed by hand; its lengths and counts are the published ones of the design notes of this project, not
this code's output.
"""

from __future__ import annotations

from itertools import pairwise

from sites import level_profile

from wallcalc.geometry.rectangles import Clear
from wallcalc.records import Bar, Board, CutOut, CutPlan, Frame, Joint, Member, SheetCut, SheetUse

T = 380
DEPTH = 890
SECTION = "38x89"


def mm(value: float) -> int:
    return round(value * 10)


def upright(mark: str, role: str, x: int, y0: int, y1: int) -> Member:
    return Member(mark, role, SECTION, x, y0, T, y1 - y0, y1 - y0, DEPTH)


def level(mark: str, role: str, x0: int, x1: int, y: int) -> Member:
    return Member(mark, role, SECTION, x0, y, x1 - x0, T, x1 - x0, DEPTH)


def board(
    mark, side, x0, x1, y0, y1, clear=None, *, bound=("left", "right"), need=0, product="standard-12.5"
):
    """An upright board, notched round the clear opening where it overlaps it (from the board's foot)."""
    outline = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    cut_outs = ()
    if clear is not None and clear.left < x1 and clear.right > x0:
        left, right = max(x0, clear.left), min(x1, clear.right)
        top = clear.top
        pts = []
        if left > x0:
            pts += [(x0, y0), (left, y0), (left, top)]
        else:
            pts += [(x0, top)]
        if right < x1:
            pts += [(right, top), (right, y0), (x1, y0)]
        else:
            pts += [(x1, top)]
        outline = tuple([*pts, (x1, y1), (x0, y1)])
        cut_outs = (CutOut(0, left - x0, top - y0, right - left, int(right == x1) + int(left == x0)),)
    layer = int(mark[1])
    return Board(
        mark, side, layer, 1, product, x0, y0, x1 - x0, y1 - y0, outline, bound, False, need, cut_outs
    )


def worked_wall() -> Frame:
    """Return the worked wall of the design notes."""
    L, H = mm(3840), mm(2620)
    clear = Clear(0, "door", mm(2700), mm(3542), 0, mm(2030))
    head = H - T
    members = [
        level("SP1", "sole plate", 0, mm(2700), 0),
        level("SP2", "sole plate", mm(3542), L, 0),
        level("HP1", "head plate", 0, L, head),
        upright("ES1", "end stud", 0, T, head),
        *(upright(f"S{i}", "stud", mm(600 * i) - T // 2, T, head) for i in (1, 2, 3, 4)),
        upright("JS1", "jamb stud", mm(2662), T, head),
        upright("JS2", "jamb stud", mm(3542), T, head),
        upright("ES2", "end stud", L - T, T, head),
        level("DH1", "door head", mm(2700), mm(3542), mm(2030)),
        upright("SS1", "short stud", mm(3000) - T // 2, mm(2068), head),
        upright("SS2", "short stud", mm(3240) - T // 2, mm(2068), head),
    ]
    full = sorted(m.x for m in members if m.role in ("end stud", "stud", "jamb stud"))
    for row, y in enumerate((mm(873), mm(1747)), start=1):
        bay = 0
        for left, right in pairwise(full):
            if left + T == clear.left:
                continue
            bay += 1
            members.append(level(f"N{row}.{bay}", "noggin", left + T, right, y - T // 2))
    foot = mm(12)

    def lining(side: str, lines: tuple[float, ...]) -> list[Board]:
        xs = [mm(v) for v in lines]
        return [
            board(f"{side}1-{n}", side, x0, x1, foot, H, clear)
            for n, (x0, x1) in enumerate(pairwise(xs), start=1)
        ]

    boards = [*lining("A", (0, 600, 1800, 3000, 3840)), *lining("B", (0, 1200, 2400, 3240, 3840))]
    joints = []
    for side, xs in (("A", (600, 1800, 3000)), ("B", (1200, 2400, 3240))):
        for x in xs:
            low = foot if not clear.left < mm(x) < clear.right else clear.top
            joints.append(Joint(side, 1, mm(x), low, mm(x), H, "bound-bound", (), 320))
        joints.append(Joint(side, 1, 0, foot, 0, H, "corner"))
        joints.append(Joint(side, 1, L, foot, L, H, "corner"))
        joints.append(Joint(side, 1, 0, H, L, H, "corner"))
    return Frame(level_profile(L, H), (clear,), tuple(members), tuple(boards), tuple(joints))


def frame_of(
    length: int, height: int, studs: list[int], rows: list[int], door: tuple[int, int, int] | None
) -> Frame:
    """Return a frame with studs at the given left edges, noggin rows at the given lower edges, a door or none.

    ``studs`` must leave at least one stud thickness between neighbours; ``door`` is (left, right, top).
    """
    head = height - T
    clears = () if door is None else (Clear(0, "door", door[0], door[1], 0, door[2]),)
    members = [level("HP1", "head plate", 0, length, head)]
    edges = [0] if door is None else [0, door[0], door[1]]
    for n, x0 in enumerate(edges[::2], start=1):
        x1 = (edges[1] if n == 1 else length) if door else length
        members.append(level(f"SP{n}", "sole plate", x0, x1, 0))
    fixed = [0, length - T]
    if door:
        fixed += [door[0] - T, door[1]]
        members.append(level("DH1", "door head", door[0], door[1], door[2]))
    members += [upright(f"FS{i}", "end stud", x, T, head) for i, x in enumerate(sorted(fixed), start=1)]
    stand = list(fixed)
    for n, x in enumerate(studs, start=1):
        if any(abs(x - f) < T for f in stand):
            continue
        if door and door[0] <= x + T and x <= door[1]:
            if door[0] <= x and x + T <= door[1] and door[2] + T < head:
                members.append(upright(f"SS{n}", "short stud", x, door[2] + T, head))
            continue
        stand.append(x)
        members.append(upright(f"S{n}", "stud", x, T, head))
    stand.sort()
    for row, y in enumerate(rows, start=1):
        for n, (left, right) in enumerate(pairwise(stand), start=1):
            if right - left - T <= 0 or (door and left + T == door[0]):
                continue
            members.append(level(f"N{row}.{n}", "noggin", left + T, right, y))
    return Frame(level_profile(length, height), clears, tuple(members), (), ())


def one_bar_each(frame: Frame, stocks, kerf: int = 30) -> CutPlan:
    """Return a plain timber plan: first fit into the longest stock, for tests of what comes after cutting."""
    stock = max(stocks, key=lambda s: s.length)
    bars: list[list[tuple[str, int]]] = []
    for m in sorted(frame.members, key=lambda m: (-m.length, m.mark)):
        for bar in bars:
            if sum(n + kerf for _, n in bar) + m.length <= stock.length:
                bar.append((m.mark, m.length))
                break
        else:
            bars.append([(m.mark, m.length)])
    uses = []
    for bar in bars:
        net = sum(n for _, n in bar)
        loss = kerf * len(bar)
        uses.append(Bar(stock.code, stock.section, stock.length, tuple(bar), stock.length - net - loss, loss))
    cost = stock.price * len(bars)
    return CutPlan("timber", tuple(uses), cost, 0, False, "plain first fit", "first fit")


def one_sheet_each(frame: Frame, stock) -> CutPlan:
    """Return a plain sheet plan: every board from a sheet of its own."""
    uses = tuple(
        SheetUse(stock.code, stock.length, stock.width, (SheetCut(b.mark, 0, 0, b.along, b.across),))
        for b in frame.boards
    )
    return CutPlan(f"boards {stock.product}", uses, stock.price * len(uses), 0, False, "one each", "one each")


def one_slab_each(pieces, stock) -> CutPlan:
    """Return a plain slab plan: every piece from a slab of its own, packs bought whole."""
    uses = tuple(
        SheetUse(stock.code, stock.length, stock.width, (SheetCut(mark, 0, 0, length, width),))
        for mark, length, width in pieces
    )
    packs = -(-len(uses) // stock.per_pack)
    return CutPlan("fill", uses, packs * stock.price_per_pack, 0, False, "one each", "one each")
