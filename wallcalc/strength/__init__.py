"""Strength of timber members and screws: pure functions of plain numbers in mm, N, N/mm2."""
