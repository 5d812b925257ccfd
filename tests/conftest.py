"""Makes the helpers that lie in this folder importable from every test module."""
