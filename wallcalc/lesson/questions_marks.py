"""Questions on setting out and cutting studs: clear bays, marks, edges, lengths, thicknesses. Lengths in 0.1 mm."""

from __future__ import annotations

import re
from dataclasses import replace
from random import Random

from wallcalc.given.option import SECTIONS
from wallcalc.lesson.question import LENGTH, Mistake, Question
from wallcalc.lesson.sites import INCH, Site, random_site
from wallcalc.records import Upright
from wallcalc.units.lengths import MM

ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
NOMINAL = re.compile(r"\b(\d+)x(\d+)\b")
"""How a lumber description names the nominal size in inches."""


def clear_bay(rng: Random) -> Question | None:
    """Ask for the clear gap between two studs on the module."""
    site = random_site(rng, inches=None)
    studs = _module(site)
    if len(studs) < 4:
        return None
    k = rng.randrange(len(studs) - 2)
    clear, stud = studs[k + 1].x - studs[k].right, _thickness(site)
    say = site.using.length
    mistakes = [
        Mistake("centres as clear bay", site.centres,
                f"The centres, {say(site.centres)}, run from middle to middle; half a stud at each end is timber."),
    ]  # fmt: skip
    nominal = nominal_size(site)
    if nominal:
        mistakes.append(
            Mistake("nominal for actual", site.centres - nominal[0],
                    f"A stud sold as {nominal[0] // INCH} in thick is {say(stud)} when it is dry and planed.")
        )  # fmt: skip
    return _length(
        site, "clear bay",
        f"{site.told()} has studs {_sold(site)} at {say(site.centres)} centres. How wide is the clear gap, for a "
        "slab "
        "say, between two neighbouring studs on the module?",
        clear, f"Centres less one stud: {say(site.centres)} - {say(stud)}.", mistakes,
    )  # fmt: skip


def stud_mark(rng: Random) -> Question | None:
    """Ask where the middle of a stud goes."""
    site, studs, k = _numbered(rng)
    if site is None:
        return None
    at, stud = _from_end(site, studs[k].line), _thickness(site)
    say, c = site.using.length, site.centres
    return _length(
        site, "stud mark", f"{_setting(site)} How far from that wall's face is the middle of the {ORDINALS[k]} stud?",
        at, f"One tape from the wall's face: {k + 1} times {say(c)}. The boards start at that face too, so joints "
        "come to "
        "stand on stud middles.",
        (Mistake("error runs on", (k + 1) * (c + stud) + stud // 2,
                 "Every gap then is a whole centre distance and a stud comes on top of each."),
         Mistake("edge on the mark", at + stud // 2, "Half a stud is all that a board has at a "
         "joint: the one that ends there then has nothing."),
        ),
    )  # fmt: skip


