"""What the panel knows and can do, without any widget: tests call it as the controls do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from os import PathLike
from pathlib import Path
from typing import Any

import wallcalc as wc
from wallcalc.errors import WallcalcError
from wallcalc.given.option import OPTION_FIELDS
from wallcalc.panel.across import with_choice
from wallcalc.panel.ahead import Ahead
from wallcalc.panel.cautions import cautions
from wallcalc.panel.changes import sentence
from wallcalc.panel.compare import summary
from wallcalc.panel.conditions import Condition, ConditionError, read_conditions
from wallcalc.panel.exporting import archive, export_folder, write_export
from wallcalc.panel.given_actions import INVENTED, GivenActions
from wallcalc.panel.history import History, Moment
from wallcalc.panel.job import Job
from wallcalc.panel.kept import Kept
from wallcalc.panel.kept_actions import KeptActions
from wallcalc.panel.messages import Message
from wallcalc.panel.none_met import NoneMet, said
from wallcalc.panel.offers import Offers
from wallcalc.panel.presets import PRESETS, Preset, preset_option
from wallcalc.panel.study_rows import StudyRows, plain
from wallcalc.panel.study_tables import StudyTables
from wallcalc.panel.wall_edit import WallEdit
from wallcalc.panel.words import measures

CENT = 0.005
"""Differences in cost below half a cent are none."""

WORKING = "The fitted layout is being worked out; what is shown until then is the option before."


def option_of(row: Any) -> wc.Option:
    """Return the option of a study row."""
    return wc.Option(**{name: plain(row[name]) for name in OPTION_FIELDS})


class StudyState(GivenActions, KeptActions):
    """One person's study of one wall.

    Parameters
    ----------
    wall : str or path-like or Wall
        A wall, a wall file, or the name of a file in the shipped walls.
    rules : str or Rules
        Trade rules, "uk" or "us", a path, or rules already loaded.
    prices : path-like or PriceBook, optional
        The user's own price file; the invented demo prices when left out.
    own_walls : path-like
        Folder with the user's own wall files.
    exports : path-like
        Folder that exports are written to.
    option : Option, optional
        The option to begin with.

    Attributes
    ----------
    now : Moment
        What is given and chosen.
    offers : Offers
        What can be chosen under the rules and prices.
    design : Design or None
        The last option that could be built.
    row : dict or None
        Study row of the current option.
    changed : str
        What the last move changed and what came of it, in words.
    kept : Kept
        Up to four options kept for comparison; ``against`` is the number of the one that figures are held against.
    edit : WallEdit
        The cells in which the wall is edited.
    conditions : tuple of Condition
        What the options shown must meet.
    also_wanted : list of Option
        Options that the open parts of the page ask for beside the study.
    patient : bool
        Whether options are left for somebody else to work out (``pending``) rather than worked out at once.
    pending : Job or None
        The current option while it is worked out; :meth:`settle` takes what it found.
    ahead : Ahead
        Options worked out before they are asked for.
    messages : list of Message
        What there is to say about the last action.
    last_error : Exception or None
        The last failure that was not foreseen; None in sound work.
    exported : list of pathlib.Path
        Files of the last export.
    """

    def __init__(
        self,
        wall: Any = "laundry_plain.toml",
        *,
        rules: Any = "uk",
        prices: Any = None,
        own_walls: str | PathLike[str] = "my_walls",
        exports: str | PathLike[str] = "exports",
        option: Any = None,
    ) -> None:
        self.own_walls, self.exports = Path(own_walls), Path(exports)
        self.messages: list[Message] = []
        self.last_error: Exception | None = None
        self.exported: list[Path] = []
        self.history, self.kept, self.against = History(), Kept(), 0
        self.conditions: tuple[Condition, ...] = ()
        self.also_wanted: list[Any] = []
        self.patient = False
        self.pending: Job | None = None
        self.ahead = Ahead()
        self.design: Any = None
        self.row: dict[str, Any] | None = None
        self.changed = ""
        self._stores: dict[tuple, StudyRows] = {}
        law = wc.Rules.load(rules) if isinstance(rules, (str, PathLike)) else rules
        book = prices
        if prices is None or isinstance(prices, (str, PathLike)):
            book = wc.PriceBook.load(prices, law)
        path = None if isinstance(wall, wc.Wall) else self._find(wall)
        given = wall if path is None else wc.Wall.load(path)
        prices_from = INVENTED if prices is None else book.name
        self.now = Moment(given, path, law, book, prices_from, option if option is not None else wc.Option())
        self.offers = Offers(law, book)
        self.edit = WallEdit(given)
        self._before = (self.now, None)
        self._work_out()

    wall = property(lambda self: self.now.wall)
    wall_path = property(lambda self: self.now.wall_path)
    rules = property(lambda self: self.now.rules)
    prices = property(lambda self: self.now.prices)
    prices_from = property(lambda self: self.now.prices_from)
    option = property(lambda self: self.now.option)

    # What can be chosen.

    @property
    def preset(self) -> Preset | None:
        """The preset that the current option is just like, None when it is like none."""
        for preset in PRESETS:
            if preset_option(preset, self.wall, self.offers) == self.option:
                return preset
        return None

    # Actions. Each returns whether it could be done, and leaves messages.

    def choose(self, **choices: Any) -> bool:
        """Change the option.

        Whether the new option can be built; the reasons are in ``messages`` when not.
        """
        try:
            option = self.option
            if len(choices) == 1:
                ((name, value),) = choices.items()
                option = with_choice(option, name, value, self.offers)
            else:
                option = replace(option, **choices)
        except wc.OptionError as error:
            self._refuse(error)
            return False
        if option == self.option and self.pending is not None:
            return False
        if option == self.option and self.design is not None and self.buildable:
            self._say_summary()
            return True
        return self._move(replace(self.now, option=option))

    def choose_preset(self, preset: Preset) -> bool:
        """Take a ready choice for a common wall."""
        return self._move(replace(self.now, option=preset_option(preset, self.wall, self.offers)))

    def undo(self) -> bool:
        """Go back to what stood before the last change."""
        moment = self.history.back(self.now)
        if moment is None:
            return self._say("info", "There is nothing to undo.")
        return self._move(moment, remember=False)

    def redo(self) -> bool:
        """Go forth again to what was undone."""
        moment = self.history.forth(self.now)
        if moment is None:
            return self._say("info", "There is nothing to redo.")
        return self._move(moment, remember=False)

    def set_conditions(self, text: str) -> bool:
        """Show only options that meet conditions, such as 'Rw at least 40, no fails'."""
        try:
            self.conditions = read_conditions(text, measures(self.prices.currency))
        except ConditionError as error:
            return self._say("error", str(error))
        return True

    def export(self) -> list[Path]:
        """Write the current option's files; return their paths (none when it cannot be built)."""
        self.complete()
        self.exported = []
        if self.design is None or not self.buildable:
            self._say("error", "The current option cannot be built, so there is nothing to export.")
            return []
        try:
            chosen, self.exported = write_export(self.exports, self.now)
        except OSError as error:
            self._say("error", f"The files could not be written: {error}")
            return []
        text = f"{len(self.exported)} files written to {self.export_folder().resolve()}"
        saved = self.design.cost - chosen.cost
        if abs(saved) >= CENT:
            text += (
                f". The cutting plans were searched further for the files: the cost is now {chosen.cost:.2f} "
                f"{self.prices.currency}, {saved:.2f} less than before"
            )
        self.design = chosen
        self.row = self.store.rows[self.option] = chosen.summary()
        self.messages = [Message("info", text)]
        return self.exported

    def export_folder(self) -> Path:
        """Return the folder of the current option's export."""
        return export_folder(self.exports, self.now)

    def download(self) -> tuple[str, str]:
        """Return the last export as one archive: its file name and a data URI that needs no script."""
        return archive(self.exported, self.export_folder())

    def choose_row(self, row: Any) -> bool:
        """Make a study row's option the current one."""
        return self._move(replace(self.now, option=option_of(row)))

    # What there is to show.

    @property
    def buildable(self) -> bool:
        """Whether the current option can be built."""
        return bool(self.row is not None and self.row["buildable"])

    @property
    def store(self) -> StudyRows:
        """The rows computed for the wall, rules and prices in force."""
        key = self.now.given
        if key not in self._stores:
            self._stores[key] = StudyRows(self.wall, self.rules, self.prices)
        return self._stores[key]

    @property
    def tables(self) -> StudyTables:
        """The tables of the study as it stands."""
        return StudyTables(self.now, self.offers, self.store, self.conditions)

    def want(self, also: Sequence[Any] | None = None) -> None:
        """Ask for the rows of the study, and of what the open parts of the page show beside it."""
        if also is not None:
            self.also_wanted = list(also)
        self.store.want([*self.tables.wanted(), *self.also_wanted])

    def said_of(self, found: NoneMet) -> str:
        """Return in HTML how near the options come when none meets the conditions."""
        design = Job(replace(self.now, option=option_of(found.row))).run()
        return said(found, None if isinstance(design, Exception) else design, self.prices.currency)

    def take_next(self) -> bool:
        """Make the option that comes nearest to the conditions the current one; return whether there is one."""
        found = self.tables.none_met()
        return found is not None and self.choose_row(found.row)

    def advance(self, seconds: float = 0.03) -> bool:
        """Compute some more of what is wanted, then of what may be; return whether more is left that is not slow."""
        return self.store.advance(seconds, slow=not self.patient) or self.ahead.step(far=True)

    def slow_work(self) -> tuple[Callable[[], Any], Callable[[Any], None]] | None:
        """Return a slow row's work, to be run elsewhere, and what takes its result; None when none is left."""
        return self.store.slow_work()

    def finish(self) -> None:
        """Compute all that is wanted."""
        self.complete()
        while self.store.advance(60.0, slow=True):
            pass

    def summary(self) -> str:
        """Return the current option in a few words."""
        return "" if self.row is None else summary(self.row)

    def cautions(self) -> list[tuple[str, str]]:
        """Return the cautions that go with the wall and the option."""
        return cautions(self.wall, self.option, self.design if self.buildable else None)

    # Inside.

    def _move(self, moment: Moment, *, remember: bool = True) -> bool:
        """Go to another moment and work it out."""
        if remember:
            self.history.leave(self.now)
        if (
            self.pending is None or self.pending.slow
        ):  # else what is on the page is still what stood before that
            self._before = (self.now, self.row)
        if (moment.rules, moment.prices) != (self.rules, self.prices):
            self.offers = Offers(moment.rules, moment.prices)
        if moment.wall_path != self.now.wall_path and moment.wall != self.now.wall:
            self.design = None
        self.now = moment
        self.edit.follow(moment.wall)
        return self._work_out()

    def _work_out(self) -> bool:
        """Work out the current option, at once or, when there is somebody to do it bit by bit, as a job."""
        self.row, self.exported = None, []
        self.pending = job = self.ahead.job(self.now) or Job(self.now)
        if not self.patient or (job.slow and self.option in self.store.rows):
            return self.settle(job, job.run())
        if job.slow:
            self.want()
            self.messages = [Message("info", WORKING)]
        return False

    def complete(self) -> None:
        """Work out now what is left of the current option, unless it is slow."""
        job = self.pending
        if job is not None and not job.slow:
            self.settle(job, job.run())

    def settle(self, job: Job, found: Any) -> bool:
        """Take what a job found; a refusal becomes a message, never a traceback."""
        if job is not self.pending:  # somebody moved on meanwhile: what was found is still worth keeping
            if isinstance(found, wc.Design) and job.moment.given in self._stores:
                self._stores[job.moment.given].rows[job.moment.option] = found.summary()
            return False
        self.pending = None
        self.want()
        if isinstance(found, wc.OptionError):
            self.row = self.store.refused(self.option, found)
            self._refuse(found)
        elif isinstance(found, WallcalcError):
            self._say("error", str(found))
        elif isinstance(found, Exception):
            self.last_error = found
            self._say("error", f"{type(found).__name__}: {found}")
        else:
            self.design = found
            self.row = self.store.rows[self.option] = found.summary()
            self._say_summary()
            self.ahead.keep(job)
        then, row_then = self._before
        self.changed = sentence(then, self.now, row_then, self.row, self.prices.currency)
        self.ahead.plan(then, self.now, self.offers)
        return self.buildable

    def _say_summary(self) -> None:
        self.messages = [Message("info", f"{self.summary()}.")]

    def _say(self, level: str, text: str) -> bool:
        self.messages = [Message(level, text)]
        return False

    def _refuse(self, error: Any) -> None:
        self.messages = [
            Message("error", f"This option cannot be built. {refusal}") for refusal in error.refusals
        ]
