"""Two sets held against each other, and told."""

from __future__ import annotations

from dataclasses import dataclass

from asleft.compare import Comparison, compare
from asleft.explain import Explained, explain
from asleft.explain.explained import tell
from asleft.jobs.naming import Inputs, Named, resolve


@dataclass(frozen=True, slots=True)
class Difference:
    """The answer to ``diff``: what differs, told most important first; other classes told apart."""

    old: Named
    new: Named
    comparison: Comparison
    told: tuple[Explained, ...]
    others: dict[str, tuple[Explained, ...]]

    @property
    def differs(self) -> bool:
        """Whether any setting or unknown entry differs."""
        return not self.comparison.is_clean

    @property
    def is_undecided(self) -> bool:
        """Whether something could not be compared."""
        return bool(self.comparison.cannot_tell or self.comparison.not_read)


def diff(old: str, new: str, inputs: Inputs) -> Difference:
    """Compare two sets by their names. Raises ``Refused``."""
    before, after = resolve(old, inputs), resolve(new, inputs)
    return differences(before, after)


def differences(before: Named, after: Named) -> Difference:
    """Compare two sets that were found already."""
    comparison = compare(before.side, after.side)
    told = explain(comparison, before.side, after.side, after.asset or before.asset)
    others = {name: tell(changes) for name, changes in comparison.other_classes.items()}
    return Difference(before, after, comparison, told, others)
