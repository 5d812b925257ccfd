"""Compute bays with the periodic model and fit the function that the default model evaluates.

``python -m wallcalc.sound.make_table bays BAYS.npz 4000`` adds bays to a file (about a second each; may be
stopped and started again); ``python -m wallcalc.sound.make_table fit BAYS.npz data/sound_table.json`` fits.
"""

from __future__ import annotations

import itertools
import sys
import time
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from wallcalc.sound.bays import row_of
from wallcalc.sound.periodic import Bay, bay_spectrum
from wallcalc.sound.records import Absorber, Leaf
from wallcalc.sound.surrogate import Fitted, evaluate, features, pack

POINTS = 160
"""Points of the average for one bay: its own error is random from bay to bay and averages out in the fit."""
HELD_OUT = 0.1
"""Share of the bays kept out of the fit to judge it."""
WIDTHS = (96, 96, 96)
EPOCHS = 1200
BATCH = 2048


def random_bay(rng: np.random.Generator) -> tuple[Bay, list[float]]:
    """Return a random bay and its row (columns of :data:`wallcalc.sound.surrogate.COLUMNS`).

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of randomness.

    Returns
    -------
    Bay, list of float
        The bay and its row.
    """

    def leaf() -> Leaf:
        thickness = rng.uniform(9.0, 16.5)
        return Leaf(thickness * rng.uniform(0.61, 0.91), thickness, 1 if rng.random() < 0.6 else 2)

    a = leaf()
    b = a if rng.random() < 0.4 else leaf()
    spacing = (
        rng.uniform(0.25, 0.65) if rng.random() < 0.7 else np.exp(rng.uniform(np.log(0.13), np.log(0.85)))
    )
    depth = rng.choice([0.063, 0.089, 0.140]) if rng.random() < 0.5 else rng.uniform(0.038, 0.150)
    kind = rng.random()
    share = 0.0 if kind < 0.3 else 1.0 if kind < 0.6 else rng.uniform(0.15, 0.94)
    fill = None
    if share > 0.0:
        sigma = np.exp(rng.uniform(np.log(3000.0), np.log(40000.0)))
        fill = Absorber(share * depth * 1e3, rng.uniform(8.0, 60.0), sigma)
    screws = 0.3 if rng.random() < 0.3 else np.exp(rng.uniform(np.log(0.15), np.log(0.5)))
    lines = 1.0 if rng.random() < 0.7 else rng.uniform(1.0, 2.0)
    area = np.exp(rng.uniform(np.log(2.0), np.log(30.0)))
    bay = Bay(a, b, float(spacing), float(depth), fill, float(screws), 0.038, float(lines), float(area))
    return bay, row_of(bay)


def add_bays(path: Path, count: int, seed: int = 1) -> None:
    """Compute bays and add them to a file, saving every 50.

    Parameters
    ----------
    path : pathlib.Path
        The ``.npz`` file, made if missing.
    count : int
        How many bays it shall hold in the end.
    seed : int
        Bay number ``i`` is drawn from ``(seed, i)``, so the file does not depend on stops.
    """
    rows: list[list[float]] = []
    answers: list[NDArray[np.float64]] = []
    if path.exists():
        with np.load(path) as stored:
            rows, answers = stored["rows"].tolist(), list(stored["answers"])
    start = time.monotonic()
    for i in range(len(rows), count):
        rng = np.random.default_rng((seed, i))
        bay, row = random_bay(rng)
        rows.append(row)
        answers.append(-10.0 * np.log10(bay_spectrum(bay, POINTS, rng.random(5))))
        if i % 50 == 49 or i + 1 == count:
            np.savez(path, rows=np.array(rows), answers=np.array(answers))
            print(i + 1, f"{time.monotonic() - start:.0f} s", flush=True)


