"""Single limp leaf: ISO 15186-3's values for a 10 kg/m2, 10 m2 panel (as transcribed in sound_checks.json), after
Sewell, J. Sound Vib. 12, 1970, 21-32.
"""

import json
from pathlib import Path

import numpy as np
import pytest

from wallcalc.sound import Leaf
from wallcalc.sound.leaf import mass_law
from wallcalc.sound.periodic import Bay, bay_transmission
from wallcalc.sound.records import BANDS, EXACT_BANDS

LIMP = json.loads((Path(__file__).parents[1] / "data" / "sound_checks.json").read_text("utf-8"))[
    "iso15186_3_limp"
]
EXACT = {f: e for f, e in zip(BANDS, EXACT_BANDS, strict=True) if f in LIMP["bands"]}


def limp_pair(a, b):
    """Two limp leaves 2 mm apart on studs of almost no mass: they can only move as one."""
    return Bay(
        Leaf(a, 12.5, hfc=300.0), Leaf(b, 12.5, hfc=300.0), 0.4, 0.002, None, lines=1e-9, area=LIMP["S"]
    )


def test_mass_law_gives_the_printed_values():
    assert mass_law(list(EXACT.values()), LIMP["m"], LIMP["S"]) == pytest.approx(
        LIMP["R"], abs=LIMP["max_dev_dB"]
    )


@pytest.mark.parametrize("masses", [(5.0, 5.0), (8.0, 2.0)])
def test_periodic_model_falls_back_on_the_limp_panel(masses):
    # Sewell leaves out the air's own load on the leaf, worth up to 0.5 dB at 50 Hz
    got = [-10.0 * np.log10(bay_transmission(limp_pair(*masses), f, 400)) for f in EXACT.values()]
    assert got == pytest.approx(LIMP["R"], abs=0.6)


def test_which_leaf_is_heavy_does_not_matter():
    for f in EXACT.values():
        one, two = (bay_transmission(limp_pair(*m), f, 400) for m in ((8.0, 2.0), (2.0, 8.0)))
        assert one == pytest.approx(two, rel=0.02)
