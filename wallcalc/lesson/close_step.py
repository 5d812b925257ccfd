"""Step 9: when close studs are right, from the checks of whole designs at the usual centres."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import wallcalc as wc
from wallcalc.draw.use_bars import UseBar, UseBars, bars_alt
from wallcalc.given.option import SECTIONS, Option
from wallcalc.given.parts import HungItem, Room
from wallcalc.given.wall import Wall
from wallcalc.lesson.sites import MODEL, SECONDS
from wallcalc.lesson.step import Guess, Knob, Shown
from wallcalc.lesson.trade import SECTION, Trade
from wallcalc.panel.words import table
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM

LENGTH = 36_000
TILED_TO, TILE_MASS = 13_000, 16.0
"""Invented tiling: its height, 0.1 mm, and mass of the tile alone, kg/m2."""
LOADS = (("nothing heavy", 0.0), ("a shelf of books", 60.0), ("a very full shelf", 160.0))
"""Invented items on four fixings: name and mass with what they hold, kg."""
HEIGHTS = (2400.0, 2800.0, 3000.0)
HOUSEHOLD = "a household"
SUBJECTS = ("board span", "stud centres behind tiles", "stud", "height", "hung")
"""How the names of the checks begin that the centres bear on."""
RANK = {"fail": 0, "caution": 1, "not known": 2, "ok": 3}
SIGNS = {"ok": "✓ ok", "caution": "! caution", "fail": "✗ fails", "not known": "? not known"}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the wall is asked to do: tiles, board, section, height (mm), load (kg), and who leans on it."""

    tiled: bool
    board: str
    section: str
    height: float
    load: float
    people: str = HOUSEHOLD


def leaned_on(rules: Rules, people: str) -> Rules:
    """Return the rules with the horizontal loads of a use: a household, or one of the rules' other uses."""
    for row in rules.rows("loads_other") if people != HOUSEHOLD else ():
        if row["use"] == people:
            return rules.with_values(
                {f"loads.{kind}": float(row[kind]) for kind in ("line", "area", "point")}
            )
    return rules


def uses(rules: Rules) -> tuple[str, ...]:
    """Return the uses whose loads the rules have, a household first."""
    other = rules.rows("loads_other") if "loads_other" in rules.tables() else ()
    return (HOUSEHOLD, *(str(row["use"]) for row in other))


def wall_for(asked: Asked) -> Wall:
    """Return the wall that is checked."""
    room = Room(
        "kitchen", "kitchen", False, TILED_TO if asked.tiled else 0, TILE_MASS if asked.tiled else 0.0
    )
    hung: tuple[HungItem, ...] = ()
    if asked.load:
        points = tuple((x, y) for y in (14_000, 18_000) for x in (12_000, 18_000))
        hung = (HungItem("shelf", "B", points, asked.load, 0.0, 2_500),)
    return Wall(
        "Kitchen wall", LENGTH, ((0, round(asked.height * MM)),), room, Room("hall", "hall"), (), hung
    )


@lru_cache(maxsize=1024)
def verdicts(using: Trade, asked: Asked, centres: float) -> tuple[UseBar, ...] | str:
    """Return the checks that the centres bear on, the worst of each kind, or why the wall cannot be built.

    Units: ``centres`` mm.
    """
    option = Option(section=asked.section, stud_centres=centres, board_a=asked.board, board_b=asked.board)
    try:
        made = wc.design(
            wall_for(asked),
            option,
            rules=leaned_on(using.rules, asked.people),
            prices=using.prices,
            seconds=SECONDS,
            model=MODEL,
        )
    except (wc.OptionError, wc.WallError) as error:
        return str(error)
    worst: dict[str, UseBar] = {}
    for row in made.check_rows:
        name = next((s for s in SUBJECTS if row.check.startswith(s)), None)
        if name is None or row.use is None:
            continue
        bar = UseBar(row.check, f"{row.subject}, {row.case}", row.use, row.verdict)
        old = worst.get(row.check)
        if old is None or (RANK[bar.verdict], -bar.use) < (RANK[old.verdict], -old.use):
            worst[row.check] = bar
    return tuple(sorted(worst.values(), key=lambda b: (SUBJECTS.index(_subject(b)), b.name)))


def _subject(bar: UseBar) -> str:
    return next(s for s in SUBJECTS if bar.name.startswith(s))


def good(found: tuple[UseBar, ...] | str) -> bool:
    """Whether nothing fails and nothing is a caution."""
    return not isinstance(found, str) and all(b.verdict in ("ok", "not known") for b in found)


