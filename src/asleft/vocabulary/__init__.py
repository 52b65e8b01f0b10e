"""The trade's parameters as data, and their loader."""
