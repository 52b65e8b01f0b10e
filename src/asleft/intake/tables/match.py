"""Which parameter of a model a cell names."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import TypeAlias

Finder: TypeAlias = Callable[[str], str | None]


def finder(ids: Iterable[str]) -> Finder:
    """The id a text names: as it stands, without case and blanks, or without leading zeros, if one fits."""
    known = list(ids)
    folded = _only(known, _fold)
    bare = _only(known, _bare)

    def find(text: str) -> str | None:
        if text in exact:
            return text
        return folded.get(_fold(text)) or bare.get(_bare(text))

    exact = frozenset(known)
    return find


def _fold(text: str) -> str:
    return re.sub(r"\s+", "", text).lower()


def _bare(text: str) -> str:
    return re.sub(r"(?<![\d.])0+(?=\d)", "", _fold(text)) if re.fullmatch(r"[\d.]+", _fold(text)) else ""


def _only(known: Iterable[str], fold: Callable[[str], str]) -> Mapping[str, str]:
    """Ids by folded form, where only one id has it."""
    found: dict[str, str | None] = {}
    for id_ in known:
        short = fold(id_)
        found[short] = None if short in found else id_
    return {short: id_ for short, id_ in found.items() if short and id_ is not None}