def fit(
    rows: NDArray[np.float64],
    answers: NDArray[np.float64],
    *,
    widths: tuple[int, ...] = WIDTHS,
    epochs: int = EPOCHS,
    decay: float = 0.05,
    seed: int = 5,
) -> Fitted:
    """Fit the function by least squares (Adam, cosine step size, weight decay).

    Parameters
    ----------
    rows, answers : numpy.ndarray
        Bays and their R, dB.
    widths : tuple of int
        Units of the hidden layers.
    epochs : int
        Passes over the bays.
    decay : float
        Weight decay, relative to the step size.
    seed : int
        For the starting weights, the order of the bays and which are held out.

    Returns
    -------
    Fitted
        With ``error``: rms over the held-out bays per band, dB, their own averaging error included.
    """
    rng = np.random.default_rng(seed)
    order = rng.permutation(len(rows))
    held, used = np.split(order, [int(HELD_OUT * len(rows))])
    x = features(rows[used])
    count = x.shape[-1]
    x = x.reshape(-1, count)
    centre, scale = x.mean(0), x.std(0) + 1e-9
    middle, spread = float(answers[used].mean()), float(answers[used].std())
    x = ((x - centre) / scale).astype(np.float32)
    y = ((answers[used].reshape(-1, 1) - middle) / spread).astype(np.float32)
    weights = _descend(x, y, (count, *widths, 1), epochs, decay, rng)
    layers = tuple(
        (weights[j].astype(float), weights[j + 1].astype(float)) for j in range(0, len(weights), 2)
    )
    fitted = Fitted(centre, scale, layers, (middle, spread), np.zeros(answers.shape[1]))
    error = np.sqrt(np.mean((evaluate(fitted, rows[held]) - answers[held]) ** 2, axis=0))
    return fitted._replace(error=error)


def _descend(
    x: NDArray[np.float32],
    y: NDArray[np.float32],
    sizes: tuple[int, ...],
    epochs: int,
    decay: float,
    rng: np.random.Generator,
) -> list[NDArray[np.float32]]:
    weights: list[NDArray[np.float32]] = []
    for n, m in itertools.pairwise(sizes):
        weights += [rng.normal(0.0, 1.0 / np.sqrt(n), (n, m)).astype(np.float32), np.zeros(m, np.float32)]
    first = [np.zeros_like(p) for p in weights]
    second = [np.zeros_like(p) for p in weights]
    total, step = epochs * -(-len(x) // BATCH), 0
    for _ in range(epochs):
        shuffled = rng.permutation(len(x))
        for at in range(0, len(x), BATCH):
            chosen = shuffled[at : at + BATCH]
            step += 1
            rate = 1.5e-3 * (1.0 + np.cos(np.pi * step / total)) + 1e-6
            for j, slope in enumerate(_slopes(weights, x[chosen], y[chosen])):
                first[j] = 0.9 * first[j] + 0.1 * slope
                second[j] = 0.999 * second[j] + 0.001 * slope**2
                move = first[j] / (1 - 0.9**step) / (np.sqrt(second[j] / (1 - 0.999**step)) + 1e-8)
                weights[j] -= rate * (move + (decay * weights[j] if j % 2 == 0 else 0.0))
    return weights


def _slopes(
    weights: list[NDArray[np.float32]], x: NDArray[np.float32], y: NDArray[np.float32]
) -> list[NDArray[np.float32]]:
    states = [x]
    for j in range(0, len(weights), 2):
        z = states[-1] @ weights[j] + weights[j + 1]
        states.append(np.tanh(z) if j + 2 < len(weights) else z)
    back = (states[-1] - y) / len(x)
    slopes: list[NDArray[np.float32]] = []
    for j in range(len(weights) - 2, -1, -2):
        state = states[j // 2]
        slopes = [state.T @ back, back.sum(0), *slopes]
        if j:
            back = (back @ weights[j].T) * (1.0 - state**2)
    return slopes


def main(arguments: list[str]) -> None:
    """Run from the command line; see the module's text."""
    task, source, last = arguments
    if task == "bays":
        add_bays(Path(source), int(last))
    else:
        with np.load(source) as stored:
            fitted = fit(stored["rows"], stored["answers"])
        Path(last).write_text(pack(fitted) + "\n", "utf-8")
        print("rms error on held-out bays, dB:", np.round(fitted.error, 2).tolist())


if __name__ == "__main__":
    main(sys.argv[1:])
