"""A record brought to another unit: a row for each entry, and what the unit has to show for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from asleft.compare import Side
from asleft.compare.ramp_reference import KEY as RAMP_REFERENCE
from asleft.compare.ramp_reference import TIMES, ramp_reference
from asleft.models.behaviour_options import behaviour_options
from asleft.models.forms import CannotEnter, CannotTell
from asleft.models.model import Model
from asleft.models.translate import Entry, encode_one
from asleft.record import Asset, Value, shown
from asleft.replace.decisions import decision, decision_of_native
from asleft.replace.ledger import Books, LedgerRow
from asleft.replace.sums import band_error, error_words, plain, short, sum_words
from asleft.vocabulary import Parameter, vocabulary

NOT_COPIED = {
    "identity": "it names the old unit",
    "counter": "it counts the old unit's life",
    "operating": "it moves every day and is no setting",
    "action": "entering it does something; what it did is entered one by one",
}
NOTHING = frozenset(
    {"off", "none", "no", "ignored", "not_set", "normal", "acts_when_closed", "energised_when_true"}
)
"""Choices that ask nothing of a unit which lacks the function."""


@dataclass
class Translation:
    """``displayed`` is what the unit has to show, by native id; ``implied`` holds rows for what the old model
    itself fixes, which the record does not list."""

    books: Books = field(default_factory=Books)
    displayed: dict[str, str] = field(default_factory=dict)
    implied: dict[str, LedgerRow] = field(default_factory=dict)


def always(model: Model | None) -> Mapping[str, Value]:
    """Neutral values a model holds without a setting: those it fixes, and its behaviour options."""
    if model is None:
        return {}
    found: dict[str, Value] = {}
    for name, option in behaviour_options().items():
        if option.key and name in model.behaviour and not model.has(option.key):
            said = {as_option: key for key, as_option in option.as_key.items()}
            choice = said.get(model.behaviour[name], model.behaviour[name])
            if choice in vocabulary()[option.key].choices:
                found[option.key] = choice
    return {**found, **model.fixed}


def family(model: Model) -> str:
    """The name of the model without its size."""
    return model.name.removesuffix(f"-{model.size}")


class Translator:
    """One record, one unit, one slot. ``run`` fills the books."""

    def __init__(self, wanted: Side, unit: Model, asset: Asset, stands: Mapping[str, Value]) -> None:
        """``stands`` is what the unit was read at."""
        self.wanted, self.unit, self.asset, self.stands = wanted, unit, asset, stands
        self.same_size = wanted.set.model == unit.name
        self.same_family = self.same_size or (
            wanted.model is not None and family(wanted.model) == family(unit)
        )
        self.held = always(unit)
        self.implied = {
            key: value
            for key, value in always(wanted.model).items()
            if key not in wanted.set.values and vocabulary()[key].class_ == "setting"
        }
        self.reference = ramp_reference(wanted.values, wanted.model)
        if RAMP_REFERENCE not in wanted.values and self.reference and unit.by_key.get(RAMP_REFERENCE):
            self.implied[RAMP_REFERENCE] = self.reference
        self.recorded: dict[str, Value] = {**self.implied, **wanted.set.values}
        self.targets = self._targets()
        self.out = Translation()

    def run(self) -> Translation:
        """Every entry of the record gets its row."""
        for key, why in self.wanted.set.not_read.items():
            self.out.books.enter(LedgerRow(key, "not_read", why))
        entries, refused = self._encoded()
        for key, value in self.recorded.items():
            row = self._without_entry(key, value)
            if row is not None:
                self.out.books.enter(row)
            elif vocabulary()[key].class_ in ("setting", "address"):
                self._setting(key, value, entries, refused)
        for native_id, displayed in self.wanted.set.native.items():
            self._native(native_id, displayed)
        for key in self.implied:
            self.out.implied[key] = self.out.books.rows.pop(key)
        return self.out

    def _targets(self) -> dict[str, Value]:
        """Neutral values meant for the unit, the ramp times in its own reference."""
        found: dict[str, Value] = {
            key: self.asset.values.get(key, value) if vocabulary()[key].class_ == "address" else value
            for key, value in self.recorded.items()
            if vocabulary()[key].class_ in ("setting", "address")
        }
        settable = {key: value for key, value in found.items() if key in self.unit.by_key}
        own = ramp_reference({**settable, **self.unit.fixed}, self.unit)
        if own and self.reference and own != self.reference:
            for key in TIMES:
                value = found.get(key)
                if isinstance(value, Decimal):
                    found[key] = value * own / self.reference
        self.own_reference = own
        return found

    def _encoded(self) -> tuple[dict[str, Entry], dict[str, str]]:
        """Entries and refusals by native id. What is a percentage of a refused entry is refused with it."""
        refused: dict[str, str] = {}
        while True:
            lost = {key for id_ in refused for key in self.unit.natives[id_].keys}
            known = {key: value for key, value in self.targets.items() if key not in lost}
            entries, failed = self._encode_with({**known, **self.unit.fixed}, refused)
            if not failed:
                return entries, refused
            refused |= failed

    def _encode_with(
        self, known: Mapping[str, Value], refused: Mapping[str, str]
    ) -> tuple[dict[str, Entry], dict[str, str]]:
        entries: dict[str, Entry] = {}
        failed: dict[str, str] = {}
        for native in self.unit.natives.values():
            wanted = any(key in self.targets for key in native.keys)
            if native.read_only or native.secret or native.id in refused or not wanted:
                continue
            try:
                entries[native.id] = encode_one(native, known)
            except (CannotEnter, CannotTell) as reason:
                failed[native.id] = str(reason)
        return entries, failed

    def _without_entry(self, key: str, value: Value) -> LedgerRow | None:
        """The row of what is never entered, or needs no entry here; None where it has to be entered."""
        parameter = vocabulary()[key]
        if parameter.class_ in NOT_COPIED:
            return LedgerRow(key, "not_copied", f"{parameter.class_}: {NOT_COPIED[parameter.class_]}", value)
        if parameter.class_ == "tuned":
            return LedgerRow(key, "identify", "it was measured at the old unit", value)
        if parameter.class_ == "slot":
            return LedgerRow(key, "slot", "it describes the place and is a record item, never entered", value)
        if any(native.secret for native in self.unit.by_key.get(key, ())) or key.endswith("pin_state"):
            return LedgerRow(key, "not_copied", "the person who holds the code enters it", value)
        if key in self.unit.by_key:
            return None
        return self._held_or_needless(parameter, value)

    def _held_or_needless(self, parameter: Parameter, value: Value) -> LedgerRow | None:
        key = parameter.key
        if key == RAMP_REFERENCE and self.own_reference:
            return self._reference_row(value)
        if key in self.held:
            same = self.held[key] == value
            return LedgerRow(key, "copied", "this unit always stands so", value) if same else None
        if value in NOTHING or value == () or value == 0:
            return LedgerRow(
                key, "not_copied", "it is off in the record, and this unit does not have it", value
            )
        if why := self._asleep(parameter):
            return LedgerRow(key, "not_copied", f"{why}, and this unit does not have it", value)
        if parameter.class_ == "address":
            return LedgerRow(key, "slot", "the slot's; this unit does not have it", value)
        return None

    def _reference_row(self, value: Value) -> LedgerRow:
        if value == self.own_reference:
            return LedgerRow(RAMP_REFERENCE, "copied", "this unit always stands so", value)
        why = f"this unit's ramp times count to {shown(self.own_reference or '', 'Hz')}; they are converted"
        return LedgerRow(RAMP_REFERENCE, "converted", why, value, sum="see the ramp times")

    def _asleep(self, parameter: Parameter) -> str:
        for rule in parameter.dormant:
            if self.recorded.get(rule.key) in rule.values:
                return f"it does nothing in the record while {vocabulary()[rule.key].label} is so"
        return ""

    def _setting(
        self, key: str, value: Value, entries: Mapping[str, Entry], refused: Mapping[str, str]
    ) -> None:
        natives = self.unit.by_key.get(key, ())
        ids = tuple(native.id for native in natives)
        lacking = [id_ for id_ in ids if id_ not in entries]
        if not natives or lacking:
            reason = next((refused[id_] for id_ in lacking if id_ in refused), "")
            if lacking and not reason:
                reason = "this unit shows it and does not take it"
            fixed, stands = self.held.get(key), self.stands.get(key)
            self.out.books.decide(decision(key, value, self.unit, fixed, reason, stands), ids)
            return
        for id_ in ids:
            self.out.displayed[id_] = entries[id_].displayed
        self.out.books.enter(self._entered(key, value, tuple(entries[id_] for id_ in ids)))

    def _entered(self, key: str, value: Value, entries: tuple[Entry, ...]) -> LedgerRow:
        parameter, ids = vocabulary()[key], tuple(entry.native.id for entry in entries)
        if parameter.class_ == "address":
            return LedgerRow(key, "slot", "the address is the slot's, not the unit's", value, natives=ids)
        if self.same_size:
            return LedgerRow(key, "copied", "the same unit type shows the same", value, natives=ids)
        known = {**self.targets, **self.unit.fixed}
        told = "; ".join(filter(None, (sum_words(entry, known) for entry in entries)))
        if key in TIMES and self.targets[key] != value:
            told = self._ramp_sum(value, entries[0])
        error = self._error(key, entries)
        left = error_words(error, parameter.unit)
        if error and isinstance(value, Decimal) and abs(error) * 2 > self.wanted.step(key, value):
            return LedgerRow(key, "rounded", "this unit's steps are coarser", value, told, left, ids)
        if told:
            return LedgerRow(key, "converted", "this unit shows it in other terms", value, told, left, ids)
        return LedgerRow(key, "copied", "the same meaning on this unit", value, "", left, ids)

    def _ramp_sum(self, value: Value, entry: Entry) -> str:
        if not isinstance(value, Decimal) or self.own_reference is None or self.reference is None:
            return ""
        own, old = short(self.own_reference), short(self.reference)
        return f"{plain(value)} s to {old} Hz × {own} ÷ {old} = {entry.words} to {own} Hz"

    def _error(self, key: str, entries: tuple[Entry, ...]) -> Decimal:
        native = entries[0].native
        if native.form.startswith("band"):
            return band_error(key, entries, self.targets)
        return entries[0].error

    def _of_no_use(self, native_id: str, displayed: str) -> str:
        old = self.wanted.model.natives.get(native_id) if self.wanted.model else None
        if old is not None and old.read_only:
            return "counter: the old unit showed it and took no entry"
        if old is not None and displayed == old.factory:
            return "no counterpart here; it stood at the old model's factory value"
        return ""

    def _native(self, native_id: str, displayed: str) -> None:
        native = self.unit.natives.get(native_id)
        row = LedgerRow(
            native_id, "copied", "the same entry of the same family", displayed, natives=(native_id,)
        )
        if not self.same_family and (why := self._of_no_use(native_id, displayed)):
            self.out.books.enter(LedgerRow(native_id, "not_copied", why, displayed))
        elif native is None or not self.same_family:
            self.out.books.decide(decision_of_native(native_id, displayed))
        elif native.read_only:
            why = "identity: the unit shows it and takes no entry"
            self.out.books.enter(LedgerRow(native_id, "not_copied", why, displayed))
        elif native.secret:
            why = "the person who holds the code enters it"
            self.out.books.enter(LedgerRow(native_id, "not_copied", why, displayed))
        else:
            self.out.displayed[native_id] = displayed
            self.out.books.enter(row)
