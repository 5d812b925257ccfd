"""Questions on boards: their height, their screws, where joints may be, which edge goes where. Lengths in 0.1 mm."""

from __future__ import annotations

from itertools import pairwise
from random import Random

from wallcalc.lesson.question import CHOICE, LENGTH, Mistake, Question
from wallcalc.lesson.sites import Site, clear_of, random_site
from wallcalc.records import Board, Joint
from wallcalc.units.lengths import MM

LAYER = 1


def board_height(rng: Random) -> Question | None:
    """Ask how long an upright board is cut."""
    site = random_site(rng, inches=None, board_orientation="vertical")
    rules, say, high = site.using.frame, site.using.length, site.wall.height
    if high > max(s.length for s in site.using.prices.sheets(site.using.board, site.using.offers.sizes)):
        return None
    tallest = max(b.height for b in site.design.frame.boards)
    return Question(
        "board height", 0,
        f"{site.told()} is boarded upright, each board in one piece and tight to the ceiling. How long is a board "
        "cut?",
        LENGTH, tallest, say(tallest),
        f"Height of the room less {say(rules.floor_gap)} above the floor: a board that stands on the floor soaks up "
        "every spill and cannot be pushed up to the ceiling.",
        (Mistake("floor gap forgotten", high - rules.ceiling_gap, "The board would stand on the floor."),),
        (), site.tolerance,
    )  # fmt: skip


def screw_line(rng: Random) -> Question | None:
    """Ask where the screws along a cut edge go."""
    site = random_site(rng, door=rng.random() < 0.5, board_orientation="vertical")
    rules, say = site.using.frame, site.using.length
    found = [(b, e) for b in _boards(site) for e in ("left", "right") if e not in b.bound_edges]
    if not found:
        return None
    board, edge = rng.choice(found)
    at, into = (board.x, 1) if edge == "left" else (board.right, -1)
    answer, near = at + into * rules.edge_cut, at + into * rules.edge_bound
    return Question(
        "screw line", 0,
        f"{site.told()}. On side {board.side} a board runs from {say(board.x)} to {say(board.right)} (from the "
        "left, seen from "
        f"side A); its {edge} edge was cut with the knife. How far from the left end of the wall is the line on "
        "which the "
        f"screws along that edge stand, as near to the edge as they may?",
        LENGTH, answer, say(answer),
        f"A screw keeps {say(rules.edge_cut)} from a cut edge: the core has no paper there to hold it.",
        (Mistake("screw near cut edge", near,
                 f"{say(rules.edge_bound)} is enough only where the edge is bound with paper; a cut edge "
                 "crumbles."),),
        (), site.tolerance,
    )  # fmt: skip


def joint_at_door(rng: Random) -> Question | None:
    """Ask where an upright joint near a door may be."""
    site = random_site(rng, door=True, board_orientation="vertical")
    clear, say, side = clear_of(site), site.using.length, rng.choice("AB")
    least = site.using.frame.jamb_caution
    good = [
        j.x1 for j in _joints(site, side) if min(abs(j.x1 - clear.left), abs(j.x1 - clear.right)) >= least
    ]
    if not good:
        return None
    right = rng.choice(good)
    jamb = rng.choice((clear.left, clear.right))
    reason = "The corner of the opening works when the door slams, and a joint on its line cracks."
    return _choice(
        rng, "joint at door",
        f"{site.told()} has a door opening from {say(clear.left)} to {say(clear.right)} (from the left). "
        f"{_timber(site)} "
        f"On side {side} the boards stand upright. On which line may two of them meet?",
        (f"{say(right)} from the left", ""),
        ((f"{say(jamb)} from the left", "joint on jamb line"), (f"{say(_air(rng, site))} from the left", "")),
        f"The joint needs a stud behind it and has to keep {say(least)} from the jamb lines: above the door the "
        "board is "
        "notched round the corner.", reason,
    )  # fmt: skip


def second_face(rng: Random) -> Question | None:
    """Ask where the joints of the second side may be."""
    site = random_site(rng, board_orientation="vertical")
    say = site.using.length
    first, second = _joints(site, "A"), _joints(site, "B")
    if not first or not second:
        return None
    shared, right = rng.choice(first).x1, rng.choice(second).x1
    told = " and ".join(say(j.x1) for j in first)
    return _choice(
        rng, "second face",
        f"{site.told()}. {_timber(site)} Side A is boarded upright, its joints are at {told} from the left. Now "
        "side B: on "
        "which line may two of its boards meet?",
        (f"{say(right)} from the left", ""),
        ((f"{say(shared)} from the left", "both faces one stud"), (f"{say(_air(rng, site))} from the left", "")),
        "The joints of the two faces are staggered by a stud at least, each on a stud of its own.",
        "A crack or a leak of sound goes straight through where both faces are jointed on one stud.",
    )  # fmt: skip


