"""A unit held against the record of its slot."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from asleft.compare import Side, compare
from asleft.explain import Explained, explain
from asleft.explain.explained import tell
from asleft.jobs.behaving import NOT_ASKED, Behaving, behave, switches
from asleft.jobs.checking import Judge, asset_set, needed
from asleft.jobs.definitions import NONE, Definitions, definitions
from asleft.jobs.differences import slots_of
from asleft.jobs.naming import Inputs, Named, resolve
from asleft.models import Model
from asleft.record import Asset, Fault, ParameterSet, Refused, Value
from asleft.record.findings import Finding
from asleft.replace import PutRight, put_right


@dataclass(frozen=True, slots=True)
class UnitComparison:
    """The answer to ``compare``: the difference told, and the list that puts the unit right.

    ``behaviour`` holds the record against the unit as it will be when the list is done.
    """

    record: Named
    unit: Named
    told: tuple[Explained, ...]
    others: Mapping[str, tuple[Explained, ...]]
    put_right: PutRight
    pair: Pair
    behaviour: Behaving = NOT_ASKED
    definitions: Definitions = NONE

    @property
    def differs(self) -> bool:
        """Whether anything is to be entered or decided."""
        return not self.put_right.is_right

    @property
    def is_undecided(self) -> bool:
        """Whether something of the unit or the record was not read."""
        return bool(self.put_right.comparison.not_read or self.put_right.comparison.cannot_tell)


class Pair(NamedTuple):
    """A record and a unit to be held against it, in its slot. ``rules`` judges trial values by the specs."""

    wanted: Named
    unit: Named
    asset: Asset
    model: Model
    rules: Callable[[Mapping[str, Value]], tuple[Finding, ...]]


def pair_of(tag: str, unit: str, inputs: Inputs, on: date, model: str = "") -> Pair:
    """The as-left record of an asset and the reading of a unit. ``model`` names the drive model of a unit
    whose file does not: that of the record where nothing is named. Raises ``Refused``."""
    record = needed(inputs)
    wanted = asset_set(tag, inputs)
    found = resolve(unit, inputs, record.model(model) if model else wanted.side.model)
    assert wanted.asset is not None
    unit_model = found.side.model
    if unit_model is None:
        named = found.set.model or "no drive model"
        raise Refused(
            Fault(
                f"{unit} names {named}, which the site does not have, so no entry can be told.",
                "Put its model file into models/, and name it in the reading: see asleft model list",
                unit,
            )
        )
    asset, judging = wanted.asset, Judge(record, on)

    def rules(values: Mapping[str, Value]) -> tuple[Finding, ...]:
        trial = ParameterSet(asset.tag, unit_model.name, values=values)
        return judging.findings(asset, trial, unit_model)

    return Pair(wanted, found, asset, unit_model, rules)


def compare_unit(
    tag: str, unit: str, inputs: Inputs, on: date, model: str = "", behaviour: bool = True
) -> UnitComparison:
    """Hold a unit against the as-left record of an asset, as ``pair_of`` finds them. Raises ``Refused``."""
    record = needed(inputs)
    pair = pair_of(tag, unit, inputs, on, model)
    wanted, found, asset, unit_model, rules = pair
    result = put_right(wanted.side, found.side, asset, rules)
    told = explain(result.comparison, wanted.side, found.side, asset, slots_of(record))
    others = {name: tell(changes) for name, changes in result.comparison.other_classes.items()}
    behaving = _afterwards(wanted, result, unit_model) if behaviour else NOT_ASKED
    lists = definitions(wanted.side, found.side, record)
    return UnitComparison(wanted, found, told, others, result, pair, behaving, lists)


def _afterwards(wanted: Named, result: PutRight, unit_model: Model) -> Behaving:
    """How the unit behaves once the list is done, against the record."""
    done = Side(result.result, unit_model)
    return behave(wanted.side, done, compare(wanted.side, done), selectors=switches(wanted.asset))
