"""Timber behind the fixings of what hangs on the wall."""
