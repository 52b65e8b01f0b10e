"""Two sets held against each other, and told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

from asleft.compare import Comparison, compare
from asleft.explain import Explained, explain
from asleft.explain.explained import tell, tell_in_place
from asleft.jobs.behaving import NOT_ASKED, Behaving, behave, switches
from asleft.jobs.definitions import NONE, Definitions, definitions
from asleft.jobs.naming import Inputs, Named, resolve

if TYPE_CHECKING:
    from collections.abc import Mapping

    from asleft.jobs.record import Record
    from asleft.record import Asset
    from asleft.record.findings import Finding


@dataclass(frozen=True, slots=True)
class Difference:
    """The answer to ``diff``: what differs, told most important first; other classes told apart.

    ``breaches`` holds the rules that settings which differ breach in the new set, by key; None where no spec
    was at hand to judge by.
    """

    old: Named
    new: Named
    comparison: Comparison
    told: tuple[Explained, ...]
    others: dict[str, tuple[Explained, ...]]
    breaches: Mapping[str, tuple[Finding, ...]] | None = field(default=None)
    behaviour: Behaving = NOT_ASKED
    definitions: Definitions = NONE

    @property
    def differs(self) -> bool:
        """Whether any setting or unknown entry differs."""
        return not self.comparison.is_clean

    @property
    def is_undecided(self) -> bool:
        """Whether something could not be compared."""
        return bool(self.comparison.cannot_tell or self.comparison.not_read)

    @property
    def breaching(self) -> int | None:
        """How many of the settings that differ breach a rule."""
        if self.breaches is None:
            return None
        return sum(1 for one in self.told if self.breaches.get(one.change.key))


class Depth(NamedTuple):
    """What to work out beside the values: ``effects``, ``behaviour``, and that by the ``long`` search."""

    effects: bool = True
    behaviour: bool = True
    long: bool = False


EVERYTHING = Depth()


def diff(old: str, new: str, inputs: Inputs, depth: Depth = EVERYTHING) -> Difference:
    """Compare two sets by their names. Raises ``Refused``."""
    before, after = resolve(old, inputs), resolve(new, inputs)
    result = differences(before, after, inputs.record, depth.effects)
    result = replace(result, definitions=definitions(before.side, after.side, inputs.record))
    if not depth.behaviour:
        return result
    wired = switches(before.asset, after.asset)
    behaving = behave(before.side, after.side, result.comparison, depth.long, wired)
    return replace(result, behaviour=behaving)


def differences(
    before: Named, after: Named, record: Record | None = None, effects: bool = True
) -> Difference:
    """Compare two sets that were found already."""
    comparison = compare(before.side, after.side)
    if not effects:
        plain = {name: tell(changes) for name, changes in comparison.other_classes.items()}
        told = tell(comparison.changes)
        return Difference(before, after, comparison, told, plain, _breaches(after, told, record))
    asset = after.asset or before.asset
    slots = (before.side, after.side, asset, slots_of(record))
    told = explain(comparison, *slots)
    others = {name: tell_in_place(changes, *slots) for name, changes in comparison.other_classes.items()}
    return Difference(before, after, comparison, told, others, _breaches(after, told, record))


def slots_of(record: Record | None) -> Callable[[str], Asset | None] | None:
    """Finds another slot of the site by its tag; None for one that is missing or flawed."""
    if record is None:
        return None

    def find(tag: str) -> Asset | None:
        from asleft.record import Refused

        try:
            return record.asset(tag)
        except Refused:
            return None

    return find


def _breaches(
    after: Named, told: tuple[Explained, ...], record: Record | None
) -> Mapping[str, tuple[Finding, ...]] | None:
    """Rules breached in the new set, by key, where its slot names specs."""
    if record is None or not told or after.asset is None or not after.asset.specs:
        return None
    from asleft.jobs.checking import Judge, breaches_by_key
    from asleft.record import Refused

    on = after.set.reading.at.date() if after.set.reading else None
    if on is None:
        return None
    try:
        return breaches_by_key(Judge(record, on).findings(after.asset, after.set, after.side.model))
    except Refused:
        return None
