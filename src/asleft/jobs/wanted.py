"""KEY=VALUE as a person types it, for one drive: a neutral key or a native id, and what to show there."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from asleft.compare import Side
from asleft.files.entry import split_number, typed_value
from asleft.files.value import did_you_mean
from asleft.intake.keypad.typed import displayed_of
from asleft.models import CannotEnter, CannotTell, Entry, Model, Native, decode, encode_one, outside
from asleft.record import Fault, Refused, Value, shown
from asleft.replace.limits import broken
from asleft.replace.plan import shown_by
from asleft.replace.standing import Standing, bounds_of
from asleft.vocabulary import vocabulary

_NEVER = {
    "identity": "it names the unit",
    "counter": "the drive counts it",
    "action": "entering it does something at once, and is no setting",
    "tuned": "it is measured by an identification run, never entered",
    "slot": "it describes the place and is never entered: see asleft asset set",
}


@dataclass(frozen=True, slots=True)
class Changed:
    """What is wanted: neutral values by key, displayed ones by native id, remarks on rounding."""

    values: Mapping[str, Value]
    displayed: Mapping[str, str]
    notes: tuple[str, ...] = ()


@dataclass
class _Books:
    entries: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def pairs_of(words: Sequence[str]) -> list[tuple[str, str]]:
    """Each KEY=VALUE apart. Raises ``Refused`` for what is none, and for a name given twice."""
    faults: list[Fault] = []
    found: list[tuple[str, str]] = []
    for word in words:
        name, equals, text = word.partition("=")
        if not equals or not name.strip() or not text.strip():
            faults.append(
                Fault(f"{word!r} is not KEY=VALUE.", "Write ramps.decel_time_1_s=15, or 3610sub2=15.")
            )
        elif name.strip() in dict(found):
            faults.append(Fault(f"{name.strip()} is given twice.", "Say once what it is to be."))
        found.append((name.strip(), text.strip()))
    if faults:
        raise Refused(faults)
    return found


def changed(pairs: Iterable[tuple[str, str]], base: Side, model: Model) -> Changed:
    """What the pairs ask of a drive that holds ``base``. Raises ``Refused`` with every one it cannot hold."""
    books, wanted = _Books(), dict[str, Value]()
    now = shown_by(base, model)
    poles = str(base.values.get("motor.pole_count", ""))
    for name, text in pairs:
        _one(name, text, base, model, books, wanted, int(poles) if poles.isdecimal() else None)
    known = {**base.values, **model.fixed, **wanted}
    books.faults += _twice(wanted, model, books.entries)
    for key in wanted:
        for native in model.by_key[key]:
            _enter(native, known, key, books)
    after = Standing(model, {**now, **books.entries})
    books.faults += _beyond(Standing(model, now), after, model, books.entries)
    if books.faults:
        raise Refused(books.faults)
    return _settled(model, after, books)


def _one(
    name: str, text: str, base: Side, model: Model, books: _Books, wanted: dict[str, Value], poles: int | None
) -> None:
    try:
        if name in vocabulary():
            _refuse_key(name, model)
            wanted[name] = typed_value(vocabulary()[name], text, poles)
            _refuse_between(name, text, wanted[name], model)
        elif name in model.natives:
            native = model.natives[name]
            _refuse_native(native)
            books.entries[name] = _displayed(native, text, lambda: {**base.values, **model.fixed})
        else:
            near = did_you_mean(name, [*vocabulary(), *model.natives])
            books.faults.append(Fault(f"{name} is no known key, and no entry of {model.title}.", near))
    except ValueError as problem:
        said = str(problem)
        books.faults.append(Fault(said, "", "" if said.startswith(name) else name))


def _refuse_key(key: str, model: Model) -> None:
    """Raise ``ValueError`` where a key cannot be entered on this drive at all."""
    label = vocabulary()[key].label
    if vocabulary()[key].class_ in _NEVER:
        raise ValueError(f"{label} cannot be planned: {_NEVER[vocabulary()[key].class_]}.")
    if key in model.fixed:
        fixed = shown(model.fixed[key], vocabulary()[key].unit)
        raise ValueError(f"{label} cannot be planned: this drive holds it fixed at {fixed}.")
    if key not in model.by_key:
        reason = model.absent.get(key, "this drive has no such parameter")
        raise ValueError(f"{label} cannot be planned: {reason}.")
    for native in model.by_key[key]:
        _refuse_native(native)


def _refuse_native(native: Native) -> None:
    if native.secret:
        raise ValueError(f"{native.text}: a code is entered by the person who holds it, and never planned.")
    classes = {vocabulary()[key].class_ for key in native.keys}
    why = next((_NEVER[name] for name in classes if name in _NEVER), "")
    if native.read_only or why:
        raise ValueError(f"{native.text} cannot be planned: {why or 'the drive only shows it'}.")


def _refuse_between(key: str, text: str, value: Value, model: Model) -> None:
    """Raise ``ValueError`` for a number typed in the drive's own unit that lies between two steps."""
    native = model.by_key[key][0]
    parts = split_number(text)
    plain = parts is not None and parts[1] in ("", native.unit) and native.unit == vocabulary()[key].unit
    between = isinstance(value, Decimal) and native.step is not None and value % native.step != 0
    if plain and native.form == "number" and between:
        steps = f"{native.step} {native.unit}".rstrip()
        raise ValueError(f"{native.text} shows steps of {steps}, and {value} is none.")


