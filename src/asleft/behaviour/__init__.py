"""The drive as an executable model."""
