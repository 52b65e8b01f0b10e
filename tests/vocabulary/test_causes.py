"""Causes of faults name settings that exist, and no two causes share a name."""

from __future__ import annotations

from asleft.vocabulary import vocabulary
from asleft.vocabulary.causes import causes


def test_every_key_of_a_cause_exists() -> None:
    unknown = {key for cause in causes().values() for key in cause.keys if key not in vocabulary()}
    assert not unknown


def test_no_two_causes_share_a_word() -> None:
    words = [
        word
        for cause in causes().values()
        for word in {cause.name.replace("_", " "), cause.says, *cause.also}
    ]
    assert len(words) == len(set(words))