def _displayed(native: Native, text: str, values: Callable[[], Mapping[str, Value]]) -> str:
    found = displayed_of(native, text, values)
    if problem := outside(native, found):
        raise ValueError(f"{native.text} cannot be {found} {native.unit}".rstrip() + f": {problem}.")
    return found


def _twice(wanted: Iterable[str], model: Model, by_id: Iterable[str]) -> list[Fault]:
    """Entries asked for by their id and by a key they carry."""
    given = set(by_id)
    return [
        Fault(f"{native.id} {native.text} is given twice, as {native.id} and as {key}.", "Say it once.")
        for key in wanted
        for native in model.by_key[key]
        if native.id in given
    ]


def _enter(native: Native, known: Mapping[str, Value], key: str, books: _Books) -> None:
    try:
        entry = encode_one(native, known)
    except (CannotEnter, CannotTell) as reason:
        books.faults.append(Fault(f"{vocabulary()[key].label} cannot be entered: {reason}.", "", key))
        return
    books.entries[native.id] = entry.displayed
    if entry.error:
        books.notes.append(_rounding(entry, known[key], key))


def _rounding(entry: Entry, wanted: Value, key: str) -> str:
    unit = vocabulary()[key].unit
    return f"{entry.native.text} takes {entry.words}, the step nearest to {shown(wanted, unit)}."


def _beyond(before: Standing, after: Standing, model: Model, entries: Iterable[str]) -> Iterable[Fault]:
    """Values that would pass their limit, unless they pass it already."""
    keys = [key for native_id in entries for key in model.natives[native_id].keys]
    for bound in dict.fromkeys(bound for key in keys for bound in bounds_of(key)):
        if broken(after, bound) and not broken(before, bound):
            low, high = vocabulary()[bound.low], vocabulary()[bound.high]
            yield Fault(
                f"{low.label} at {shown(after[bound.low], low.unit)} would pass {high.label} at "
                f"{shown(after[bound.high], high.unit)}.",
                "Plan both, or another value.",
            )


def _settled(model: Model, after: Standing, books: _Books) -> Changed:
    """The values as the drive will show them."""
    keys = {key for native_id in books.entries for key in model.natives[native_id].keys}
    decoded = decode(model, after.displayed, "not known")
    values = {key: decoded.values[key] for key in vocabulary() if key in keys and key in decoded.values}
    return Changed(values, books.entries, tuple(books.notes))
