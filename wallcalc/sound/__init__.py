"""Sound reduction of a single-row timber stud wall with boards fixed directly to the studs.

:func:`predict` gives third-octave bands with Rw, C, Ctr (ISO 717-1), STC (ASTM E413) and their uncertainty.
"""

from wallcalc.sound.composite import combined
from wallcalc.sound.prediction import DEFAULT, MODELS, predict, spectra
from wallcalc.sound.ratings import stc, weighted_reduction
from wallcalc.sound.records import BANDS, Absorber, Build, Leaf, Sound, Uncertainty, WithDoor

__all__ = [
    "BANDS",
    "DEFAULT",
    "MODELS",
    "Absorber",
    "Build",
    "Leaf",
    "Sound",
    "Uncertainty",
    "WithDoor",
    "combined",
    "predict",
    "spectra",
    "stc",
    "weighted_reduction",
]
