"""The panel's pieces of HTML: look, key figures, messages, and the tables of a design."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence
from typing import Any

from wallcalc.checks.registry import GENERAL
from wallcalc.panel.words import CHOICES, NOT_COMPARABLE, choice_text, difference, measures, table
from wallcalc.price_book import NEEDED_UNITS
from wallcalc.print_text import vouched

STYLE = """
<style>
.wallcalc-panel { background:#fbfaf6; color:#22303a; border:1px solid #d9dcd8; border-radius:6px; padding:10px 12px;
  --jp-widgets-label-color:#22303a; --jp-widgets-color:#22303a; --jp-widgets-input-color:#22303a;
  --jp-widgets-input-background-color:#ffffff; --jp-widgets-input-border-color:#8a969e;
  --jp-widgets-slider-handle-border-color:#1f4e79; --jp-widgets-slider-active-handle-color:#1f4e79;
  --jp-layout-color2:#e4e9ea; --jp-ui-font-color1:#22303a; }
.wallcalc-panel h2 { font-size:16px; margin:0 0 4px; color:#22303a; font-weight:600; }
.wallcalc-panel h3 { font-size:13px; margin:10px 0 4px; color:#1f4e79; font-weight:600; }
.wallcalc-panel .widget-html-content, .wallcalc-panel .jupyter-widgets-html-content { line-height:1.4; }
.wallcalc-panel .widget-html, .wallcalc-panel .jupyter-widget-html { height:auto; }
.wallcalc-panel *:focus-visible { outline:3px solid #7a21dd; outline-offset:1px; }
.wallcalc-picture { display:block; max-width:100%; height:auto; border:1px solid #e6e6e0; border-radius:4px; }
.wallcalc-long-picture img { max-width:none; }
.wallcalc-figures { display:flex; flex-wrap:wrap; gap:6px 18px; margin:0 0 4px; padding:0; }
.wallcalc-figures > div { min-width:64px; }
.wallcalc-figures .name { font-size:11px; color:#55636d; line-height:1.3; }
.wallcalc-figures .value { font-size:16px; font-weight:600; white-space:nowrap; line-height:1.3; }
.wallcalc-figures .change { font-size:11px; color:#55636d; line-height:1.3; white-space:nowrap; }
.wallcalc-message { padding:4px 8px; border-left:4px solid #5790fc; background:#eef3fb; margin:2px 0; font-size:12.5px;
  white-space:pre-line; overflow-wrap:anywhere; }
.wallcalc-message.caution { border-color:#f89c20; background:#fdf3e2; }
.wallcalc-message.error { border-color:#e42536; background:#fdecec; }
.wallcalc-scroll { overflow:auto; max-width:100%; }
.wallcalc-panel table.wallcalc-table { border-collapse:collapse; font-size:12px; margin:2px 0; color:#22303a;
  font-variant-numeric:tabular-nums; }
.wallcalc-table caption { text-align:left; font-weight:600; color:#1f4e79; padding:2px 0 4px; caption-side:top; }
.wallcalc-table th { position:sticky; top:0; background:#e4e9ea; text-align:left; padding:3px 8px; font-weight:600;
  border-bottom:1px solid #8a969e; vertical-align:bottom; }
.wallcalc-table td { text-align:left; padding:2px 8px; border-bottom:1px solid #e6e6e0; vertical-align:top;
  white-space:nowrap; }
.wallcalc-table td.wallcalc-long { white-space:normal; min-width:100px; }
.wallcalc-panel .wallcalc-table .wallcalc-number { text-align:right; }
.wallcalc-table tr.current td { background:#e7effc; font-weight:600; }
.wallcalc-table tr.cannot td { color:#7a2530; }
.wallcalc-table tr.fail td { background:#fdecec; }
.wallcalc-table tr.caution td { background:#fdf3e2; }
.wallcalc-key { font-size:12px; margin:4px 0 0; padding-left:24px; }
.wallcalc-exported { font-size:12px; border-left:4px solid #5790fc; padding:2px 8px; margin:4px 0;
  overflow-wrap:anywhere; }
.wallcalc-exported a { color:#1f4e79; text-decoration:underline; font-weight:600; font-size:13px; }
.wallcalc-exported ul { columns:170px; margin:2px 0 0; padding-left:18px; }
.wallcalc-panel code { font-size:11.5px; overflow-wrap:anywhere; background:none; color:#22303a; }
.wallcalc-cautions { border:1px solid #f89c20; border-left-width:5px; background:#fdf8ee;
  padding:4px 12px; border-radius:4px;
  font-size:12.5px; }
.wallcalc-cautions p { margin:4px 0 6px; }
.wallcalc-panel .wallcalc-wide { width:auto; }
.wallcalc-panel .jupyter-button { background:#e4e9ea; color:#22303a; border:1px solid #8a969e; border-radius:4px; }
.wallcalc-panel .jupyter-button.wallcalc-on { background:#1f4e79; color:#ffffff; }
.wallcalc-panel .jupyter-button.wallcalc-act { background:#1f4e79; color:#ffffff; }
.wallcalc-panel progress { width:110px; accent-color:#1f4e79; vertical-align:middle; }
.wallcalc-panel .wallcalc-below { display:none; }
@media (max-width: 1100px) {
  .wallcalc-panel .wallcalc-beside { display:none; }
  .wallcalc-panel .wallcalc-below { display:block; }
}
</style>
"""

BOUGHT_AS = {"timber": "length", "sheet": "sheet", "plywood": "sheet", "slab": "pack"}
"""What is bought of the groups whose order lines count metres, square metres or pieces."""
FIGURES = (
    "cost",
    "timber_waste",
    "board_waste",
    "fill_waste",
    "Rw",
    "STC",
    "studs",
    "sheets",
    "mass",
    "cautions",
    "fails",
)


def figures(row: dict[str, Any] | None, kept: dict[str, Any] | None, currency: str) -> str:
    """Return the key figures of the current option, each with its difference from the kept one."""
    if row is None or not row["buildable"]:
        return '<p class="wallcalc-message error">No figures: the current option cannot be built.</p>'
    cells = []
    for measure in measures(currency):
        if measure.column not in FIGURES:
            continue
        text = measure.text(row)
        if measure.column == "Rw" and text != "none":
            text = f"{row['Rw']:.0f} ({row['C']:.0f}; {row['Ctr']:.0f}) dB"
        change = ""
        if kept:
            found, _ = difference(measure, row, kept)
            change = (
                "" if found == NOT_COMPARABLE else f'<div class="change">{html.escape(found)} to kept</div>'
            )
        label = "Rw (C; Ctr)" if measure.column == "Rw" else measure.label
        name, value = html.escape(label), html.escape(text)
        cells.append(f'<div><div class="name">{name}</div><div class="value">{value}</div>{change}</div>')
    return f'<div class="wallcalc-figures">{"".join(cells)}</div>'


def messages(found: Iterable[Any]) -> str:
    """Return messages as lines, the grave ones marked as such."""
    return "".join(f'<div class="wallcalc-message {m.level}">{html.escape(m.text)}</div>' for m in found)


def status(found: Iterable[Any], done: int, total: int) -> str:
    """Return the status line: messages, and how much of the study is computed."""
    more = ""
    if done < total:
        more = (
            f'<div><progress max="{total}" value="{done}" aria-label="options computed"></progress> '
            f"{done} of {total} options computed</div>"
        )
    return f'<div role="status" aria-live="polite" class="wallcalc-status">{messages(found)}{more}</div>'


def title(state: Any) -> str:
    """Return the heading: the wall, its rooms and where the values come from."""
    wall = state.wall
    rooms = [
        f"side {side}: {room.name or room.use}" for side, room in (("A", wall.room_a), ("B", wall.room_b))
    ]
    text = (
        f"{wall.length / 10:g} mm long, {wall.height / 10:g} mm high, {', '.join(rooms)}; "
        f"trade rules: {state.rules.title or state.rules.name}; prices: {state.prices_from}"
    )
    return f"<h2>{html.escape(wall.name)}</h2><div>{html.escape(text)}</div>"


def picture(name: str, image: str, *, scroll: bool = False) -> str:
    """Return an image (HTML already) under its name, in a box that scrolls sideways when it is wide."""
    if scroll:
        label = html.escape(name, quote=True)
        box = 'class="wallcalc-scroll wallcalc-long-picture" tabindex="0" role="group"'
        image = f'<div {box} aria-label="{label}">{image}</div>'
    return f'<figure style="margin:0"><figcaption><strong>{html.escape(name)}</strong></figcaption>{image}</figure>'


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


def comparison(rows: Sequence[dict[str, str]], current: str, kept: str) -> str:
    """Return the current option beside the kept one."""
    if not rows:
        return '<p>Nothing is kept. Press "Keep this option", change something, and compare here.</p>'
    signs = {"better": "▲ better", "worse": "▼ worse", "": ""}
    body = [[r["what"], r["current"], r["kept"], r["difference"], signs[r["verdict"]]] for r in rows]
    said = f"<p>Current: {html.escape(current)}.<br>Kept: {html.escape(kept)}.</p>"
    heads = ("", "current", "kept", "difference", "")
    return said + table(heads, body, "Current option beside the kept one", numbers=(1, 2, 3))


STUDY_COLUMNS = (
    "cost",
    "timber_waste",
    "board_waste",
    "fill_waste",
    "Rw",
    "STC",
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
