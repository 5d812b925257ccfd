"""The wall to fill: its record, read from a wall file and written to one."""

from __future__ import annotations

from dataclasses import dataclass
from os import PathLike
from pathlib import Path

from wallcalc.files import write_text
from wallcalc.given.parts import Access, GivenWall, HungItem, Joists, Opening, Room, Service
from wallcalc.given.wall_file import WALL_FILE, read_wall, text_to_save

__all__ = ["Access", "HungItem", "Joists", "Opening", "Room", "Service", "Wall"]


@dataclass(frozen=True, slots=True)
class Wall(GivenWall):
    """The wall to be filled.

    Attributes
    ----------
    name : str
        What people call it.
    length : int
        Clear length between the existing walls, 0.1 mm.
    heights : tuple of (int, int)
        Floor-to-ceiling height at distances from the left, 0.1 mm; one pair when it is the same all along.
    room_a, room_b : Room
        The rooms seen from sides A and B.
    openings, hung, services : tuple
        Doors and hatches, hung items, services.
    joists_above, joists_below : Joists
        What the plates are fixed to.
    finish : str
        "taped" (tapered edges, joints taped) or "skim" (square edges, skimmed).
    ceiling, floor, left_end, right_end : str
        What the wall meets, see the ``*_KINDS`` constants.
    floor_build_up : int
        Height that the finished floor will stand above the floor the wall is built on, 0.1 mm.
    skirting : int
        Height of the skirting, 0.1 mm (0: not known).
    access : Access
        The way in for the sheets.
    floor_levels : tuple of (int, int)
        Level of the floor above the level line that heights y are taken from, at distances from the left, 0.1 mm;
        empty where the floor is level.
    """

    @classmethod
    def load(cls, path: str | PathLike[str]) -> Wall:
        """Read a wall file (TOML).

        Parameters
        ----------
        path : path-like
            The wall file: UTF-8, with or without a byte order mark, with line ends of any system.

        Returns
        -------
        Wall

        Raises
        ------
        WallError
            With every problem of the file at once, or why there is no file to be read.
        """
        return read_wall(cls, WALL_FILE.content(path), str(path))

    @classmethod
    def loads(cls, text: str | bytes, where: str = "") -> Wall:
        """Read the content of a wall file.

        Parameters
        ----------
        text : str or bytes
            All that is in it.
        where : str
            What to call it in messages, usually its path.

        Returns
        -------
        Wall

        Raises
        ------
        WallError
            With every problem of the file at once.
        """
        return read_wall(cls, text, where)

    def save(self, path: str | PathLike[str], units: str = "m") -> Path:
        """Write the wall file (TOML); loading it again gives an equal wall.

        The comments of a file that stood there are lost.

        Parameters
        ----------
        path : path-like
            Where to write; replaced whole or not at all. Its folder must exist.
        units : str
            How lengths are written: "m" (m, and mm below 1 m), "mm" or "ft-in".

        Returns
        -------
        pathlib.Path
            The file written.

        Raises
        ------
        WallError
            When the wall is not one that could be loaded again; nothing is written then.
        FileHeldError
            When the file cannot be written, for instance because another program holds it open.
        """
        return write_text(path, text_to_save(self, units))
