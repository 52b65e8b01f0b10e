"""One conversation with one unit: what is asked, how long is waited, and what an odd answer means.

The library sends and decodes frames; time-outs, repeats and the check that an answer fits its question are
here, so that no late or foreign answer is taken for a value.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from typing import Any, Protocol

from asleft.intake.modbus.address import Address
from asleft.intake.modbus.plan import INPUT
from asleft.record import Fault, Refused

ILLEGAL_FUNCTION, ILLEGAL_ADDRESS, ILLEGAL_VALUE, DEVICE_FAILURE = 1, 2, 3, 4
EXCEPTIONS = {
    ILLEGAL_FUNCTION: "it does not know this function (exception 01)",
    ILLEGAL_ADDRESS: "it has no such register (exception 02)",
    ILLEGAL_VALUE: "it does not give these registers in one answer (exception 03)",
    DEVICE_FAILURE: "it reports a failure of its own (exception 04)",
    10: "the gateway finds no way to it (exception 0A)",
    11: "the gateway gets no answer from it (exception 0B)",
}
"""Modbus Application Protocol V1.1b3, exception codes; 05 and 06 ask for patience and are repeated."""
_PATIENCE = (5, 6)
_NO_ANSWER = (10, 11)
_IDENTITY_OBJECTS = (0, 1, 2)


class Exceptional(Exception):
    """The unit answered with an exception; ``code`` says which."""

    def __init__(self, code: int) -> None:
        self.code = code
        super().__init__(EXCEPTIONS.get(code, f"it answers with exception {code:02X}"))


class Silent(Exception):
    """No usable answer, after all repeats; the text says what came instead."""


class Line(Protocol):
    """What a reading needs of a unit."""

    def read(self, function: int, address: int, count: int) -> tuple[int, ...]:
        """``count`` registers from ``address``. Raises ``Exceptional`` or ``Silent``."""

    def identify(self) -> tuple[str, ...]:
        """Vendor, product code and revision as the unit gives them; empty where it does not."""

    def close(self) -> None:
        """End the conversation."""


class BusLine:
    """A ``Line`` over the field-bus library."""

    def __init__(self, address: Address) -> None:
        logging.getLogger("pymodbus").addHandler(logging.NullHandler())
        self.address = address
        self._heard = b""
        self._client: Any = _client(address, self._trace)

    def open(self) -> None:
        """Connect. Raises ``Refused`` where nobody is there."""
        if not self._connected():
            if self.address.is_serial:
                what, do_next = "cannot be opened", "Check the name, the rights to it, and who else uses it."
            else:
                what, do_next = "takes no connection", "Check address, port, cable and firewall."
            place = self.address.place if self.address.is_serial else str(self.address).partition(" at ")[2]
            raise Refused(Fault(f"{place} {what}: nothing was read.", do_next))

    def read(self, function: int, address: int, count: int) -> tuple[int, ...]:
        """See ``Line``."""
        ask = self._client.read_input_registers if function == INPUT else self._client.read_holding_registers
        answer = self._asked(lambda: ask(address, count=count, device_id=self.address.unit), function)
        registers = tuple(answer.registers)
        if len(registers) != count:
            raise Silent(f"it gave {len(registers)} registers where {count} were asked for")
        return registers

    def identify(self) -> tuple[str, ...]:
        """See ``Line``. Function 2B, MEI type 0E, basic identification."""
        unit = self.address.unit
        try:
            answer = self._asked(
                lambda: self._client.read_device_information(read_code=1, object_id=0, device_id=unit), 0x2B
            )
        except (Exceptional, Silent):
            return ()
        objects = getattr(answer, "information", {})
        texts = (objects.get(number, b"") for number in _IDENTITY_OBJECTS)
        return tuple(
            text.decode("utf-8", "replace") if isinstance(text, bytes) else str(text) for text in texts
        )

    def close(self) -> None:
        """See ``Line``."""
        self._client.close()

    def _asked(self, ask: Callable[[], Any], function: int) -> Any:
        """The answer that fits the question, after as many repeats as the address allows."""
        reason = ""
        for again in range(self.address.retries + 1):
            if again:
                self._quiet()
            try:
                return self._once(ask, function)
            except Silent as silent:
                reason = str(silent)
            except Exceptional as exceptional:
                if exceptional.code not in _PATIENCE + _NO_ANSWER:
                    raise
                reason = str(exceptional)
        raise Silent(reason)

    def _once(self, ask: Callable[[], Any], function: int) -> Any:
        from pymodbus.exceptions import ModbusException

        self._heard = b""
        if not self._connected():
            raise Silent("the connection is gone")
        try:
            answer = ask()
        except ModbusException:
            raise Silent(self._what_came()) from None
        except (OSError, ValueError, IndexError, KeyError, TypeError, ArithmeticError):
            # the library lets these through where an answer is cut short or is no answer at all
            raise Silent(self._what_came()) from None
        if answer.isError():
            raise Exceptional(int(getattr(answer, "exception_code", 0)))
        if answer.function_code != function:
            raise Silent("it answered another question")
        return answer

    def _connected(self) -> bool:
        try:
            return bool(self._client.connect())
        except (OSError, ValueError):
            return False

    def _quiet(self) -> None:
        """Start afresh, so that an answer that comes too late meets nobody who waits for it."""
        self._client.close()
        if self.address.is_serial:
            time.sleep(self.address.timeout)

    def _trace(self, sending: bool, data: bytes) -> bytes:
        if not sending:
            self._heard = data
        return data

    def _what_came(self) -> str:
        heard, serial = self._heard, self.address.is_serial
        if not heard:
            return "it does not answer"
        from_unit = heard[0] if serial else heard[6] if len(heard) > 6 and heard[2:4] == b"\0\0" else None
        whole = heard[-2:] == crc(heard[:-2]) if serial else True
        if from_unit is not None and whole and from_unit != self.address.unit:
            return f"unit {from_unit} answered where unit {self.address.unit} was asked"
        return "what it answers is not Modbus, or was damaged on the way"


def crc(frame: bytes) -> bytes:
    """The check of a serial frame, low byte first: polynomial A001h from FFFFh (Modbus serial line V1.02)."""
    check = 0xFFFF
    for byte in frame:
        check ^= byte
        for _ in range(8):
            check = check >> 1 ^ (0xA001 if check & 1 else 0)
    return check.to_bytes(2, "little")


def _client(address: Address, trace: Callable[[bool, bytes], bytes]) -> Any:
    from pymodbus.client import ModbusSerialClient, ModbusTcpClient

    common: dict[str, Any] = {"timeout": address.timeout, "retries": 0, "trace_packet": trace}
    if not address.is_serial:
        return ModbusTcpClient(address.place, port=address.port, **common)
    return ModbusSerialClient(
        address.place,
        baudrate=address.baud,
        parity=address.parity,
        stopbits=address.stop_bits,
        **common,
    )
