"""The vocabulary reads as one voice: whole short sentences, spelt as dictionary or word list has them.

The bounds on length and the unwanted words are house style, no source.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest
from spellchecker import SpellChecker
from vocabulary_rows import bad_sentence, content, phrases_of, rows, sentences_of

from asleft.vocabulary.loader import GROUP_ORDER

WORD_LIST = Path(__file__).parent / "words.txt"
FORBIDDEN = re.compile(
    r"\b(simply|effortless\w*|seamless\w*|powerful|robust|intuitive|smart|leverag\w+|cutting-edge|state-of-the-art"
    r"|best-in-class|world-class|please|guarantee\w*|foolproof|always safe|short-circuit\w*"
    r"|todo|tbd|fixme|lorem|e\.g|i\.e|etc|utili[sz]e\w*|functionality|parameteri[sz]e\w*|setpoint\w*"
    r"|behavior\w*|color\w*|center\w*|fiber\w*|gray|neighbor\w*|liter|liters|labor|favor\w*|analyz\w+"
    r"|(?!siz|priz|seiz)\w+iz(?:e|es|ed|ing|ation))\b",
    re.IGNORECASE,
)
DOUBLED = re.compile(r"\b([A-Za-z]+)\s+\1\b", re.IGNORECASE)
WORD = re.compile(r"[A-Za-z]+(?:'[a-z]+)?")
SYMBOL = re.compile(r"[A-Z]{2,}s?|[A-Za-z]|k?Hz|mHz|k[AVW]|m[ASVH]|kW?h|kWh")


def test_sentences_are_whole_short_and_clean() -> None:
    wrong = [
        (row, place, fault, text)
        for row, data in rows().items()
        for place, text in sentences_of(data)
        if (fault := bad_sentence(text))
    ]
    assert wrong == []


def test_no_word_stands_twice_in_a_row_and_none_is_unwanted() -> None:
    wrong = [
        (row, place, found.group())
        for row, data in rows().items()
        for place, text in phrases_of(data)
        if (found := DOUBLED.search(text) or FORBIDDEN.search(text))
    ]
    assert wrong == []


@pytest.mark.parametrize("name", GROUP_ORDER)
def test_words_are_spelt_as_the_dictionary_or_the_word_list_has_them(name: str) -> None:
    allowed = set(WORD_LIST.read_text(encoding="utf-8").split())
    head = content(name)["group"]
    texts = [head["title"], head["meaning"]]
    texts += [text for data in content(name)["parameter"].values() for _, text in phrases_of(data)]
    words = {word for text in texts for word in WORD.findall(text) if not SYMBOL.fullmatch(word)}
    plain = {word.casefold().removesuffix("'s") for word in words} - allowed
    assert sorted(dictionary().unknown(plain)) == []


@cache
def dictionary() -> SpellChecker:
    return SpellChecker(language="en", distance=1)


def test_the_word_list_is_sorted_and_adds_only_what_the_dictionary_lacks() -> None:
    words = WORD_LIST.read_text(encoding="utf-8").split()
    assert words == sorted(set(words))
    assert sorted(dictionary().known(words)) == []
