"""The walk over two sets, key by key."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from asleft.compare.changes import Change, Comparison, NotRead, Undecided
from asleft.compare.sides import Side
from asleft.record import Value, same_value, shown
from asleft.vocabulary import Parameter, vocabulary


class _Lists:
    def __init__(self) -> None:
        self.changes: list[Change] = []
        self.others: dict[str, list[Change]] = {}
        self.same: list[Undecided] = []
        self.dormant: list[Undecided] = []
        self.cannot: list[Undecided] = []
        self.not_read: list[NotRead] = []
        self.one_sided: list[NotRead] = []
        self.alike = 0


def compare(old: Side, new: Side) -> Comparison:
    """Hold two sides against each other by meaning, within the display step."""
    lists = _Lists()
    for key in _keys(old, new):
        states = old.state(key), new.state(key)
        if states == ("read", "read"):
            _both_read(lists, key, old, new)
        elif "read" in states or "not_read" in states:
            _not_both(lists, key, old, new)
    found = Comparison(
        changes=tuple(lists.changes),
        other_classes={name: tuple(found) for name, found in sorted(lists.others.items())},
        same_in_effect=tuple(lists.same),
        dormant=tuple(lists.dormant),
        cannot_tell=tuple(lists.cannot),
        not_read=tuple(lists.not_read),
        one_sided=tuple(lists.one_sided),
        native=dict(_native(old, new)),
        alike=lists.alike,
    )
    from asleft.compare.effect import judged_together

    return judged_together(found, old, new)


def _keys(old: Side, new: Side) -> list[str]:
    known = {*old.values, *new.values, *old.set.not_read, *new.set.not_read}
    return sorted(known, key=vocabulary().order)


def _both_read(lists: _Lists, key: str, old: Side, new: Side) -> None:
    before, after = old.values[key], new.values[key]
    if same_value(before, after):
        lists.alike += 1
        return
    if isinstance(before, Decimal) and isinstance(after, Decimal):
        verdict = _by_step(key, before, after, old, new)
        if verdict == "same":
            lists.same.append(Undecided(key, "the same within the display step", before, after))
            return
        if verdict:
            lists.cannot.append(Undecided(key, verdict, before, after))
            return
    change = Change(key, before, after, _parts(before, after))
    class_ = vocabulary()[key].class_
    if class_ != "setting":
        lists.others.setdefault(class_, []).append(change)
    elif (why := dormant_on_both(key, old, new)) is not None:
        lists.dormant.append(Undecided(key, why, before, after))
    else:
        lists.changes.append(change)


def _by_step(key: str, before: Decimal, after: Decimal, old: Side, new: Side) -> str:
    """``same``, the reason why it cannot be told, or nothing for a true difference."""
    steps = old.step(key, before), new.step(key, after)
    distance = abs(before - after)
    if distance * 2 <= min(steps) and distance * 2 < max(steps):
        return "same"
    if distance * 2 <= max(steps) and steps[0] != steps[1]:
        unit = vocabulary()[key].unit
        return f"one side shows steps of {shown(max(steps), unit)}, too coarse to tell"
    return ""


def dormant_on_both(key: str, old: Side, new: Side) -> str | None:
    """Why a difference does nothing today: another parameter switches it off on both sides. Else None."""
    for rule in vocabulary()[key].dormant:
        stands = old.values.get(rule.key), new.values.get(rule.key)
        if all(value is not None and _plain(value) in rule.values for value in stands):
            other = vocabulary()[rule.key]
            said = " and ".join(dict.fromkeys(_said(other, value) for value in stands))
            return f"{other.label} is {said} on both sides; the difference wakes when that changes"
    return None


def _plain(value: Value | None) -> str:
    return f"{value.normalize():f}" if isinstance(value, Decimal) else str(value)


def _said(parameter: Parameter, value: Value | None) -> str:
    plain = _plain(value)
    return (
        parameter.choices[plain].says if plain in parameter.choices else f"{plain} {parameter.unit}".strip()
    )


def _parts(before: Value, after: Value) -> tuple[str, ...]:
    if isinstance(before, tuple) and isinstance(after, tuple):
        from asleft.compare.structures import list_changes

        return list_changes(before, after)
    return ()


def _not_both(lists: _Lists, key: str, old: Side, new: Side) -> None:
    states = {"old": old.state(key), "new": new.state(key)}
    lacking = [side for side, state in states.items() if state != "read"]
    side = lacking[0] if len(lacking) == 1 else "both"
    holder = {"old": old, "new": new}[lacking[0]]
    other = (new if side == "old" else old).values.get(key) if side != "both" else None
    entry = NotRead(key, side, holder.why(key), other)
    if "absent" in states.values():
        lists.one_sided.append(entry)
    else:
        lists.not_read.append(entry)


def _native(old: Side, new: Side) -> Iterator[tuple[str, tuple[str | None, str | None]]]:
    before, after = old.set.native, new.set.native
    natives = new.model.natives if new.model else {}
    alike_models = old.set.model == new.set.model
    for native_id in [*before, *(name for name in after if name not in before)]:
        pair = before.get(native_id), after.get(native_id)
        shown_only = native_id in natives and natives[native_id].read_only
        if pair[0] != pair[1] and alike_models and not shown_only:
            yield native_id, pair
