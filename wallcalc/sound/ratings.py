"""Single numbers from third-octave bands: ISO 717-1 (Rw, C, Ctr) and ASTM E413 (STC).

Every function takes one spectrum or many (last axis is the band). The largest shift of a reference curve
whose shortfalls sum to at most a limit follows without search: with the differences d sorted upwards and
their running sums S_k: ``sum(max(0, s - d)) <= limit`` exactly when ``s <= (limit + S_k) / k`` for all k.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

ISO_BANDS = (100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150)
STC_BANDS = (125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000)
WIDE_BANDS = (50, 63, 80, *ISO_BANDS, 4000, 5000)

ISO_CURVE = np.array([33, 36, 39, 42, 45, 48, 51, 52, 53, 54, 55, 56, 56, 56, 56, 56])
"""Reference curve for airborne sound, dB (ISO 717-1, Table 3, third-octave bands)."""
STC_CONTOUR = np.array([-16, -13, -10, -7, -4, -1, 0, 1, 2, 3, 4, 4, 4, 4, 4, 4])
"""Reference contour relative to its value at 500 Hz, dB (ASTM E413)."""

_PINK = (-29, -26, -23, -21, -19, -17, -15, -13, -12, -11, -10, -9, -9, -9, -9, -9)
_PINK_50 = (-40, -36, -33, -29, -26, -23, -21, -19, -17, -15, -13, -12, -11, -10, -9, -9, -9, -9, -9)
_PINK_5000 = (-30, -27, -24, -22, -20, -18, -16, -14, -13, -12, -11, *[-10] * 7)
_PINK_WIDE = (-41, -37, -34, -30, -27, -24, -22, -20, -18, -16, -14, -13, -12, -11, *[-10] * 7)
_TRAFFIC = (-20, -20, -18, -16, -15, -14, -13, -12, -11, -9, -8, -9, -10, -11, -13, -15)
_TRAFFIC_WIDE = (-25, -23, -21, *_TRAFFIC, -16, -18)
SPECTRA = {
    "100-3150": (_PINK, _TRAFFIC),
    "50-3150": (_PINK_50, _TRAFFIC_WIDE[:19]),
    "100-5000": (_PINK_5000, _TRAFFIC_WIDE[3:]),
    "50-5000": (_PINK_WIDE, _TRAFFIC_WIDE),
}
"""Spectra for C and Ctr by frequency range, dB, A-weighted (ISO 717-1, Table 4 and Annex B).

