"""A replacement recorded: the unit as left, what was decided and wired, what is to be done after it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from asleft.compare import Side
from asleft.files.assets import write_asset
from asleft.files.replacements import Replacement, write_replacement
from asleft.intake.keypad import Guide, taken
from asleft.intake.working import Work, Worked, worked
from asleft.jobs.checking import Judge
from asleft.jobs.leaving import Left, leave
from asleft.jobs.naming import Inputs
from asleft.jobs.record import Record
from asleft.jobs.snapshot import Snapshot, snapshot
from asleft.jobs.who import Who
from asleft.jobs.working import Bench
from asleft.models import displayed_words
from asleft.record import Asset, Refused
from asleft.record.findings import Waiver
from asleft.replace.standing import same_shown
from asleft.spec import Subject
from asleft.spec.subject import View
from asleft.spec.waivers import ended

REPLACEMENT, CHANGE = "replacement", "change"


@dataclass(frozen=True, slots=True)
class Stray:
    """An entry that reads otherwise than the list asked for; ``found`` is empty where it was not read."""

    native: str
    text: str
    wanted: str
    found: str


@dataclass(frozen=True, slots=True)
class ToRepeat:
    """A functional test to be done again; ``predicted`` is empty where it has to be seen."""

    number: int
    words: str
    predicted: str


@dataclass(frozen=True, slots=True)
class Replaced:
    """The answer to ``compare --work``.

    ``replaced``: the unit was another one. ``model_before`` is the slot's model where that was another.
    ``waivers`` ended with the old unit. ``tests`` are to be repeated; ``no_tests`` says why none can be told.
    ``left`` is what waits until morning, None where nothing does.
    """

    asset: str
    replaced: bool
    snapshot: Snapshot
    worked: Worked
    strays: tuple[Stray, ...]
    waivers: tuple[Waiver, ...]
    tests: tuple[ToRepeat, ...]
    no_tests: str
    model_before: str
    left: Left | None = None

    @property
    def is_right(self) -> bool:
        """Whether the unit was read as it should be, and nothing was left out."""
        return not self.strays and not self.worked.left_out


def record_replacement(
    inputs: Inputs, at: Bench, work: Work, guide: Guide, who: Who, until: str = "", dry_run: bool = False
) -> Replaced:
    """Record what was read back, as left, with what was decided and the slot's new model. ``until`` is the
    day for what waits. Raises ``Refused``."""
    assert inputs.record is not None
    record, asset, model = inputs.record, at.pair.asset, at.pair.model
    done, read = worked(work), taken(guide.model, guide.rows, guide.answers)
    occasion = REPLACEMENT if at.replaced else CHANGE
    also = dict(_further_files(record, at, done, who))
    shot = snapshot(record, at.tag, read, "as_left", occasion, who, dry_run, also)
    tests, no_tests = _tests(Side(shot.set, model), asset) if at.replaced else ((), "")
    return Replaced(
        asset=at.tag,
        replaced=at.replaced,
        snapshot=shot,
        worked=done,
        strays=tuple(_strays(work, guide)),
        waivers=_ended_waivers(record, at, who) if at.replaced else (),
        tests=tests,
        no_tests=no_tests,
        model_before=asset.model if asset.model != model.name else "",
        left=_left(record, at, work, who, until, dry_run),
    )


def _left(record: Record, at: Bench, work: Work, who: Who, until: str, dry_run: bool) -> Left | None:
    waits = at.tonight and work.listed.tomorrow
    return leave(record, at.pair, work.listed, until, who, dry_run) if waits else None


def _further_files(record: Record, at: Bench, done: Worked, who: Who) -> Iterator[tuple[str, bytes]]:
    asset, recorded = at.pair.asset, at.pair.wanted.recorded
    kept = Replacement(
        asset=asset.tag,
        model=at.pair.model.name,
        unit=at.unit,
        reading=recorded.blob if recorded else "",
        read=at.pair.wanted.words,
        at=who.at,
        by=who.by,
        parts=_parts(done),
        reason=who.reason,
        work_order=who.work_order,
    )
    if at.replaced or any(kept.parts.values()):
        yield _path(record, asset.tag, who), write_replacement(kept)
    if asset.model != at.pair.model.name:
        yield f"assets/{asset.tag}/asset.toml", write_asset(replace(asset, model=at.pair.model.name))


def _path(record: Record, tag: str, who: Who) -> str:
    folder = f"assets/{tag}/replacements"
    held = record.store.paths(under=folder)
    stem = f"{folder}/{who.at:%Y-%m-%d-%H%M}"
    names = (f"{stem}{'' if n == 1 else f'-{n}'}.toml" for n in range(1, len(held) + 2))
    return next(name for name in names if name not in held)


def _parts(done: Worked) -> Mapping[str, tuple[Mapping[str, str], ...]]:
    asked = [{"question": question, "answer": answer} for question, answer in done.answers.items()]
    asked += [{"question": question, "not_answered": why} for question, why in done.open_questions.items()]
    wires = [{"wire": wire, "old_terminal": old, "new_terminal": new} for wire, old, new in done.wires]
    return {
        "decided": tuple(
            {
                "key": one.key,
                "recorded": one.wanted,
                "how": one.how,
                "chosen": one.chosen,
                "by": one.by,
                "why": one.why,
            }
            for one in done.decided
        ),
        "asked": tuple(asked),
        "wires": tuple(wires) or (({"not_listed": done.no_wires},) if done.no_wires else ()),
        "switches": tuple({"name": name, "position": position} for name, position in done.switches),
        "left_out": tuple({"step": one.text, "enter": one.enter, "why": one.why} for one in done.left_out),
    }


def _strays(work: Work, guide: Guide) -> Iterator[Stray]:
    """The last entry of each native id counts: what was entered only for now is set again later."""
    steps = {task.step.native: task.step for task in work.tasks if task.step and task.kind == "entry"}
    target = {native_id: step.displayed for native_id, step in steps.items()}
    if not work.tonight:
        target = {**work.listed.target, **target}
    for native_id, wanted in target.items():
        native, answer = guide.model.natives[native_id], guide.answers.get(native_id)
        found = answer.value if answer is not None and answer.is_read else ""
        if not same_shown(native, found, wanted):
            words = displayed_words(native, found)
            yield Stray(native_id, native.text, displayed_words(native, wanted), words)


def _ended_waivers(record: Record, at: Bench, who: Who) -> tuple[Waiver, ...]:
    """Waivers of this drive in force until now that the replacement ends; those that stay with the slot do
    not end."""
    judging, day = Judge(record, who.at.date()), who.at.date()
    before = judging.subject(at.pair.asset, at.pair.wanted.set)
    after = replace(before, events={**before.events, REPLACEMENT: day})

    def runs(waiver: Waiver, subject: Subject) -> bool:
        return not waiver.flaws and not ended(waiver, View(subject, {}, day))

    own = [waiver for waiver in judging.waivers.waivers if at.tag in waiver.assets]
    return tuple(waiver for waiver in own if runs(waiver, before) and not runs(waiver, after))


def _tests(side: Side, asset: Asset) -> tuple[tuple[ToRepeat, ...], str]:
    from asleft.behaviour import SettingFault
    from asleft.models.behaviour_options import UnknownOption
    from asleft.prove.making import drive_of, make_sheet

    assert side.model is not None
    try:
        drive = drive_of(side.values, side.model.behaviour, side.set.not_read)
        steps = make_sheet(drive, asset).steps
    except (SettingFault, UnknownOption, Refused) as problem:
        return (), str(problem).rstrip(".")
    return tuple(ToRepeat(step.number, step.words, step.says) for step in steps if step.again), ""
