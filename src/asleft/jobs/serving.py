"""Serving a simulated unit: over TCP on this machine alone, and over a pseudo-terminal as a serial line."""

from __future__ import annotations

import os
import select
import socketserver
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from asleft.intake.modbus.line import crc
from asleft.intake.modbus.plan import HOLDING, INPUT
from asleft.jobs.simulating import IDENTIFICATION, Simulated
from asleft.record import Fault, Refused

LOOPBACK = "127.0.0.1"
_HEADER, _MOST_FRAME, _READ_FRAME = 7, 260, 8
_POLL = 0.05
_IDENTIFICATION_FRAME = 7
Answer: TypeAlias = Callable[[bytes], bytes]


@dataclass
class Tally:
    """How many requests a unit was sent, and which functions it refused since they are no reads."""

    requests: int = 0
    refused: list[int] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Served:
    """Where a simulated unit answers, as a source is named, and what it was asked."""

    source: str
    tally: Tally


def _counted(unit: Simulated, tally: Tally) -> Answer:
    def answer(request: bytes) -> bytes:
        tally.requests += 1
        if request and request[0] not in (HOLDING, INPUT, IDENTIFICATION):
            tally.refused.append(request[0])
        return unit.answer(request)

    return answer


@contextmanager
def over_tcp(unit: Simulated, number: int, port: int = 0) -> Iterator[Served]:
    """Serve on the loopback interface, port 0 on a free one. Raises ``Refused`` where the port is taken."""
    tally = Tally()
    answer = _counted(unit, tally)

    class Conversation(socketserver.BaseRequestHandler):
        def handle(self) -> None:
            _converse(self.request, number, answer)

    try:
        server = _Server((LOOPBACK, port), Conversation)
    except (OSError, OverflowError) as problem:
        raise Refused(Fault(f"port {port} cannot be used: {problem}.", "Name another: --port 5020")) from None
    thread = threading.Thread(target=server.serve_forever, args=(_POLL,), daemon=True)
    thread.start()
    try:
        yield Served(f"modbus-tcp://{LOOPBACK}:{server.server_address[1]}/{number}", tally)
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


class _Server(socketserver.ThreadingTCPServer):
    daemon_threads = True
    allow_reuse_address = os.name != "nt"


def _converse(connection: Any, number: int, answer: Answer) -> None:
    held = b""
    while data := _received(connection):
        held += data
        while len(held) > _HEADER and len(held) >= (end := 6 + int.from_bytes(held[4:6], "big")):
            frame, held = held[:end], held[end:]
            if frame[2:4] != b"\0\0" or not _HEADER < end <= _MOST_FRAME:
                return
            if frame[6] == number:
                reply = answer(frame[_HEADER:])
                connection.sendall(frame[:4] + (len(reply) + 1).to_bytes(2, "big") + frame[6:7] + reply)


def _received(connection: Any) -> bytes:
    try:
        return bytes(connection.recv(_MOST_FRAME))
    except OSError:
        return b""


@contextmanager
def over_serial(unit: Simulated, number: int) -> Iterator[Served]:
    """Serve on a pseudo-terminal, whose name is the serial device to read from. POSIX systems only.

    A pseudo-terminal carries no parity bit, so the source says ``parity=N``.

    Raises ``Refused`` on a system without pseudo-terminals.
    """
    try:
        import pty
        import tty
    except ImportError:
        raise Refused(
            Fault("this system has no pseudo-terminals.", "Serve over TCP instead: --port 5020")
        ) from None
    tally = Tally()
    ours, theirs = pty.openpty()
    tty.setraw(theirs)
    ended = threading.Event()
    thread = threading.Thread(target=_listen, args=(ours, number, _counted(unit, tally), ended), daemon=True)
    thread.start()
    try:
        yield Served(f"modbus-rtu://{os.ttyname(theirs)}?parity=N&unit={number}", tally)
    finally:
        ended.set()
        thread.join()
        os.close(theirs)
        os.close(ours)


def _listen(line: int, number: int, answer: Answer, ended: threading.Event) -> None:
    held = b""
    while not ended.is_set():
        ready, _, _ = select.select([line], [], [], _POLL)
        if not ready:
            held = b""  # silence ends a frame
            continue
        held += os.read(line, _MOST_FRAME)
        size = _IDENTIFICATION_FRAME if held[1:2] == bytes((IDENTIFICATION,)) else _READ_FRAME
        if len(held) >= size:
            frame, held = held[:size], held[size:]
            if crc(frame[:-2]) == frame[-2:] and frame[0] == number:
                reply = frame[:1] + answer(frame[1:-2])
                os.write(line, reply + crc(reply))