def stud_edge(rng: Random) -> Question | None:
    """Ask where the near edge of a stud goes."""
    site, studs, k = _numbered(rng)
    if site is None:
        return None
    far = studs[k].x if site.option.set_out_from == "left" else studs[k].right
    at, stud = _from_end(site, far), _thickness(site)
    say, c = site.using.length, site.centres
    return _length(
        site, "stud edge", f"{_setting(site)} You draw a line for the near edge of every stud. How far from that "
        "wall's "
        f"face is the line for the {ORDINALS[k]} stud?",
        at, f"The middle is {k + 1} times {say(c)} from the face, the near edge half a stud ({say(stud // 2)}) "
        "before it.",
        (Mistake("edge on the mark", at + stud // 2, "The centres tell where the middle goes, not the edge."),
         Mistake("error runs on", (k + 1) * (c + stud), "Every gap then is a whole centre distance, one stud too "
         "wide."),
        ),
    )  # fmt: skip


def stud_length(rng: Random) -> Question | None:
    """Ask for the length of one stud where the ceiling is not level."""
    site = random_site(rng, inches=None, set_out=("left",))
    step = INCH // 4 if site.using.inches else 5 * MM
    drop = rng.randrange(6, 13) * step
    high = site.wall.height
    heights = ((0, high), (site.wall.length, high + rng.choice((-1, 1)) * drop))
    site = replace(site, wall=replace(site.wall, heights=heights))
    studs = [m for m in site.design.frame.members if m.role == "stud" and "module" in m.serves]
    if len(studs) < 3:
        return None
    chosen = rng.choice(studs[1:])
    along = [y for x, y in chosen.outline if x == chosen.x] or [chosen.y, chosen.top]
    length = max(along) - min(along)
    stud = chosen.width
    plates = 2 * stud + site.using.frame.head_packing
    here, say = length + plates, site.using.length
    mistakes = [
        Mistake("one stud height", h - plates,
                f"The height was taken at one place only; at this stud it is {say(here)}. Measure at every stud.")
        for _, h in heights
    ]  # fmt: skip
    nominal = nominal_size(site)
    if nominal:
        mistakes.append(
            Mistake("nominal for actual", length - 2 * (nominal[0] - stud),
                    f"Each plate takes {say(stud)}, not its nominal {nominal[0] // INCH} in.")
        )  # fmt: skip
    return _length(
        site, "stud length",
        f"A wall is {say(site.wall.length)} long. The ceiling runs straight from {say(heights[0][1])} above the "
        "floor at "
        f"the left to {say(heights[1][1])} at the right. Sole and head plate are {_sold(site)} laid flat. A stud "
        "stands "
        f"with its left edge {say(chosen.x)} from the left. How long is it along that edge?",
        length, f"The ceiling there is {say(here)} high; two plates of {say(stud)} come off.", mistakes,
    )  # fmt: skip


def wall_thickness(rng: Random) -> Question | None:
    """Ask for the thickness of the finished wall."""
    site = random_site(rng, inches=True, section=rng.choice(SECTIONS))
    board = site.using.prices.board(rng.choice(site.using.offers.boards))
    a, b = rng.choice(((1, 1), (1, 2), (2, 2)))
    try:
        depth = site.using.prices.timber(site.option.section, site.using.offers.sizes)[0].depth
    except KeyError:
        return None  # a section that is not sold in inch lengths
    nominal = nominal_size(site)
    if nominal is None:
        return None
    boards = (a + b) * board.thickness
    say = site.using.length
    return _length(
        site, "wall thickness",
        f"Studs {_sold(site)} carry {a} layer{'s' * (a > 1)} of {say(board.thickness)} board on one side and {b} "
        "on the other. "
        "How thick is the wall from board face to board face? (It decides the width of the door lining.)",
        depth + boards, f"The timber measures {say(depth)} through the wall, the boards add {say(boards)}.",
        (Mistake("nominal for actual", nominal[1] + boards,
                 f"{nominal[1] // INCH} in is the size before drying and planing: measure the timber."),),
    )  # fmt: skip


def nominal_size(site: Site) -> tuple[int, int] | None:
    """Return nominal thickness and depth that the stud is sold by, 0.1 mm; None where it is sold by its actual size."""
    for stock in site.using.prices.timber(site.option.section, site.using.offers.sizes):
        found = NOMINAL.search(stock.description)
        if found and site.using.inches:
            return int(found[1]) * INCH, int(found[2]) * INCH
    return None


def _thickness(site: Site) -> int:
    return site.using.prices.timber(site.option.section, site.using.offers.sizes)[0].thickness


def _sold(site: Site) -> str:
    """Return the stud's size as a merchant says it."""
    nominal = nominal_size(site)
    if nominal:
        return f"sold as {nominal[0] // INCH}x{nominal[1] // INCH} (inches)"
    return f"of {site.option.section} mm"


def _module(site: Site) -> list[Upright]:
    """Return the studs that stand on the module, from the end they are set out from."""
    half, c = _thickness(site) // 2, site.centres
    on = [u for u in site.uprights if u.role == "stud" and _from_end(site, u.x + half) % c == 0]
    return on if site.option.set_out_from == "left" else on[::-1]


def _from_end(site: Site, x: int) -> int:
    return x if site.option.set_out_from == "left" else site.wall.length - x


def _numbered(rng: Random) -> tuple[Site, list[Upright], int] | tuple[None, list[Upright], int]:
    site = random_site(rng, inches=None)
    studs = _module(site)
    if len(studs) < 4:
        return None, studs, 0
    return site, studs, rng.randrange(2, min(len(studs), len(ORDINALS)))


def _setting(site: Site) -> str:
    return (
        f"{site.told()} gets studs {_sold(site)} at {site.using.length(site.centres)} centres, set out from the "
        f"{site.option.set_out_from} with the tape hooked on the face of the existing wall. An end stud stands "
        "against that "
        "wall and is not counted."
    )


def _length(
    site: Site, kind: str, text: str, answer: int, reason: str, mistakes: list[Mistake] | tuple[Mistake, ...]
) -> Question:
    return Question(
        kind, 0, text, LENGTH, answer, site.using.length(answer), reason, tuple(mistakes), (), site.tolerance
    )
