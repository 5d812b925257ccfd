"""Sound: the predicted rating against the local minimum, where one applies."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import product

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, FAIL, NOT_KNOWN, OK, at_least, say
from wallcalc.records import CheckRow
from wallcalc.sound.leakage import FIELD_CAUTION, MARGIN_SOURCE, SHOWN_GAP, SLIT_SOURCE, with_gap
from wallcalc.sound.ratings import rw
from wallcalc.sound.wide_centres import GUIDANCE, STATUS, note
from wallcalc.units.lengths import MM


@register("sound")
def sound_minimum(facts: Facts) -> Iterator[CheckRow]:
    """Compare the predicted rating with the minimum for each room's use."""
    doors = any(o.kind == "door" for o in facts.wall.openings)
    for side, other in (("A", "B"), ("B", "A")):
        use, beside = facts.room(side).use, facts.room(other).use
        for row in facts.rules.rows("sound_minimum"):
            if row["room_use"] != use:
                continue
            subject, rating = f"side {side}, {use}", row["rating"]
            source, status, least = row["source"], row["status"], float(row["least"])
            case = f"{use} to {beside}"
            if doors and not row["with_door"]:
                yield say("sound minimum", subject, case, OK, "the minimum does not apply to a wall with a door in it",
                          source, status, None, least, "dB")  # fmt: skip
            elif beside in row["not_beside"]:
                yield say("sound minimum", subject, case, OK, f"the minimum does not apply beside its own {beside}",
                          source, status, None, least, "dB")  # fmt: skip
            elif facts.sound is None:
                yield say("sound minimum", subject, case, NOT_KNOWN, "no sound reduction was predicted: compute it, or "
                          "ask the board's maker for a measured one", source, status, None, least, "dB")  # fmt: skip
            else:
                value = float(getattr(facts.sound, f"{rating}_low", getattr(facts.sound, rating)))
                doubt = float(getattr(facts.sound.uncertainty, rating))
                near = value - doubt < least <= value
                why = (
                    f"{rating} {value:g} dB predicted, give or take {doubt:.1f} dB; only a measurement proves it"
                    + ("; so near the minimum it may miss it: take the next better build-up" if near else "")
                )
                row_ = at_least(
                    "sound minimum", subject, case, value, least, "dB", why, source, status, under=FAIL
                )
                if near:
                    row_ = say(
                        "sound minimum", subject, case, CAUTION, why, source, status, value, least, "dB"
                    )
                yield row_


@register("sound")
def sound_with_door(facts: Facts) -> Iterator[CheckRow]:
    """Say what the wall comes to with its doors and hatches, and what those would have to be."""
    whole = None if facts.sound is None else facts.sound.with_door
    if whole is None:
        return
    given = [o.rating for o in facts.wall.openings]
    assumed = facts.rules.rule("door.assumed_rating")
    known = all(r is not None for r in given)
    lost = facts.sound.Rw - whole.Rw
    yield say(
        "sound with its openings",
        "wall",
        f"infill of {whole.area:.2f} m2, Rw {whole.rating:g} dB" + ("" if known else " (assumed)"),
        OK if lost <= 1 else CAUTION,
        f"the wall alone is predicted at Rw {facts.sound.Rw} dB, with its openings filled at Rw {whole.Rw} dB; for "
        f"the whole to lose no more than 1 dB the infill, its seals with it, would need Rw {whole.rating_for_one:g} dB",
        "sum of the powers through wall and infill, each by its area (ISO 717-1 ratings)"
        + ("" if known else f"; assumed rating: {assumed.source}"),
        "computed" if known else assumed.status,
        float(whole.Rw),
        None,
        "dB",
    )


@register("sound")
def sound_at_wide_centres(facts: Facts) -> Iterator[CheckRow]:
    """Where bays are wide, tell that the STC shown is an upper figure."""
    sound = facts.sound
    low = None if sound is None else getattr(sound, "STC_low", None)
    if low is not None and low < sound.STC:
        yield say(
            "STC at wide centres", "wall", f"STC {low:g} to {sound.STC:g}", NOT_KNOWN, note(sound.STC, low), GUIDANCE,
            STATUS, float(sound.STC), float(low), "dB",
        )  # fmt: skip


