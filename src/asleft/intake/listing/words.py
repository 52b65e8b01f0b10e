"""Names of parameters as sets of words that mean the same in every list."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

_PIECE = re.compile(r"[a-zäöüßéèφ]+|\d+")

_ORDINALS = {"first": 1, "second": 2, "third": 3, "1st": 1, "2nd": 2, "3rd": 3}
_CHAPTER = re.compile(r"(^|/)\s*\d+(?:\.\d+)*\.?(?=\s)")


@dataclass(frozen=True, slots=True)
class Name:
    """``words`` that carry meaning, and the ``numbers`` in it."""

    words: frozenset[str]
    numbers: tuple[int, ...]


@cache
def _terms() -> Mapping[str, Any]:
    path = Path(__file__).with_name("terms.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


@cache
def _same() -> Mapping[str, str]:
    return {word: group[0] for group in _terms()["groups"] for word in group}


@cache
def _joined() -> tuple[tuple[re.Pattern[str], str], ...]:
    pairs = sorted(_terms()["joined"], key=lambda pair: -len(pair[0]))
    return tuple((re.compile(rf"(?<!\w){re.escape(words)}(?!\w)"), means) for words, means in pairs)


@cache
def _silent() -> frozenset[str]:
    return frozenset(_terms()["silent"])


def phrases(row: str) -> Iterable[str]:
    """Further names of a vocabulary row, as ``terms.toml`` has them."""
    return tuple(_terms()["phrases"].get(row, ()))


@cache
def _beside(kind: str) -> tuple[frozenset[str], ...]:
    return tuple(name_of(text).words for text in _terms()[kind])


def of_the_unit(text: str) -> bool:
    """Whether a row is named like what the trade has no key for: a display's contrast, a measured value."""
    words = name_of(text).words
    if words in _beside("measured"):
        return True
    return any(each <= words and len(words) <= len(each) + 2 for each in _beside("beside"))


def choice_words() -> Mapping[str, frozenset[str]]:
    """Texts of choices by the neutral choice they commonly mean."""
    return {name: frozenset(plain(text) for text in texts) for name, texts in _terms()["choices"].items()}


def plain(text: str) -> str:
    """Small letters and digits in single pieces: ``AI1 freq at 0%`` becomes ``ai 1 freq at 0``."""
    return " ".join(_PIECE.findall(text.lower()))


def menu_of(path: str) -> Name:
    """The words of a menu path; the numbers of its chapters tell nothing."""
    return name_of(_CHAPTER.sub(r"\1", path))


@cache
def _all_words(text: str) -> tuple[tuple[str, ...], tuple[int, ...]]:
    """Words and numbers of a text, groups of words joined and synonyms taken for one."""
    joined = plain(text)
    for pattern, means in _joined():
        joined = pattern.sub(means, joined)
    words, numbers = [], []
    for piece in joined.split():
        if piece.isdigit() or piece in _ORDINALS:
            numbers.append(_ORDINALS.get(piece) or int(piece))
        else:
            words.append(_same().get(piece, piece))
    return tuple(words), tuple(numbers)


@cache
def name_of(text: str) -> Name:
    """The words of a name: those that say nothing left out, unless there are no others."""
    words, numbers = _all_words(text)
    kept = [word for word in words if word not in _silent()] or words
    return Name(frozenset(kept), numbers)


@cache
def pieces_of(text: str) -> frozenset[str]:
    """Every word and number of a choice's text: there, small words count too."""
    words, numbers = _all_words(text)
    return frozenset((*words, *map(str, numbers)))
