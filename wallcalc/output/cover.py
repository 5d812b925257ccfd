"""The first and last printed sheets of a design: summary, cautions, checks."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from wallcalc.checks.others import applies
from wallcalc.draw.text_fit import vouched
from wallcalc.given.option import Option
from wallcalc.given.parts import Joists
from wallcalc.given.wall import Wall
from wallcalc.output.page import LEFT, RIGHT, Column, Paper, row_height
from wallcalc.output.tables import worked_out
from wallcalc.units.quantities import format_length, format_mass

Show = Callable[[float], str]
"""Turns mm into the text of a length."""

CHOICES = (
    ("section", "Stud section"),
    ("stud_centres", "Stud centres"),
    ("set_out_from", "Set out from"),
    ("stud_layout", "Stud layout"),
    ("board_orientation", "Boards"),
    ("sheet", "Sheet"),
    ("layers_a", "Layers, side A"),
    ("layers_b", "Layers, side B"),
    ("board_a", "Board, side A"),
    ("board_b", "Board, side B"),
    ("course_from", "Courses from"),
    ("fill", "Cavity fill"),
)
COVER_FOOT = 44.0
"""Room kept at the foot of the first sheet for the list of sheets, mm."""
UNSET = {"sheet": "cheapest mix", "board_a": "by the room", "board_b": "by the room", "fill": "none"}

ON_SITE = ("gas",)
"""Cautions printed for every wall: what they speak of may come to light on site."""

GROUPS = {
    "timber": "Timber",
    "sheet": "Boards",
    "plywood": "Plywood",
    "slab": "Cavity fill",
    "screw": "Screws",
    "fixing": "Fixings",
    "tape": "Tape",
    "compound": "Compound",
    "sealant": "Sealant",
    "adhesive": "Adhesive",
}


def length_text(design: Any) -> Show:
    """Return what turns mm into the text of a length: mm, or feet and inches where sheets are sold in inches."""
    if in_inches(design):
        return lambda mm: format_length(round(mm * 10), "ft-in")
    return lambda mm: f"{mm:.1f}".rstrip("0").rstrip(".")


def inches_text(mm: float) -> str:
    """Return a length as inches alone, to the nearest 1/16, for dimensions that stand close together."""
    whole, part = divmod(round(mm * 160 / 254), 16)
    fraction = str(Fraction(part, 16)) if part else ""
    return " ".join(filter(None, (str(whole) if whole or not part else "", fraction)))


def in_inches(design: Any) -> bool:
    """Return whether lengths are shown in feet and inches: where the rules build with inch sizes."""
    return design.rules.value("catalogue.sizes") == "inch"


def money(value: float) -> str:
    """Return an amount of money as text, two decimals, thousands set apart."""
    return f"{value:,.2f}"


def summary_page(paper: Paper, design: Any, show: Show) -> float:
    """Put the first sheet: given, chosen, what comes out, what the checks say; return where it ends (mm)."""
    wall, option = design.wall, design.option
    paper.page("Partition wall: summary")
    top = paper.y
    given = [
        ["Clear length", show(wall.length / 10)],
        ["Height", _heights(wall, show)],
        ["Side A", room_name(wall, "A")],
        ["Side B", room_name(wall, "B")],
        *(_opening(c, show) for c in design.frame.clears),
        ["Floor", _given(wall.floor)],
        ["Ceiling", _given(wall.ceiling)],
        ["Joists above", _joists(wall.joists_above, show)],
        ["Joists below", _joists(wall.joists_below, show)],
        ["Left end", _given(wall.left_end)],
        ["Right end", _given(wall.right_end)],
        ["Finish", wall.finish],
    ]  # fmt: skip
    chosen = [[label, _choice(option, name, show)] for name, label in CHOICES]
    found = _results(design)
    third = (RIGHT - LEFT - 8) / 3
    lowest = top
    for place, (title, rows) in enumerate((("Given", given), ("Chosen", chosen), ("Comes out", found))):
        paper.y = top
        columns = [Column(title, third * 0.42, bold=True), Column("", third * 0.58)]
        paper.table(columns, rows, size=8.5, x=LEFT + place * (third + 4))
        lowest = max(lowest, paper.y)
    paper.y = lowest + 2
    _verdicts(paper, design)
    paper.paragraph(
        f"Rules: {design.rules.title}, edition {design.rules.edition}. Prices: {design.prices.name}, in "
        f"{design.prices.currency}, net of tax. Every value has its source in the files beside this one.",
        8,
    )
    return paper.y + 3 if len(paper.figures) == 1 else 1e9


def _opening(clear: Any, show: Show) -> list[str]:
    span = f"{show(clear.left / 10)} to {show(clear.right / 10)}"
    return [clear.kind.capitalize(), f"{span}, {show(clear.bottom / 10)} to {show(clear.top / 10)} up"]


def _heights(wall: Wall, show: Show) -> str:
    """Return the height, or the least and the greatest, and how far an uneven floor rises."""
    found = sorted({h for _, h in wall.heights})
    text = show(found[0] / 10) + (f" to {show(found[-1] / 10)}" if len(found) > 1 else "")
    rise = max((level for _, level in wall.floor_levels), default=0)
    return f"{text}; floor rises {show(rise / 10)}" if rise else text


def _joists(joists: Joists, show: Show) -> str:
    """Return what is known of joists in words."""
    if joists.direction == "solid":
        return "none, solid"
    if joists.direction == "unknown":
        return _given("unknown")
    words = [f"{joists.direction} the wall"]
    words += [f"first at {show(joists.first / 10)}"] if joists.first is not None else []
    words += [f"every {show(joists.centres / 10)}"] if joists.centres else []
    return ", ".join(words)


def _given(kind: str) -> str:
    return "not given" if kind == "unknown" else kind


def room_name(wall: Wall, side: str) -> str:
    """Return what to call the room on a side, and that it is wet where it is."""
    room = wall.room_a if side == "A" else wall.room_b
    words = [room.name or room.use, *(["wet"] if room.wet else [])]
    return ", ".join(words)


def _choice(option: Option, name: str, show: Show) -> str:
    value = getattr(option, name)
    if value is None:
        return UNSET[name]
    if name == "stud_centres":
        return "fitted" if option.stud_layout == "fitted" else show(value)
    if name == "course_from" and not isinstance(value, str):
        return show(value)
    if name == "board_orientation":
        return {"vertical": "upright", "horizontal": "on their side"}[value]
    return str(value)


def _results(design: Any) -> list[list[str]]:
    groups = design.takeoff.groupby("group", sort=False)["cost"].sum()
    rows = [["Cost, all", f"{design.prices.currency} {money(design.cost)} net of tax"]]
    rows += [[GROUPS.get(str(group), str(group)), money(cost)] for group, cost in groups.items()]
    for name, label in (
        ("timber_waste", "Timber waste"),
        ("board_waste", "Board waste"),
        ("fill_waste", "Fill waste"),
    ):
        share = getattr(design, name)
        if share == share:  # not a number when there is none
            rows.append([label, f"{share:.1%} of what is bought"])
    rows.append(["Mass", format_mass(design.mass, in_inches(design))])
    sound = design.sound
    if sound is not None:
        rows.append(
            ["Sound, the wall", f"Rw {sound.Rw} (C {sound.C}; Ctr {sound.Ctr}) dB, STC {sound.stc_text}"]
        )
        if sound.with_door is not None:
            door = sound.with_door
            needed = f"its door would need Rw {door.rating_for_one:g} for a loss of 1 dB"
            rows.append(["With its door", f"Rw {door.Rw} dB; {needed}"])
    return rows


def _verdicts(paper: Paper, design: Any) -> None:
    """Put how many checks pass, and those that do not, as far as this sheet has room for them."""
    checks = worked_out(design)
    counts = {v: int((checks["verdict"] == v).sum()) for v in ("fail", "caution", "not known", "ok")}
    paper.heading2("Checks: " + ", ".join(f"{n} {v}" for v, n in counts.items()))
    worst = checks[checks["verdict"].isin(("fail", "caution"))]
    rows = [[str(r.verdict), f"{r.check}: {r.subject}", str(r.why)] for r in worst.itertuples()]
    if not rows:
        paper.paragraph("No check fails and none asks for caution.")
        return
    rows.sort(key=lambda r: r[0] != "fail")
    columns = [Column("Verdict", 20, bold=True), Column("What", 75), Column("Why", RIGHT - LEFT - 95)]
    room, shown = paper.room - COVER_FOOT, 0
    for row in rows:
        room -= row_height(columns, row, 8.0)
        shown += room >= 0
    shown = max(shown, 1)
    paper.table(columns, rows[:shown])
    if shown < len(rows):
        paper.paragraph(f"On the sheets headed Checks: {len(rows) - shown} more.", bold=True)


def cautions_page(paper: Paper, design: Any) -> None:
    """Put the cautions of the rules that concern this wall, each with its source."""
    paper.page("Before you start")
    rows = [
        [str(r["applies_to"]), str(r["text"]), vouched(r["source"], r["status"])]
        for r in design.rules.rows("caution")
        if r["applies_to"] in ON_SITE
        or applies(str(r["applies_to"]), design.wall, design.option.fill is not None)
    ]
    paper.table(
        [Column("About", 22, bold=True), Column("Caution", 167), Column("Source", 80)], rows, size=8.5
    )


def checks_pages(paper: Paper, design: Any) -> None:
    """Put every check, failures first, each with value, limit, reason and source."""
    paper.page("Checks")
    columns = [
        Column("Verdict", 17, bold=True), Column("Check", 32), Column("Subject", 44), Column("Value", 23, "right"),
        Column("Limit", 23, "right"), Column("Why", 80), Column("Source", 50),
    ]  # fmt: skip
    order = {"fail": 0, "caution": 1, "not known": 2, "ok": 3}
    ranked = sorted(worked_out(design).itertuples(), key=lambda r: order.get(str(r.verdict), 4))
    rows = [
        [
            str(r.verdict), str(r.check), ": ".join(filter(None, (str(r.subject), str(r.case)))),
            _amount(r.value, r.unit),
            _amount(r.limit, r.unit), str(r.why), vouched(r.source, r.source_status),
        ]
        for r in ranked
    ]  # fmt: skip
    paper.table(columns, rows, size=7)


def _amount(value: Any, unit: str) -> str:
    if value is None or value != value:
        return ""
    if isinstance(value, (int, float)):
        text = f"{value:.2f}".rstrip("0").rstrip(".")
        return f"{text} {unit}".strip()
    return str(value)
