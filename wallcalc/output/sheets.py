"""Sheets to print and take to site: summary, cautions, order list, elevations, setting out, cutting, checks."""

from __future__ import annotations

from typing import Any

from wallcalc.boarding.blanks import cut_text
from wallcalc.draw.elevation import draw_elevation
from wallcalc.draw.elevation_key import elevation_key
from wallcalc.draw.text_fit import text_width
from wallcalc.output.cover import (
    GROUPS,
    Show,
    cautions_page,
    checks_pages,
    in_inches,
    inches_text,
    length_text,
    money,
    room_name,
    summary_page,
)
from wallcalc.output.diagrams import draw_sheets, draw_slabs, draw_timber
from wallcalc.output.fittings import fittings_pages, pierced_pages
from wallcalc.output.page import LEFT, RIGHT, Column, Paper
from wallcalc.output.slopes import sloped_boards, sloped_timber
from wallcalc.records import UPRIGHT

FEET = {"m": (0.3048, "ft"), "m2": (0.3048**2, "ft2")}
"""What an order list in feet shows in place of a unit, and how many of the unit it holds."""
JOISTS = ("joist", "joist noggin")
FOOT = "A plan, not a permit: the codes in force where you build, and those licensed to apply them, decide."


def print_sheets(design: Any) -> bytes:
    """Return the sheets to print of a design as PDF, A4 on its side; the same design gives the same bytes."""
    return compose(design).to_pdf(f"{design.wall.name or 'Wall'}: sheets to print")


def compose(design: Any) -> Paper:
    """Return the pages of a design, laid out and not yet written."""
    show = length_text(design)
    unit = "feet and inches, to the nearest 1/16 in" if in_inches(design) else "mm"
    paper = Paper(design.wall.name or "Wall", f"Lengths in {unit}. {FOOT}")
    end = summary_page(paper, design, show)
    cautions_page(paper, design)
    _order(paper, design)
    _elevations(paper, design)
    _setting_out(paper, design, show)
    fittings_pages(paper, design, show)
    _timber(paper, design, show)
    _sheets(paper, design, show)
    pierced_pages(paper, design, show)
    _fill(paper, design, show)
    checks_pages(paper, design)
    paper.contents(0, end)
    return paper


def _order(paper: Paper, design: Any) -> None:
    paper.page("Order list")
    columns = [
        Column("Code", 49, bold=True),
        Column("Description", 106),
        Column("Needed", 28, "right"),
        Column("Pack", 22, "right"),
        Column("Buy", 16, "right", bold=True),
        Column("Each", 22, "right"),
        Column("Cost", 26, "right"),
    ]
    units = {
        "tape": "m",
        "compound": "kg",
        "sealant": "ml",
        "adhesive": "ml",
        "screw": "no.",
        "fixing": "no.",
    }
    rows = []
    for group, lines in design.takeoff.groupby("group", sort=False):
        for r in lines.itertuples():
            unit = units.get(str(r.group), str(r.unit))
            amount, pack = float(r.needed), float(r.pack)
            if in_inches(design) and unit in FEET:
                each, unit = FEET[unit]
                amount, pack = amount / each, round(pack / each, 2)
            needed = f"{amount:,.2f}".rstrip("0").rstrip(".")
            rows.append(
                [
                    str(r.code), str(r.description), f"{needed} {unit}", f"{pack:g} {unit}", f"{r.bought:g}",
                    money(r.unit_price), money(r.cost),
                ]
            )  # fmt: skip
        rows.append(
            [
                "",
                f"{GROUPS.get(str(group), str(group))}, together",
                "",
                "",
                "",
                "",
                money(lines["cost"].sum()),
            ]
        )
    currency = design.prices.currency
    rows.append(["", "Total, net of tax", "", "", "", currency, money(design.cost)])
    paper.table(columns, rows, size=7.8, strong=lambda row: row[0] == "")


def _elevations(paper: Paper, design: Any) -> None:
    layers = (
        design.boards.groupby("side")["layer"].max().to_dict() if len(design.boards) else {"A": 1, "B": 1}
    )
    for side in ("A", "B"):
        for layer in range(1, int(layers.get(side, 1)) + 1):
            room = room_name(design.wall, side)
            which = f", layer {layer}" if layers.get(side, 1) > 1 else ""
            unit = ", in inches" if in_inches(design) else ""
            paper.page(f"Elevation of side {side}{which}{unit}: seen from {room}")
            axes = paper.picture(below=10)
            draw_elevation(axes, design, side, layer, inches_text if in_inches(design) else None)
            elevation_key(paper.figures[-1])
            for legend in paper.figures[-1].legends:
                legend.set_bbox_to_anchor((0.5, 16 / 210))


