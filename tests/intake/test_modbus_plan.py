"""Which registers are asked for, and what they mean: against brute force and the standard library's packing."""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.intake.bus_units import nobody

from asleft.intake.modbus.passes import run_pass
from asleft.intake.modbus.plan import INPUT, MOST, Span, function_of, plan, span_of
from asleft.intake.modbus.registers import Unreadable, displayed, words_for
from asleft.models import Native, NativeChoice, Register

SPANS = st.lists(
    st.builds(Span, st.just(3), st.integers(0, 900), st.integers(1, 64)), min_size=1, max_size=12
)


@settings(max_examples=150)
@given(spans=SPANS, bridged=st.booleans())
def test_every_span_is_whole_in_one_request_of_at_most_125(spans: list[Span], bridged: bool) -> None:
    # Modbus Application Protocol V1.1b3: at most 125 registers a read
    blocks = plan(spans, bridged)
    assert sorted({span for block in blocks for span in block.spans}) == sorted(set(spans))
    for block in blocks:
        assert 1 <= block.count <= MOST
        assert all(
            block.address <= span.address and span.end <= block.address + block.count for span in block.spans
        )
        assert bridged or not block.has_gaps


@settings(max_examples=60)
@given(addresses=st.lists(st.integers(0, 700), min_size=1, max_size=9, unique=True))
def test_no_plan_takes_fewer_requests(addresses: list[int]) -> None:
    """Brute force over all ways to cut the sorted addresses into runs."""
    assert len(plan([Span(3, at, 1) for at in addresses])) == _fewest(tuple(sorted(addresses)))


@cache
def _fewest(addresses: Sequence[int]) -> int:
    if not addresses:
        return 0
    ends = [end for end in range(1, len(addresses) + 1) if addresses[end - 1] - addresses[0] < MOST]
    return 1 + min(_fewest(addresses[end:]) for end in ends)


@dataclass(frozen=True, slots=True)
class _InTable(Register):
    table: str = "holding"


@pytest.mark.parametrize(("table", "function"), [("holding", 3), ("input", 4)])
def test_input_registers_are_read_by_function_04(table: str, function: int) -> None:
    native = Native("n", "N", "M", "number", (), register=_InTable(30, table=table))
    span = span_of(native, base=1)
    assert span == Span(function, 29, 1)
    assert function_of(Register(30)) == 3


def test_two_tables_are_never_in_one_request() -> None:
    blocks = plan([Span(3, 1, 1), Span(4, 2, 1), Span(3, 3, 1)])
    assert [(block.function, block.address, block.count) for block in blocks] == [(3, 1, 3), (4, 2, 1)]


class _Line:
    """A unit that has some registers, and answers at most ``most`` at once."""

    def __init__(self, has: frozenset[int], most: int = MOST) -> None:
        self.has, self.most, self.asked = has, most, 0

    def read(self, function: int, address: int, count: int) -> tuple[int, ...]:
        from asleft.intake.modbus.line import Exceptional

        self.asked += 1
        wanted = range(address, address + count)
        if count > self.most:
            raise Exceptional(3)
        if not self.has.issuperset(wanted):
            raise Exceptional(2)
        return tuple(at * 7 % 65536 for at in wanted)

    def identify(self) -> tuple[str, ...]:
        return ()

    def close(self) -> None:
        """Nothing to end."""


@settings(max_examples=100)
@given(spans=SPANS, missing=st.sets(st.integers(0, 950), max_size=40), most=st.integers(64, 125))
def test_what_a_unit_has_is_read_and_nothing_else(spans: list[Span], missing: set[int], most: int) -> None:
    has = frozenset(at for span in spans for at in range(span.address, span.end)) - missing
    got = run_pass(_Line(has, most), spans, nobody)
    for span in spans:
        there = has.issuperset(range(span.address, span.end))
        if there and not got.stopped:
            assert got.words[span] == tuple(at * 7 % 65536 for at in range(span.address, span.end))
        else:
            assert span not in got.words
    assert got.stopped or got.words.keys() | got.reasons.keys() == set(spans)
    assert not got.stopped or not got.words


