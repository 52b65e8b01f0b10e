"""Which single setting, at another known value, would give what was observed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from typing import Any, Final

from asleft.behaviour import Drive, SettingFault
from asleft.behaviour.scenario import CannotBeShown
from asleft.explain import said
from asleft.prove.judge import observed_value
from asleft.prove.making import predicted
from asleft.prove.sheet import Step
from asleft.prove.trial import carry_out
from asleft.record import Value, same_value
from asleft.vocabulary import vocabulary

MOST: Final = 3
"""Explanations told of one observation."""

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
                    drive = Drive.of(
                        {**self.drive.values, key: value}, self.drive.options, self.drive.not_read
                    )
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

    def explains(self, step: Step, observed: str, beside: Mapping[Step, str]) -> tuple[str, ...]:
        """What would explain an observation that failed, in words; nothing that contradicts what passed
        ``beside`` it."""
        found = [other for other in self.others if self._gives(other, step, observed)]
        kept = [other for other in found if not self._contradicts(other, beside)]
        return tuple(self._told(other, step, observed) for other in kept[:MOST])

    def _again(self, other: Other, step: Step) -> Step | None:
        assert step.recipe is not None
        try:
            return predicted(replace(step, value=None), carry_out(other.drive, step.recipe, self.inputs))
        except CannotBeShown:
            return None

    def _gives(self, other: Other, step: Step, observed: str) -> bool:
        if step.recipe is None:
            return False
        seen = self._again(other, step)
        if seen is None:
            return False
        if step.value is None:
            return _same_words(observed, seen.says) and seen.says != step.says
        value = observed_value(step, observed)
        if seen.value is None or seen.tolerance is None or value is None:
            return False
        return abs(seen.value - value) <= seen.tolerance and seen.value != step.value

    def _contradicts(self, other: Other, beside: Mapping[Step, str]) -> bool:
        for step, observed in beside.items():
            if step.recipe is None or step.value is None:
                continue
            seen, value = self._again(other, step), observed_value(step, observed)
            if value is None:
                continue
            if seen is None or seen.value is None or seen.tolerance is None:
                return True
            if abs(seen.value - value) > seen.tolerance:
                return True
        return False

    def _told(self, other: Other, step: Step, observed: str) -> str:
        what = observed if step.value is None else f"{observed_value(step, observed)} {step.unit}"
        at = f" at {step.at}" if step.at else ""
        row, stands = vocabulary()[other.key], self.drive.values[other.key]
        return f"{what}{at} is what {other.words()} gives ({row.label}; recorded: {said(row, stands)})."


def _same_words(observed: str, words: str) -> bool:
    text = " ".join(observed.casefold().removeprefix("no").lstrip(" ,;:").split()).rstrip(".")
    text = text.removeprefix("it ")
    return len(text.split()) > 1 and words.casefold().startswith(text)