The traffic spectrum of the wider ranges is written here unnormalised to the range, as the standard prints it.
"""
SUM_LIMIT = 32
SINGLE_LIMIT = 8


class Weighted(NamedTuple):
    """Rw, C and Ctr, dB; integers, or multiples of 0.1 for the one-tenth version."""

    Rw: float
    C: float
    Ctr: float


def _tenths(R: ArrayLike, bands: int) -> NDArray[np.int64]:
    values = np.asarray(R, dtype=float)
    if values.shape[-1:] != (bands,):
        raise ValueError(f"R: found {values.shape[-1:] or 'no'} bands; give {bands}")
    if not np.all(np.isfinite(values)):
        raise ValueError("R: found a value that is not a finite number")
    return np.floor(values * 10.0 + 0.5 + 1e-9).astype(np.int64)


def _largest_shift(differences: NDArray[np.int64], limit: int) -> NDArray[np.int64]:
    ordered = np.sort(differences, axis=-1)
    count = np.arange(1, ordered.shape[-1] + 1)
    return np.min((limit + np.cumsum(ordered, axis=-1)) // count, axis=-1)


def _iso_part(R: ArrayLike) -> NDArray[np.int64]:
    values = np.asarray(R, dtype=float)
    if values.shape[-1:] == (len(WIDE_BANDS),):
        values = values[..., 3:19]
    return _tenths(values, len(ISO_BANDS))


def rw(R: ArrayLike, *, tenths: bool = False) -> NDArray[np.float64]:
    """Return the weighted sound reduction index Rw.

    Parameters
    ----------
    R : array_like
        Sound reduction index in the 16 bands 100-3150 Hz, or the 21 bands 50-5000 Hz, dB; last axis the band.
    tenths : bool
        Shift the curve in steps of 0.1 dB, the version for expressing uncertainty.

    Returns
    -------
    numpy.ndarray
        Rw, dB.

    Raises
    ------
    ValueError
        For another number of bands or a value that is not finite.

    References
    ----------
    ISO 717-1:2013, clause 4.4 (R rounded to 0.1 dB; sum of unfavourable deviations at most 32.0 dB).
    """
    shift = _largest_shift(_iso_part(R) - 10 * ISO_CURVE, 10 * SUM_LIMIT)
    return 52.0 + (shift / 10.0 if tenths else np.floor_divide(shift, 10) * 1.0)


def spectrum_sum(R: ArrayLike, which: str = "C", bands: str = "100-3150") -> NDArray[np.float64]:
    """Return X_A: the A-weighted level difference for one of the standard spectra.

    Parameters
    ----------
    R : array_like
        Sound reduction index in the bands of the range, dB.
    which : str
        "C" (pink noise) or "Ctr" (traffic).
    bands : str
        A key of :data:`SPECTRA`.

    Returns
    -------
    numpy.ndarray
        X_A, dB, not rounded.

    Raises
    ------
    ValueError
        For another number of bands.

    References
    ----------
    ISO 717-1:2013, clause 4.5.
    """
    spectrum = np.array(SPECTRA[bands][("C", "Ctr").index(which)], dtype=float)
    values = _tenths(R, len(spectrum)) / 10.0
    return -10.0 * np.log10(np.sum(10.0 ** ((spectrum - values) / 10.0), axis=-1))


def _near(x: NDArray[np.float64], step: float = 1.0) -> NDArray[np.float64]:
    return np.floor(x / step + 0.5 + 1e-9) * step


def weighted_reduction(R: ArrayLike, *, bands: str | None = None, tenths: bool = False) -> Weighted:
    """Return Rw with its spectrum adaptation terms C and Ctr.

    Parameters
    ----------
    R : array_like
        Sound reduction index, dB, in 16 bands (100-3150 Hz) or 21 bands (50-5000 Hz); last axis the band.
    bands : str or None
        Range for C and Ctr, a key of :data:`SPECTRA`; None: 100-3150 Hz. A wider range needs 21 bands.
    tenths : bool
        One-tenth version, for expressing uncertainty.

    Returns
    -------
    Weighted
        ``Rw, C, Ctr``: integers (or floats in steps of 0.1) for one spectrum, arrays for many.

    Raises
    ------
    ValueError
        For another number of bands, or an unknown range.

    Examples
    --------
    >>> weighted_reduction([20.4, 16.3, 17.7, 22.6, 22.4, 22.7, 24.8, 26.6,
    ...                     28.0, 30.5, 31.8, 32.5, 33.4, 33.0, 31.0, 25.5])
    Weighted(Rw=30, C=-2, Ctr=-3)

    References
    ----------
    ISO 717-1:2013, clauses 4.4, 4.5 and Annex B.
    """
    span = bands or "100-3150"
    if span not in SPECTRA:
        raise ValueError(f"bands: found {bands!r}; give one of {', '.join(SPECTRA)}")
    values = np.asarray(R, dtype=float)
    single = rw(values, tenths=tenths)
    if values.shape[-1] == len(WIDE_BANDS):
        low, high = 0 if span.startswith("50") else 3, 21 if span.endswith("5000") else 19
        values = values[..., low:high]
    step = 0.1 if tenths else 1.0
    terms = [_near(spectrum_sum(values, which, span), step) - single for which in ("C", "Ctr")]
    if values.ndim > 1:
        return Weighted(single, *terms)
    if tenths:
        return Weighted(*(round(float(v), 1) for v in (single, *terms)))
    return Weighted(*(round(float(v)) for v in (single, *terms)))


def shortfalls(R: ArrayLike) -> NDArray[np.float64]:
    """Return how far each band of 100-3150 Hz lies under the shifted reference curve, dB.

    Parameters
    ----------
    R : array_like
        Sound reduction index, dB, 16 or 21 bands.

    Returns
    -------
    numpy.ndarray
        Unfavourable deviations in the 16 bands, dB.

    References
    ----------
    ISO 717-1:2013, clause 4.4.
    """
    values = _iso_part(R) / 10.0
    curve = ISO_CURVE + np.asarray(rw(R))[..., None] - 52.0
    return np.maximum(0.0, np.round(curve - values, 1))


def _stc_part(TL: ArrayLike) -> NDArray[np.int64]:
    values = np.asarray(TL, dtype=float)
    if values.shape[-1:] == (len(WIDE_BANDS),):
        values = values[..., 4:20]
    if values.shape[-1:] != (len(STC_BANDS),):
        raise ValueError(
            f"TL: found {values.shape[-1:] or 'no'} bands; give 16 (125-4000 Hz) or 21 (50-5000 Hz)"
        )
    if not np.all(np.isfinite(values)):
        raise ValueError("TL: found a value that is not a finite number")
    return np.floor(values + 0.5 + 1e-9).astype(np.int64)


def stc(TL: ArrayLike) -> NDArray[np.int64] | int:
    """Return the sound transmission class.

    Parameters
    ----------
    TL : array_like
        Transmission loss, dB, in the 16 bands 125-4000 Hz, or the 21 bands 50-5000 Hz; last axis the band.

    Returns
    -------
    int or numpy.ndarray of int
        STC, dB.

    Raises
    ------
    ValueError
        For another number of bands or a value that is not finite.

    Examples
    --------
    >>> stc([12.5, 11.4, 22.6, 32.7, 36.7, 42.0, 44.2, 48.4, 53.4, 56.1, 57.3, 57.4, 55.4, 45.5, 43.0, 47.4])
    32

    References
    ----------
    ASTM E413: TL rounded to 1 dB, shortfalls sum to at most 32 dB, none over 8 dB.
    """
    difference = _stc_part(TL) - STC_CONTOUR
    by_sum = _largest_shift(difference, SUM_LIMIT)
    by_band = np.min(difference, axis=-1) + SINGLE_LIMIT
    result = np.minimum(by_sum, by_band)
    return int(result) if result.ndim == 0 else result


def stc_shortfalls(TL: ArrayLike) -> NDArray[np.int64]:
    """Return how far each band of 125-4000 Hz lies under the contour of ASTM E413, dB.

    Parameters
    ----------
    TL : array_like
        Transmission loss, dB, 16 or 21 bands.

    Returns
    -------
    numpy.ndarray
        Deficiencies in the 16 bands, dB.

    References
    ----------
    ASTM E413.
    """
    return np.maximum(0, STC_CONTOUR + np.asarray(stc(TL))[..., None] - _stc_part(TL))
