"""Hung items (stub)."""
