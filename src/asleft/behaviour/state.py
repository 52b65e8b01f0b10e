"""The drive's memory between evaluations, and what can be seen from outside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from fractions import Fraction
from operator import attrgetter
from typing import Any, Final

from asleft.behaviour.config import DriveConfig
from asleft.behaviour.inputs import Inputs

OFF: Final = 0
DELAY: Final = 1
DC_FIRST: Final = 2
LIFT: Final = 3
START_HOLD: Final = 4
RUN: Final = 5
DEAD: Final = 6
STOP: Final = 7
QUICK: Final = 8
DC_STOP: Final = 9
APPLY: Final = 10

STOPPING: Final = frozenset({STOP, QUICK, DC_STOP, APPLY})
STATIONS: Final = ("off", "remote", "local", "both selected")

AWAKE: Final = 0
PARKED_BELOW: Final = 1
PARKED_SLEEP: Final = 2
PARKED_LOSS: Final = 3

HEALTHY: Final = 0
LOST: Final = 1
LATCHED: Final = 2
WAITS: Final = 3

ZERO: Final = Fraction(0)


@dataclass(slots=True)
class State:
    """Everything a drive remembers. Signed frequencies in Hz, times left in s; see the fields' comments."""

    powered: bool = True
    station: int = 1  # index into STATIONS
    cmd: int = 0  # direction the active station commands
    jogging: bool = False
    barred: int = 0  # 1 enable open, 2 coast, 4 quick stop
    key_latch: int = 0
    wire_latch: int = 0
    first: int = 0  # direction closed first, where both may close
    blocked: bool = False  # a standing signal is ignored until seen open
    run: int = 0  # direction accepted
    phase: int = OFF
    park: int = AWAKE  # why it rests although the run stands
    f: Fraction = ZERO
    aim: Fraction = ZERO
    side: int = 0  # inside a skip band: 1 came from below, 2 from above
    halt: str = ""  # how it last came to rest
    coasting: bool = False
    risk: bool = False  # started onto a shaft that may turn
    tripped: bool = False  # a fault or dip cut the output
    fault: str = ""
    torque_off: bool = False  # safe torque off is open
    warnings: frozenset[str] = frozenset()
    attempts: int = 0
    lost: tuple[int, int] = (HEALTHY, HEALTHY)
    bus: int = HEALTHY
    hold: Fraction | None = None
    bus_hold: Fraction | None = None
    good: Fraction | None = None  # last good reference, kept where it may be held
    before: Fraction | None = None  # the one before it
    kp_hz: Fraction = ZERO
    ud_hz: Fraction = ZERO
    ud_move: int = 0
    set_two: bool = False
    brake: bool = False  # lifted
    relays: tuple[bool, ...] = ()
    saved: tuple[int, int, int] = (1, 0, 0)  # station, run, latch before power loss
    s_from: Fraction | None = None  # where the present S-curve began
    s_aim: Fraction | None = None
    s_time: Fraction = ZERO
    watching: bool = False
    dip_coast: bool = False
    pend: tuple[tuple[tuple[int, ...], Fraction], ...] = ()  # contacts inside their filter, as they moved
    relay_left: tuple[Fraction | None, ...] = ()
    t_phase: Fraction | None = None
    t_lock: Fraction | None = None
    t_watch: Fraction | None = None
    t_retry: Fraction | None = None
    t_window: Fraction | None = None
    t_loss1: Fraction | None = None
    t_loss2: Fraction | None = None
    t_bus: Fraction | None = None
    t_dip: Fraction | None = None
    t_sleep: Fraction | None = None
    t_wake: Fraction | None = None
    t_good: Fraction | None = None
    cycling: bool = False

    def key(self) -> tuple[Any, ...]:
        """All fields, hashable: equal keys behave alike for ever."""
        return _KEY(self)


FIELDS: Final = tuple(f.name for f in fields(State))
TIMERS: Final = tuple(name for name in FIELDS if name.startswith("t_"))
_KEY = attrgetter(*FIELDS)


@dataclass(slots=True)
class Bench:
    """A drive on the bench during one evaluation: its configuration, its state, its inputs."""

    c: DriveConfig
    s: State
    x: Inputs
    changed: Mapping[int, Any] | None = None  # the inputs that changed just now, and what they were

    def on(self, function: str) -> bool:
        """Whether any terminal with this function acts: closed XOR "acts when open", after the filter."""
        for index, inverted in self.c.contacts.get(function, ()):
            raw = bool(self.x[index])
            if self.s.pend and any(index in moved for moved, _ in self.s.pend):
                raw = not raw
            if raw != inverted:
                return True
        return False

    def carried(self, function: str) -> bool:
        """Whether any terminal carries this function."""
        return function in self.c.contacts


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a person at the machine sees. Frequency in Hz, never signed; ``direction`` forward, reverse or "".

    ``output`` is the output stage; ``coasting``: the output is off and the shaft may be turning by itself.
    ``stop`` is how it came to rest: "", ramp, coast, quick ramp, dc. ``contacts`` are the relays' contacts.
    """

    frequency: Fraction
    direction: str
    output: bool
    coasting: bool
    stop: str
    station: str
    fault: str
    warnings: frozenset[str]
    relays: Mapping[str, bool]
    contacts: Mapping[str, bool]
    asleep: bool
    brake_lifted: bool
    onto_turning_shaft: bool
    cycling: bool

    @property
    def turning(self) -> bool:
        """Whether the drive turns the shaft."""
        return self.output and self.frequency > 0


def output_on(s: State) -> bool:
    """Whether the output stage is on."""
    return s.phase not in (OFF, DELAY)


def outcome_of(c: DriveConfig, s: State) -> Outcome:
    """The outcome of a state; it needs no inputs."""
    names = tuple(c.outputs.relays)
    shown = dict(zip(names, s.relays, strict=True))
    way = s.f or (s.aim if output_on(s) else 0)
    return Outcome(
        frequency=abs(s.f),
        direction="" if not way else "forward" if way > 0 else "reverse",
        output=output_on(s),
        coasting=s.coasting,
        stop=s.halt,
        station=STATIONS[s.station] if s.powered else "no power",
        fault=s.fault,
        warnings=s.warnings,
        relays=shown,
        contacts={n: s.powered and (shown[n] != c.outputs.relays[n].inverted) for n in names},
        asleep=s.park == PARKED_SLEEP,
        brake_lifted=s.brake,
        onto_turning_shaft=s.risk,
        cycling=s.cycling,
    )
