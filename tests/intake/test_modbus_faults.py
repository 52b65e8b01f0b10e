"""A unit that misbehaves: always a clear message, and an honest partial reading or none."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from tests.intake.bus_units import (
    UNIT,
    Deed,
    after,
    demo_set,
    demo_unit,
    nobody,
    odd_serial_unit,
    odd_unit,
)

from asleft.intake import Taken
from asleft.intake.modbus import take
from asleft.intake.modbus.line import crc
from asleft.record import Refused

POSIX = pytest.mark.skipif(os.name == "nt", reason="a pseudo-terminal pair is a POSIX thing")
QUICK = "timeout=0.05&retries=1"
PATIENT = "timeout=0.4&retries=2"


def _good(_: int, frame: bytes) -> list[bytes]:
    return [frame]


def _read(name: str, deed: Deed, patience: str = QUICK, answer: Any = None) -> Taken:
    model, _ = demo_set(name)
    with odd_unit(answer or demo_unit(name).answer, deed) as seen:
        try:
            return take(f"modbus-tcp://127.0.0.1:{seen.port}/{UNIT}?{patience}", model, None, nobody)
        finally:
            assert seen.only_reads


def _exception(code: int) -> Callable[[bytes], bytes]:
    return lambda request: bytes((request[0] | 0x80, code))


NEVER: dict[str, tuple[Deed, str]] = {
    "silent": (lambda n, frame: [], "it does not answer"),
    "too late": (lambda n, frame: after(0.12, frame), "it does not answer"),
    "hangs up": (lambda n, frame: None, "the connection is gone|it does not answer"),
    "another unit": (
        lambda n, frame: [frame[:6] + bytes((UNIT + 1,)) + frame[7:]],
        f"unit {UNIT + 1} answered where unit {UNIT} was asked",
    ),
    "another question": (lambda n, frame: [frame[:7] + b"\x04" + frame[8:]], "it answered another question"),
    "another transaction": (lambda n, frame: [b"\xff\xff" + frame[2:]], "is not Modbus, or was damaged"),
    "garbage": (lambda n, frame: [b"\x15\x99\x42garbage and more of it"], "is not Modbus, or was damaged"),
    "web page": (lambda n, frame: [b"HTTP/1.1 400 Bad Request\r\n\r\n"], "is not Modbus, or was damaged"),
    "cut short": (lambda n, frame: [frame[:-5]], "is not Modbus, or was damaged"),
    "too few": (
        lambda n, frame: [frame[:4] + b"\x00\x05" + frame[6:8] + b"\x02\x00\x07"],
        "it gave 1 registers where 115 were asked for",
    ),
    "half a register": (
        lambda n, frame: [frame[:4] + b"\x00\x06" + frame[6:8] + b"\x03\x00\x07\x00"],
        "where 115 were asked for|is not Modbus, or was damaged",
    ),
}


@pytest.mark.parametrize("fault", NEVER)
def test_a_unit_that_never_answers_well_gives_no_reading(fault: str) -> None:
    deed, says = NEVER[fault]
    with pytest.raises(Refused, match=says) as refused:
        _read("E1", deed)
    assert f"unit {UNIT}" in str(refused.value) and "nothing was read" in str(refused.value)


@pytest.mark.parametrize("code", [1, 2, 3, 4, 5, 6, 10, 11, 0x55])
def test_a_unit_that_answers_exceptions_alone_gives_no_reading(code: int) -> None:
    # Modbus Application Protocol V1.1b3, exception codes
    with pytest.raises(Refused) as refused:
        _read("E1", _good, answer=_exception(code))
    assert "nothing was read" in str(refused.value)
    assert f"exception {code:02X}" in str(refused.value) or code == 2


ONCE: dict[str, Deed] = {
    "silent": lambda n, frame: [] if n == 3 else [frame],
    "late": lambda n, frame: after(0.6, frame) if n == 3 else [frame],
    "late, every third": lambda n, frame: after(0.6, frame) if n in (3, 7) else [frame],
    "garbage": lambda n, frame: [b"\x00" * 30] if n == 3 else [frame],
    "busy": lambda n, frame: [frame[:4] + b"\x00\x03" + frame[6:7] + b"\x83\x06"] if n in (3, 4) else [frame],
    "slow but in time": lambda n, frame: after(0.05, frame),
    "in pieces": lambda n, frame: [frame[:3], frame[3:9], frame[9:]],
    "a foreign answer first": lambda n, frame: [b"\xff\xfe" + frame[2:], frame],
}


@pytest.mark.parametrize("fault", ONCE)
def test_a_passing_fault_is_overcome_and_leaves_no_trace(fault: str) -> None:
    _, parameters = demo_set("E1")
    taken = _read("E1", ONCE[fault], PATIENT)
    assert dict(taken.set.values) == dict(parameters.values)
    assert taken.warnings == () and not taken.set.not_read


EXCEPTIONS_FIRST = {"E1": 0, "spare": 1}
"""How many answers hold no value: the gaps of one list are tried once, and refused."""


@pytest.mark.parametrize("name", EXCEPTIONS_FIRST)
@pytest.mark.parametrize("answers", range(26))
def test_a_unit_that_dies_after_k_answers_leaves_what_was_read(name: str, answers: int) -> None:
    """k from none to more than a whole reading takes."""
    _, parameters = demo_set(name)
    deed: Deed = lambda n, frame: [frame] if n <= answers else None  # noqa: E731
    try:
        taken = _read(name, deed, "timeout=0.3&retries=1")
    except Refused as refused:
        assert "nothing was read" in str(refused)
        assert answers <= EXCEPTIONS_FIRST[name]
        return
    _is_honest(taken, dict(parameters.values))
    complete = not taken.set.not_read
    assert complete or "stopped after" in str(taken.warnings[0])
    assert answers > EXCEPTIONS_FIRST[name]


def _is_honest(taken: Taken, truth: dict[str, Any]) -> None:
    """Every value is the true one, and every key of the model has a value or a reason."""
    assert all(truth[key] == value for key, value in taken.set.values.items())
    assert truth.keys() == taken.set.values.keys() | taken.set.not_read.keys()
    assert all(taken.set.not_read.values())


def test_each_number_of_answers_reads_at_least_as_much_as_the_one_before() -> None:
    shares = []
    for answers in range(1, 12):
        taken = _read("E1", lambda n, frame, k=answers: [frame] if n <= k else None)  # type: ignore[misc]
        shares.append(taken.share[0])
    assert shares == sorted(shares) and shares[0] < shares[-1] == 263


def test_settings_that_change_between_the_passes_are_not_read() -> None:
    model, parameters = demo_set("E1")
    accel = next(n for n in model.natives.values() if n.keys == ("ramps.accel_time_1_s",))
    assert accel.register is not None
    place = (3, accel.register.number - model.register_base)
    unit = demo_unit("E1")
    edited = replace(unit, registers={**unit.registers, place: unit.registers[place] + 5})
    asked = []

    def answer(request: bytes) -> bytes:
        asked.append(request)
        return (edited if asked.count(request) > 1 else unit).answer(request)

    taken = _read("E1", _good, answer=answer)
    assert taken.set.not_read == {"ramps.accel_time_1_s": "it changed while it was read"}
    assert "ramps.accel_time_1_s" not in taken.set.values
    (warning,) = taken.warnings
    was = parameters.values["ramps.accel_time_1_s"]
    assert f"{accel.text} changed while it was read: {was} s, then " in str(warning)


def test_a_code_that_changes_between_the_passes_is_not_told() -> None:
    model, _ = demo_set("E1")
    code = next(n for n in model.natives.values() if n.keys == ("access.pin_state",))
    assert code.register is not None
    place = (3, code.register.number - model.register_base)
    unit = demo_unit("E1")
    asked = []

    def answer(request: bytes) -> bytes:
        asked.append(request)
        digits = 4711 if asked.count(request) > 1 else 4712
        return replace(unit, registers={**unit.registers, place: digits}).answer(request)

    taken = _read("E1", _good, answer=answer)
    told = " ".join(map(str, (*taken.warnings, taken.set)))
    assert "changed while it was read" in told and "471" not in told


def test_holes_cost_few_requests_and_lose_nothing() -> None:
    """The list of one model has many gaps, and its unit answers exception 02 for each."""
    model, parameters = demo_set("spare")
    with odd_unit(demo_unit("spare").answer, _good) as seen:
        taken = take(f"modbus-tcp://127.0.0.1:{seen.port}/{UNIT}", model, None, nobody)
    assert dict(taken.set.values) == dict(parameters.values)
    places = sorted(at for _, at in demo_unit("spare").registers)
    runs = 1 + sum(later - earlier > 1 for earlier, later in pairwise(places))
    reads = [request for request in seen.requests if request[0] == 3]
    # one that is refused, one a run, and again for the settings, whose runs are cut where a value is only shown
    assert len(reads) <= 1 + 2 * runs + 1


def test_a_unit_without_holes_is_asked_as_little_as_can_be() -> None:
    model, parameters = demo_set("spare")
    unit = demo_unit("spare")
    places = [at for _, at in unit.registers]
    full = {(3, at): unit.registers.get((3, at), 0) for at in range(min(places), max(places) + 1)}
    with odd_unit(replace(unit, registers=full).answer, _good) as seen:
        taken = take(f"modbus-tcp://127.0.0.1:{seen.port}/{UNIT}", model, None, nobody)
    assert dict(taken.set.values) == dict(parameters.values)
    # arithmetic: an interval of 125 registers a request, and two passes
    least = -(-(max(places) - min(places) + 1) // 125)
    reads = [request for request in seen.requests if request[0] == 3]
    assert len(reads) <= 2 * (least + 1)


def test_a_unit_that_gives_few_registers_at_once_is_asked_for_few() -> None:
    _, parameters = demo_set("E1")
    unit = demo_unit("E1")

    def answer(request: bytes) -> bytes:
        too_many = request[0] == 3 and int.from_bytes(request[3:5], "big") > 64
        return bytes((0x83, 3)) if too_many else unit.answer(request)

    taken = _read("E1", _good, answer=answer)
    assert dict(taken.set.values) == dict(parameters.values)


def test_one_register_that_fails_costs_only_its_own_value() -> None:
    model, parameters = demo_set("E1")
    decel = next(n for n in model.natives.values() if n.keys == ("ramps.decel_time_1_s",))
    assert decel.register is not None
    at = decel.register.number - model.register_base
    unit = demo_unit("E1")

    def answer(request: bytes) -> bytes:
        start, count = int.from_bytes(request[1:3], "big"), int.from_bytes(request[3:5], "big")
        hit = request[0] == 3 and start <= at < start + count
        return bytes((0x83, 4)) if hit else unit.answer(request)

    taken = _read("E1", _good, answer=answer)
    reason = "it reports a failure of its own (exception 04)"
    assert taken.set.not_read == {"ramps.decel_time_1_s": reason}
    assert len(taken.set.values) == len(parameters.values) - 1


def test_a_unit_that_names_another_maker_is_pointed_out() -> None:
    unit = replace(demo_unit("E1"), identity=("Somebody Else", "X", "1"))
    taken = _read("E1", _good, answer=unit.answer)
    assert "the unit says that it is Somebody Else X 1" in str(taken.warnings[0])


SERIAL: dict[str, tuple[Deed, str]] = {
    "silent": (lambda n, frame: [], "it does not answer"),
    "damaged": (lambda n, frame: [frame[:5] + b"\xaa" + frame[6:]], "is not Modbus, or was damaged"),
    "noise": (lambda n, frame: [b"\x00\xff\x00\xff"], "is not Modbus, or was damaged|it does not answer"),
    "another unit": (
        lambda n, frame: [_from(UNIT + 1, frame)],
        f"unit {UNIT + 1} answered where unit {UNIT} was asked",
    ),
}


def _from(unit: int, frame: bytes) -> bytes:
    body = bytes((unit,)) + frame[1:-2]
    return body + crc(body)


@POSIX
@pytest.mark.parametrize("fault", SERIAL)
def test_a_bad_unit_on_a_serial_line_gives_no_reading(fault: str) -> None:
    deed, says = SERIAL[fault]
    model, _ = demo_set("E1")
    with odd_serial_unit(demo_unit("E1").answer, deed) as (device, seen), pytest.raises(Refused, match=says):
        take(f"modbus-rtu://{device}?parity=N&unit={UNIT}&{QUICK}", model, None, nobody)
    assert seen.only_reads


@POSIX
@pytest.mark.parametrize("answers", [1, 4, 12, 19])
def test_a_serial_unit_that_dies_after_k_answers_leaves_what_was_read(answers: int) -> None:
    model, parameters = demo_set("E1")
    deed: Deed = lambda n, frame: [frame] if n <= answers else None  # noqa: E731
    with odd_serial_unit(demo_unit("E1").answer, deed) as (device, _):
        source = f"modbus-rtu://{device}?parity=N&unit={UNIT}&timeout=0.2&retries=1"
        taken = take(source, model, None, nobody)
    _is_honest(taken, dict(parameters.values))
    assert "stopped" in str(taken.warnings[0])


@pytest.mark.parametrize(
    ("source", "says"),
    [
        ("modbus-tcp://127.0.0.1:1/11?timeout=0.2", "takes no connection"),
        ("modbus-rtu:///no/such/line?unit=11", "cannot be opened"),
        ("modbus-tcp://127.0.0.1:502", "the unit's number on the bus is missing"),
        ("modbus-tcp:///11", "a host is missing"),
        ("modbus-tcp://127.0.0.1/300", "from 1 to 247, not '300'"),
        ("modbus-tcp://127.0.0.1:99999/3", "Port out of range"),
        ("modbus-rtu:///dev/x?unit=1&parity=X", "parity is E, O or N"),
        ("modbus-rtu:///dev/x?unit=1&baud=fast", "baud is a whole number"),
        ("modbus-rtu:///dev/x?unit=1&speed=9600", "speed means nothing here"),
        ("modbus-tcp://127.0.0.1/1?timeout=soon", "timeout is from 0.01 to 60 s"),
        ("modbus-rtu:?unit=1", "a serial device is missing"),
    ],
)
def test_a_bad_address_is_told(source: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        take(source, demo_set("E1")[0], None, nobody)


def test_without_a_model_nothing_is_asked() -> None:
    with odd_unit(demo_unit("E1").answer, _good) as seen, pytest.raises(Refused, match="no model is known"):
        take(f"modbus-tcp://127.0.0.1:{seen.port}/{UNIT}", None, None, nobody)
    assert seen.frames == []
