"""Which single setting, at another known value, would give what was observed."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from typing import Any, Final

from asleft.behaviour import Drive, SettingFault
from asleft.behaviour.scenario import CannotBeShown
from asleft.explain import said
from asleft.prove.judge import PAIRS, observed_value, pair_of
from asleft.prove.making import predicted
from asleft.prove.sheet import Step
from asleft.prove.trial import carry_out
from asleft.record import Value, same_value
from asleft.vocabulary import vocabulary

MOST: Final = 3
"""Explanations told of one observation."""

NEAR: Final = {
    "Hz": (Decimal("0.1"), Decimal(0)),
    "s": (Decimal("0.2"), Decimal("0.02")),
    "A": (Decimal(0), Decimal("0.05")),
    "mA": (Decimal("0.1"), Decimal(0)),
    "V": (Decimal("0.05"), Decimal(0)),
}
"""Unit -> fixed part and share within which a setting counts as giving just what was observed: nearer than a
tolerance for times, so that they are told apart."""

ENDS: Final = ("limits.frequency_min_hz", "limits.frequency_max_hz", "motor.rated_frequency_hz")
SPEEDS: Final = ("freq_at_low_hz", "freq_at_high_hz", "ramp_reference_frequency_hz")
USUAL_HZ: Final = ("0", "50", "60", "100")
"""What the speeds at both ends of a signal, and a ramp's reference, are often set to by mistake. Common
practice, no source."""


@dataclass(frozen=True, slots=True)
class Other:
    """One setting at another value, and the drive it makes."""

    key: str
    value: Value
    drive: Drive

    def words(self) -> str:
        """``a 0–20 mA setting``, ``acceleration time 1 at 10.0 s``."""
        row, shown = vocabulary()[self.key], said(vocabulary()[self.key], self.value)
        if self.key.endswith(".signal"):
            return f"a {shown.replace(' to ', '–')} setting"
        return f"{row.label} {'at ' + shown if row.is_number else chr(34) + shown + chr(34)}"


class Diagnosis:
    """Looks for explanations on one drive. ``known``: by key, values it is known to have had (from the
    factory, at earlier readings); ``inputs``: the inputs every step starts with."""

    def __init__(self, drive: Drive, inputs: Sequence[Any], known: Mapping[str, Sequence[Value]]) -> None:
        self.drive, self.inputs, self.known = drive, list(inputs), known
        self._given: dict[tuple[Step, str], list[Other]] = {}

    @cached_property
    def others(self) -> tuple[Other, ...]:
        """Every single change that is tried, in vocabulary order."""
        return tuple(self._others())

    def _others(self) -> Iterator[Other]:
        for key in sorted(self.drive.settings.used & self.drive.values.keys(), key=vocabulary().order):
            for value in dict.fromkeys(self._values(key)):
                if same_value(value, self.drive.values[key]):
                    continue
                try:
                    drive = self.drive.with_values({**self.drive.values, key: value})
                except (SettingFault, ArithmeticError):
                    continue
                if drive.config != self.drive.config:
                    yield Other(key, value, drive)

    def _values(self, key: str) -> Iterator[Value]:
        row = vocabulary().get(key)
        if row is None:
            return
        if row.kind == "choice":
            yield from row.choices
        yield from self.known.get(key, ())
        if row.is_number and key.rpartition(".")[2] in SPEEDS:
            yield from (Decimal(hz) for hz in USUAL_HZ)
            yield from (self.drive.values[end] for end in ENDS if end in self.drive.values)

    def explain(self, failed: Mapping[Step, str], passed: Mapping[Step, str]) -> dict[Step, tuple[str, ...]]:
        """What would explain each observation that failed, in words.

        A change that contradicts what passed is no explanation; one that explains more of the failures comes
        before one that explains fewer, and where some explain several, the others are not told.
        """
        gives = {step: self._giving(step, observed) for step, observed in failed.items()}
        found = {step: [o for o in kept if not self._contradicts(o, passed)] for step, kept in gives.items()}
        counts = Counter(other.key + str(other.value) for kept in found.values() for other in kept)
        return {step: self._best(kept, counts, step, failed[step]) for step, kept in found.items()}

    def _giving(self, step: Step, observed: str) -> list[Other]:
        if (step, observed) not in self._given:
            found = [other for other in self.others if self._gives(other, step, observed)]
            self._given[step, observed] = found
        return self._given[step, observed]

    def _best(self, kept: list[Other], counts: Counter[str], step: Step, observed: str) -> tuple[str, ...]:
        """Of those that explain most failures, the nearest ones, in words."""
        most = max((counts[other.key + str(other.value)] for other in kept), default=0)
        best = [other for other in kept if counts[other.key + str(other.value)] == most]

        def away(other: Other) -> tuple[Decimal, bool]:
            return self._off(other, step, observed) or Decimal(0), not _is_of(other, step)

        return tuple(self._told(other, step, observed) for other in sorted(best, key=away)[:MOST])

    def _again(self, other: Other, step: Step) -> Step | None:
        assert step.recipe is not None
        try:
            return predicted(replace(step, value=None), carry_out(other.drive, step.recipe, self.inputs))
        except (CannotBeShown, ArithmeticError):
            return None

    def _off(self, other: Other, step: Step, observed: str) -> Decimal | None:
        """How far the observation is from what a change would give; None where there is no number."""
        seen, value = self._again(other, step), observed_value(step, observed)
        return None if seen is None or seen.value is None or value is None else abs(seen.value - value)

    def _gives(self, other: Other, step: Step, observed: str) -> bool:
        """Whether exactly this change would give what was observed."""
        if step.recipe is None:
            return False
        if step.value is None:
            seen = self._again(other, step)
            return seen is not None and seen.says != step.says and _same_words(observed, seen.says)
        off, value = self._off(other, step, observed), observed_value(step, observed)
        if off is None or value is None:
            return False
        fixed, share = NEAR[step.unit]
        return off <= fixed + share * abs(value)

    def _contradicts(self, other: Other, beside: Mapping[Step, str]) -> bool:
        """Whether a change would have made a step fail that has passed with a number or a relay's word."""
        for step, observed in beside.items():
            if step.recipe is not None and pair_of(step):
                seen = self._again(other, step)
                if seen is None or seen.says != step.says:
                    return True
            if step.recipe is None or observed_value(step, observed) is None or step.value is None:
                continue
            off, again = self._off(other, step, observed), self._again(other, step)
            if off is None or again is None or again.tolerance is None or off > again.tolerance:
                return True
        return False

    def _told(self, other: Other, step: Step, observed: str) -> str:
        what = (
            f"That it {'is ' * bool(pair_of(step))}{_plain(observed)}"
            if step.value is None
            else f"{observed_value(step, observed)} {step.unit}"
        )
        at = f" at {step.at}" if step.at else ""
        row, stands = vocabulary()[other.key], self.drive.values[other.key]
        where = f"{row.label}; " if other.key.endswith(".signal") else ""
        return f"{what}{at} is what {other.words()} gives ({where}recorded: {said(row, stands)})."


def _is_of(other: Other, step: Step) -> bool:
    """Whether a setting is one of the very output the step looks at."""
    return step.recipe is not None and other.key.startswith(f"outputs.{step.recipe.of}.")


def _plain(observed: str) -> str:
    """Words as observed, without the no before them."""
    text = " ".join(observed.split())
    text = re.sub(r"^no\b[ ,;:.]*", "", text, flags=re.IGNORECASE)
    return text.removeprefix("it ").rstrip(".")


def _same_words(observed: str, words: str) -> bool:
    text = _plain(observed).casefold()
    if any(text in pair for pair in PAIRS):
        return words == text
    return len(text.split()) > 1 and words.casefold().startswith(text)
