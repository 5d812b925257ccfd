"""A wall and an option become a design, stage by stage; each stage keeps what it made for inputs it has seen."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from os import PathLike

from wallcalc.buying.cut_plans import Cut, CuttingRules, cut_carcass, timber_plan
from wallcalc.buying.fill import fill_bays, slab_pieces
from wallcalc.buying.finishing import Structure
from wallcalc.buying.order_list import take_off
from wallcalc.buying.screws import ScrewLine, screw_lines
from wallcalc.carcass.build import CarcassInput, carcass
from wallcalc.checks import Facts, run_checks
from wallcalc.cutting.slabs import cut_slabs
from wallcalc.designing.choices import resolve
from wallcalc.designing.result import Design, Parts, Raised
from wallcalc.errors import OptionError
from wallcalc.fitting.layout import fit
from wallcalc.fitting.terms import terms_of
from wallcalc.given.option import Option
from wallcalc.given.wall import Wall
from wallcalc.records import CutPlan, OrderLine, SlabPiece
from wallcalc.remedies.tries import told
from wallcalc.sound import DEFAULT, Build, Sound, predict
from wallcalc.sound.of_wall import build_of, doors_of
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules

SECONDS = 0.1
"""Time for each cutting plan while options are compared."""
EFFORT = 0.25
"""Share of the usual search effort for timber while options are compared; all of it when more time is given."""
EXPORT_SECONDS = 5.0
"""Time for each cutting plan when the chosen option is written out."""


@lru_cache(maxsize=8)
def _shipped_rules(name: str) -> Rules:
    return Rules.load(name)


@lru_cache(maxsize=2)
def _shipped_prices() -> PriceBook:
    return PriceBook.load()


def rules_of(rules: Rules | str | PathLike[str] | None) -> Rules:
    """Return the rules asked for: as given, by name or path, or the ``uk`` rules."""
    if isinstance(rules, Rules):
        return rules
    if rules is None or rules in ("uk", "us"):
        return _shipped_rules(str(rules or "uk"))
    return Rules.load(rules)


def prices_of(prices: PriceBook | str | PathLike[str] | None, rules: Rules | None = None) -> PriceBook:
    """Return the price book asked for: as given, from a path (with all that the rules name), or the demo prices."""
    if isinstance(prices, PriceBook):
        return prices
    return _shipped_prices() if prices is None else PriceBook.load(prices, rules)


def design(
    wall: Wall,
    option: Option | None = None,
    *,
    rules: Rules | str | PathLike[str] | None = None,
    prices: PriceBook | str | PathLike[str] | None = None,
    seconds: float = SECONDS,
    model: str = DEFAULT,
    search_changes: bool = True,
) -> Design:
    """Return the design of a wall built to an option.

    Parameters
    ----------
    wall : Wall
        The given wall.
    option : Option, optional
        The choices; the defaults of :class:`Option` when left out.
    rules : Rules, str or path, optional
        Rules in force, or the name ("uk", "us") or path of a rule file; "uk" when left out.
    prices : PriceBook or path, optional
        The price book; the invented demo prices when left out.
    seconds : float
        Time that each cutting plan may take to be proven the cheapest.
    model : str
        Sound model, one of :data:`wallcalc.sound.MODELS`.
    search_changes : bool
        Whether a refusal for hung items or services names the nearest change that works, found by building the wall
        with each (up to seconds on long walls), or only says why it cannot be built, at once.

    Returns
    -------
    Design

    Raises
    ------
    OptionError
        When the option cannot be built, saying why and what would make it buildable.
    WallError
        When an opening does not fit the wall under these rules.
    """
    stages = design_steps(
        wall,
        option,
        rules=rules,
        prices=prices,
        seconds=seconds,
        model=model,
        search_changes=search_changes,
    )
    (made,) = deque(stages, maxlen=1)
    assert isinstance(made, Design)
    return made


def design_steps(
    wall: Wall,
    option: Option | None = None,
    *,
    rules: Rules | str | PathLike[str] | None = None,
    prices: PriceBook | str | PathLike[str] | None = None,
    seconds: float = SECONDS,
    model: str = DEFAULT,
    search_changes: bool = True,
) -> Iterator[Raised | Design]:
    """Work a design out a stage at a time, for somebody who wants to see the wall before it is cut and priced.

    The wall as it stands, after each stage; the design at the end. Raises OptionError, WallError: as
    :func:`design`.
    """
    option = Option() if option is None else option
    law = rules_of(rules)
    book = prices_of(prices, law)
    choices = resolve(wall, option, law, book)
    cutting = CuttingRules(
        law.tenths("cutting.kerf"),
        law.tenths("cutting.end_trim"),
        law.tenths("cutting.plate_short"),
        seconds,
        EFFORT if seconds <= SECONDS else 1.0,
    )
    given, fitted = choices.carcass, None
    try:
        if option.stud_layout == "fitted":
            terms = terms_of(given, law, book, choices.fill)
            given = replace(given, centres=terms.most)  # for what a module tells where none can be built
            fitted = fit(given, cutting, terms)
            given = fitted.given
        frame = carcass(given).frame
    except OptionError as error:
        if not search_changes:
            raise
        raise OptionError(told(given, tuple(error.refusals))) from None
    fill = _fill(given, choices.fill, law, book)
    raised = Raised(wall, option, law, book, frame, fill)
    yield raised
    timber_plan(given, cutting)
    yield raised
    cut = cut_carcass(given, cutting)
    slabs = _slabs(given, choices.fill, seconds, law, book)
    yield raised
    screws = _screws(cut, law)
    order = _order(cut, slabs, wall, law, book)
    build = build_of(frame, option.section, fill, choices.fill, law, book)
    sound = _sound(build, model, doors_of(wall, frame, law))
    sheets = tuple(use for plan in cut.sheets for use in plan.uses)
    facts = Facts(wall, option, law, book, cut.frame, fill, sound, sheets)
    parts = Parts(
        wall, option, law, book, cut, fill, slabs, screws, order, build, sound, facts, seconds, fitted
    )
    yield Design(parts, run_checks(facts))


@lru_cache(maxsize=1024)
def _screws(cut: Cut, rules: Rules) -> tuple[ScrewLine, ...]:
    return screw_lines(cut.frame, rules)


@lru_cache(maxsize=2048)
def _fill(given: CarcassInput, product: str | None, rules: Rules, book: PriceBook) -> tuple[SlabPiece, ...]:
    if product is None:
        return ()
    sizes = str(rules.value("catalogue.sizes"))
    thinner = tuple(book.fill(name) for name in book.fills(sizes))
    frame = carcass(given).frame
    depth = frame.members[0].depth
    return fill_bays(frame, book.slabs(product, sizes), book.fill(product), rules, depth, thinner)


@lru_cache(maxsize=2048)
def _slabs(
    given: CarcassInput, product: str | None, seconds: float, rules: Rules, book: PriceBook
) -> CutPlan | None:
    if product is None:
        return None
    slabs = book.slabs(product, str(rules.value("catalogue.sizes")))
    return cut_slabs(slab_pieces(_fill(given, product, rules, book)), slabs, time_limit=seconds)


@lru_cache(maxsize=2048)
def _order(
    cut: Cut, slabs: CutPlan | None, wall: Wall, rules: Rules, book: PriceBook
) -> tuple[OrderLine, ...]:
    plans = [cut.timber, *cut.sheets, *(plan for plan in (cut.plywood, slabs) if plan is not None)]
    return take_off(
        cut.frame,
        plans,
        rules,
        book,
        structure=Structure.of(wall),
        finish=wall.finish,
        screws=_screws(cut, rules),
        hung_screws=sum(len(item.fixings) for item in wall.hung),
    )


@lru_cache(maxsize=2048)
def _sound(build: Build, model: str, doors: tuple[tuple[float, float], ...]) -> Sound:
    return predict(build, model, doors)
