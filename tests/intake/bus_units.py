"""Units to read from in tests: well-behaved ones, ones that misbehave, on both transports."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TypeAlias

from asleft.files.sets import read_set
from asleft.intake import take as take_file
from asleft.intake.modbus.line import crc
from asleft.jobs.simulating import Simulated, simulated
from asleft.models import Model, factory_set, read_model
from asleft.record import ParameterSet

DEMO = Path(__file__).parents[2] / "fixtures" / "demo"
READS = (0x03, 0x04, 0x2B)
UNIT = 11


@cache
def demo_model(name: str) -> Model:
    family, _, size = name.rpartition("-")
    return read_model((DEMO / "models" / f"{family}.toml").read_bytes(), family).size(size)


@cache
def demo_set(name: str) -> tuple[Model, ParameterSet]:
    """A reading of the demo with its model: one of each family."""
    if name == "E1":
        model = demo_model("merrow-m4-15k")
        return model, take_file((DEMO / "readings/2026-03-12/E1.csv").read_bytes(), "E1.csv", model).set
    parameters = read_set((DEMO / "units" / "f2-spare.toml").read_bytes(), "f2-spare.toml")
    return demo_model(parameters.model), parameters


@cache
def demo_unit(name: str) -> Simulated:
    return simulated(*demo_set(name))


Deed: TypeAlias = Callable[[int, bytes], "list[bytes] | None"]
"""What a unit does with its n-th request (from 1), given its own good answer as a TCP frame: the pieces it
sends, or None to hang up and be gone."""


@dataclass
class Seen:
    """What a unit was sent: requests without frame, whole frames, and where it listens."""

    port: int = 0
    requests: list[bytes] = field(default_factory=list)
    frames: list[bytes] = field(default_factory=list)
    gone: bool = False

    @property
    def only_reads(self) -> bool:
        return all(request[0] in READS for request in self.requests)


@contextmanager
def odd_unit(answer: Callable[[bytes], bytes], deed: Deed) -> Iterator[Seen]:
    """A TCP unit that answers as ``deed`` says; once it has hung up it takes no connection any more."""
    seen = Seen()
    listener = socket.create_server(("127.0.0.1", 0))
    listener.settimeout(5)
    seen.port = listener.getsockname()[1]
    thread = threading.Thread(target=_accept, args=(listener, answer, deed, seen), daemon=True)
    thread.start()
    try:
        yield seen
    finally:
        seen.gone = True
        with suppress(OSError):
            socket.create_connection(("127.0.0.1", seen.port), timeout=1).close()
        thread.join(6)
        listener.close()


def _accept(listener: socket.socket, answer: Callable[[bytes], bytes], deed: Deed, seen: Seen) -> None:
    while not seen.gone:
        try:
            connection, _ = listener.accept()
        except OSError:
            break
        with connection, suppress(OSError):
            connection.settimeout(5)
            _serve(connection, answer, deed, seen)
    listener.close()


def _serve(connection: socket.socket, answer: Callable[[bytes], bytes], deed: Deed, seen: Seen) -> None:
    while frame := connection.recv(260):
        seen.frames.append(frame)
        seen.requests.append(frame[7:])
        reply = answer(frame[7:])
        good = frame[:4] + (len(reply) + 1).to_bytes(2, "big") + frame[6:7] + reply
        pieces = deed(len(seen.requests), good)
        if pieces is None:
            seen.gone = True
            return
        for piece in pieces:
            connection.sendall(piece)


@contextmanager
def odd_serial_unit(answer: Callable[[bytes], bytes], deed: Deed) -> Iterator[tuple[str, Seen]]:
    """The same on a pseudo-terminal; pieces are serial frames, and None is silence for ever."""
    import os
    import pty
    import select
    import tty

    seen = Seen()
    ours, theirs = pty.openpty()
    tty.setraw(theirs)
    ended = threading.Event()

    def listen() -> None:
        while not ended.is_set():
            if not select.select([ours], [], [], 0.02)[0]:
                continue
            frame = os.read(ours, 260)
            seen.frames.append(frame)
            seen.requests.append(frame[1:-2])
            reply = frame[:1] + answer(frame[1:-2])
            pieces = None if seen.gone else deed(len(seen.requests), reply + crc(reply))
            seen.gone = pieces is None
            for piece in pieces or ():
                os.write(ours, piece)

    thread = threading.Thread(target=listen, daemon=True)
    thread.start()
    try:
        yield os.ttyname(theirs), seen
    finally:
        ended.set()
        thread.join()
        os.close(theirs)
        os.close(ours)


def after(seconds: float, piece: bytes) -> list[bytes]:
    time.sleep(seconds)
    return [piece]


def factory(name: str) -> ParameterSet:
    """A model's factory values as a set: no serial number, no counters."""
    model = demo_model(name)
    decoded = factory_set(model)
    return ParameterSet(model=name, values=decoded.values, not_read=decoded.not_read, native=decoded.native)


def nobody(done: int, total: int) -> None:
    """Watches progress for nobody."""
