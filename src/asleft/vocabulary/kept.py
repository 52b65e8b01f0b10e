"""Data files parsed once and kept beside them, as Python keeps compiled modules, for a quick cold start."""

from __future__ import annotations

import marshal
import sys
from collections.abc import Callable, Mapping
from importlib.util import source_hash
from pathlib import Path
from typing import Any

Shape = Callable[[Mapping[str, Any]], Any]


def kept(folder: Path, names: tuple[str, ...], shape: Shape = dict, form: int = 0) -> Any:
    """The TOML files of a folder by name, as plain values, or what ``shape`` makes of them.

    What is kept is found by the files' own hash and by ``form``, the number of the shape's own version.
    """
    sources = {name: (folder / f"{name}.toml").read_bytes() for name in names}
    digest = source_hash(b"\0".join(sources.values())).hex()
    tag = f"{sys.implementation.cache_tag}-{form}"
    place = folder / "__pycache__" / f"{names[0]}.{tag}.{digest}.bin"
    try:
        return marshal.loads(place.read_bytes())
    except (OSError, ValueError, EOFError, TypeError):
        return _parse_and_keep(sources, place, shape)


def _parse_and_keep(sources: Mapping[str, bytes], place: Path, shape: Shape) -> Any:
    import tomllib

    shaped = shape({name: tomllib.loads(text.decode("utf-8")) for name, text in sources.items()})
    try:
        place.parent.mkdir(exist_ok=True)
        fresh = place.with_suffix(f".{id(shaped)}.new")
        fresh.write_bytes(marshal.dumps(shaped))
        fresh.replace(place)
    except OSError:
        pass  # an installation nobody may write to parses each time
    return shaped
