"""A wall saved beside the notebook, and as a download."""

from __future__ import annotations

import base64
from pathlib import Path

from wallcalc.errors import WallError
from wallcalc.files import file_name, numbered
from wallcalc.given.wall import Wall
from wallcalc.given.wall_file import text_to_save


def wall_file_name(text: str) -> str:
    """Return a name for a wall file from what a person calls it."""
    return f"{file_name(text.removesuffix('.toml'))}.toml"


def holds_another(path: Path, wall: Wall) -> bool:
    """Return whether a file is there that is not of this wall, or cannot be read."""
    try:
        return path.exists() and Wall.load(path) != wall
    except (WallError, OSError):
        return True


def save_beside(wall: Wall, folder: Path, name: str, *, replace: bool = False) -> Path:
    """Save a wall into the folder of a person's own walls, never in the place of another unasked.

    The file written. Raises WallError: when the wall is not one that could be loaded again. Raises OSError:
    when it cannot be written.
    """
    stem = Path(wall_file_name(name)).stem
    paths = (folder / f"{free}.toml" for free in numbered(stem))
    path = next(path for path in paths if replace or not holds_another(path, wall))
    folder.mkdir(parents=True, exist_ok=True)
    return wall.save(path)


def download_link(wall: Wall, name: str) -> tuple[str, str]:
    """Return a wall file as its name and a data URI that a browser saves without a script."""
    data = base64.b64encode(text_to_save(wall).encode()).decode("ascii")
    return wall_file_name(name), f"data:application/toml;base64,{data}"
