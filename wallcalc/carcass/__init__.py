"""Frame and boards put together, with marks and what backs each joint."""
