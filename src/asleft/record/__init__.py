"""The nouns: parameter sets, readings, assets, changes, findings. Frozen and pure."""