def corner_strip(rng: Random) -> Question | None:
    """Ask which edge of a ripped strip goes into the corner."""
    site = random_site(rng, inches=None, board_orientation="vertical")
    say, length = site.using.length, site.wall.length
    strips = [
        (b, "left" if b.x == 0 else "right")
        for b in _boards(site)
        if (b.x == 0) != (b.right == length) and _bound_at(b) == ("right" if b.x == 0 else "left")
    ]
    if not strips:
        return None
    strip, corner = rng.choice(strips)
    inner = "right" if corner == "left" else "left"
    return _choice(
        rng, "corner strip",
        f"{site.told()}. On side {strip.side} a strip {say(strip.width)} wide, ripped off a wider sheet, goes from "
        f"{say(strip.x)} to {say(strip.right)}, into the corner. Which of its upright edges is the one that was cut?",
        (f"its {corner} edge, in the corner", ""),
        ((f"its {inner} edge, at the joint with the next board", "bound edge in corner"),
         ("either, it makes no difference", "")),
        "Bound edges are tapered and meet at joints, where tape and compound lie flush; the cut edge hides in the "
        "corner.",
        "A cut edge at a joint has no taper: the joint is hard to tape and stands out.",
    )  # fmt: skip


def _timber(site: Site) -> str:
    """Return where upright timber stands, touching studs taken together, in words."""
    groups: list[list[int]] = []
    for m in sorted((m for m in site.design.frame.members if m.role.endswith("stud")), key=lambda m: m.x):
        if groups and m.x <= groups[-1][1]:
            groups[-1][1] = max(groups[-1][1], m.right)
        else:
            groups.append([m.x, m.right])
    single = min(b - a for a, b in groups)
    middles = [f"{(a + b) / 2 / MM:g}{' (doubled)' if b - a > 1.5 * single else ''}" for a, b in groups]
    return (
        f"The middles of its upright timber, those above the door too, are at {', '.join(middles)} mm."
        if (site.wall.openings)
        else f"The middles of its upright timber are at {', '.join(middles)} mm."
    )


def _boards(site: Site) -> list[Board]:
    return [b for b in site.design.frame.boards if b.layer == LAYER]


def _joints(site: Site, side: str) -> list[Joint]:
    """Return the upright joints of the first layer of a side, left to right, one for each line."""
    found = {
        j.x1: j for j in site.design.frame.joints
        if j.side == side and j.layer == LAYER and j.x1 == j.x2 and j.kind != "corner"
    }  # fmt: skip
    return [found[x] for x in sorted(found)]


def _bound_at(board: Board) -> str:
    """Return which one of the upright edges is bound, "" when both or none are."""
    bound = [e for e in ("left", "right") if e in board.bound_edges]
    return bound[0] if len(bound) == 1 else ""


def _air(rng: Random, site: Site) -> int:
    """Return a line in the middle of a bay, where there is no timber; over a door there may be some."""
    studs = [
        m for m in site.design.frame.members if m.role.endswith("stud") and m.height > site.wall.height // 2
    ]
    gaps = [(a.right + b.x) // 2 // MM * MM for a, b in pairwise(studs) if b.x - a.right > 2000]
    gaps = [x for x in gaps if not any(c.left < x < c.right for c in site.design.frame.clears)]
    return rng.choice(gaps or [site.centres // 2])


def _choice(
    rng: Random, kind: str, text: str, right: tuple[str, str], wrong: tuple[tuple[str, str], ...], reason: str, why: str
) -> Question:  # fmt: skip
    """Return a choice question, its choices shuffled; each wrong one names its misconception or ""."""
    options = [right, *wrong]
    rng.shuffle(options)
    mistakes = [Mistake(name, k, why) for k, (_, name) in enumerate(options) if name]
    at = options.index(right)
    return Question(
        kind, 0, text, CHOICE, at, right[0], reason, tuple(mistakes), tuple(t for t, _ in options)
    )
