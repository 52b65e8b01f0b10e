"""Functional tests: predicted and observed."""
