"""The panel's pieces of HTML: look, key figures, messages, and the tables of a design."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence
from typing import Any

from wallcalc.checks.registry import GENERAL
from wallcalc.draw.text_fit import vouched
from wallcalc.panel.page_style import STYLE as STYLE
from wallcalc.panel.words import CHOICES, NOT_COMPARABLE, choice_text, difference, measures, table
from wallcalc.trade.prices import NEEDED_UNITS

BOUGHT_AS = {"timber": "length", "sheet": "sheet", "plywood": "sheet", "slab": "pack"}
"""What is bought of the groups whose order lines count metres, square metres or pieces."""
FIGURES = (
    "cost",
    "timber_waste",
    "board_waste",
    "fill_waste",
    "Rw",
    "STC",
    "Rw_with_door",
    "door_Rw_needed",
    "studs",
    "sheets",
    "mass",
    "cautions",
    "fails",
)

OF_A_DOOR = ("Rw_with_door", "door_Rw_needed")
"""Figures that a wall without doors and hatches does not have."""


def figures(
    row: dict[str, Any] | None,
    kept: dict[str, Any] | None,
    currency: str,
    number: int = 0,
    *,
    openings: bool = True,
) -> str:
    """Return the key figures of the current option, each with its difference from a kept one and that one's number.

    What concerns the door is left out where the wall has no ``openings``.
    """
    can = row is not None and bool(row["buildable"])
    cells = []
    for measure in measures(currency):
        if measure.column not in FIGURES or (measure.column in OF_A_DOOR and not openings):
            continue
        text = measure.text(row) if can else "–"
        if can and measure.column == "Rw" and text != "none":
            text = f"{row['Rw']:.0f} ({row['C']:.0f}; {row['Ctr']:.0f}) dB"
        change = ""
        if kept and can:
            found, _ = difference(measure, row, kept)
            short = found.removesuffix(f" {measure.unit}") if measure.unit else found
            if found != NOT_COMPARABLE:
                change = f'<dd class="change">{html.escape(short)}</dd>'
        label = "Rw (C; Ctr)" if measure.column == "Rw" else measure.label
        name, value = html.escape(label), html.escape(text)
        cells.append(f'<div><dt class="name">{name}</dt><dd class="value">{value}</dd>{change}</div>')
    held = f"small figures: difference to kept {number}" if kept else ""
    held = held if can else "No figures: the current option cannot be built."
    shown = f'<dl class="wallcalc-figures" aria-label="Key figures">{"".join(cells)}</dl>'
    return f'{shown}<div class="wallcalc-held">{held}</div>'


def messages(found: Iterable[Any]) -> str:
    """Return messages as lines, the grave ones marked as such."""
    return "".join(f'<div class="wallcalc-message {m.level}">{html.escape(m.text)}</div>' for m in found)


def status(found: Iterable[Any]) -> str:
    """Return the status line."""
    return f'<div class="wallcalc-status">{messages(found)}</div>'


def progress(done: int, total: int, *, working: bool = False) -> str:
    """Return how much of the study is computed, or that an option is in work; "" when there is nothing to tell.

    It is no part of the status line, which is said whenever it changes: nobody wants to hear each option counted.
    """
    if working:
        return '<progress aria-label="option in work"></progress>'
    if done >= total:
        return ""
    return (
        f'<progress max="{total}" value="{done}" aria-label="options computed"></progress> '
        f"{done} of {total} options computed"
    )


def title(state: Any) -> str:
    """Return the heading: the wall, its rooms and where the values come from."""
    wall = state.wall
    rooms = [
        f"side {side}: {room.name or room.use}" for side, room in (("A", wall.room_a), ("B", wall.room_b))
    ]
    least, most = wall.height / 10, max(h for _, h in wall.heights) / 10
    high = f"{least:g}" if least == most else f"{least:g} to {most:g}"
    text = (
        f"{wall.length / 10:g} mm long, {high} mm high, {', '.join(rooms)}; "
        f"trade rules: {state.rules.title or state.rules.name}; prices: {state.prices_from}"
    )
    return f"<h2>{html.escape(wall.name)}</h2><div>{html.escape(text)}</div>"


def picture(name: str, image: str, *, scroll: bool = False, stale: bool = False) -> str:
    """Return an image (HTML already) under its name, in a box that scrolls sideways when it is wide.

    A stale picture is one of an option that is not the current one; it is faded and says so.
    """
    label = html.escape(name, quote=True)
    kind = "wallcalc-scroll wallcalc-long-picture" if scroll else "wallcalc-scroll wallcalc-pictures-scroll"
    image = f'<div class="{kind}" tabindex="0" role="group" aria-label="{label}">{image}</div>'
    note = " (the last option that could be built)" if stale else ""
    mark = ' class="wallcalc-stale"' if stale else ""
    caption = f"<figcaption><strong>{html.escape(name)}</strong>{note}</figcaption>"
    return f'<figure style="margin:0"{mark}>{caption}{image}</figure>'


def changed(text: str) -> str:
    """Return what the last move changed."""
    said = (
        html.escape(text)
        or "Nothing changed yet: move a control, and what it does to cost, waste and sound stands here."
    )
    return f'<div class="wallcalc-changed">{said}</div>'


def cautions(found: Iterable[tuple[str, str]]) -> str:
    """Return the cautions as a box."""
    items = "".join(
        f"<p><strong>{html.escape(subject)}.</strong> {html.escape(text)}</p>" for subject, text in found
    )
    return f'<div class="wallcalc-cautions" role="note"><h3>Before you start</h3>{items}</div>'


def checks(design: Any) -> str:
    """Return the checks of a design, the failed ones first."""
    rank = {"fail": 0, "caution": 1, "not known": 2, "ok": 3}
    own = [r for r in design.checks.to_dict("records") if not r["check"].startswith(GENERAL)]
    rows = sorted(own, key=lambda r: rank.get(r["verdict"], 9))
    body = [
        [
            r["verdict"],
            r["check"],
            f"{r['subject']}: {r['case']}" if r["case"] else r["subject"],
            _amount(r["value"], r["unit"]),
            _amount(r["limit"], r["unit"]),
            "" if r["use"] is None or r["use"] != r["use"] else f"{100 * float(r['use']):.0f} %",
            r["why"],
            vouched(r["source"], r["source_status"]),
        ]
        for r in rows
    ]
    heads = ("verdict", "check", "what", "found", "limit", "used", "why", "source of the limit")
    return table(
        heads,
        body,
        "Checks",
        numbers=(5,),
        classes=[r["verdict"].replace(" ", "-") for r in rows],
        scroll=True,
    )


def rule_cautions(design: Any) -> str:
    """Return the cautions of the rule file that concern the wall, each with its source."""
    rows = [r for r in design.checks.to_dict("records") if r["check"].startswith(GENERAL)]
    body = [[r["case"], r["why"], vouched(r["source"], r["source_status"])] for r in rows]
    return table(("about", "caution", "source"), body, "Cautions of the rule file for this wall", scroll=True)


def order_list(design: Any, currency: str) -> str:
    """Return the order list of a design."""
    rows = design.takeoff.to_dict("records")
    body = [
        [
            r["group"],
            r["description"],
            _needed(r),
            f"{int(r['bought']):,} x {BOUGHT_AS.get(r['group'], r['unit'])}",
            f"{float(r['unit_price']):,.2f}",
            f"{float(r['cost']):,.2f}",
        ]
        for r in rows
    ]
    body.append(["total", "", "", "", "", f"{sum(float(r['cost']) for r in rows):,.2f}"])
    heads = ("group", "what", "needed", "to buy", f"price each, {currency}", f"cost, {currency}")
    return table(heads, body, "Order list, net of tax", numbers=(2, 4, 5), scroll=True)


def comparison(heads: Sequence[str], rows: Iterable[tuple[str, list[str], set[int]]]) -> str:
    """Return options side by side: the choices in which they differ, then every measure, the best of each marked."""
    body = [[what, *texts] for what, texts, _ in rows]
    best = {(n, k + 1) for n, (_, _, found) in enumerate(rows) for k in found}
    return table(
        ("", *heads),
        body,
        "Current and kept options side by side (▲ the best of its row)",
        numbers=range(1, len(heads) + 1),
        marked=best,
    )


STUDY_COLUMNS = (
    "cost",
    "timber_waste",
    "board_waste",
    "fill_waste",
    "Rw",
    "STC",
    "Rw_with_door",
    "studs",
    "noggins",
    "sheets",
    "cuts",
    "mass",
    "cautions",
    "fails",
)


def study(rows: Any, current: dict[str, Any] | None, currency: str, caption: str) -> str:
    """Return the study as a table, one option a row, the current one marked."""
    shown = [m for m in measures(currency) if m.column in STUDY_COLUMNS]
    why = not all(rows["buildable"])
    choices = ("stud_centres", "board_orientation", "fill", "section")
    heads = [
        "row",
        *(CHOICES[c] for c in choices),
        "layers A + B",
        *(f"{m.label}{', ' + m.unit if m.unit else ''}" for m in shown),
        *(["why not"] if why else []),
    ]
    body, classes = [], []
    for n, row in enumerate(rows.to_dict("records"), 1):
        can = bool(row["buildable"])
        body.append(
            [
                n,
                *(choice_text(c, row[c]) for c in choices),
                f"{row['layers_a']:g} + {row['layers_b']:g}",
                *(m.text(row, unit=False) if can else "" for m in shown),
                *(["" if can else row["reason"]] if why else []),
            ]
        )
        here = current is not None and all(
            choice_text(c, row[c]) == choice_text(c, current[c]) for c in CHOICES
        )
        classes.append("current" if here else "" if can else "cannot")
    numbers = [0, 1, *range(6, 6 + len(shown))]
    return table(heads, body, caption, numbers=numbers, classes=classes, scroll=True)


def exported(paths: Sequence[Any], name: str, uri: str) -> str:
    """Return the written files and the link that fetches them as one archive."""
    items = "".join(f"<li><code>{html.escape(path.name)}</code></li>" for path in paths)
    link = (
        f'<a href="{uri}" download="{html.escape(name, quote=True)}">Download all as {html.escape(name)}</a>'
    )
    folder = f"<div>Written to <code>{html.escape(str(paths[0].parent))}</code></div>"
    return f'<div class="wallcalc-exported">{link}{folder}<ul>{items}</ul></div>'


def _needed(line: dict[str, Any]) -> str:
    unit = line["unit"] if line["group"] in BOUGHT_AS else NEEDED_UNITS[line["group"]]
    return f"{line['needed']:,.1f}".removesuffix(".0") + f" {unit}"


def _amount(value: Any, unit: str) -> str:
    if value is None or (isinstance(value, float) and value != value):
        return ""
    if isinstance(value, str):
        return value
    text = f"{float(value):,.2f}".rstrip("0").rstrip(".")
    return f"{text} {unit}".strip()
