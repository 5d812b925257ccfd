"""Pipes, cables and boxes: where they keep timber away, the holes they take, whether they have a place."""
