"""From a drive to its functional test sheet: every step predicted, or the reason why not."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any, Final

from asleft.behaviour import Drive, coverage_of
from asleft.behaviour.scenario import CannotBeShown
from asleft.behaviour.unread import unread_that_count, values_of, with_value
from asleft.explain import capital
from asleft.prove.sheet import Caution, Draft, Sheet, Step
from asleft.prove.stage import NAMES, Stage
from asleft.prove.steps import SUBJECTS, process
from asleft.prove.tolerance import tolerance, written
from asleft.prove.trial import Recipe, Seen, carry_out
from asleft.record import Asset, Value
from asleft.vocabulary import vocabulary

START: Final = "start_stop.start_frequency_hz"
PARTS: Final = (
    "mechanical_brake.control",
    "process.pid_mode",
    "process.sleep_mode",
    "protection.motor_sensor_type",
)
"""Settings that bring steps of their own onto the sheet."""

SMALL_START_HZ: Final = Decimal("0.5")
"""A start frequency up to this is taken as 0: times are told from 0 Hz, as ramps are set, and the jump takes
at most half the tolerance off any ramp to 20 Hz or more."""


def drive_of(values: Mapping[str, Value], options: Mapping[str, str], not_read: Mapping[str, str]) -> Drive:
    """The drive a sheet is made for. Raises SettingFault or UnknownOption."""
    start = values.get(START)
    if isinstance(start, Decimal) and start <= SMALL_START_HZ:
        values = {**values, START: Decimal(0)}
    return Drive.of(values, options, not_read)


def make_sheet(drive: Drive, asset: Asset | None = None) -> Sheet:
    """The whole sheet of a drive, numbered from 1. The same drive gives the same sheet."""
    stage = Stage(drive, asset)
    inputs = drive.idle()
    open_ones = _unread_variants(drive)
    drafts = [draft for subject in SUBJECTS for draft in subject(stage)]
    steps = tuple(_step(n, draft, stage, inputs, open_ones) for n, draft in enumerate(drafts, 1))
    return Sheet(
        steps, tuple(_left_out(stage, drafts)), tuple(_notes(stage)), coverage_of(drive), tuple(inputs)
    )


def _step(
    number: int, draft: Draft, stage: Stage, inputs: list[Any], open_ones: Mapping[str, list[Drive]]
) -> Step:
    recipe = Recipe(draft.start.lines, draft.acts, draft.measure, draft.of)
    seen, cannot = None, draft.cannot
    try:
        seen = carry_out(stage.drive, recipe, inputs)
    except CannotBeShown as reason:
        cannot = str(reason)
    cannot = cannot or _hangs_on(recipe, seen, inputs, open_ones)
    step = Step(
        number=number,
        id=draft.id,
        topic=draft.topic,
        start=draft.start.words,
        words=draft.words,
        load=draft.load,
        supply=draft.supply,
        value=None,
        unit=draft.unit,
        tolerance=None,
        says="",
        caution=_caution(seen),
        again=draft.again,
        recipe=None if cannot else recipe,
        at=draft.at,
        cannot=cannot,
        note=draft.note,
        hangs=stage.hangs and (seen is None or seen.turned or seen.by_itself),
    )
    return step if cannot or seen is None else predicted(step, seen)


def predicted(step: Step, seen: Seen) -> Step:
    """The step with what was seen of it as its prediction."""
    if seen.value is None:
        return replace(step, says=seen.words, unit="", value=None, tolerance=None)
    value = written(seen.value, seen.unit)
    return replace(step, says=seen.words, unit=seen.unit, value=value, tolerance=tolerance(value, seen.unit))


def _caution(seen: Seen | None) -> Caution:
    if seen is None:
        return "may turn"
    return "starts by itself" if seen.by_itself else "turns" if seen.turned else "may turn"


def _unread_variants(drive: Drive) -> Mapping[str, list[Drive]]:
    """For each entry that counts and was not read, the drive with each of its choices."""
    return {key: _variants(drive, key) for key in sorted(unread_that_count(drive))}


def _variants(drive: Drive, key: str) -> list[Drive]:
    row = vocabulary()[key]
    values: tuple[Value, ...] = values_of(key)
    if row.is_number:
        values = tuple(v for v in (row.low, row.high, row.step) if v is not None)
    return [variant for value in values if (variant := _with(drive, key, value)) is not None]


def _with(drive: Drive, key: str, value: Value) -> Drive | None:
    from asleft.behaviour import SettingFault

    try:
        return with_value(drive, key, value)
    except (SettingFault, ArithmeticError):
        return None


def _hangs_on(
    recipe: Recipe, seen: Seen | None, inputs: list[Any], open_ones: Mapping[str, list[Drive]]
) -> str:
    """Which unread entries decide what a step gives; "" for none."""
    keys = [
        key
        for key, variants in open_ones.items()
        if any(_differs(variant, recipe, seen, inputs) for variant in variants)
    ]
    if not keys:
        return ""
    names = " and ".join(vocabulary()[key].label for key in keys)
    return f"it hangs on what was not read: {names}"


def _differs(variant: Drive, recipe: Recipe, seen: Seen | None, inputs: list[Any]) -> bool:
    try:
        other = carry_out(variant, recipe, inputs)
    except CannotBeShown:
        return True
    return seen is None or (other.value, other.words) != (seen.value, seen.words)


def _left_out(stage: Stage, drafts: Sequence[Draft]) -> Iterator[str]:
    """What the sheet does not try, and why."""
    for station, why in stage.silent.items():
        yield f"Running in {NAMES[station]}: {why}."
    for station, name in NAMES.items():
        if station not in stage.stations:
            yield f"{name.capitalize()} station: nothing in this set leads to it."
    fixed = [s for s in stage.runs if stage.config.stations.reference[s] == "preset"]
    if fixed:
        hz = stage.config.reference.presets[0]
        low, high = stage.config.limits.minimum, stage.config.limits.maximum
        yield (
            f"Minimum {written(low, 'Hz')} Hz and maximum {written(high, 'Hz')} Hz in "
            f"{' and '.join(NAMES[s] for s in fixed)}: the speed there is preset 1, {written(hz, 'Hz')} Hz, "
            "and no other can be asked for."
        )
    yield (
        "Overload, stall, underload, overvoltage, earth fault, phase loss: they hang on the load or the "
        "supply and are not provoked on purpose."
    )
    if stage.config.faults.attempts:
        yield (
            f"Automatic resets ({stage.config.faults.attempts}) after faults that no step here brings about: "
            "they are not tried."
        )
    yield from _parts_left_out(stage, {draft.topic for draft in drafts})


def _parts_left_out(stage: Stage, topics: Collection[str]) -> Iterator[str]:
    """What the set switches on, or may switch on, without bringing its steps."""
    config = stage.config
    if config.brake.on and all(r.function != "brake_release" for r in config.outputs.relays.values()):
        yield "The mechanical brake is on, and no output releases it: look what lifts it."
    if config.sleep.controller and process.TOPIC not in topics:
        yield "Process controller: it is on, and no station in which the motor runs takes its speed from it."
    if config.sleep.sleep and process.SLEEP not in topics:
        yield "Sleep and wake: it is on, and no station in which the motor runs leads to it."
    for key in PARTS:
        if key in stage.drive.not_read:
            yield f"{capital(vocabulary()[key].label)} was not read: whether it has steps cannot be told."


def _notes(stage: Stage) -> Iterator[str]:
    yield (
        "Accelerating and stopping times hold where no torque limit, current limit or overvoltage hold "
        "stretches the ramp."
    )
    if stage.hangs:
        yield (
            "A load may hang on this shaft: first without a load, then a small one, then the rated one; "
            "nobody below; know beforehand how it is let down by hand."
        )
    if any(source == "pid" for source in stage.config.stations.reference):
        yield (
            "Where a measured value is named, a signal source stands in for the transmitter; the process "
            "must bear the speed."
        )
    if stage.drive.config.stop.lockout:
        yield (
            f"After every stop, wait {written(stage.drive.config.stop.lockout, 's')} s (restart lockout) and "
            "until the shaft stands before the next step."
        )


def small_start(values: Mapping[str, Value]) -> str:
    """What the start frequency takes off the times, in words; "" for nothing."""
    start = values.get(START)
    if not isinstance(start, Decimal) or not 0 < start <= SMALL_START_HZ:
        return ""
    return f"Times are told from 0 Hz: the start frequency of {start} Hz makes them a little shorter."
