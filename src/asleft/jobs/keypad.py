"""A drive read at its own keypad: what to ask, and the journal that outlives an interruption."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from asleft.intake.keypad import (
    PLANNING,
    READING,
    RETURNING,
    Answer,
    Guide,
    InUse,
    Journal,
    Kept,
    Row,
    enterable,
    rows_of,
)
from asleft.jobs.record import Record
from asleft.jobs.who import Who
from asleft.models import Model, outside
from asleft.record import Fault, ParameterSet, Refused
from asleft.store import Busy

_PURPOSES = {"planned": PLANNING, "replacement": RETURNING}


@dataclass(frozen=True, slots=True)
class Sitting:
    """One person at one keypad; ``held`` keeps a second one from it."""

    asset: str
    kind: str
    model: Model
    rows: tuple[Row, ...]
    journal: Journal

    @property
    def kept(self) -> Kept | None:
        """What an interrupted sitting left, read anew; None where nothing waits."""
        return self.journal.read()

    @property
    def what(self) -> str:
        """What is done here, for a person."""
        return f"{'plan' if self.kind == 'planned' else 'reading'} of {self.asset} at the keypad"

    def begin(self, who: Who) -> Guide:
        """Start afresh."""
        self.journal.begin(
            {
                "asset": self.asset,
                "kind": self.kind,
                "model": self.model.name,
                "version": self.model.version,
                "by": who.by,
                "at": who.at.isoformat(),
            }
        )
        return self._guide(None)

    def go_on(self) -> Guide:
        """Go on where it stopped. Raises ``Refused`` where nothing waits, or of another model."""
        kept = self.kept
        if kept is None:
            raise Refused(Fault(f"no {self.what} waits to be resumed.", "Leave out --resume."))
        began = kept.head.get("model", self.model.name)
        if began != self.model.name:
            raise Refused(
                Fault(
                    f"what waits was begun with the model {began}, and this is {self.model.name}.",
                    f"Resume it with --model {began}, or start afresh without --resume.",
                )
            )
        return self._guide(kept)

    def doubtful(self, kept: Kept) -> int:
        """How many kept answers no longer fit, the model file having changed since; they are asked again."""
        return len(kept.answers) - len(self._fitting(kept))

    def _fitting(self, kept: Kept) -> tuple[Answer, ...]:
        if kept.head.get("version", self.model.version) == self.model.version:
            return kept.answers
        return tuple(answer for answer in kept.answers if self._fits(answer))

    def _fits(self, answer: Answer) -> bool:
        native = self.model.natives.get(answer.id)
        if native is None:
            return False
        if not answer.is_read or native.secret:
            return True
        known = not native.choices or native.form == "bits" or answer.value in native.choices
        return known and not outside(native, answer.value)

    def _guide(self, kept: Kept | None) -> Guide:
        purpose = _PURPOSES.get(self.kind, READING)
        return Guide(self.model, self.rows, purpose, self._fitting(kept) if kept else ())

    @contextmanager
    def held(self) -> Iterator[None]:
        """Hold the sitting. Raises ``Busy`` where somebody else is at it."""
        with holding(self.journal, self.what):
            yield


@contextmanager
def holding(journal: Journal, what: str) -> Iterator[None]:
    """Hold a journal. Raises ``Busy`` where somebody else is at it."""
    try:
        with journal.held():
            yield
    except InUse:
        raise Busy(
            f"Somebody is at this {what} already.",
            "Wait until it is done, or end it there; nothing is lost.",
        ) from None


def sitting(
    record: Record,
    tag: str,
    model: Model | None,
    kind: str,
    base: ParameterSet | None = None,
    last: ParameterSet | None = None,
) -> Sitting:
    """What to ask at the keypad of an asset. ``base`` is what a plan starts from, None for a reading;
    ``last`` what to show as recorded, where it is not the newest reading.

    Raises ``Refused`` where no drive model is known.
    """
    if model is None:
        raise Refused(
            Fault(
                f"what {tag} shows at its keypad is not known: no drive model is named for it.",
                f"Say which with --model NAME, or once for all: asleft asset set {tag} model=NAME",
            )
        )
    asset = record.asset(tag)
    if base is not None:
        rows = enterable(model, base)
    else:
        rows = rows_of(model, last or _newest(record, asset.tag), asset.plate)
    return Sitting(asset.tag, kind, model, rows, keypad_journal(record, asset.tag, kind))


def keypad_journal(record: Record, tag: str, kind: str) -> Journal:
    """Where the answers of a sitting are kept: in the git directory, never in the record."""
    return Journal(record.store.private / "keypad" / f"{tag}.{kind}.jsonl")


def _newest(record: Record, tag: str) -> ParameterSet | None:
    readings = [one for one in record.readings(tag) if one.reading.kind != "planned"]
    return readings[-1].set if readings else None
