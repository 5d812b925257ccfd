"""The one way in: :func:`predict` a wall's sound reduction by a named model."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from wallcalc.sound import closed_form, uncertainty, wide_centres
from wallcalc.sound.bays import direct_spectrum, fitted_spectra, mean_bay, outside
from wallcalc.sound.composite import combined, curve_of_rating, needed_rating
from wallcalc.sound.periodic import POINTS
from wallcalc.sound.ratings import shortfalls, stc, stc_shortfalls, weighted_reduction
from wallcalc.sound.records import BANDS, Build, Sound, WithDoor
from wallcalc.sound.surrogate import shipped

MODELS = ("periodic", "periodic direct", "closed form")
"""Names of the models. "periodic" is the accurate model read from its fitted function (well under a millisecond a
wall), "periodic direct" computes every bay (about half a second a bay), "closed form" is for very large sweeps and
knows nothing of the dip near 125 Hz."""
DEFAULT = MODELS[0]


def spectra(builds: Sequence[Build], model: str = DEFAULT) -> NDArray[np.float64]:
    """Return the sound reduction index of many walls in the 21 bands 50-5000 Hz.

    Parameters
    ----------
    builds : sequence of Build
        The walls.
    model : str
        One of :data:`MODELS`.

    Returns
    -------
    numpy.ndarray
        R, dB, shape (walls, 21).

    Raises
    ------
    ValueError
        For an unknown model.
    """
    if model not in MODELS:
        raise ValueError(f"model: found {model!r}; give one of {', '.join(repr(m) for m in MODELS)}")
    if not builds:
        return np.empty((0, len(BANDS)))
    if model == "closed form":
        return closed_form.spectra(closed_form.inputs(builds))
    if model == "periodic direct":
        return np.array([direct_spectrum(b, POINTS) for b in builds])
    return fitted_spectra(builds, shipped())


def predict(build: Build, model: str = DEFAULT, doors: Sequence[tuple[float, float]] = ()) -> Sound:
    """Predict what a laboratory would measure of a wall.

    Parameters
    ----------
    build : Build
        The wall.
    model : str
        One of :data:`MODELS`.
    doors : sequence of (float, float)
        Area (m2) and rating (Rw, dB) of each opening's infill.

    Returns
    -------
    Sound
        R per band, single numbers, shortfalls and uncertainty.

    Raises
    ------
    ValueError
        For an unknown model, or doors larger than the wall.
    """
    R = spectra([build], model)[0]
    rated = weighted_reduction(R)
    whole_range = weighted_reduction(R, bands="50-5000")
    promised = stc(R)
    credited = promised
    if wide_centres.is_wide(mean_bay(build)):
        credited = min(promised, _stc_at_usual_centres(wide_centres.usual(build), model) + wide_centres.GAIN)
    short = np.zeros(len(BANDS))
    short[3:19] = shortfalls(R)
    stc_short = np.zeros(len(BANDS))
    stc_short[4:20] = stc_shortfalls(R)
    fit = shipped().error if model == "periodic" else None
    doubt = uncertainty.of_model(model, fit, wide_centres.doubt(promised, credited))
    notes = outside(build, model)
    if credited < promised:
        notes += (wide_centres.note(promised, credited),)
    return Sound(
        BANDS, tuple(R.tolist()), rated.Rw, rated.C, rated.Ctr, promised, doubt, model,
        tuple(short.tolist()), tuple(stc_short.tolist()), _with_doors(R, build.area, doors), notes,
        whole_range.C, whole_range.Ctr, credited,
    )  # fmt: skip


@lru_cache(maxsize=1024)
def _stc_at_usual_centres(build: Build, model: str) -> int:
    return int(stc(spectra([build], model)[0]))


def _with_doors(R: NDArray[np.float64], area: float, doors: Sequence[tuple[float, float]]) -> WithDoor | None:
    if not doors:
        return None
    infill = sum(s for s, _ in doors)
    if not 0 < infill < area:
        raise ValueError(f"doors: found {infill:g} m2 in a wall of {area:g} m2; give less than the wall")
    whole = combined([R, *(curve_of_rating(r) for _, r in doors)], [area - infill, *(s for s, _ in doors)])
    rated = weighted_reduction(whole)
    mean = float(-10.0 * np.log10(sum(s * 10.0 ** (-0.1 * r) for s, r in doors) / infill))
    return WithDoor(
        tuple(whole.tolist()), rated.Rw, rated.C, rated.Ctr, stc(whole), infill, round(mean, 1),
        needed_rating(R, area - infill, infill),
    )  # fmt: skip
