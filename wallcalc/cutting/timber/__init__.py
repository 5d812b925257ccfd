"""Lengths of timber cut into pieces."""
