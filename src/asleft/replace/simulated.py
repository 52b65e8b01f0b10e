"""A drive at whose keypad entries are made: it overwrites, resets, refuses and locks as its model says.

It proves lists of entries; how the motor runs is not its business. Rules: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from asleft.models.model import Model, Native
from asleft.models.translate import outside
from asleft.replace.order import after_reset
from asleft.replace.standing import Standing, bounds_of
from asleft.vocabulary import vocabulary

LOCK = "access.setting_lock"


class EntryRefused(Exception):
    """The drive does not take the entry, and why."""


def as_from_factory(native: Native) -> str:
    """The plainest rule for a value the drive works out by itself: its factory value."""
    return native.factory


@dataclass
class SimulatedUnit:
    """A drive of ``model`` that shows ``displayed``. ``derive`` works out what an entry resets as *derived*.
    ``running`` is set from outside: what is locked while running is refused then."""

    model: Model
    displayed: dict[str, str]
    derive: Callable[[Native], str] = as_from_factory
    running: bool = False
    _stored: dict[str, str] = field(default_factory=dict)

    @classmethod
    def from_factory(cls, model: Model, derive: Callable[[Native], str] = as_from_factory) -> SimulatedUnit:
        """A unit just out of its box: what it shows where the model knows the factory value."""
        shown = {native.id: native.factory for native in model.natives.values() if native.factory != ""}
        return cls(model, dict(shown), derive, _stored=dict(shown))

    @property
    def standing(self) -> Standing:
        """What stands in it, in neutral terms too."""
        return Standing(self.model, self.displayed)

    def enter(self, native_id: str, displayed: str) -> None:
        """One entry with everything it does by itself. Raises ``EntryRefused``; then nothing changed."""
        native = self.model.natives.get(native_id)
        if native is None:
            raise EntryRefused(f"{native_id} is not in the list of {self.model.title}")
        problem = self._locked(native) or _impossible(native, displayed) or self._bounded(native, displayed)
        if problem:
            raise EntryRefused(f"{native_id} {native.text}: {problem}")
        self.displayed[native_id] = displayed
        for other_id, how in native.sets.items():
            other = self.model.natives.get(other_id)
            if other is not None:
                shown = after_reset(other, how)
                self.displayed[other_id] = self.derive(other) if shown is None else shown

    def store(self) -> None:
        """Keep what stands over a loss of supply."""
        self._stored = dict(self.displayed)

    def power_cycle(self) -> None:
        """Supply off and on: what was not stored is gone."""
        self.displayed = dict(self._stored)
        self.running = False

    def _locked(self, native: Native) -> str:
        if native.read_only:
            return "it is shown and takes no entry"
        if self.standing.get(LOCK) == "locked" and LOCK not in native.keys:
            return "the settings are locked"
        must_stand = native.locked_running or any(vocabulary()[key].locked_running for key in native.keys)
        return "the motor runs" if self.running and must_stand else ""

    def _bounded(self, native: Native, displayed: str) -> str:
        trial = self.standing.with_entry(native.id, displayed)
        for key in native.keys:
            for bound in bounds_of(key):
                low, high = trial.number(bound.low), trial.number(bound.high)
                if low is not None and high is not None and low > high:
                    return f"{bound.low} would be {low:f} and {bound.high} {high:f}"
        return ""


def _impossible(native: Native, displayed: str) -> str:
    if native.choices and native.form != "bits" and displayed not in native.choices:
        return f"it has no choice {displayed}"
    return outside(native, displayed) if native.form != "bits" else ""