def _setting_out(paper: Paper, design: Any, show: Show) -> None:
    paper.page("Setting out: marks along the plates")
    marks = design.setting_out
    marks = marks[~marks["role"].isin(("service", "hole", "fixing"))]  # they have a sheet of their own
    along = marks[marks["axis"] == "x"]
    _strip(paper, design, show)
    wide = [Column("Mark", 22, bold=True), Column("What", 29)]
    wide += [Column(f"{t}, from left", 36, "right") for t in ("Left edge", "Centre", "Right edge")]
    wide += [Column(f"{t}, from right", 36.6, "right") for t in ("Left edge", "Centre", "Right edge")]
    paper.paragraph("Seen from side A. Running dimensions from either end of the clear length.", 8.5)
    rows = []
    for (mark, role), group in along[~along["role"].isin(("joint", *JOISTS))].groupby(
        ["mark", "role"], sort=False
    ):
        left = dict(zip(group["edge"], group["from_left"], strict=True))
        right = dict(zip(group["edge"], group["from_right"], strict=True))
        for line in (left, right):  # a point measured is a line, as a centre is
            line.setdefault("centre", line.get("line"))
        cells = [
            show(d[e]) if d.get(e) is not None else ""
            for d in (left, right)
            for e in ("left", "centre", "right")
        ]
        rows.append([str(mark), str(role), *cells])
    paper.table(wide, rows)
    _joists(paper, along, show)
    level = getattr(design.frame, "profile", None) is None
    for axis, title, low, high in (
        ("x", "Upright board joints", "From left", "From right"),
        ("y", "Heights", "From floor" if level else "From level line", "From ceiling"),
    ):
        part = marks[(marks["axis"] == axis) & ((marks["role"] == "joint") | (axis == "y"))]
        if not len(part):
            continue
        paper.heading2(title)
        columns = [Column("Mark", 110, bold=True), Column("What", 35), Column("Edge", 25)]
        columns += [Column(low, 40, "right"), Column(high, 40, "right")]
        rows = []
        for (role, edge, left, right), group in part.groupby(
            ["role", "edge", "from_left", "from_right"], sort=False
        ):
            names = ", ".join(dict.fromkeys(str(m) for m in group["mark"]))
            rows.append([names, str(role), str(edge), show(left), show(right)])
        paper.table(columns, rows)


def _joists(paper: Paper, along: Any, show: Show) -> None:
    """Put the middles of joists, and of noggins between joists along the wall, in lines of running dimensions."""
    found = along[along["role"].isin(JOISTS)]
    if not len(found):
        return
    paper.heading2("Middles of joists, from the left")
    kinds = found["mark"].astype(str).str.extract(r"^(joist above|joist below|JN|JB)", expand=False)
    for kind, group in found.groupby(kinds, sort=False):
        names = {"joist above": "Joists above", "joist below": "Joists below"}
        place = {"JN": "above", "JB": "below"}.get(str(kind))
        name = names.get(str(kind), f"Noggins between joists {place}, {', '.join(group['mark'])}")
        paper.paragraph(f"{name}: {', '.join(show(x) for x in group['from_left'])}", 8.5)


def _strip(paper: Paper, design: Any, show: Show) -> None:
    """Draw the sole plate with its marks: a cross where a stud stands, its centre from the left above it."""
    length = design.wall.length / 10
    scale = (RIGHT - LEFT - 8) / length
    members = design.members
    plates = members[members["role"] == "sole plate"]
    floor = float((plates["y"] + plates["height"]).max()) if len(plates) else 0.0
    uprights = members[(members["y"] == floor) & (members["height"] > members["width"])]
    if getattr(design.frame, "profile", None) is not None:
        uprights = members[members["role"].isin(UPRIGHT) & (members["y"] <= floor)]
    x0, y, tall = LEFT + 4, paper.y + 17, 7.0
    for r in plates.itertuples():
        paper.box((x0 + r.x * scale, y, r.width * scale, tall), fill="white")
    texts = []
    for r in uprights.sort_values("x").itertuples():
        x, w = x0 + r.x * scale, r.width * scale
        paper.box((x, y, w, tall), fill="white", width=0.9)
        paper.line(x, y, x + w, y + tall, 0.5)
        paper.line(x, y + tall, x + w, y, 0.5)
        texts.append((x + w / 2, show(r.x + r.width / 2), str(r.mark)))
    for c in (c for c in design.frame.clears if c.kind == "door"):
        middle = x0 + (c.left + c.right) / 20 * scale
        paper.text((middle, y + tall / 2 + 1), c.kind, 8, align="center")
    last = -1e9
    for x, dimension, mark in texts:
        at = max(x, last + 3.4)
        last = at
        paper.line(x, y, at, y - 1.6, 0.4)
        paper.text((at, y - 2.2), dimension, 7.5, align="left", turn=90)
        paper.text((at, y + tall + 1.2), mark, 7, align="right", turn=90)
    deepest = max((text_width(m, 7) for _, _, m in texts), default=0)
    paper.y = y + tall + deepest + 4


