"""The site: what nearly every stage of frame and boards has to know of where it works."""

from __future__ import annotations

from dataclasses import dataclass

from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear
from wallcalc.site.frame_rules import FrameRules


@dataclass(frozen=True, slots=True)
class Site:
    """Lines, openings and timber that everything in the frame hangs on, and the rules in force. Lengths in 0.1 mm.

    Attributes
    ----------
    profile : Profile
        The lines of floor and ceiling, plates and linings.
    clears : tuple of Clear
        Structural openings, left to right.
    section : str
        Timber section, such as "38x89".
    thickness, depth : int
        Of the section: along the wall and through it.
    longest : int
        The longest piece that can be cut from the timber on sale.
    rules : FrameRules
        The rules in force.
    plate_places : tuple of int or None
        Where joints of the head plate may fall; None: over any stud.
    """

    profile: Profile
    clears: tuple[Clear, ...]
    section: str
    thickness: int
    depth: int
    longest: int
    rules: FrameRules
    plate_places: tuple[int, ...] | None = None

    @property
    def length(self) -> int:
        """Length of the wall, 0.1 mm."""
        return self.profile.length

    @property
    def height(self) -> int:
        """Highest level of the ceiling, 0.1 mm."""
        return self.profile.highest

    @property
    def head(self) -> int:
        """Underside of the head plate where the ceiling is highest and level, 0.1 mm."""
        return self.height - self.rules.head_packing - self.thickness

    @property
    def bearing(self) -> int:
        """How far door heads reach over the timber beside an opening, 0.1 mm."""
        return self.thickness if self.rules.jamb == "king and trimmer" else 0
