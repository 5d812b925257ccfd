"""A wall saved beside the notebook, and as a download."""

from __future__ import annotations

import base64
from pathlib import Path

from wallcalc.errors import Problem, WallError
from wallcalc.given.wall import Wall
from wallcalc.given.wall_file import text_to_save
from wallcalc.panel.folders import folder_name


def file_name(text: str) -> str:
    """Return a name for a wall file from what a person calls it."""
    return f"{folder_name(text.removesuffix('.toml'))}.toml"


def save_beside(wall: Wall, folder: Path, name: str, *, replace: bool = False) -> Path:
    """Save a wall into the folder of a person's own walls.

    Parameters
    ----------
    wall : Wall
        What to save.
    folder : pathlib.Path
        Made when it is not there.
    name : str
        What to call it.
    replace : bool
        Whether a file of that name may be replaced.

    Returns
    -------
    pathlib.Path
        The file written.

    Raises
    ------
    WallError
        When a file of that name holds another wall and may not be replaced.
    OSError
        When it cannot be written.
    """
    path = folder / file_name(name)
    if path.exists() and not replace:
        try:
            same = Wall.load(path) == wall
        except (WallError, OSError):
            same = False
        if same:
            return path
        raise WallError(
            [
                Problem(
                    "file name", f"{path.name}, which holds another wall", "another name, or tick 'replace'"
                )
            ]
        )
    folder.mkdir(parents=True, exist_ok=True)
    return wall.save(path)


def download_link(wall: Wall, name: str) -> tuple[str, str]:
    """Return a wall file as its name and a data URI that a browser saves without a script."""
    text = text_to_save(wall)
    return file_name(name), "data:application/toml;base64," + base64.b64encode(text.encode()).decode("ascii")
