"""What the panel can do with what is given: wall files, an edited wall, trade rules, prices."""

from __future__ import annotations

from dataclasses import replace
from os import PathLike
from pathlib import Path
from typing import Any

import wallcalc as wc
from wallcalc.errors import PriceError, WallcalcError
from wallcalc.panel import wall_transfer
from wallcalc.panel.history import Moment
from wallcalc.panel.messages import Message
from wallcalc.panel.offers import Offers
from wallcalc.shipped import data_folder

INVENTED = "invented demo prices"


class GivenActions:
    """Part of :class:`wallcalc.panel.state.StudyState`; every action returns whether it could be done."""

    now: Moment
    own_walls: Path
    messages: list[Message]

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

    def choose_wall(self, path: str | PathLike[str]) -> bool:
        """Load another wall file; the wall stays as it is when the file has problems."""
        try:
            found = self._find(path)
            wall = wc.Wall.load(found)
        except (WallcalcError, OSError) as error:
            return self._say("error", str(error))
        return self._move(replace(self.now, wall=wall, wall_path=found))

    def load_wall(self, name: str, content: bytes) -> bool:
        """Take the wall of a file chosen in the browser; the wall stays as it is when the file has problems."""
        try:
            wall = wc.Wall.loads(content, name)
        except WallcalcError as error:
            return self._say("error", str(error))
        return self._move(replace(self.now, wall=wall, wall_path=Path(name)))

    def change_wall(self, wall: Any) -> bool:
        """Take the wall as edited."""
        if wall == self.wall:
            return self.buildable
        return self._move(replace(self.now, wall=wall))

    def save_wall(self, name: str, replace_file: bool = False) -> bool:
        """Save the wall into the folder of the user's own walls."""
        try:
            path = wall_transfer.save_beside(self.wall, self.own_walls, name, replace=replace_file)
        except (WallcalcError, OSError) as error:
            return self._say("error", f"The wall was not saved: {error}")
        self.now = replace(self.now, wall_path=path)
        said = f"The wall is saved as {path.resolve()}."
        asked = wall_transfer.wall_file_name(name)
        if path.name != asked:
            said += (
                f" A number was added, for {asked} holds another wall; to replace that one, tick 'replace'."
            )
        self.messages = [Message("info", said)]
        return True

    def choose_rules(self, source: str | PathLike[str]) -> bool:
        """Load other trade rules; choices that their catalogue does not know go back to 'by the room'."""
        try:
            rules = wc.Rules.load(source)
            lacking = self.prices.lacking(rules)
            if lacking:
                raise PriceError(lacking, f"{self.prices.name} for these rules")
        except (WallcalcError, OSError) as error:
            return self._say("error", str(error))
        option = replace(self.option, **Offers(rules, self.prices).within(self.option))
        return self._move(replace(self.now, rules=rules, option=option))

    def choose_prices(self, path: str | PathLike[str] | None) -> bool:
        """Load another price file, or the invented demo prices when None."""
        try:
            prices = wc.PriceBook.load(path, self.rules)
        except (WallcalcError, OSError) as error:
            return self._say("error", str(error))
        return self._move(
            replace(self.now, prices=prices, prices_from=INVENTED if path is None else str(path))
        )

    def load_prices(self, name: str, content: bytes) -> bool:
        """Take the prices of a file chosen in the browser; the prices stay when the file has problems."""
        try:
            prices = wc.PriceBook.loads(content, Path(name).stem or "prices", self.rules, name)
        except WallcalcError as error:
            return self._say("error", str(error))
        return self._move(replace(self.now, prices=prices, prices_from=name))

    def choose_folder(self, folder: str | PathLike[str]) -> bool:
        """Look for the user's own wall files in another folder."""
        self.own_walls = Path(folder)
        found = len(list(self.own_walls.glob("*.toml"))) if self.own_walls.is_dir() else 0
        self._say("info" if found else "caution", f"{found} wall files found in {self.own_walls.resolve()}.")
        return found > 0

    def _find(self, wall: str | PathLike[str]) -> Path:
        """Return a wall file's path: as given, in the user's folder, or among the shipped ones."""
        path = Path(wall)
        for candidate in (path, self.own_walls / path, data_folder() / "walls" / path):
            if candidate.is_file():
                return candidate
        return path
