"""Step 4: how a bay is filled with slabs as the stud centres change, and what has to be cut. Lengths in 0.1 mm."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from wallcalc.buying.fill import fill_bays, slab_pieces
from wallcalc.cutting.slabs import cut_slabs
from wallcalc.geometry.profile import Profile
from wallcalc.lesson.slabs_picture import SlabsPicture, slabs_alt
from wallcalc.lesson.step import Guess, Knob, Shown
from wallcalc.lesson.trade import LEAST_CENTRES, MOST_CENTRES, SECTION, Trade, mm, stud_size
from wallcalc.records import Frame, Member, SlabPiece
from wallcalc.units.lengths import MM

HEIGHT = 24_000
"""Height of the bay that is filled, plates included."""
HOWS = {
    "friction": "held by friction, not cut to width",
    "cut": "cut to width from a wider slab",
    "pieced": "pieced from two or more widths",
}


def bay_frame(centres: int, height: int = HEIGHT, section: str = SECTION) -> Frame:
    """Return a frame of one bay: two studs at the centres between two plates."""
    stud, depth = stud_size(section)
    length = centres + stud
    plate = ("sole plate", "head plate")
    members = [
        Member(m, r, section, 0, y, length, stud, length, depth)
        for m, r, y in (("SP", plate[0], 0), ("HP", plate[1], height - stud))
    ]
    members += [
        Member(f"S{k}", "stud", section, x, stud, stud, height - 2 * stud, height - 2 * stud, depth)
        for k, x in enumerate((0, centres), 1)
    ]
    return Frame(Profile.level(length, height, stud), (), tuple(members), (), ())


@lru_cache(maxsize=4096)
def filled(using: Trade, product: str, centres: int) -> SlabPiece:
    """Return how the one bay at these centres (0.1 mm) is filled with a slab product."""
    frame = bay_frame(centres)
    slabs = using.prices.slabs(product, using.offers.sizes)
    return fill_bays(frame, slabs, using.prices.fill(product), using.rules, frame.members[0].depth)[0]


@lru_cache(maxsize=4096)
def left_over(using: Trade, product: str, centres: int) -> tuple[int, float]:
    """Return how many slabs the one bay takes, and the share of them that does not go into it."""
    bay = filled(using, product, centres)
    plan = cut_slabs(slab_pieces([bay]), using.prices.slabs(product, using.offers.sizes))
    bought = sum(use.length * use.width for use in plan.uses)  # type: ignore[union-attr]
    return len(plan.uses), max(0.0, 1 - bay.width * bay.height / bought)


def whole(using: Trade, product: str, piece: SlabPiece) -> int:
    """Return how many of a bay's pieces are slabs as bought."""
    sold = {(s.length, s.width) for s in using.prices.slabs(product, using.offers.sizes)}
    return sum((a, b) in sold or (b, a) in sold for a, b in piece.pieces)


class SlabsStep:
    """Slab fit.

    Parameters
    ----------
    using : Trade
        Rules and prices.
    """

    key, title = "slabs", "Does the slab fit the bay?"

    def __init__(self, using: Trade) -> None:
        self.using = using
        self.stud = stud_size()[0]
        fits = [f for f in using.offers.fills if using.prices.fill(f).thickness <= stud_size()[1]]
        self.product = fits[-1]
        usual = [round(c * MM) for c in using.offers.usual]
        self.asked = usual[1] if len(usual) > 1 else usual[0]
        self.clear = self.asked - self.stud
        self.widths = sorted({s.width for s in using.prices.slabs(self.product, using.offers.sizes)})
        frame_least = using.rules.tenths("fill.friction_least")
        frame_most = using.rules.tenths("fill.friction_most")
        self.over = (frame_least, frame_most)
        self.truth = next(
            (w for w in self.widths if frame_least <= w - self.clear <= frame_most),
            next((w for w in self.widths if w >= self.clear), self.widths[-1]),
        )
        self.guess = Guess(
            f"Studs {mm(self.stud)} thick stand at {mm(self.asked)} centres. The slab has to stay up by itself, a "
            "little "
            "wider than the gap. Which width do you buy?",
            choices=tuple((f"{mm(w)} wide", w) for w in self.widths),
        )
        self.knobs = (
            Knob("centres", "stud centres, mm", self.asked / MM, LEAST_CENTRES, MOST_CENTRES, 1.0),
            Knob("product", "slab", self.product, options=tuple((f, f) for f in fits)),
        )
        self._picture: SlabsPicture | None = None
        self._set = ""

    def compare(self, guess: Any) -> str:
        """Return the guess beside the width that fits."""
        right = "and that is the one" if guess == self.truth else f"but it is {mm(self.truth)}"
        return (
            f"You guessed {mm(guess)}, {right}: the gap between studs is not the centres but the centres less one "
            "stud, "
            f"{mm(self.clear)}, and the slab is to be {mm(self.over[0])} to {mm(self.over[1])} wider than that."
        )

    def show(self, values: dict[str, Any]) -> Shown:
        """Return the bay with its pieces of slab, and how it is filled at every setting."""
        product, centres = values["product"], round(values["centres"] * MM)
        bay = filled(self.using, product, centres)
        if self._picture is None:
            self._picture = SlabsPicture(self.stud, self.using.offers.usual, LEAST_CENTRES, MOST_CENTRES)
        if self._set != product:
            x = np.arange(LEAST_CENTRES, MOST_CENTRES + 1, 2.0)
            self._picture.set_sweep(x, [filled(self.using, product, round(c * MM)).how for c in x])
            self._set = product
        sold = {(s.length, s.width) for s in self.using.prices.slabs(product, self.using.offers.sizes)}
        alt = slabs_alt(bay, centres, HOWS[bay.how])
        return Shown(self._picture.show(bay, sold, centres, alt), self.words(bay, product, centres))

    def words(self, bay: SlabPiece, product: str, centres: int) -> str:
        """Return the finding in words."""
        sizes = ", ".join(f"{mm(b)} wide and {mm(a)} long" for a, b in dict.fromkeys(bay.pieces))
        kept = whole(self.using, product, bay)
        widths = sorted({s.width for s in self.using.prices.slabs(product, self.using.offers.sizes)})
        slabs, rest = left_over(self.using, product, centres)
        return (
            f"At {mm(centres)} centres the gap is {mm(bay.width)}: {HOWS[bay.how]}. {len(bay.pieces)} pieces, "
            f"{kept} of them as bought: {sizes}. They come out of {slabs} slabs, of which {rest:.0%} does not go "
            "into the bay. "
            f"Slabs of this product come {', '.join(mm(w) for w in widths)} wide."
        )
