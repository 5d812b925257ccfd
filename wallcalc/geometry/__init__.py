"""Rectangles, outlines and lines, exact, in integers of 0.1 mm. Knows nothing of walls."""
