"""How far a prediction may be off: from its errors on measured walls and from laboratories' own scatter.

The numbers below are recomputed from ``data/measured_sound.csv`` by ``tests/validation/test_measured_walls.py``,
which fails when they no longer agree.
"""

from __future__ import annotations

import numpy as np

from wallcalc.sound.records import BANDS, Uncertainty

LABORATORY_RW = 1.2
"""Standard uncertainty of Rw between laboratories, dB (ISO 12999-1, situation A)."""
LABORATORY_BANDS = {100.0: 3.0, 125.0: 2.7, 160.0: 2.4}
"""Standard uncertainty per band between laboratories, dB (ISO 12999-1); other bands :data:`LABORATORY_REST`."""
LABORATORY_REST = 1.8

BAND_ERROR = {"periodic": 2.7, "periodic direct": 2.9, "closed form": 8.0}
"""Rms error, dB, from 100 to 4000 Hz on the one laboratory wall whose spectrum and construction are published
(IRC-IR-761, TL-93-176), which includes that laboratory's own scatter."""
RW_ERROR = {"periodic": 1.7, "periodic direct": 1.7, "closed form": 2.0}
"""Rms error of Rw, dB, on the rows that state an Rw; three rows are too few to claim less than 2 for the closed form,
whose STC is worse."""
STC_ERROR = {"periodic": 3.1, "periodic direct": 3.1, "closed form": 3.5}
"""Rms error of STC, dB, on the rows seen in text, unstated stud spacing taken as 406 mm."""
SOURCE = (
    "rms errors of the model on the measured rows of data/measured_sound.csv, with the between-laboratory scatter "
    "of ISO 12999-1 added where the rows do not already hold it; at wide centres also what STC goes beyond guidance"
)


def of_model(model: str, fit_error: np.ndarray | None = None, wide: float = 0.0) -> Uncertainty:
    """Return a model's standard uncertainty.

    Parameters
    ----------
    model : str
        One of :data:`wallcalc.sound.MODELS`.
    fit_error : numpy.ndarray or None
        Error of the fitted function per band, dB, where one stands in for the model.
    wide : float
        What wide centres add to the doubt of STC, dB (:func:`wallcalc.sound.wide_centres.doubt`).

    Returns
    -------
    Uncertainty
        Per band (never under the laboratories' own scatter), of Rw and of STC, dB.
    """
    fit = np.zeros(len(BANDS)) if fit_error is None else np.asarray(fit_error, dtype=float)
    laboratory = np.array([LABORATORY_BANDS.get(b, LABORATORY_REST) for b in BANDS])
    bands = np.maximum(laboratory, np.hypot(BAND_ERROR[model], fit))
    return Uncertainty(
        tuple(np.round(bands, 1).tolist()),
        round(float(np.hypot(RW_ERROR[model], LABORATORY_RW)), 1),
        round(float(np.linalg.norm([STC_ERROR[model], LABORATORY_RW, wide])), 1),
        SOURCE,
    )
