"""The terminal side of working through a put-right list: plain lines, as at the keypad guide."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.cli.keypad import Screen, ask_to_the_end, converse, goes_on
from asleft.cli.session import Session

if TYPE_CHECKING:
    from asleft.intake.keypad import Kept
    from asleft.intake.working import Work
    from asleft.jobs.naming import Inputs
    from asleft.jobs.replacing import Replaced
    from asleft.jobs.who import Who
    from asleft.jobs.working import Bench


def work_through(
    session: Session, inputs: Inputs, at: Bench, who: Who, resume: bool, again: str, until: str, dry_run: bool
) -> Replaced:
    """Go through the list, then read the whole unit back, then record it as left.

    ``again`` is the command line that goes on after an interruption. Raises ``typer.Abort`` where the person
    stops, the input ends or Ctrl-C is pressed: every answer given is kept. Raises ``Refused`` where an
    interrupted sitting waits and it is not said what to do with it.
    """
    from asleft.jobs.keypad import keypad_journal
    from asleft.jobs.replacing import record_replacement
    from asleft.jobs.working import read_back

    assert inputs.record is not None
    with at.held():
        screen = Screen(session)
        work = _work(screen, at, who, resume, again)
        _record_arrival(screen, inputs, at, who, dry_run)
        reading = keypad_journal(inputs.record, at.tag, "replacement")
        goes_on_reading = work.finished and reading.read() is not None
        if not work.finished:
            reading.remove()
            ask_to_the_end(
                screen,
                at.journal,
                work,
                lambda: f"Stopped: {work.done} of {len(work.tasks)} done and kept.",
                again,
            )
        guide = converse(session, read_back(inputs.record, at, work), who, goes_on_reading, again)
        result = record_replacement(inputs, at, work, guide, who, until, dry_run)
        if not dry_run:
            at.journal.remove()
            reading.remove()
        return result


def _record_arrival(screen: Screen, inputs: Inputs, at: Bench, who: Who, dry_run: bool) -> None:
    from asleft.jobs.arriving import record_arrival

    assert inputs.record is not None
    arrival = record_arrival(inputs.record, at, who, dry_run)
    if arrival.commit:
        screen.show((f"The unit as it came is recorded as found of {at.tag}: {arrival.commit[:10]}.",))
    elif at.replaced:
        screen.show((f"The unit as it came is not recorded as found: {arrival.why}.",))


def _work(screen: Screen, at: Bench, who: Who, resume: bool, again: str) -> Work:
    kept = at.kept
    if resume or (kept is not None and kept.answers and goes_on(screen, at.what, kept, again)):
        work = at.go_on(who)
        _say_changed(screen, at, kept)
        screen.prompt((f"Going on: {work.done} of {len(work.tasks)} are done.",))
    else:
        work = at.begin(who)
        screen.prompt((f"{at.tag}, {at.pair.model.title}: {len(work.tasks)} to do, one a screen.",))
    screen.prompt(("help lists words, stop keeps all for later.", "", *_cautions(work)))
    return work


def _cautions(work: Work) -> tuple[str, ...]:
    from asleft.intake.keypad.screen import wrapped

    return wrapped(["Before you touch the unit:", *(f"- {text}" for text in work.listed.cautions)])


def _say_changed(screen: Screen, at: Bench, kept: Kept | None) -> None:
    if kept is not None and at.is_another(kept):
        screen.show(
            (
                "The list is another one now: the record, the unit's reading or its model has changed.",
                "What was decided, answered and wired stands; every step is asked again.",
            )
        )
