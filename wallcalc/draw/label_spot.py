"""Where a board's mark is best written: well inside its outline."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache


@lru_cache(maxsize=2048)
def calm_spot(outline: Sequence[tuple[float, float]]) -> tuple[float, float, float]:
    """Return a point well inside the outline and its clear distance to the edges (coarse grid search)."""
    xs, ys = [p[0] for p in outline], [p[1] for p in outline]
    x0, x1, y0, y1 = min(xs), max(xs), min(ys), max(ys)
    edges = list(zip(outline, [*outline[1:], outline[0]], strict=True))
    if len(outline) == 4:
        return (x0 + x1) / 2, y0 + 0.585 * (y1 - y0), min(x1 - x0, y1 - y0) / 2
    best = ((x0 + x1) / 2, (y0 + y1) / 2, -1.0)
    for i in range(1, 12):
        for j in range(1, 12):
            x, y = x0 + (x1 - x0) * i / 12, y0 + (y1 - y0) * j / 12
            if not _inside(x, y, edges):
                continue
            near = min(_distance(x, y, a, b) for a, b in edges)
            if near > best[2] + 1e-6:
                best = (x, y, near)
    return best


def _inside(x: float, y: float, edges: Sequence) -> bool:
    crossings = 0
    for (xa, ya), (xb, yb) in edges:
        if (ya > y) != (yb > y) and x < xa + (y - ya) / (yb - ya) * (xb - xa):
            crossings += 1
    return crossings % 2 == 1


def _distance(x: float, y: float, a: tuple[float, float], b: tuple[float, float]) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    long2 = dx * dx + dy * dy
    t = 0.0 if long2 == 0 else max(0.0, min(1.0, ((x - a[0]) * dx + (y - a[1]) * dy) / long2))
    return ((x - a[0] - t * dx) ** 2 + (y - a[1] - t * dy) ** 2) ** 0.5