@register("sound")
def sound_in_the_house(facts: Facts) -> Iterator[CheckRow]:
    """Say that a house does not reach the laboratory's figure, and what an open gap along the floor would leave."""
    R = None if facts.sound is None else getattr(facts.sound, "R", None)
    if R is None:
        return
    frame = facts.frame
    depth = max(m.depth for m in frame.members) / MM
    left = float(rw(with_gap(R, frame.length / MM, frame.height / MM, SHOWN_GAP, depth)))
    yield say(
        "sound in the house", "wall", f"with {SHOWN_GAP:g} mm open along the floor", NOT_KNOWN,
        f"Rw {facts.sound.Rw:g} dB predicted. {FIELD_CAUTION} A gap of {SHOWN_GAP:g} mm left open along the floor "
        f"would leave Rw {left:g} dB: seal all edges of the boards",
        f"{SLIT_SOURCE}; {MARGIN_SOURCE}", "common practice, no source", left, None, "dB",
    )  # fmt: skip


def minimum_applies(facts: Facts) -> bool:
    """Return whether a minimum of the rules applies between the wall's rooms."""
    doors = any(o.kind == "door" for o in facts.wall.openings)
    return any(
        row["room_use"] == facts.room(side).use
        and facts.room(other).use not in row["not_beside"]
        and (row["with_door"] or not doors)
        for row in facts.rules.rows("sound_minimum")
        for side, other in (("A", "B"), ("B", "A"))
    )


@register("sound")
def sound_build_up(facts: Facts) -> Iterator[CheckRow]:
    """Where a minimum applies, tell whether the build-up is one that the source itself names."""
    asked = minimum_applies(facts)
    named = facts.rules.rows("sound_buildup")
    sides = [facts.layers(side) for side in "AB"]
    if not asked or not named or not all(sides):
        return
    fill = facts.book.fill(facts.option.fill) if facts.option.fill and facts.fill else None
    for row in named:
        good = all(
            len(side) >= row["layers"] and all(b.surface_mass >= row["layer_mass"] for b in side)
            for side in sides
        )
        if row["fill_thickness"] > 0:
            good = (
                good
                and fill is not None
                and (fill.thickness >= row["fill_thickness"] * 10 and fill.density >= row["fill_density"])
            )
        if good:
            yield say("sound build-up", "wall", "named by the source", OK, "the source itself names this build-up as "
                      "meeting its minimum", row["source"], row["status"])  # fmt: skip
            return
    lightest = min(b.surface_mass for side in sides for b in side)
    yield say(
        "sound build-up", "wall", "named by the source", CAUTION,
        f"not one of the build-ups the source names: those have boards of at least {named[0]['layer_mass']:g} kg/m2 a "
        f"layer (the lightest here has {lightest:g})", named[0]["source"], named[0]["status"], lightest,
        float(named[0]["layer_mass"]), "kg/m2",
    )  # fmt: skip


@register("sound")
def sockets_apart(facts: Facts) -> Iterator[CheckRow]:
    """Check that sockets on opposite sides are not back to back in a wall that is built for sound.

    It is built for sound where a minimum applies between its rooms (then they have to be apart) or where fill is
    chosen (then it is a pity when they are not).
    """
    least = facts.rules.rule("service.socket_stagger")
    need = facts.rules.tenths("service.socket_stagger") / MM
    asked = minimum_applies(facts)
    if not asked and facts.option.fill is None:
        return
    sockets = [s for s in facts.wall.services if s.kind == "socket"]
    pairs = []
    for a, b in product(sockets, sockets):
        if (a.side, b.side) != ("A", "B"):
            continue
        one, two = a.opening, b.opening
        across = max(one[0] - two[2], two[0] - one[2]) / MM  # less than 0: how far they overlap
        up = max(one[1] - two[3], two[1] - one[3], 0) / MM
        pairs.append((math.hypot(max(across, 0), up), across, up, a, b))
    pairs.sort(key=lambda p: p[0])
    for apart, across, up, a, b in [p for p in pairs if p[0] < need] or pairs[:1]:
        move = math.ceil(math.sqrt(need * need - up * up) - across - 1e-9) if apart < need else 0
        why = (
            f"sound passes through boxes that are back to back: move one of them {move} mm further along the wall"
            if move
            else "the boxes on the two sides are far enough apart"
        )
        yield at_least(
            "sockets apart",
            f"{a.name} and {b.name}",
            "a minimum applies between the rooms" if asked else "fill is chosen for sound",
            apart,
            need,
            "mm",
            why,
            least.source,
            least.status,
            under=FAIL if asked else CAUTION,
        )
