"""A further record that corrects a wrong one. The wrong one stays in the history, marked by the new one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from asleft.compare import Side, compare
from asleft.explain import Explained, explain
from asleft.explain.explained import tell
from asleft.files.entry import typed_value
from asleft.files.sets import write_set
from asleft.files.value import did_you_mean
from asleft.intake import Taken
from asleft.intake.keypad.rows import SECRET_STATES
from asleft.intake.keypad.typed import code_state, displayed_of
from asleft.jobs.naming import SERIES, words_of
from asleft.jobs.record import Record, Recorded
from asleft.jobs.who import Who
from asleft.models import CannotEnter, CannotTell, Model, decode, encode_one
from asleft.record import Asset, Fault, ParameterSet, Refused, Value, same_value, shown
from asleft.record.tags import parse_set_name
from asleft.replace.plan import shown_by
from asleft.vocabulary import vocabulary


@dataclass(frozen=True, slots=True)
class Correction:
    """The answer to ``correct``: the reading as it stood, as it stands now, and what differs."""

    asset: str
    wrong: Recorded
    set: ParameterSet
    told: tuple[Explained, ...]
    not_read: tuple[str, ...]
    commit: str | None
    dry_run: bool


def wrong_reading(record: Record, name: str) -> Recorded:
    """The reading to correct: the newest of its kind. Raises ``Refused``."""
    parsed = parse_set_name(name)
    asset = record.asset(parsed.tag) if parsed.tag else None
    kind = SERIES.get(parsed.point, "")
    if asset is None or kind not in ("as_left", "as_found"):
        raise Refused(
            Fault(
                f"{name} names no reading to correct.",
                "Write TAG for its as-left, TAG@found for its as-found.",
            )
        )
    series = record.series(asset.tag, kind)
    if not series:
        raise Refused(
            Fault(f"{asset.tag} has no {kind.replace('_', ' ')} reading.", f"See: asleft history {asset.tag}")
        )
    if parsed.back:
        raise Refused(
            Fault(
                f"{name} is not the newest: {words_of(series[-1])} stands after it.",
                "Only the newest reading of a kind is corrected; an older one stays as history.",
            )
        )
    return series[-1]


def corrected_values(
    wrong: Recorded, model: Model | None, pairs: Sequence[tuple[str, str]], unread: Sequence[tuple[str, str]]
) -> ParameterSet:
    """The set with values corrected, and keys nobody read taken out with the reason. Raises ``Refused``."""
    values: dict[str, Value] = {}
    displayed: dict[str, str] = {}
    faults = []
    for name, text in pairs:
        try:
            if name in vocabulary():
                values[name] = _neutral(name, text, _poles(wrong.set))
            else:
                displayed[name] = _displayed(name, text, wrong, model)
        except ValueError as problem:
            said = str(problem)
            faults.append(Fault(said, "", "" if said.startswith(name) else name))
    faults += [
        Fault(f"{key} stands in no reading.", did_you_mean(key, wrong.set.values), key)
        for key, _ in unread
        if key not in wrong.set.values
    ]
    if faults:
        raise Refused(faults)
    values = _as_shown(wrong, model, values) | _decoded(wrong, model, displayed)
    corrected = wrong.set.with_values(values)
    reasons = dict(unread)
    kept = {key: value for key, value in corrected.values.items() if key not in reasons}
    native = {id_: text for id_, text in displayed.items() if model and not model.natives[id_].keys}
    return replace(
        corrected,
        values=kept,
        not_read={**corrected.not_read, **reasons},
        native={**corrected.native, **native},
    )


def _neutral(key: str, text: str, poles: int | None) -> Value:
    """The value a person means. What was typed for a code is not repeated in the message."""
    parameter = vocabulary()[key]
    if set(SECRET_STATES) == set(parameter.choices):
        return code_state(text)
    return typed_value(parameter, text, poles)


def _as_shown(wrong: Recorded, model: Model | None, values: Mapping[str, Value]) -> dict[str, Value]:
    """Numbers with the digits the drive shows them in: 14 typed for what it shows as 14.0. One that it cannot
    show stays as typed."""
    found = dict(values)
    known = {**wrong.set.values, **(model.fixed if model else {}), **values}
    for key in values:
        for native in model.by_key.get(key, ()) if model and isinstance(values[key], Decimal) else ():
            try:
                displayed = encode_one(native, known).displayed
            except (CannotEnter, CannotTell):
                continue
            given = replace(wrong, set=wrong.set.with_values(values))
            read = _decoded(given, model, {native.id: displayed}).get(key, values[key])
            found[key] = read if same_value(read, values[key]) else values[key]
    return found


def _poles(parameters: ParameterSet) -> int | None:
    poles = str(parameters.values.get("motor.pole_count", ""))
    return int(poles) if poles.isdecimal() else None


def _displayed(name: str, text: str, wrong: Recorded, model: Model | None) -> str:
    if model is None or name not in model.natives:
        known = [*vocabulary(), *(model.natives if model else ())]
        raise ValueError(f"{name} is no known key or id. {did_you_mean(name, known)}".rstrip())
    return displayed_of(model.natives[name], text, lambda: {**wrong.set.values, **model.fixed})


def _decoded(wrong: Recorded, model: Model | None, displayed: Mapping[str, str]) -> dict[str, Value]:
    if model is None or not displayed:
        return {}
    shown_now = shown_by(Side(wrong.set, model), model)
    decoded = decode(model, {**shown_now, **displayed}, "not known")
    keys = [key for native_id in displayed for key in model.natives[native_id].keys]
    return {key: decoded.values[key] for key in keys if key in decoded.values}


def corrected_by(wrong: Recorded, taken: Taken) -> ParameterSet:
    """The set as read from a source, in the place of the wrong one."""
    return replace(taken.set, asset=wrong.set.asset)


def correct(
    record: Record, wrong: Recorded, corrected: ParameterSet, who: Who, dry_run: bool = False
) -> Correction:
    """Record ``corrected`` in the place of ``wrong``: same kind and time of reading, same reader.

    Raises ``Refused`` without a reason, or where nothing differs.
    """
    if not who.reason.strip():
        raise Refused(
            Fault("a correction needs a reason: the next reader asks for it.", "Say --reason TEXT.")
        )
    asset = record.asset(wrong.set.asset)
    reading = replace(
        wrong.reading,
        reason=f"corrected: {who.reason}",
        work_order=who.work_order or wrong.reading.work_order,
    )
    parameters = replace(corrected, asset=asset.tag, reading=reading)
    if replace(parameters, reading=None) == replace(wrong.set, reading=None):
        raise Refused(Fault(f"{words_of(wrong)} says just that already.", "There is nothing to correct."))
    told = _told(record, wrong, parameters, asset)
    lost = tuple(sorted(wrong.set.values.keys() - parameters.values.keys(), key=vocabulary().order))
    commit = None if dry_run else _write(record, wrong, parameters, who)
    return Correction(asset.tag, wrong, parameters, told, lost, commit, dry_run)


def _told(record: Record, wrong: Recorded, parameters: ParameterSet, asset: Asset) -> tuple[Explained, ...]:
    old = Side(wrong.set, record.model_of(wrong.set))
    new = Side(parameters, record.model_of(parameters))
    comparison = compare(old, new)
    others = tuple(change for changes in comparison.other_classes.values() for change in changes)
    return (*explain(comparison, old, new, asset), *tell(others))


def _write(record: Record, wrong: Recorded, parameters: ParameterSet, who: Who) -> str | None:
    kind, tag = wrong.reading.kind, parameters.asset
    path = f"assets/{tag}/{kind}.toml"
    return record.store.write(
        {path: write_set(parameters), **record.unrecorded_model(parameters.model)},
        f"{tag} {kind.replace('_', ' ')}, corrected",
        who.trailers(tag, kind.replace("_", "-"), wrong.reading.occasion, wrong.commit),
        author_name=who.by,
        author_email=who.email,
        author_at=who.at,
        committed_at=who.now,
        expect={path: wrong.blob},
    )


def unread_words(result: Correction) -> list[str]:
    """What was recorded and nobody read, with what stood there."""
    found = []
    for key in result.not_read:
        parameter = vocabulary()[key]
        stood = shown(result.wrong.set.values[key], parameter.unit)
        found.append(f"{parameter.label}: {stood} was recorded and is no longer taken as read.")
    return found
