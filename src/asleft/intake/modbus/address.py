"""Which unit on which line: ``modbus-tcp://host:port/unit`` and ``modbus-rtu:///dev/ttyUSB0?baud=19200``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import parse_qsl, urlsplit

from asleft.record import Fault, Refused

TCP, RTU = "modbus-tcp", "modbus-rtu"
_PORT = 502
_BAUD = 19200
_TIMEOUT, _RETRIES = 1.0, 2
_EXAMPLES = "Write modbus-tcp://192.0.2.7:502/11 or modbus-rtu:///dev/ttyUSB0?baud=19200&parity=E&unit=11."
_BOTH = ("unit", "timeout", "retries")
_OPTIONS = {TCP: _BOTH, RTU: (*_BOTH, "baud", "parity", "stop")}


@dataclass(frozen=True, slots=True)
class Address:
    """``place`` is a host or a serial device. ``timeout`` in seconds a request, ``retries`` after the first.

    Serial: 8 data bits; two stop bits where there is no parity (Modbus serial line V1.02, memory).
    """

    scheme: str
    place: str
    unit: int
    port: int = _PORT
    baud: int = _BAUD
    parity: str = "E"
    stop_bits: int = 1
    timeout: float = _TIMEOUT
    retries: int = _RETRIES

    @property
    def is_serial(self) -> bool:
        """Whether the unit is on a serial line."""
        return self.scheme == RTU

    def __str__(self) -> str:
        if self.is_serial:
            return f"unit {self.unit} on {self.place}"
        return f"unit {self.unit} at {self.place}:{self.port}"


def is_address(source: str) -> bool:
    """Whether a source names a unit on a field bus."""
    return source.lower().startswith((TCP + ":", RTU + ":"))


def parse_address(source: str, unit: int | None = None) -> Address:
    """The address as written; ``unit`` is the slot's own, for where none is written.

    Raises ``Refused`` with what is wrong and an example.
    """
    try:
        return _parsed(source, unit)
    except ValueError as problem:
        raise Refused(Fault(f"{problem}.", _EXAMPLES, source)) from None


def _parsed(source: str, unit: int | None) -> Address:
    parts = urlsplit(source)
    scheme = parts.scheme.lower()
    options = dict(parse_qsl(parts.query, keep_blank_values=True))
    unknown = sorted(options.keys() - set(_OPTIONS[scheme]))
    if unknown:
        raise ValueError(f"{unknown[0]} means nothing here; it takes {', '.join(_OPTIONS[scheme])}")
    if scheme == TCP:
        written = options.get("unit") or parts.path.strip("/")
        return Address(
            TCP,
            _named(parts.hostname, "a host"),
            _unit(written, unit),
            port=_PORT if parts.port is None else parts.port,
            timeout=_timeout(options),
            retries=_retries(options),
        )
    parity = options.get("parity", "E").upper()
    if parity not in ("E", "O", "N"):
        raise ValueError(f"parity is E, O or N, not {parity!r}")
    return Address(
        RTU,
        _named((parts.netloc + parts.path).strip(), "a serial device"),
        _unit(options.get("unit", ""), unit),
        baud=_whole("baud", options.get("baud", str(_BAUD)), 300, 4_000_000),
        parity=parity,
        stop_bits=_whole("stop", options.get("stop", "2" if parity == "N" else "1"), 1, 2),
        timeout=_timeout(options),
        retries=_retries(options),
    )


def _named(place: str | None, what: str) -> str:
    if not place or place == "/":
        raise ValueError(f"{what} is missing")
    return place


def _unit(written: str, unit: int | None) -> int:
    if not written and unit is not None:
        return unit
    if not written:
        raise ValueError("the unit's number on the bus is missing, and the slot has no comms.node_address")
    return _whole("the unit's number", written, 1, 247)


def _whole(name: str, text: str, low: int, high: int) -> int:
    if not text.isdecimal() or not low <= int(text) <= high:
        raise ValueError(f"{name} is a whole number from {low} to {high}, not {text!r}")
    return int(text)


def _timeout(options: Mapping[str, str]) -> float:
    text = options.get("timeout", str(_TIMEOUT))
    try:
        timeout = float(text)
    except ValueError:
        timeout = 0.0
    if not 0.01 <= timeout <= 60:
        raise ValueError(f"timeout is from 0.01 to 60 s, not {text!r}")
    return timeout


def _retries(options: Mapping[str, str]) -> int:
    return _whole("retries", options.get("retries", str(_RETRIES)), 0, 20)
