"""TOML to nouns and back: the canonical writer, the reader with line numbers."""
