"""asleft keeps the as-left record of variable-frequency drives."""

__version__ = "0.1.0"
