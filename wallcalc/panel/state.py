"""What the panel knows and can do, without any widget: tests call it as the controls do."""

from __future__ import annotations

import base64
import io
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from os import PathLike
from pathlib import Path
from typing import Any

import pandas as pd

import wallcalc as wc
from wallcalc.errors import WallcalcError
from wallcalc.option_grid import OPTION_FIELDS
from wallcalc.panel.cautions import cautions
from wallcalc.panel.compare import differences, summary
from wallcalc.panel.folders import folder_name, option_words
from wallcalc.panel.offers import Offers
from wallcalc.panel.study_rows import COARSE_STEP, FINE_STEP, StudyRows, plain, study_options, sweep_options
from wallcalc.pipeline import EXPORT_SECONDS
from wallcalc.shipped import data_folder

CENT = 0.005
"""Differences in cost below half a cent are none."""

INVENTED = "invented demo prices"


@dataclass(frozen=True, slots=True)
class Message:
    """Something to tell the user: ``level`` is "info", "caution" or "error"."""

    level: str
    text: str


class StudyState:
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
    wall, rules, prices : Wall, Rules, PriceBook
        What is given.
    offers : Offers
        What can be chosen under them.
    option : Option
        What is chosen, whether it can be built or not.
    design : Design or None
        The last option that could be built.
    kept : dict or None
        Study row of the option kept for comparison.
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
        self.own_walls = Path(own_walls)
        self.exports = Path(exports)
        self.messages: list[Message] = []
        self.last_error: Exception | None = None
        self.exported: list[Path] = []
        self.kept: dict[str, Any] | None = None
        self.design: Any = None
        self.row: dict[str, Any] | None = None
        self._past: list[Any] = []
        self._stores: dict[tuple, StudyRows] = {}
        self.rules = wc.Rules.load(rules) if isinstance(rules, (str, PathLike)) else rules
        self.prices = (
            wc.PriceBook.load(prices) if prices is None or isinstance(prices, (str, PathLike)) else prices
        )
        self.prices_from = INVENTED if prices is None else self.prices.name
        self._offer()
        self.wall_path: Path | None = None
        if isinstance(wall, wc.Wall):
            self.wall = wall
        else:
            self.wall_path = self._find(wall)
            self.wall = wc.Wall.load(self.wall_path)
        self.option = option if option is not None else wc.Option()
        self._change()

    # What can be chosen.

    def wall_choices(self) -> dict[str, Path]:
        """Return the wall files found, label to path: the shipped ones and the user's own."""
        found: dict[str, Path] = {}
        for folder, prefix in ((data_folder() / "walls", ""), (self.own_walls, "my wall: ")):
            if folder.is_dir():
                found.update(
                    {f"{prefix}{path.stem.replace('_', ' ')}": path for path in sorted(folder.glob("*.toml"))}
                )
        if self.wall_path is not None and self.wall_path not in found.values():
            found[self.wall_path.stem.replace("_", " ")] = self.wall_path
        return found

    # Actions. Each returns whether it could be done, and leaves messages.

    def choose(self, **choices: Any) -> bool:
        """Change the option.

        Parameters
        ----------
        **choices
            Keywords of :class:`wallcalc.Option`.

        Returns
        -------
        bool
            Whether the new option can be built; the reasons are in ``messages`` when not.
        """
        try:
            option = replace(self.option, **choices)
        except wc.OptionError as error:
            self._refuse(error)
            return False
        if option == self.option and self.design is not None and self.buildable:
            return True
        self._past.append((self.wall, self.wall_path, self.rules, self.option))
        self.option = option
        return self._change()

    def choose_wall(self, path: str | PathLike[str]) -> bool:
        """Load another wall file; the wall stays as it is when the file has problems."""
        try:
            found = self._find(path)
            wall = wc.Wall.load(found)
        except (WallcalcError, OSError) as error:
            self.messages = [Message("error", str(error))]
            return False
        self._past.append((self.wall, self.wall_path, self.rules, self.option))
        self.wall, self.wall_path, self.kept = wall, found, None
        return self._change()

    def choose_rules(self, source: str | PathLike[str]) -> bool:
        """Load other trade rules; choices that their catalogue does not know go back to 'by the room'."""
        try:
            rules = wc.Rules.load(source)
        except (WallcalcError, OSError) as error:
            self.messages = [Message("error", str(error))]
            return False
        self._past.append((self.wall, self.wall_path, self.rules, self.option))
        self.rules, self.kept = rules, None
        self._offer()
        self.option = replace(self.option, **self.offers.within(self.option))
        return self._change()

    def choose_prices(self, path: str | PathLike[str] | None) -> bool:
        """Load another price file, or the invented demo prices when None."""
        try:
            prices = wc.PriceBook.load(path)
        except (WallcalcError, OSError) as error:
            self.messages = [Message("error", str(error))]
            return False
        self.prices, self.kept = prices, None
        self.prices_from = INVENTED if path is None else str(path)
        self._offer()
        return self._change()

    def choose_folder(self, folder: str | PathLike[str]) -> bool:
        """Look for the user's own wall files in another folder."""
        self.own_walls = Path(folder)
        found = len(list(self.own_walls.glob("*.toml"))) if self.own_walls.is_dir() else 0
        level = "info" if found else "caution"
        self.messages = [Message(level, f"{found} wall files found in {self.own_walls.resolve()}.")]
        return found > 0

    def undo(self) -> bool:
        """Go back to what stood before the last change."""
        if not self._past:
            self.messages = [Message("info", "There is nothing to undo.")]
            return False
        self.wall, self.wall_path, self.rules, self.option = self._past.pop()
        self._offer()
        return self._change()

    def keep(self) -> bool:
        """Keep the current option for comparison."""
        if self.row is None or not self.buildable:
            self.messages = [Message("caution", "Only an option that can be built can be kept.")]
            return False
        self.kept = dict(self.row)
        self.messages = [Message("info", f"Kept: {summary(self.kept)}.")]
        return True

    def forget_kept(self) -> bool:
        """Drop the kept option."""
        self.kept = None
        self.messages = [Message("info", "Nothing is kept for comparison.")]
        return True

    def export(self) -> list[Path]:
        """Write the current option's files; return their paths (none when it cannot be built)."""
        self.exported = []
        if self.design is None or not self.buildable:
            self.messages = [
                Message("error", "The current option cannot be built, so there is nothing to export.")
            ]
            return []
        try:
            chosen = wc.design(
                self.wall, self.option, rules=self.rules, prices=self.prices, seconds=EXPORT_SECONDS
            )
            paths = wc.export(chosen, self.export_folder())
        except OSError as error:
            self.messages = [Message("error", f"The files could not be written: {error}")]
            return []
        self.exported = [Path(path) for path in paths]
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
        """Return the folder of the current option's export: the wall's name, then one of the option's own."""
        return self.exports / folder_name(self.wall.name or "wall") / folder_name(option_words(self.option))

    def download(self) -> tuple[str, str]:
        """Return the last export as one archive: its file name and a data URI that needs no script."""
        packed = io.BytesIO()
        folder = self.export_folder()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for path in self.exported:
                archive.write(path, path.name)
        data = base64.b64encode(packed.getvalue()).decode("ascii")
        return f"{folder.parent.name}_{folder.name}.zip", f"data:application/zip;base64,{data}"

    # What there is to show.

    @property
    def buildable(self) -> bool:
        """Whether the current option can be built."""
        return bool(self.row is not None and self.row["buildable"])

    @property
    def store(self) -> StudyRows:
        """The rows computed for the wall, rules and prices in force."""
        key = (self.wall, self.rules.digest, self.prices.digest)
        if key not in self._stores:
            self._stores[key] = StudyRows(self.wall, self.rules, self.prices)
        return self._stores[key]

    def sweep_wanted(self, steps: Sequence[float] = (COARSE_STEP, FINE_STEP)) -> list[Any]:
        """Return the options of the sweep over stud centres, by steps in mm."""
        return sweep_options(self.option, self.offers.usual, *self.offers.centres, steps)

    def study_wanted(self) -> list[Any]:
        """Return the options of the study."""
        return study_options(self.option, self.offers.usual, [None, *self.offers.fills])

    def advance(self, seconds: float = 0.03) -> bool:
        """Compute some more of the sweep and the study; return whether more is left."""
        return self.store.advance(seconds)

    def finish(self) -> None:
        """Compute all of the sweep and the study."""
        while self.store.advance(60.0):
            pass

    def sweep(self) -> pd.DataFrame:
        """Return what is known of the sweep, one row per option."""
        return self.store.table(self.sweep_wanted())

    def study(self) -> pd.DataFrame:
        """Return what is known of the study and the sweep, one row per option."""
        wanted = dict.fromkeys([*self.study_wanted(), *self.sweep_wanted(), self.option])
        return self.store.table(wanted)

    def unbeaten(self, table: pd.DataFrame | None = None) -> pd.DataFrame:
        """Return the rows that no other beats on cost and Rw."""
        rows = self.study() if table is None else table
        rows = rows[rows["buildable"].astype(bool)] if len(rows) else rows
        if not len(rows):
            return rows
        return wc.trade_offs(rows, low=["cost"], high=["Rw"]).drop_duplicates(["cost", "Rw"])

    def sorted_study(self, column: str, descending: bool = False, show: str = "all") -> pd.DataFrame:
        """Return the study in an order.

        Parameters
        ----------
        column : str
            Column of the study to sort by; rows without a value come last.
        descending : bool
            Largest first.
        show : str
            "all", "buildable" or "unbeaten".

        Returns
        -------
        pandas.DataFrame
        """
        rows = self.study()
        if show == "unbeaten":
            rows = self.unbeaten(rows)
        elif show == "buildable" and len(rows):
            rows = rows[rows["buildable"].astype(bool)]
        if not len(rows):
            return rows
        return rows.sort_values(
            [column, "stud_centres"], ascending=[not descending, True], na_position="last", kind="stable"
        ).reset_index(drop=True)

    def choose_row(self, row: Any) -> bool:
        """Make a study row's option the current one."""
        return self.choose(**{name: plain(row[name]) for name in OPTION_FIELDS if name != "stud_layout"})

    def differences(self) -> list[dict[str, str]]:
        """Return the current option beside the kept one: ``what, current, kept, difference, verdict``."""
        if self.kept is None or self.row is None:
            return []
        return differences(self.row, self.kept, self.prices.currency)

    def summary(self) -> str:
        """Return the current option in a few words."""
        return "" if self.row is None else summary(self.row)

    def cautions(self) -> list[tuple[str, str]]:
        """Return the cautions that go with the wall and the option."""
        return cautions(self.wall, self.option)

    # Inside.

    def _offer(self) -> None:
        self.offers = Offers(self.rules, self.prices)

    def _change(self) -> bool:
        """Work out the current option; a refusal becomes a message, never a traceback."""
        if self.design is not None and self.design.wall != self.wall:
            self.design = None
        self.row = None
        self.exported = []
        try:
            self.store.want([*self.sweep_wanted((COARSE_STEP,)), *self.study_wanted(), *self.sweep_wanted()])
            self.design = wc.design(self.wall, self.option, rules=self.rules, prices=self.prices)
            self.row = self.store.rows[self.option] = self.design.summary()
            self.messages = [Message("info", f"{self.summary()}.")]
        except wc.OptionError as error:
            self.row = self.store.row(self.option)
            self._refuse(error)
        except WallcalcError as error:
            self.messages = [Message("error", str(error))]
        except Exception as error:
            self.last_error = error
            self.messages = [Message("error", f"{type(error).__name__}: {error}")]
        return self.buildable

    def _refuse(self, error: Any) -> None:
        self.messages = [
            Message("error", f"This option cannot be built. {refusal}") for refusal in error.refusals
        ]

    def _find(self, wall: str | PathLike[str]) -> Path:
        """Return a wall file's path: as given, in the user's folder, or among the shipped ones."""
        path = Path(wall)
        for candidate in (path, self.own_walls / path, data_folder() / "walls" / path):
            if candidate.is_file():
                return candidate
        return path
