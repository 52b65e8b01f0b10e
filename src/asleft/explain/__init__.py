"""Changes in plain words, from phrase data and computed facts."""
