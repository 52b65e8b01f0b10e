"""Both demo models, over both transports, from our own unit and from independent servers."""

from __future__ import annotations

import os
import re
import socketserver
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from tests.intake.bus_units import UNIT, demo_model, demo_set, demo_unit, factory, nobody

import asleft
from asleft.files.sets import write_set
from asleft.intake import Taken
from asleft.intake.modbus import take
from asleft.jobs.serving import over_serial, over_tcp
from asleft.jobs.simulating import Simulated, simulated
from asleft.models import Model
from asleft.record import ParameterSet

POSIX = pytest.mark.skipif(os.name == "nt", reason="a pseudo-terminal pair is a POSIX thing")
SETS = ("E1", "spare")


def _same_bytes(taken: Taken, parameters: ParameterSet) -> None:
    assert write_set(replace(taken.set, reading=None)) == write_set(
        replace(
            parameters,
            reading=None,
            asset="",
            model_version=taken.set.model_version,
            firmware=taken.set.firmware,
        )
    )


def _read(source: str, model: Model) -> Taken:
    return take(source, model, None, nobody)


@pytest.mark.parametrize("name", SETS)
def test_our_unit_over_tcp_is_read_as_the_set_says(name: str) -> None:
    model, parameters = demo_set(name)
    with over_tcp(demo_unit(name), UNIT) as served:
        _same_bytes(_read(served.source, model), parameters)
    assert served.tally.refused == []


@POSIX
@pytest.mark.parametrize("name", SETS)
def test_our_unit_over_a_serial_line_is_read_as_the_set_says(name: str) -> None:
    model, parameters = demo_set(name)
    with over_serial(demo_unit(name), UNIT) as served:
        _same_bytes(_read(served.source, model), parameters)
    assert served.tally.refused == []


def _holding(unit: Simulated) -> dict[int, int]:
    return {address: word for (_, address), word in unit.registers.items()}


class _NoWrites:
    """Data of an independent server that fails the test where it is written to."""

    def __init__(self, words: dict[int, int]) -> None:
        self.words = words
        self.written = 0

    def bank(self) -> Any:
        from pyModbusTCP.server import DataBank

        outer = self

        class Bank(DataBank):
            def get_holding_registers(self, address: int, number: int = 1, srv_info: Any = None) -> Any:
                words = [outer.words.get(at) for at in range(address, address + number)]
                return None if None in words else words

            def set_holding_registers(self, address: int, word_list: Any, srv_info: Any = None) -> bool:
                outer.written += 1
                return True

            def set_coils(self, address: int, bit_list: Any, srv_info: Any = None) -> bool:
                outer.written += 1
                return True

        return Bank()


@pytest.mark.parametrize("name", SETS)
def test_an_independent_tcp_server_is_read_as_the_set_says(name: str) -> None:
    from pyModbusTCP.server import ModbusServer

    model, parameters = demo_set(name)
    data = _NoWrites(_holding(demo_unit(name)))
    server = ModbusServer("127.0.0.1", 0, no_block=True, data_bank=data.bank())
    server.start()
    try:
        port = server._service.server_address[1]
        _same_bytes(_read(f"modbus-tcp://127.0.0.1:{port}/{UNIT}", model), parameters)
    finally:
        server.stop()
    assert data.written == 0


def _routes(server: Any, words: dict[int, int], written: list[int]) -> None:
    @server.route(slave_ids=[UNIT], function_codes=[3], addresses=list(words))
    def read(slave_id: int, function_code: int, address: int) -> int:
        return words[address]

    @server.route(slave_ids=[UNIT], function_codes=[5, 6, 15, 16], addresses=list(range(3000)))
    def write(slave_id: int, function_code: int, address: int, value: int) -> None:
        written.append(address)


@pytest.mark.parametrize("name", SETS)
def test_a_second_independent_tcp_server_is_read_as_the_set_says(name: str) -> None:
    from umodbus.server.tcp import RequestHandler, get_server

    model, parameters = demo_set(name)
    written: list[int] = []
    socketserver.TCPServer.allow_reuse_address = True
    server = get_server(socketserver.TCPServer, ("127.0.0.1", 0), RequestHandler)
    _routes(server, _holding(demo_unit(name)), written)
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        port = server.server_address[1]
        _same_bytes(_read(f"modbus-tcp://127.0.0.1:{port}/{UNIT}", model), parameters)
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
    assert written == []


@contextmanager
def _serial_server(words: dict[int, int], written: list[int]) -> Iterator[str]:
    """An independent server on one end of a pseudo-terminal pair."""
    import pty
    import tty

    import serial
    from umodbus.server.serial import get_server
    from umodbus.server.serial.rtu import RTUServer

    ends = [pty.openpty() for _ in range(2)]
    for ours, theirs in ends:
        tty.setraw(ours)
        tty.setraw(theirs)
    stop = threading.Event()
    wire = threading.Thread(target=_wire, args=(ends[0][0], ends[1][0], stop), daemon=True)
    wire.start()
    port = serial.Serial(os.ttyname(ends[0][1]), baudrate=19200, timeout=0.02)
    server = get_server(RTUServer, port)
    _routes(server, words, written)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield os.ttyname(ends[1][1])
    finally:
        server._shutdown_request = True
        thread.join()
        stop.set()
        wire.join()
        port.close()
        for end in ends:
            for descriptor in end:
                os.close(descriptor)


def _wire(one: int, other: int, stop: threading.Event) -> None:
    import select

    while not stop.is_set():
        for ready in select.select([one, other], [], [], 0.02)[0]:
            os.write(other if ready == one else one, os.read(ready, 4096))


