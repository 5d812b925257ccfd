"""What a fitted layout changes against the cheapest module, in words."""

from __future__ import annotations

from wallcalc.buying.cut_plans import Cut
from wallcalc.carcass.build import CarcassInput
from wallcalc.records import UPRIGHT
from wallcalc.units.lengths import MM
from wallcalc.units.money import CENTS


def counts(cut: Cut) -> dict[str, int]:
    """Return how many studs, noggins, pattresses and sheets a design has, by name."""
    roles = [m.role for m in cut.frame.members]
    return {
        "studs": sum(role in UPRIGHT for role in roles),
        "noggins": roles.count("noggin"),
        "pattresses": roles.count("pattress"),
        "sheets": sum(len(plan.uses) for plan in cut.sheets),
    }


def module_name(given: CarcassInput) -> str:
    """Return a module in words: its centres and the end it is set out from."""
    end = "the middle" if given.set_out_from == "middle" else f"the {given.set_out_from}"
    return f"{given.centres / MM:g} mm from {end}"


def difference(
    fitted: Cut, given: CarcassInput, cost: int, module: Cut | None, least: CarcassInput | None, paid: int
) -> tuple[str, ...]:
    """Return what a fitted layout did, one sentence each.

    Parameters
    ----------
    fitted, given : Cut, CarcassInput
        The fitted layout.
    cost : int
        Its timber and boards as bought, cents.
    module, least : Cut, CarcassInput or None
        The cheapest module tried, None where none can be built.
    paid : int
        What the module's timber and boards cost, cents.
    """
    if module is None or least is None:
        return ("fitted: no usual module can be built here",)
    name = module_name(least)
    if given.lines is None:
        return (f"fitted: the module at {name} is kept, nothing cheaper was found",)
    ours, theirs = counts(fitted), counts(module)
    if ours["studs"] == theirs["studs"]:
        told = [f"{ours['studs']} studs as at {name}, on other lines"]
    else:
        told = [f"{ours['studs']} studs instead of {theirs['studs']} at {name}"]
    for what in ("noggins", "pattresses", "sheets"):
        change = ours[what] - theirs[what]
        if change:
            word = what if abs(change) != 1 else {"pattresses": "pattress"}.get(what, what[:-1])
            told.append(f"{abs(change)} {'more' if change > 0 else 'fewer'} {word}")
    if given.course_from != least.course_from:
        start = given.course_from
        told.append(
            f"courses from {f'a joint at {start:g} mm' if not isinstance(start, str) else f'the {start}'}"
        )
    saved = f"timber and boards {(paid - cost) / CENTS:.2f} less" if cost < paid else "at the same cost"
    return (f"fitted: {'; '.join(told)}; {saved}",)
