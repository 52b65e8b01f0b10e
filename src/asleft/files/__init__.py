"""TOML to nouns and back: the canonical writer, the reader with line numbers.

Import from the modules: a command that reads one set loads no more than that takes.
"""
