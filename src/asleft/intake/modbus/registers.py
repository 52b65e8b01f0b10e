"""One parameter's registers as the drive would display them, and back."""

from __future__ import annotations

from collections.abc import Sequence

from asleft.intake.counts import count_of, displayed_count
from asleft.models import Native, Register

_BITS = 16
_SIGNED = ("i16", "i32")


class Unreadable(Exception):
    """Registers that hold nothing the parameter could display, with the reason."""


def displayed(native: Native, words: Sequence[int]) -> str:
    """What the drive shows for these registers: a number with the digits of its step, a code, a text.

    Raises ``Unreadable`` for a text that is none. A choice or number that the list does not allow is given as
    it stands; it is for the model to judge.
    """
    register = _register(native)
    if register.kind == "text":
        return _text(words)
    count = _count(register, words)
    if register.bit is not None:
        return str(count >> register.bit & 1)
    return displayed_count(native, count)


def words_for(native: Native, shown: str) -> tuple[int, ...]:
    """The registers that make a drive show this. Raises ``ValueError`` where they have no room for it."""
    register = _register(native)
    if register.kind == "text":
        return _words_of_text(shown, register.words)
    count = count_of(native, shown)
    if register.bit is not None:
        return (count << register.bit,)
    size = _BITS * register.words
    low = -(1 << size - 1) if register.kind in _SIGNED else 0
    high = (1 << size - 1) - 1 if register.kind in _SIGNED else (1 << size) - 1
    if not low <= count <= high:
        raise ValueError(f"{native.text} at {shown} does not fit {register.kind}")
    raw = (count % (1 << size)).to_bytes(2 * register.words, "big")
    words = tuple(int.from_bytes(raw[at : at + 2], "big") for at in range(0, len(raw), 2))
    return words[::-1] if register.low_word_first else words


def _register(native: Native) -> Register:
    if native.register is None:
        raise ValueError(f"{native.text} has no register")
    return native.register


def _count(register: Register, words: Sequence[int]) -> int:
    ordered = reversed(words) if register.low_word_first else words
    raw = b"".join(word.to_bytes(2, "big") for word in ordered)
    return int.from_bytes(raw, "big", signed=register.kind in _SIGNED)


def _text(words: Sequence[int]) -> str:
    """Two characters a register, first one high; what follows a zero is filling."""
    raw = b"".join(word.to_bytes(2, "big") for word in words).split(b"\0", 1)[0]
    try:
        text = raw.decode("utf-8").rstrip()
    except UnicodeDecodeError:
        raise Unreadable("its registers hold no text") from None
    if not text.isprintable():
        raise Unreadable("its registers hold no text")
    return text


def _words_of_text(text: str, words: int) -> tuple[int, ...]:
    raw = text.encode("utf-8")
    if len(raw) > 2 * words:
        raise ValueError(f"{text!r} is longer than {2 * words} bytes")
    filled = raw.ljust(2 * words, b"\0")
    return tuple(int.from_bytes(filled[at : at + 2], "big") for at in range(0, 2 * words, 2))
