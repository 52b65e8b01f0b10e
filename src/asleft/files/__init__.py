"""TOML to nouns and back: the canonical writer, the reader with line numbers."""

from asleft.files.assets import read_asset, write_asset
from asleft.files.sets import read_set, write_set
from asleft.files.site import Site, read_site, write_site
from asleft.files.toml import Document, parse
from asleft.files.value import did_you_mean, to_value

__all__ = [
    "Document",
    "Site",
    "did_you_mean",
    "parse",
    "read_asset",
    "read_set",
    "read_site",
    "to_value",
    "write_asset",
    "write_set",
    "write_site",
]
