"""Worked frames of the Modbus specifications, through our own reading path.

Modbus Application Protocol V1.1b3 and Modbus over serial line V1.02, as quoted by public Modbus code; the
checks (CRC) were recomputed from the polynomial.
"""

from __future__ import annotations

import os

import pytest
from tests.intake.bus_units import demo_unit, odd_serial_unit, odd_unit

from asleft.intake.modbus import Address
from asleft.intake.modbus.line import BusLine, crc
from asleft.intake.modbus.plan import span_of
from asleft.models import Native, Register


def _hex(text: str) -> bytes:
    return bytes.fromhex(text)


@pytest.mark.parametrize(
    ("function", "address", "count", "answer", "registers"),
    [
        # request 03 00 6B 00 03 answers 03 06 02 2B 00 00 00 64 (555, 0, 100)
        (3, 0x6B, 3, "03 06 02 2B 00 00 00 64", (555, 0, 100)),
        # 04 00 08 00 01 answers 04 02 00 0A
        (4, 0x08, 1, "04 02 00 0A", (10,)),
    ],
)
def test_a_published_answer_gives_the_published_registers(
    function: int, address: int, count: int, answer: str, registers: tuple[int, ...]
) -> None:
    with odd_unit(lambda _: _hex(answer), lambda _, good: [good]) as seen:
        line = BusLine(Address("modbus-tcp", "127.0.0.1", 0x11, port=seen.port))
        assert line.read(function, address, count) == registers
        line.close()
    assert seen.requests == [bytes((function, *address.to_bytes(2, "big"), *count.to_bytes(2, "big")))]


def test_the_published_tcp_frame_is_what_goes_out() -> None:
    # TCP frame 00 01 00 00 00 06 11 03 00 6B 00 03
    with odd_unit(lambda _: _hex("03 06 02 2B 00 00 00 64"), lambda _, good: [good]) as seen:
        line = BusLine(Address("modbus-tcp", "127.0.0.1", 0x11, port=seen.port))
        line.read(3, 0x6B, 3)
        line.close()
    assert seen.frames == [_hex("00 01 00 00 00 06 11 03 00 6B 00 03")]


@pytest.mark.skipif(os.name == "nt", reason="a pseudo-terminal pair is a POSIX thing")
@pytest.mark.parametrize(
    ("unit", "address", "count", "frame", "answer", "registers"),
    [
        # 11 03 00 6B 00 03 carries the check 76 87, low byte first
        (0x11, 0x6B, 3, "11 03 00 6B 00 03 76 87", "03 06 02 2B 00 00 00 64", (555, 0, 100)),
        # 01 03 00 00 00 0A carries C5 CD
        (0x01, 0x00, 10, "01 03 00 00 00 0A C5 CD", "03 14" + " 00 07" * 10, (7,) * 10),
    ],
)
def test_the_published_serial_frame_is_what_goes_out(
    unit: int, address: int, count: int, frame: str, answer: str, registers: tuple[int, ...]
) -> None:
    with odd_serial_unit(lambda _: _hex(answer), lambda _, good: [good]) as (device, seen):
        line = BusLine(Address("modbus-rtu", device, unit, parity="N"))
        assert line.read(3, address, count) == registers
        line.close()
    assert seen.frames == [_hex(frame)]


@pytest.mark.skipif(os.name == "nt", reason="a pseudo-terminal pair is a POSIX thing")
def test_the_published_serial_answer_is_taken() -> None:
    # 01 03 06 02 2B 00 00 00 64 carries 05 7A
    published = _hex("01 03 06 02 2B 00 00 00 64 05 7A")
    with odd_serial_unit(lambda _: b"\x03", lambda _, good: [published]) as (device, _):
        line = BusLine(Address("modbus-rtu", device, 1, parity="N"))
        assert line.read(3, 0x6B, 3) == (555, 0, 100)
        line.close()


@pytest.mark.parametrize(
    ("frame", "check"),
    [
        ("11 03 00 6B 00 03", "76 87"),
        ("01 03 00 00 00 0A", "C5 CD"),
        ("01 06 00 01 00 03", "98 0B"),
        ("01 03 06 02 2B 00 00 00 64", "05 7A"),
    ],
)
def test_the_check_of_a_serial_frame_is_the_published_one(frame: str, check: str) -> None:
    assert crc(_hex(frame)) == _hex(check)


def test_register_108_of_a_list_that_counts_from_one_is_address_6b() -> None:
    native = Native("n", "N", "M", "number", (), register=Register(108))
    span = span_of(native, base=1)
    assert span is not None and span.address == 0x6B


@pytest.mark.parametrize(
    "request_frame",
    [
        "06 00 01 00 03",  # published: write one register
        "10 00 01 00 02 04 00 0A 01 02",  # published: write two registers
    ],
)
def test_the_simulated_unit_refuses_the_published_writes(request_frame: str) -> None:
    # error code = function + 0x80; 01 is the exception for a function that is not known
    asked = _hex(request_frame)
    assert demo_unit("E1").answer(asked) == bytes((asked[0] + 0x80, 0x01))
