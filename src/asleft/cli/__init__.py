"""The commands, their options and exit codes. No decisions."""