class CloseStep:
    """When close studs are right.

    Parameters
    ----------
    using : Trade
        Rules and prices.
    """

    key, title = "close", "When are close studs right?"

    def __init__(self, using: Trade) -> None:
        self.using = using
        boards = [b for b in using.offers.boards if using.prices.board(b).kind == "standard"]
        boards.sort(key=lambda b: using.prices.board(b).thickness)
        self.thin = boards[0]
        self.usual = using.offers.usual
        self.asked = Asked(True, using.board, SECTION, HEIGHTS[0], 0.0)
        self.guess = Guess(
            f"A kitchen wall, {using.prices.board(using.board).description.split(',')[0]} on studs, is tiled on "
            "one side. What are "
            "the widest of these stud centres that the rules let pass without a word?",
            choices=(*((f"{c:g} mm", c) for c in self.usual), ("none of them", 0.0)),
        )
        self.knobs = (
            Knob("tiled", "tiles", True, options=(("no", False), ("yes", True))),
            Knob("board", "board", using.board, options=tuple((b, b) for b in boards)),
            Knob("load", "hung on it", 0.0, options=LOADS),
            Knob("people", "who leans on it", HOUSEHOLD, options=tuple((u, u) for u in uses(using.rules))),
            Knob("section", "stud section, mm", SECTION, options=tuple((s, s) for s in SECTIONS)),
            Knob(
                "height", "height of the room, mm", HEIGHTS[0], options=tuple((f"{h:g}", h) for h in HEIGHTS)
            ),
            Knob(
                "centres",
                "bars for centres, mm",
                self.usual[-1],
                options=tuple((f"{c:g}", c) for c in self.usual),
            ),
        )
        self._bars: UseBars | None = None

    def widest(self, asked: Asked) -> float:
        """Return the widest usual centres at which nothing fails and nothing is a caution; 0 for none."""
        return max((c for c in self.usual if good(verdicts(self.using, asked, c))), default=0.0)

    @property
    def truth(self) -> float:
        """The widest centres that pass in the question asked."""
        return self.widest(self.asked)

    def compare(self, guess: Any) -> str:
        """Return the guess beside what passes."""
        named = {value: text for text, value in self.guess.choices}
        right = "and so it is" if guess == self.truth else f"but it is {named[self.truth]}"
        return (
            f"You guessed {named[guess]}, {right}. Tiles are heavy and stiff: a wall that gives under a hand "
            "cracks them, so the "
            "rules ask for closer studs or for noggins behind them."
        )

    def show(self, values: dict[str, Any]) -> Shown:
        """Return the checks at every usual centre as a table, and those of one as bars."""
        asked = Asked(
            **{name: values[name] for name in ("tiled", "board", "section", "height", "load", "people")}
        )
        found = {c: verdicts(self.using, asked, c) for c in self.usual}
        picture = ""
        now = found[values["centres"]]
        if not isinstance(now, str):
            if self._bars is None:
                self._bars = UseBars(900, 9)
                self._bars.ax.set_position(
                    (0.45, 0.125, 0.49, 0.80)
                )  # few bars: more room for the axis below
            bars = sorted(now, key=lambda b: -b.use)[: self._bars.rows]
            self._bars.update(bars)
            picture = self._bars.show(f"At {values['centres']:g} mm centres. {bars_alt(bars)}")
        return Shown(picture, self.words(asked, found), self.table(found))

    def words(self, asked: Asked, found: dict[float, tuple[UseBar, ...] | str]) -> str:
        """Return the finding in words."""
        widest = self.widest(asked)
        if not widest:
            said = "At none of the usual centres does everything pass without a word."
        elif widest == self.usual[-1]:
            said = f"Everything passes at {widest:g} mm: closer studs would only cost more."
        else:
            said = f"Everything passes up to {widest:g} mm centres."
        stops = {c: [b.name for b in bars if b.verdict in ("fail", "caution")] for c, bars in found.items()
                 if not isinstance(bars, str)}  # fmt: skip
        told = "; ".join(f"at {c:g} mm {', '.join(names)}" for c, names in stops.items() if names)
        return said + (f" What speaks against: {told}." if told else "")

    def table(self, found: dict[float, tuple[UseBar, ...] | str]) -> str:
        """Return verdicts as an HTML table, one check a row, one column for each of the usual centres."""
        names = list(
            dict.fromkeys(b.name for bars in found.values() if not isinstance(bars, str) for b in bars)
        )
        rows = []
        for name in names:
            cells = []
            for bars in found.values():
                bar = None if isinstance(bars, str) else next((b for b in bars if b.name == name), None)
                cells.append("" if bar is None else f"{SIGNS[bar.verdict]}, {bar.use:.0%} used")
            rows.append([name, *cells])
        return table(["check", *(f"{c:g} mm" for c in found)], rows, "What the stud centres bear on")