def _timber(paper: Paper, design: Any, show: Show) -> None:
    cuts = design.timber_cuts
    paper.page(f"Timber cut list: {len(cuts)} lengths")
    draw_timber(paper, cuts.itertuples(), show)
    paper.heading2("Pieces by length")
    rows = []
    members = design.members
    for (section, length, role), group in members.groupby(["section", "length", "role"], sort=True):
        rows.append(
            (
                -length,
                [f"{len(group)}", show(length), str(section), str(role), ", ".join(map(str, group["mark"]))],
            )
        )
    for (section, length), group in design.joist_noggins.groupby(["section", "length"], sort=True):
        marks = ", ".join(map(str, group["mark"]))
        rows.append((-length, [f"{len(group)}", show(length), str(section), "between joists", marks]))
    for (section, length, depth), group in design.cleats.groupby(["section", "length", "depth"], sort=True):
        what, marks = f"cleat, {show(depth)} deep", ", ".join(map(str, group["mark"]))
        rows.append((-length, [f"{len(group)}", show(length), str(section), what, marks]))
    columns = [Column("Pieces", 18, "right"), Column("Length", 30, "right", bold=True), Column("Section", 24)]
    columns += [Column("What", 34), Column("Marks", RIGHT - LEFT - 106)]
    paper.table(columns, [cells for _, cells in sorted(rows, key=lambda r: (r[0], r[1]))])
    sloped_timber(paper, design, show)


def _sheets(paper: Paper, design: Any, show: Show) -> None:
    if not len(design.sheet_cuts):
        return
    paper.page(f"Sheet cut list: {len(design.sheet_cuts)} sheets")
    paper.paragraph(
        "Seen from the face, to scale. Thick lines are bound edges. Hatched: left over; dotted: cut out for an "
        f"opening. Each size is along the sheet, then across it. {cut_text(design.frame.boards)}".rstrip(),
        8.5,
    )
    boards = {b.mark: b for b in design.frame.boards}
    draw_sheets(paper, design.sheet_cuts.itertuples(), boards, show)
    sloped_boards(paper, design, show)


def _fill(paper: Paper, design: Any, show: Show) -> None:
    if not len(design.fill):
        return
    paper.page(f"Cavity fill: {len(design.fill)} bays, {len(design.slab_cuts)} slabs")
    columns = [
        Column("Bay", 16, bold=True), Column("From left", 28, "right"), Column("From floor", 28, "right"),
        Column("Clear width", 28, "right"), Column("Clear height", 28, "right"), Column("Thick", 22, "right"),
        Column("How", 25), Column("Pieces, length x width", 94),
    ]  # fmt: skip
    pieces: dict[str, list[str]] = {}
    for row in design.slab_cuts.itertuples():
        for mark, _, _, length, width, _ in row.cuts:
            pieces.setdefault(str(mark).split("/")[0], []).append(f"{show(length)} x {show(width)}")
    rows = [
        [
            str(r.mark), show(r.x), show(r.y), show(r.width), show(r.height), show(r.thickness), str(r.how),
            "; ".join(pieces.get(str(r.mark), [])),
        ]
        for r in design.fill.itertuples()
    ]  # fmt: skip
    paper.table(columns, rows, size=7.8)
    paper.page(f"Slab cut list: {len(design.slab_cuts)} slabs")
    paper.paragraph(
        "Hatched: left over. Each size is along the slab, then across it; thickness as the stock.", 8.5
    )
    draw_slabs(paper, design.slab_cuts.itertuples(), show)
