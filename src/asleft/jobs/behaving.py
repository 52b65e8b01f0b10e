"""Whether two sides behave alike, where that can be examined."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from asleft.behaviour import BehaviourDiff
    from asleft.compare import Comparison, Side
    from asleft.record import Asset, Selector

UNSETTLED = 1_500
"""Changes tried at unsettled moments in an everyday answer; the long search has its own option."""


class Behaving(NamedTuple):
    """The answer, or the reason why behaviour was not examined. ``asked`` is False where nobody asked."""

    diff: BehaviourDiff | None = None
    why_not: str = ""
    asked: bool = True

    @property
    def differs(self) -> bool:
        """Whether a difference was found."""
        return self.diff is not None and bool(self.diff.differences)


NOT_ASKED = Behaving(asked=False)


def switches(*slots: Asset | None) -> tuple[Selector, ...]:
    """The selector switches of the slots that two sides belong to."""
    return tuple(dict.fromkeys(one for slot in slots if slot is not None for one in slot.selectors))


def behave(
    old: Side,
    new: Side,
    comparison: Comparison,
    long: bool = False,
    selectors: tuple[Selector, ...] = (),
) -> Behaving:
    """Compare the behaviour of two sides. ``long`` gives the search of unsettled moments its whole budget;
    ``selectors`` are the switches of the slot whose contacts move together."""
    if old.model is None or new.model is None:
        return Behaving(None, "no drive model is at hand that says how the drive behaves")
    alike_model = old.set.model == new.set.model and old.model.behaviour == new.model.behaviour
    if alike_model and not (comparison.changes or comparison.dormant or comparison.not_read):
        return Behaving(None, "no setting differs")
    from asleft.behaviour import Budget, Drive, SettingFault, compare_behaviour
    from asleft.models.behaviour_options import UnknownOption

    try:
        drives = [
            Drive.of(side.values, side.model.behaviour, side.set.not_read, selectors)
            for side in (old, new)
            if side.model
        ]
        changed = [change.key for change in comparison.changes] if alike_model else None
        budget = Budget() if long else Budget(unsettled=UNSETTLED)
        return Behaving(compare_behaviour(*drives, changed_keys=changed, budget=budget))
    except (SettingFault, UnknownOption) as problem:
        return Behaving(None, str(problem))
