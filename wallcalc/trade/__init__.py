"""The rules of the trade and the prices: data with sources, read from files."""
