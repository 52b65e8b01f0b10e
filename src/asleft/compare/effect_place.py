"""What stands around a set and changes what it does: region, links, address, firmware, rotation."""

from __future__ import annotations

from asleft.compare.changes import Comparison
from asleft.compare.effect import Verdict
from asleft.compare.sides import Side
from asleft.vocabulary import vocabulary

REGION = "supply.frequency_region_hz"
MOST_NAMED = 5


def _differs(comparison: Comparison, key: str) -> bool:
    listed = (*comparison.changes, *(c for found in comparison.other_classes.values() for c in found))
    return any(change.key == key for change in listed)


def region(old: Side, new: Side, comparison: Comparison) -> Verdict:
    """Copied values can stand on the other region's factory values."""
    if not _differs(comparison, REGION):
        return Verdict()
    unread = [entry.key for entry in comparison.not_read if entry.side in ("new", "both")]
    said = "Choosing it resets other entries: read the whole unit back."
    if unread:
        names = ", ".join(vocabulary()[key].label for key in unread[:MOST_NAMED])
        more = f" and {len(unread) - MOST_NAMED} more" if len(unread) > MOST_NAMED else ""
        said = f"What was not read stands at the other region's factory value: {names}{more}."
    return Verdict(notes={REGION: said})


def links(old: Side, new: Side, comparison: Comparison) -> Verdict:
    """The same volts and amps mean another motor once its links are changed."""
    key = "motor.connection"
    if not _differs(comparison, key) or _differs(comparison, "motor.rated_voltage_v"):
        return Verdict()
    said = (
        "The motor is linked otherwise and its data stand as before: star against delta is 1.73 times in "
        "volts and amps. Look in the terminal box."
    )
    return Verdict(notes={key: said})


def identification(old: Side, new: Side, comparison: Comparison) -> Verdict:
    """The same settings act otherwise on a unit that has not measured its motor."""
    key = "tuned.identification_state"
    before, after = old.values.get(key), new.values.get(key)
    if before == after or after is None or after == "done":
        return Verdict()
    said = "The settings can be the same and still act otherwise: this unit has not measured its motor."
    return Verdict(notes={key: said})


def addresses(old: Side, new: Side, comparison: Comparison) -> Verdict:
    """Two drives that answer to one address both drop out."""
    if not old.set.asset or not new.set.asset or old.set.asset == new.set.asset:
        return Verdict()
    notes = {}
    for key in ("comms.node_address", "comms.network_address"):
        before, after = old.values.get(key), new.values.get(key)
        if before is not None and before == after and after not in ("", "0.0.0.0"):
            both = f"{old.set.asset} and {new.set.asset} have the same {vocabulary()[key].label}"
            notes[key] = f"{both}, {after}: on one bus both drop out."
    return Verdict(notes=notes)


def rotation(old: Side, new: Side, comparison: Comparison) -> Verdict:
    """A swap in the drive is only right with the cable it was made for."""
    key = "limits.output_phase_order"
    if "swapped" not in (old.values.get(key), new.values.get(key)):
        return Verdict()
    return Verdict(
        notes={
            key: "The drive swaps its output phases: right only with the cable as it was. Prove the rotation."
        }
    )


def input_logic(old: Side, new: Side, comparison: Comparison) -> Verdict:
    """The same functions on inputs supplied the other way read every contact otherwise."""
    key = "digital_inputs.di_supply_logic"
    if not _differs(comparison, key):
        return Verdict()
    return Verdict(
        notes={key: "Every digital input is concerned, whatever its function: check the wiring of all."}
    )


def firmware(old: Side, new: Side, comparison: Comparison) -> Verdict:
    """The same set on other firmware or another model can start and stop otherwise."""
    notes = {}
    before, after = old.set.firmware, new.set.firmware
    if old.set.model == new.set.model and before and after and before != after:
        notes["drive.firmware_version"] = (
            f"Firmware {before} before, {after} now: the same settings can act otherwise. "
            "Compare the behaviour."
        )
    if told := _options(old, new):
        notes["drive.model"] = f"The models themselves act otherwise: {'; '.join(told)}."
    return Verdict(notes=notes)


def _options(old: Side, new: Side) -> list[str]:
    """Behaviour options that differ and that neither side holds as a setting."""
    if old.model is None or new.model is None or old.model.behaviour == new.model.behaviour:
        return []
    from asleft.models.behaviour_options import behaviour_options

    told = []
    for name, option in behaviour_options().items():
        before, after = (model.behaviour.get(name, option.default) for model in (old.model, new.model))
        held = option.key is not None and option.key in old.values and option.key in new.values
        if before != after and not held and option.concerns == "running":
            told.append(f"{option.meaning.rstrip('.')}: {_plain(before)} before, {_plain(after)} now")
    return told


def _plain(choice: str) -> str:
    return choice.replace("_", " ")
