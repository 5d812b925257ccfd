"""Sheets cut into boards."""
