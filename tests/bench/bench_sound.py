"""Speed of the sound models; run as a script."""

import time

import numpy as np

from wallcalc.sound import Absorber, Build, Leaf, predict, spectra
from wallcalc.sound.closed_form import Inputs
from wallcalc.sound.closed_form import spectra as closed_spectra


def walls(count: int) -> list[Build]:
    rng = np.random.default_rng(1)
    found = []
    for _ in range(count):
        centres = rng.uniform(300.0, 600.0)
        studs = (19.0, *np.arange(centres, 3700.0, centres).tolist(), 3821.0)
        leaf = Leaf(rng.uniform(7.0, 13.0), rng.choice([12.5, 15.0]), int(rng.integers(1, 3)))
        fill = Absorber(rng.choice([25.0, 50.0, 89.0]), 15.0, 8000.0) if rng.random() < 0.7 else None
        found.append(Build(leaf, leaf, 89.0, 38.0, studs, 3840.0, 2620.0, fill))
    return found


def main() -> None:
    predict(walls(1)[0])
    many = walls(240)
    start = time.perf_counter()
    for wall in many:
        predict(wall, doors=((1.7, 25.0),))
    each = (time.perf_counter() - start) / len(many)
    print(f"default model, one at a time with a door: {each * 1e3:.2f} ms a wall, {each * 240:.2f} s for 240")
    start = time.perf_counter()
    spectra(many)
    print(f"default model, 240 together: {(time.perf_counter() - start) / 240 * 1e3:.2f} ms a wall")
    n = 20_000
    rng = np.random.default_rng(2)
    low = np.array([5.0, 2400.0, 5.0, 2400.0, 0.05, 0.1, 0.3, 5.0])
    given = Inputs(*(low[:, None] * (1.0 + rng.random((8, n)))))
    start = time.perf_counter()
    closed_spectra(given)
    print(f"closed form: {n / (time.perf_counter() - start):,.0f} spectra a second")
    start = time.perf_counter()
    predict(many[0], "periodic direct")
    print(f"direct model: {time.perf_counter() - start:.2f} s for one wall of {len(many[0].stud_x) - 1} bays")


if __name__ == "__main__":
    main()