def test_a_function_that_is_not_known_is_asked_for_once() -> None:
    class NoInputs(_Line):
        def read(self, function: int, address: int, count: int) -> tuple[int, ...]:
            from asleft.intake.modbus.line import Exceptional

            if function == INPUT:
                self.asked += 1
                raise Exceptional(1)
            return super().read(function, address, count)

    line = NoInputs(frozenset(range(100)))
    spans = [Span(3, 5, 1), *(Span(4, at * 200, 1) for at in range(5))]
    got = run_pass(line, spans, nobody)
    assert line.asked == 2 and got.words.keys() == {spans[0]}
    assert {got.reasons[span] for span in spans[1:]} == {"it does not know this function (exception 01)"}


KINDS = {"u16": ">H", "i16": ">h", "u32": ">I", "i32": ">i"}
BOUNDS = {"u16": (0, 65535), "i16": (-32768, 32767), "u32": (0, 2**32 - 1), "i32": (-(2**31), 2**31 - 1)}


@settings(max_examples=200)
@given(data=st.data(), kind=st.sampled_from(sorted(KINDS)), low_first=st.booleans())
def test_counts_lie_in_registers_as_the_standard_library_packs_them(
    data: st.DataObject, kind: str, low_first: bool
) -> None:
    """Big-endian within a register; of two registers the high one first, unless the model says low first."""
    count = data.draw(st.integers(*BOUNDS[kind]))
    raw = struct.pack(KINDS[kind], count)
    words = struct.unpack(f">{len(raw) // 2}H", raw)
    register = Register(1, kind, len(words), low_first)
    native = Native("n", "N", "M", "number", (), step=Decimal("0.01"), register=register)
    ordered = words[::-1] if low_first else words
    shown = displayed(native, ordered)
    assert shown == f"{Decimal(count) / 100:.2f}"
    assert words_for(native, shown) == ordered


@pytest.mark.parametrize(
    ("kind", "shown"), [("u16", "655.36"), ("i16", "-327.69"), ("u16", "-0.01"), ("u16", "0.005")]
)
def test_what_has_no_room_is_refused(kind: str, shown: str) -> None:
    native = Native("n", "N", "M", "number", (), step=Decimal("0.01"), register=Register(1, kind))
    with pytest.raises(ValueError):
        words_for(native, shown)


def _choice(*codes: str, bit: int | None = None) -> Native:
    choices = {code: NativeChoice(code, code, {}) for code in codes}
    return Native("n", "N", "M", "choice", (), choices=choices, register=Register(1, bit=bit))


@pytest.mark.parametrize(
    ("native", "word", "shown"),
    [
        (_choice("0", "1"), 1, "1"),
        (_choice("00", "01"), 1, "01"),
        (_choice("0", "1"), 7, "7"),  # not in the list: given as it stands
        (_choice("0", "1", bit=3), 0b1000, "1"),
        (_choice("0", "1", bit=3), 0b0111, "0"),
    ],
)
def test_codes_and_bits_are_shown_as_the_list_writes_them(native: Native, word: int, shown: str) -> None:
    assert displayed(native, (word,)) == shown


def test_texts_are_two_characters_a_register() -> None:
    native = Native("n", "N", "M", "text", (), register=Register(1, "text", 4))
    assert words_for(native, "M4-25") == (0x4D34, 0x2D32, 0x3500, 0)
    assert displayed(native, (0x4D34, 0x2D32, 0x3500, 0x4141)) == "M4-25"
    with pytest.raises(Unreadable):
        displayed(native, (0xFFFF, 0xFFFF, 0, 0))
    with pytest.raises(ValueError):
        words_for(native, "longer than eight")
