"""A functional test typed step by step at the drive: what is asked, and the draft that outlives an
interruption."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property

from asleft.intake.keypad import Answer, Journal, Kept
from asleft.intake.walking import Walk, mark, observed
from asleft.jobs.keypad import holding
from asleft.jobs.naming import Inputs
from asleft.jobs.record import Record
from asleft.jobs.testing import RecordedTest, Subject, record_of, subject
from asleft.jobs.who import Who
from asleft.prove.diagnose import Diagnosis
from asleft.prove.sheet import Step
from asleft.record import Fault, Refused

SERIAL = "drive.serial_number"


@dataclass
class Walking:
    """One person trying one set; ``held`` keeps a second one from it. ``steps`` are those asked for."""

    tried: Subject
    steps: tuple[Step, ...]
    journal: Journal

    @property
    def tag(self) -> str:
        """The slot."""
        return self.tried.asset.tag

    @property
    def what(self) -> str:
        """What is done here, for a person."""
        return f"functional test of {self.tag}"

    @property
    def kept(self) -> Kept | None:
        """What an interrupted walk left, read anew; None where nothing waits."""
        return self.journal.read()

    def begin(self, who: Who) -> Walk:
        """Start afresh."""
        self.journal.begin(
            {
                "asset": self.tag,
                "reading": self.tried.reading.blob,
                "serial": self._serial,
                "by": who.by,
                "at": who.at.isoformat(),
            }
        )
        return self._walk(())

    def go_on(self) -> Walk:
        """Go on where it stopped. Raises ``Refused`` where nothing waits."""
        kept = self.kept
        if kept is None:
            raise Refused(Fault(f"no {self.what} waits to be resumed.", "Leave out --resume."))
        return self._walk(self._fitting(kept))

    def is_another(self, kept: Kept) -> bool:
        """Whether what waits was begun on another reading."""
        return kept.head.get("reading") != self.tried.reading.blob

    def doubtful(self, kept: Kept) -> int:
        """How many kept answers no longer hold: another unit, or another prediction. They are asked again."""
        names = set(map(mark, self.tried.made.sheet.steps))
        fitting = {answer.id for answer in self._fitting(kept)} & names
        return len({answer.id for answer in kept.answers} - fitting)

    def _fitting(self, kept: Kept) -> tuple[Answer, ...]:
        """A step marked so is done again on another unit, as after any replacement."""
        if kept.head.get("serial", "") == self._serial:
            return kept.answers
        again = {mark(step) for step in self.tried.made.sheet.steps if step.again}
        return tuple(answer for answer in kept.answers if answer.id not in again)

    @property
    def _serial(self) -> str:
        return str(self.tried.reading.set.values.get(SERIAL, ""))

    @cached_property
    def _diagnosis(self) -> Diagnosis:
        made = self.tried.made
        return Diagnosis(made.drive, made.sheet.inputs, self.tried.known)

    def _explain(self, failed: Mapping[Step, str], passed: Mapping[Step, str]) -> dict[Step, tuple[str, ...]]:
        return self._diagnosis.explain(failed, passed)

    def _walk(self, answers: tuple[Answer, ...]) -> Walk:
        return Walk(self.steps, self._explain, answers)

    @contextmanager
    def held(self) -> Iterator[None]:
        """Hold the walk. Raises ``Busy`` where somebody else is at it."""
        with holding(self.journal, self.what):
            yield


def walking(name: str, inputs: Inputs, only_again: bool = False) -> Walking:
    """The walk through the sheet of a recorded set. Raises ``Refused``."""
    tried = subject(name, inputs)
    steps = tuple(step for step in tried.made.sheet.steps if step.again or not only_again)
    return Walking(tried, steps, walk_journal(tried.record, tried.asset.tag))


def walk_journal(record: Record, tag: str) -> Journal:
    """Where the answers are kept: in the git directory, never in the record."""
    return Journal(record.store.private / "test" / f"{tag}.jsonl")


def record_walk(at: Walking, walk: Walk, who: Who, witness: str = "", dry_run: bool = False) -> RecordedTest:
    """Record what was typed with the reading it was tried on; the draft is away then. Raises ``Refused``."""
    done = record_of(at.tried, observed(walk), who, witness, "", dry_run)
    if not dry_run:
        at.journal.remove()
    return done
