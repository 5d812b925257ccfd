"""The sizes that everything in a frame hangs on."""

from __future__ import annotations

from dataclasses import dataclass

from wallcalc.geometry.profile import Profile


@dataclass(frozen=True, slots=True)
class Skeleton:
    """Sizes that everything in the frame hangs on, 0.1 mm.

    ``head`` is the underside of the head plate; ``longest`` the longest piece that can be cut from the timber on
    sale; ``plate_places`` where joints of the head plate may fall (None: over any stud). Of an uneven wall ``height``
    is the highest and ``profile`` holds its lines, which ``head`` then does not follow.
    """

    length: int
    height: int
    section: str
    thickness: int
    depth: int
    packing: int
    longest: int
    plate_places: tuple[int, ...] | None = None
    profile: Profile | None = None

    @property
    def head(self) -> int:
        """Underside of the head plate, 0.1 mm."""
        return self.height - self.packing - self.thickness
