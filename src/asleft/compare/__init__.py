"""Typed changes between two sets: within the display step, by meaning."""
