"""What a drive model is: its native list, its sizes, what is fixed and what it lacks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

from asleft.record import Value


@dataclass(frozen=True, slots=True)
class NativeChoice:
    """One native code: its text on the display, and the neutral choices it stands for, by neutral key;
    ``number`` where it stands for a number, in the neutral unit."""

    code: str
    text: str
    sets: Mapping[str, str]
    number: Decimal | None = None

    @property
    def means_something(self) -> bool:
        """Whether the trade has a word or a number for it."""
        return bool(self.sets) or self.number is not None


@dataclass(frozen=True, slots=True)
class Register:
    """Where a parameter lies on the bus: ``number`` in the list's own counting, ``kind`` u16 i16 u32 i32
    or text, ``words`` registers long, ``low_word_first`` for values of two registers. ``table`` is
    ``holding`` (function 03) or ``input`` (function 04)."""

    number: int
    kind: str = "u16"
    words: int = 1
    low_word_first: bool = False
    bit: int | None = None
    table: str = "holding"


@dataclass(frozen=True, slots=True)
class Native:
    """One parameter as the drive has it.

    ``form`` says how the displayed value becomes neutral (see ``forms``); ``keys`` are the neutral keys it
    takes part in; ``unit``, ``low``, ``high``, ``step`` and ``factory`` are in displayed terms; ``base``
    names what 100 % is; ``partner`` the other half of a pair. ``sets`` lists what entering it changes by
    itself: native id to displayed value, ``factory`` or ``derived``.
    """

    id: str
    text: str
    menu: str
    form: str
    keys: tuple[str, ...]
    unit: str = ""
    low: Decimal | None = None
    high: Decimal | None = None
    step: Decimal | None = None
    factory: str = ""
    choices: Mapping[str, NativeChoice] = field(default_factory=dict)
    base: str = ""
    partner: str = ""
    locked_running: bool = False
    access: str = ""
    register: Register | None = None
    sets: Mapping[str, str] = field(default_factory=dict)
    after: tuple[str, ...] = ()
    secret: bool = False
    read_only: bool = False

    @property
    def is_number(self) -> bool:
        """Whether a number stands on the display."""
        return self.step is not None and not self.choices


@dataclass(frozen=True)
class Model:
    """One size of a drive model, ready for use.

    ``fixed`` holds neutral values that cannot be changed (identity of the size among them), ``absent`` the
    reason for each neutral key the model lacks, ``behaviour`` the behaviour options by name. ``version`` is
    the blob id of the file.
    """

    name: str
    title: str
    maker: str
    size: str
    firmware: tuple[str, str]
    register_base: int
    behaviour: Mapping[str, str]
    fixed: Mapping[str, Value]
    absent: Mapping[str, str]
    natives: Mapping[str, Native]
    version: str = ""
    levels: tuple[str, ...] = ()
    source: str = ""

    @cached_property
    def by_key(self) -> Mapping[str, tuple[Native, ...]]:
        """The native parameters that carry each neutral key; two for a pair."""
        found: dict[str, list[Native]] = {}
        for native in self.natives.values():
            for key in native.keys:
                found.setdefault(key, []).append(native)
        return {key: tuple(natives) for key, natives in found.items()}

    def has(self, key: str) -> bool:
        """Whether a value of this key can stand in the drive, settable or fixed."""
        return key in self.by_key or key in self.fixed

    def covers(self, firmware: str) -> bool:
        """Whether this list is true for a firmware: from its first to its last, number by number."""
        first, last = (_numbers(text) for text in self.firmware)
        return first <= _numbers(firmware)[: len(first)] and _numbers(firmware)[: len(last)] <= last

    @cached_property
    def place(self) -> Mapping[str, int]:
        """Position of each native id in the drive's own menu order."""
        return {native_id: place for place, native_id in enumerate(self.natives)}


def _numbers(text: str) -> tuple[tuple[int, str], ...]:
    """Parts that are no number come before all numbers, by their text."""
    return tuple((int(part), "") if part.isdecimal() else (-1, part) for part in text.split("."))
