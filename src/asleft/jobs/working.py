"""A put-right list worked through at the drive: what is asked, kept, and recorded when it is done."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date

from asleft.intake.keypad import Journal, Kept, Row, rows_of
from asleft.intake.working import Work, fingerprint
from asleft.jobs.comparing import Pair, pair_of
from asleft.jobs.keypad import Sitting, holding, keypad_journal
from asleft.jobs.naming import Inputs
from asleft.jobs.record import Record
from asleft.jobs.who import Who
from asleft.models import Model
from asleft.record import Fault, Refused, Value
from asleft.replace import PutRight, put_right
from asleft.replace.plan import shown_by
from asleft.vocabulary import vocabulary

FROM_STEPS = ("enter:", "do:", "end")
"""How answers begin that hold for one list only; decisions, wires and questions outlive it."""


@dataclass
class Bench:
    """One unit being put right; ``held`` keeps a second person from it. The list follows what is decided."""

    pair: Pair
    unit: str
    journal: Journal
    tonight: bool = False
    _plans: dict[tuple[tuple[str, str], ...], PutRight] = field(default_factory=dict)

    @property
    def tag(self) -> str:
        """The slot."""
        return self.pair.asset.tag

    @property
    def replaced(self) -> bool:
        """Whether the unit is another one; not where it was read in this slot."""
        return self.pair.unit.recorded is None or self.pair.unit.set.asset != self.tag

    @property
    def what(self) -> str:
        """What is done here, for a person."""
        return f"put-right list of {self.tag}"

    @property
    def kept(self) -> Kept | None:
        """What an interrupted sitting left, read anew; None where nothing waits."""
        return self.journal.read()

    def plan(self, decided: Mapping[str, Value]) -> PutRight:
        """The list once some settings stand otherwise than recorded."""
        name = tuple(sorted((key, str(value)) for key, value in decided.items()))
        if name not in self._plans:
            wanted = self.pair.wanted.side
            changed = replace(wanted, set=wanted.set.with_values(decided))
            self._plans[name] = put_right(changed, self.pair.unit.side, self.pair.asset, self.pair.rules)
        return self._plans[name]

    def begin(self, who: Who) -> Work:
        """Start afresh."""
        work = self._work(who)
        self.journal.begin(
            {
                "asset": self.tag,
                "model": self.pair.model.name,
                "unit": self.unit,
                "list": self._name,
                "by": who.by,
                "at": who.at.isoformat(),
            }
        )
        return work

    def go_on(self, who: Who) -> Work:
        """Go on where it stopped; of another list only what was decided and answered stands. Raises
        ``Refused`` where nothing waits."""
        kept = self.kept
        if kept is None:
            raise Refused(Fault(f"no {self.what} waits to be resumed.", "Leave out --resume."))
        if not self.is_another(kept):
            return self._work(who, kept)
        fitting = tuple(one for one in kept.answers if not one.id.startswith(FROM_STEPS))
        work = self._work(who, Kept(kept.head, fitting))
        self.begin(who)
        self.journal.add(fitting)
        return work

    def is_another(self, kept: Kept) -> bool:
        """Whether what waits was begun with another list: the record, the unit or its model has changed."""
        return kept.head.get("list") != self._name

    @property
    def _name(self) -> str:
        from asleft.intake.working import tasks_of

        listed = self.plan({})
        return fingerprint(tasks_of(listed, listed.decide, self.tonight, self.replaced))

    def _work(self, who: Who, kept: Kept | None = None) -> Work:
        shows = shown_by(self.pair.unit.side, self.pair.model)
        answers = kept.answers if kept else ()
        return Work(self.plan, self.pair.model, shows, who.by, answers, self.tonight, self.replaced)

    @contextmanager
    def held(self) -> Iterator[None]:
        """Hold the bench. Raises ``Busy`` where somebody else is at it."""
        with holding(self.journal, self.what):
            yield


def bench(tag: str, unit: str, inputs: Inputs, on: date, model: str = "", tonight: bool = False) -> Bench:
    """The bench for a unit that replaces the one of a slot. Raises ``Refused``."""
    pair = pair_of(tag, unit, inputs, on, model)
    assert inputs.record is not None
    return Bench(pair, unit, work_journal(inputs.record, pair.asset.tag), tonight)


def work_journal(record: Record, tag: str) -> Journal:
    """Where the answers are kept: in the git directory, never in the record."""
    return Journal(record.store.private / "work" / f"{tag}.jsonl")


def read_back(record: Record, at: Bench, work: Work) -> Sitting:
    """The full read-back: every entry of the unit, with what should stand there after the work."""
    pair = at.pair
    entered = {
        task.step.native: answer.value
        for task in work.tasks
        if task.step is not None and task.kind == "entry"
        if (answer := work.answers.get(task.id)) is not None and answer.is_read
    }
    open_ = work.skipped | _reset(work, pair.model) | _measured(work, pair.model)
    rows = tuple(
        _expected(row, entered, open_)
        for row in rows_of(pair.model, replace(pair.unit.set, model=pair.model.name), pair.asset.plate)
    )
    return Sitting(at.tag, "replacement", pair.model, rows, keypad_journal(record, at.tag, "replacement"))


def _expected(row: Row, entered: Mapping[str, str], unknown: frozenset[str]) -> Row:
    if row.native.secret:
        return replace(row, shown=None, moving=False)
    shown, moving = entered.get(row.id, row.shown), row.moving or row.id in unknown
    return replace(row, shown=shown, moving=moving, origin="the list")


def _reset(work: Work, model: Model) -> frozenset[str]:
    """Entries another one has reset and the list has not set again."""
    found: set[str] = set()
    for task in work.tasks:
        answer = work.answers.get(task.id)
        if task.kind == "entry" and task.step is not None and answer is not None and answer.is_read:
            found.discard(task.step.native)
            found |= model.natives[task.step.native].sets.keys()
    return frozenset(found)


def _measured(work: Work, model: Model) -> frozenset[str]:
    """What an identification run measures, where the list has one."""
    if not any(row.outcome == "identify" for row in work.listed.ledger):
        return frozenset()
    return frozenset(
        native.id
        for native in model.natives.values()
        if any(vocabulary()[key].class_ == "tuned" for key in native.keys)
    )
