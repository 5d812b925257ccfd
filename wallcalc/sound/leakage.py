"""What an open gap round the edge does to a wall, and why a house does not reach the laboratory's figure."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wallcalc.sound.composite import combined
from wallcalc.sound.leaf import SOUND_SPEED
from wallcalc.sound.records import EXACT_BANDS

FIELD_MARGIN = (3.0, 5.0)
"""How far a wall in a building commonly stays below its laboratory Rw, dB, by flanking and workmanship (common
practice, no single source; EN 12354-1 computes it for a given building, with a standard deviation of about 2 dB)."""
MARGIN_SOURCE = (
    "from laboratory to house: common practice, no source; EN 12354-1 computes it for a given building"
)
SLIT_SOURCE = (
    "slit: Gomperts and Kihlman, Acustica 18, 1967, as in Hopkins, Sound Insulation, 2007 (from memory)"
)
SHOWN_GAP = 3.0
"""Open width of the gap that is shown as an example, mm."""

FIELD_CAUTION = (
    "A laboratory figure: no sound goes round the wall there. In a house sound also passes by floor, ceiling, side "
    "walls, sockets and gaps, and the result is commonly 3 to 5 dB lower, more where the perimeter is not sealed."
)


def slit_reduction(
    frequency: ArrayLike, width: float, depth: float, *, in_corner: bool = True
) -> NDArray[np.float64]:
    """Return the sound reduction index of a long open slit in a diffuse field.

    Parameters
    ----------
    frequency : array_like
        Hz.
    width : float
        Width of the slit, mm.
    depth : float
        Depth of the slit along the sound's way, mm.
    in_corner : bool
        Whether the slit lies where the wall meets another surface (floor, ceiling, side wall).

    Returns
    -------
    numpy.ndarray
        R of the slit's own area, dB (negative where it resonates).

    Raises
    ------
    ValueError
        When width or depth is not positive.

    Notes
    -----
    Without friction in the slit: for widths under about 1 mm the true value is higher. Stated for widths well
    under the wavelength.

    References
    ----------
    Gomperts & Kihlman, Acustica 18, 1967, 144-150, as given in Hopkins, Sound Insulation (2007), section 4.3.10
    (from memory; the middle-of-wall form is rederived in the tests).
    """
    if not (width > 0.0 and depth > 0.0):
        raise ValueError(f"slit: found width {width:g}, depth {depth:g} mm; give both above 0")
    f = np.asarray(frequency, dtype=float)
    K = 2.0 * np.pi * f / SOUND_SPEED * width * 1e-3
    X = depth / width
    n = 0.5 if in_corner else 1.0
    m = 8.0  # diffuse incidence; 4 at normal incidence
    end = (np.log(8.0 / K) - 0.57722) / np.pi
    cosine = np.cos(K * end) ** 2
    resonance = np.sin(K * X + 2.0 * K * end) ** 2 / cosine
    radiation = K**2 / (2.0 * n**4) * (1.0 + np.cos(K * X) * np.cos(K * X + 2.0 * K * end))
    return -10.0 * np.log10(m * K * cosine / (2.0 * n**2 * (resonance + radiation)))


def with_gap(R: ArrayLike, length: float, height: float, gap: float, depth: float) -> NDArray[np.float64]:
    """Return a wall's sound reduction with an open gap along one of its long edges.

    Parameters
    ----------
    R : array_like
        The wall's sound reduction index in the 21 bands 50-5000 Hz, dB.
    length, height : float
        Size of the wall, mm; the gap runs along ``length``.
    gap : float
        Open width, mm.
    depth : float
        Depth of the gap, mm (both linings and the plate).

    Returns
    -------
    numpy.ndarray
        R of the whole, dB.

    References
    ----------
    :func:`slit_reduction`, :func:`wallcalc.sound.composite.combined`.
    """
    slit = slit_reduction(EXACT_BANDS, gap, depth)
    return combined([R, slit], [length * (height - gap), length * gap])
