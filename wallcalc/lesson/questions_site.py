"""Questions on doors, on cutting a bar and on the order of the work. Lengths in 0.1 mm."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from wallcalc.cutting.timber.plan import cut_timber
from wallcalc.lesson.question import CHOICE, LENGTH, Mistake, Question
from wallcalc.lesson.sites import clear_of, random_site
from wallcalc.lesson.trade import Trade

PIPES = ("the waste pipe of a basin", "hot and cold water pipes", "the cable of a socket")
LAST = "board side B"


def opening_width(rng: Random) -> Question | None:
    """Ask for the structural opening of a door."""
    site = random_site(rng, inches=None, door=True)
    lining = rng.choice((15, 19) if site.using.inches else (25, 28, 32, 38))
    unit = site.using.rules.rule("door.lining").unit
    if unit == "mm":
        site = replace(
            site, using=Trade(site.using.rules.with_values({"door.lining": lining}), site.using.prices)
        )
    clear, leaf, say = clear_of(site), site.wall.openings[0].leaf or 0, site.using.length
    t = site.using.rules.tenths
    gap, thick, packing = t("door.gap"), t("door.lining"), t("door.packing")
    width = clear.right - clear.left
    return Question(
        "opening width", 0,
        f"A door leaf {say(leaf)} wide hangs in a lining {say(thick)} thick, with {say(gap)} of gap and "
        f"{say(packing)} of packing "
        "on each side. How wide is the opening that is left between the jamb studs?",
        LENGTH, width, say(width),
        f"The leaf and, twice, gap, lining and packing: {say(leaf)} + 2 x ({say(gap)} + {say(thick)} + "
        f"{say(packing)}).",
        (Mistake("leaf as opening", leaf, "Lining, gaps and packing need their room too; the lining would not go "
        "in."),
         Mistake("leaf as opening", leaf + 2 * gap, "Gaps alone are not enough: the lining stands in the opening.")),
        (), site.tolerance,
    )  # fmt: skip


def bar_length(rng: Random) -> Question | None:
    """Ask for the least bar that gives a number of noggins."""
    site = random_site(rng)
    kerf = rng.choice((2, 3, 4))
    rules = site.using.rules.with_values({"cutting.kerf": kerf})
    saw, trim, say = rules.tenths("cutting.kerf"), rules.tenths("cutting.end_trim"), site.using.length
    stud = site.using.prices.timber(site.option.section, site.using.offers.sizes)
    piece, number = site.centres - stud[0].thickness, rng.randrange(4, 9)
    least = number * piece + (number - 1) * saw + trim
    bar = replace(stud[0], length=least)
    plan = cut_timber([(f"N{k}", piece) for k in range(number)], [bar], kerf=saw, end_trim=trim)
    if len(plan.uses) != 1 or plan.uses[0].offcut != 0:
        return None
    return Question(
        "bar length", 0,
        f"{number} noggins, each {say(piece)} long, are to come out of one bar and use it up. {say(trim)} are "
        "trimmed off one "
        f"bought end first, each saw cut between two noggins takes {say(saw)}. How long is the bar at least?",
        LENGTH, least, say(least),
        f"{number} noggins, {number - 1} cuts between them and the trim: {say(number * piece)} + {number - 1} x "
        f"{say(saw)} + {say(trim)}.",
        (Mistake("kerf forgotten", number * piece + trim, f"Each of the {number - 1} cuts turns {say(saw)} of "
        "timber to dust."),
         Mistake("kerf forgotten", number * piece, "Neither cuts nor trim were counted.")),
        (), site.tolerance,
    )  # fmt: skip


def next_job(rng: Random) -> Question | None:
    """Ask what comes next once one side is boarded."""
    site = random_site(rng, fill=None)
    fills = [f for f in site.using.offers.fills if site.using.prices.fill(f).thickness <= 890]
    jobs = ["fix the noggins that carry the coat hooks of side B"]
    if rng.random() < 0.75:
        jobs.append(f"put in {rng.choice(PIPES)}")
    if rng.random() < 0.75:
        jobs.append(f"fill the bays with {rng.choice(fills)}")
    done = rng.randrange(len(jobs) + 1)
    wanted = (
        f"The wall gets coat hooks on side B{', ' if len(jobs) > 2 else ' and ' if len(jobs) > 1 else ''}"
    )
    wanted += " and ".join(
        job.split(" in ", 1)[-1].replace("fill the bays with", "a fill of") for job in jobs[1:]
    )
    stands = "the frame stands with its rows of noggins, side A is boarded"
    so_far = "; ".join([stands, *(f"done: {job}" for job in jobs[:done])])
    options = [*jobs, LAST]
    right = options[done]
    rng.shuffle(options)
    open_jobs = jobs[done:]
    mistakes = ()
    if open_jobs:
        mistakes = (
            Mistake("closed too soon", options.index(LAST),
                    f"Still to be done: {'; '.join(open_jobs)}. Once both sides are boarded nobody gets in there."),
        )  # fmt: skip
    why = "Noggins first (pipes are bored through them), then pipes and cables, the fill round them, then the boards."
    if not open_jobs:
        why = "Everything that belongs inside is in, so the second side may be closed."
    return Question(
        "next job", 0, f"{site.told()}. {wanted}. So far: {so_far}. What do you do next?",
        CHOICE, options.index(right), right, why, mistakes, tuple(options),
    )  # fmt: skip


__all__ = ["bar_length", "next_job", "opening_width"]
