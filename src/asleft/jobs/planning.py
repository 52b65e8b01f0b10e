"""A planned set: what is to stand in a drive, the entries that bring it there, and the way back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import chain

from asleft.compare import Comparison, Side, compare
from asleft.explain import Explained, explain
from asleft.explain.explained import tell
from asleft.files.sets import write_set
from asleft.jobs.naming import Inputs, Named, resolve
from asleft.jobs.record import Record
from asleft.jobs.temporary import temporary, words
from asleft.jobs.wanted import changed
from asleft.jobs.who import Who
from asleft.models import Model
from asleft.record import Fault, ParameterSet, Reading, Refused
from asleft.replace import PutRight, put_right
from asleft.vocabulary import vocabulary

OCCASION = "change"
_CODES = ("access.pin_state", "access.wireless_pin_state")
BASES = ("left", "factory", "planned")


@dataclass(frozen=True, slots=True)
class Planned:
    """The answer to ``plan``. ``base`` is what the list starts from, ``told`` what is to change of it.

    ``entries`` brings the drive to the plan, ``undo`` brings it back; ``undo`` is None where the start is
    factory values. ``commit`` is None on a dry run, where the record holds the plan already, and where it
    was only looked at.
    """

    asset: str
    set: ParameterSet
    base: Named
    told: tuple[Explained, ...]
    entries: PutRight
    undo: PutRight | None
    notes: tuple[str, ...] = ()
    commit: str | None = None
    dry_run: bool = False
    looked: bool = False

    @property
    def until(self) -> str:
        """The last day of a temporary change; empty where it is to stay."""
        return self.set.reading.until if self.set.reading else ""


def base_of(inputs: Inputs, tag: str, start: str) -> tuple[Named, Model]:
    """The set a plan starts from, with its model. Raises ``Refused`` where there is none of the two."""
    if start not in BASES:
        raise Refused(Fault(f"a plan starts from {', '.join(BASES)} or keypad, not {start!r}.", ""))
    named = resolve(f"{tag}@{start}", inputs)
    if named.side.model is None:
        raise Refused(
            Fault(
                f"{named.words} names no drive model, so what can be entered is not known.",
                "Plan from factory values: --from factory",
            )
        )
    return named, named.side.model


def plan(
    record: Record,
    base: Named,
    model: Model,
    pairs: Sequence[tuple[str, str]],
    who: Who,
    *,
    until: str = "",
    how: str = "typed",
    dry_run: bool = False,
) -> Planned:
    """Plan values over ``base`` and record the whole set. Raises ``Refused`` with every reason why not."""
    assert base.asset is not None
    refuse_bad_end(until, who)
    wanted = changed(pairs, base.side, model)
    reading = Reading("planned", who.at, who.by, how, OCCASION, who.reason, who.work_order, until=until)
    native = {id_: text for id_, text in wanted.displayed.items() if not model.natives[id_].keys}
    parameters = replace(
        base.set.with_values(wanted.values),
        asset=base.asset.tag,
        reading=reading,
        native={**base.set.native, **native},
    )
    answer = _answer(parameters, base, model, wanted.notes)
    _refuse_undecided(answer, wanted.values.keys())
    commit = None if dry_run else _write(record, parameters, reading, who)
    return replace(answer, commit=commit, dry_run=dry_run)


def look(inputs: Inputs, tag: str, against: str, on: date) -> Planned:
    """The plan as recorded, against as-left or factory values; ``on`` judges whether it is overdue.

    Raises ``Refused`` where there is none.
    """
    assert inputs.record is not None
    if not inputs.record.series(tag, "planned"):
        raise Refused(Fault(f"nothing is planned for {tag}.", f"Plan it: asleft plan {tag} KEY=VALUE"))
    planned = resolve(f"{tag}@planned", inputs)
    base, model = base_of(inputs, tag, against)
    became = tuple(words(one) for one in temporary(inputs.record, [tag], on))
    answer = _answer(planned.set, base, model, ())
    return replace(answer, looked=True, notes=(*became, *answer.notes))


def refuse_bad_end(until: str, who: Who) -> None:
    """Raise ``Refused`` for an end that is no date, is over, or has no reason; an empty one is none."""
    if not until:
        return
    try:
        last = date.fromisoformat(until)
    except ValueError:
        raise Refused(Fault(f"{until!r} is no date.", "Write 2026-10-01.", "--until")) from None
    if last < who.at.date():
        raise Refused(Fault(f"{until} is over before the plan is made.", "Name a later day.", "--until"))
    if not who.reason.strip():
        raise Refused(
            Fault("a temporary change needs a reason: the next person asks for it.", "Say --reason TEXT.")
        )


def _answer(parameters: ParameterSet, base: Named, model: Model, notes: tuple[str, ...]) -> Planned:
    assert base.asset is not None
    new = Side(parameters, model)
    comparison = compare(base.side, new)
    others = (change for changes in comparison.other_classes.values() for change in changes)
    told = (*explain(comparison, base.side, new, base.asset), *tell(tuple(others)))
    undo = None if base.recorded is None else put_right(base.side, new, base.asset)
    entries = put_right(new, base.side, base.asset)
    notes = (*notes, *_by_hand(comparison))
    return Planned(base.asset.tag, parameters, base, told, entries, undo, notes)


def _by_hand(comparison: Comparison) -> Iterator[str]:
    """What the plan differs in and no entry of the list brings about."""
    changes = {one.key: one.new for one in (*comparison.changes, *chain(*comparison.other_classes.values()))}
    if any(changes.get(key) == "set" for key in _CODES):
        yield "A code is to be set: the person who holds it enters it before the lock is closed."
    if any(vocabulary()[key].class_ == "tuned" for key in changes):
        yield "Measured motor values differ: they come from an identification run, which may turn the shaft."


def _refuse_undecided(answer: Planned, keys: object) -> None:
    """What the list cannot reach is no plan."""
    faults = [
        Fault(f"{one.key}: {one.reason}.", one.remedy, one.key)
        for one in answer.entries.decide
        if one.key in keys  # type: ignore[operator]
    ]
    if faults:
        raise Refused(faults)


def _write(record: Record, parameters: ParameterSet, reading: Reading, who: Who) -> str | None:
    tag = parameters.asset
    ends = f", until {reading.until}" if reading.until else ""
    return record.store.write(
        {f"assets/{tag}/planned.toml": write_set(parameters), **record.unrecorded_model(parameters.model)},
        f"{tag} planned{ends}",
        who.trailers(tag, "planned", OCCASION),
        author_name=who.by,
        author_email=who.email,
        author_at=who.at,
        committed_at=who.now,
    )
