"""The steps of a functional test by subject, in the order in which they are done."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from asleft.prove.sheet import Draft
from asleft.prove.stage import Stage
from asleft.prove.steps import brake, loss, output, process, ramp, reference, sensor, station, supply, trip

Subject = Callable[[Stage], Iterator[Draft]]

SUBJECTS: Final[tuple[Subject, ...]] = (
    station.stations,
    brake.sequence,
    brake.losses,
    brake.feedback,
    station.change_over,
    reference.analog,
    reference.other_sources,
    reference.presets_and_jog,
    reference.skip_bands,
    ramp.working_points,
    ramp.contacts,
    ramp.waits,
    process.controller,
    process.signals,
    process.switched_off,
    process.sleep,
    loss.enable,
    loss.signals,
    loss.links,
    loss.torque,
    trip.inputs,
    sensor.sensor,
    supply.off_and_back,
    supply.dip,
    output.relays,
    output.analog,
    output.current,
)
