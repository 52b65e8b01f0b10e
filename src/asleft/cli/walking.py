"""The terminal side of walking through a functional test: plain lines, as at the keypad guide."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.cli.keypad import Screen, ask_to_the_end, goes_on
from asleft.cli.session import Session
from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.intake.keypad import Kept
    from asleft.intake.walking import Walk
    from asleft.jobs.naming import Inputs
    from asleft.jobs.testing import RecordedTest
    from asleft.jobs.walking import Walking
    from asleft.jobs.who import Who


def walk_through(
    session: Session, name: str, inputs: Inputs, who: Who, witness: str, resume: bool, again: bool,
    command: str, dry_run: bool,
) -> RecordedTest:  # fmt: skip
    """Go through the steps of a sheet, then record what was typed.

    ``command`` is the line that goes on after an interruption. Raises ``typer.Abort`` where the person stops,
    the input ends or Ctrl-C is pressed: every answer given is kept. Raises ``Refused`` without a terminal.
    """
    screen = Screen(session)
    if not screen.is_terminal:
        raise Refused(
            Fault(
                f"what was observed at {name} is not given, and there is no terminal to type it at.",
                f"Give a file: asleft test record {name} --from FILE, or --from - for standard input.",
            )
        )
    from asleft.jobs.walking import record_walk, walking

    at = walking(name, inputs, again)
    with at.held():
        walk = _walk(screen, at, who, resume, command)
        ask_to_the_end(
            screen,
            at.journal,
            walk,
            lambda: f"Stopped: {walk.done} of {len(walk.steps)} steps done and kept.",
            command,
        )
        return record_walk(at, walk, who, witness, dry_run)


def _walk(screen: Screen, at: Walking, who: Who, resume: bool, command: str) -> Walk:
    kept = at.kept
    if resume or (kept is not None and kept.answers and goes_on(screen, at.what, kept, command)):
        walk = at.go_on()
        _say_changed(screen, at, kept)
        screen.prompt((f"Going on: {walk.done} of {len(walk.steps)} steps are done.",))
    else:
        walk = at.begin(who)
        screen.prompt((f"{at.tag}: functional test, {len(walk.steps)} steps, one a screen.",))
    screen.prompt(("help lists words, stop keeps all for later.", "", *_cautions(at)))
    return walk


def _cautions(at: Walking) -> tuple[str, ...]:
    from asleft.intake.keypad.screen import wrapped
    from asleft.prove.cautions import BEFORE

    lines = (*BEFORE, *at.tried.notes)
    return wrapped(["Before the first start:", *(f"- {text}" for text in lines)])


def _say_changed(screen: Screen, at: Walking, kept: Kept | None) -> None:
    if kept is None or not at.is_another(kept):
        return
    screen.show(
        (
            "The set was read again since. What is predicted as before stands;",
            f"what is not, or has to be repeated on another unit, is asked again: {at.doubtful(kept)}.",
        )
    )