@POSIX
@pytest.mark.parametrize("name", SETS)
def test_an_independent_serial_server_is_read_as_the_set_says(name: str) -> None:
    model, parameters = demo_set(name)
    written: list[int] = []
    with _serial_server(_holding(demo_unit(name)), written) as device:
        _same_bytes(_read(f"modbus-rtu://{device}?parity=N&unit={UNIT}", model), parameters)
    assert written == []


@pytest.mark.parametrize("name", ["merrow-m4-22k", "skarn-k-18k5"])
def test_what_the_set_lacks_has_no_register_and_is_not_read(name: str) -> None:
    model, parameters = demo_model(name), factory(name)
    unit = simulated(model, parameters)
    with over_tcp(unit, UNIT) as served:
        taken = _read(served.source, model)
    assert dict(taken.set.values) == dict(parameters.values)
    lacking = {key for key in model.by_key if key not in parameters.values}
    assert lacking and taken.set.not_read.keys() == lacking
    assert {taken.set.not_read[key] for key in lacking} == {"it has no such register (exception 02)"}


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize("state", ["set", "factory", "not_set"])
def test_whether_a_code_is_set_is_read_and_its_digits_are_not(name: str, state: str) -> None:
    """A factory code that is 0 is no code: such a unit reads as not set, or as factory where 0 is filled up."""
    model, parameters = demo_set(name)
    changed = replace(parameters, values={**parameters.values, "access.pin_state": state})
    (code,) = model.by_key["access.pin_state"]
    with over_tcp(simulated(model, changed), UNIT) as served:
        taken = _read(served.source, model)
    expected = "not_set" if state == "factory" and code.factory == "0" else state
    assert taken.set.values["access.pin_state"] == expected
    assert code.id not in taken.set.native


def test_registers_that_hold_no_text_are_not_read() -> None:
    model, _ = demo_set("E1")
    unit = demo_unit("E1")
    (serial_number,) = model.by_key["drive.serial_number"]
    heat_sink = next(native for native in model.natives.values() if not native.keys and native.read_only)
    assert serial_number.register is not None and heat_sink.register is not None
    registers = dict(unit.registers)
    for at in range(serial_number.register.words):
        registers[3, serial_number.register.number - model.register_base + at] = 0xFFFF
    del registers[3, heat_sink.register.number - model.register_base]
    with over_tcp(replace(unit, registers=registers), UNIT) as served:
        taken = _read(served.source, model)
    assert taken.set.not_read == {"drive.serial_number": "its registers hold no text"}
    assert f"{heat_sink.text} was not read: it has no such register" in " ".join(map(str, taken.warnings))


def test_an_empty_text_is_not_taken_for_one() -> None:
    model, _ = demo_set("E1")
    unit = demo_unit("E1")
    (serial_number,) = model.by_key["drive.serial_number"]
    assert serial_number.register is not None
    start = serial_number.register.number - model.register_base
    empty = {(3, start + at): 0 for at in range(serial_number.register.words)}
    with over_tcp(replace(unit, registers={**unit.registers, **empty}), UNIT) as served:
        taken = _read(served.source, model)
    assert taken.set.not_read == {"drive.serial_number": "the unit gives an empty text"}


def test_a_write_is_refused_counted_and_changes_nothing() -> None:
    import socket

    unit = demo_unit("E1")
    with over_tcp(unit, UNIT) as served:
        port = int(served.source.rpartition(":")[2].partition("/")[0])
        with socket.create_connection(("127.0.0.1", port), timeout=5) as line:
            line.sendall(bytes((0, 1, 0, 0, 0, 6, UNIT, 6, 0, 1, 0, 3)))
            assert line.recv(64) == bytes((0, 1, 0, 0, 0, 3, UNIT, 0x86, 1))
        assert served.tally.refused == [6]
        _same_bytes(_read(served.source, demo_set("E1")[0]), demo_set("E1")[1])


def test_a_taken_port_is_told() -> None:
    from asleft.record import Refused

    with over_tcp(demo_unit("E1"), UNIT) as served:
        port = int(served.source.rpartition(":")[2].partition("/")[0])
        with pytest.raises(Refused, match="cannot be used"), over_tcp(demo_unit("E1"), UNIT, port):
            pass


def test_no_code_that_writes_stands_in_the_program() -> None:
    """No write call of the library, no function code that writes: 05 06 0F 10 16 17, 15 (file record), 08."""
    source = Path(asleft.__file__).parent
    calls = re.compile(
        r"\b(write_(coils?|registers?|file_record)|mask_write_register|readwrite_registers|diag_\w+"
        r"|Write\w*(Register|Coil)\w*|MaskWrite\w*|ReadWrite\w*)\b"
    )
    found = [
        f"{path.relative_to(source)}: {match.group()}"
        for path in sorted(source.rglob("*.py"))
        for match in calls.finditer(path.read_text(encoding="utf-8"))
    ]
    assert found == []
    codes = re.compile(r"\b0x(05|06|0F|10|15|16|17)\b", re.IGNORECASE)
    for path in sorted((source / "intake" / "modbus").glob("*.py")):
        assert not codes.search(path.read_text(encoding="utf-8")), path.name


def test_only_the_modbus_intake_knows_the_field_bus_library() -> None:
    source = Path(asleft.__file__).parent
    knowing = {
        path.relative_to(source).as_posix()
        for path in source.rglob("*.py")
        if re.search(r"\b(import|from) (pymodbus|serial)\b", path.read_text(encoding="utf-8"))
    }
    assert knowing == {"intake/modbus/line.py"}
