"""The terminal side of the keypad guide: plain lines in and out, so that it works anywhere a shell does."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Protocol

import typer

from asleft.cli.session import Session
from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.intake.keypad import Guide, Journal, Kept, Reply
    from asleft.jobs.keypad import Sitting
    from asleft.jobs.who import Who

_ASCII = str.maketrans(
    {
        "°": "deg ", "²": "2", "³": "3", "·": ".", "×": "x", "–": "-", "→": "->", "‰": "per mille",
        "Ω": "ohm", "±": "+/-",
    }
)  # fmt: skip


def converse(session: Session, sitting: Sitting, who: Who, resume: bool, command: str) -> Guide:
    """Ask entry by entry until all is answered; the guide with its answers.

    ``command`` is the line that goes on after an interruption. Raises ``typer.Abort`` where the person stops,
    the input ends or Ctrl-C is pressed: every answer given is kept. Raises ``Refused`` where an interrupted
    sitting waits and it is not said what to do with it.
    """
    with sitting.held():
        screen = Screen(session)
        guide = _guide(screen, sitting, who, resume, command)
        ask_to_the_end(
            screen,
            sitting.journal,
            guide,
            lambda: f"Stopped with {guide.done} of {len(guide.rows)} entries kept.",
            command,
        )
        return guide


def ask_to_the_end(
    screen: Screen, journal: Journal, guide: Talks, stopped: Callable[[], str], command: str
) -> None:
    """Ask until all is answered. Where the person stops, the input ends or Ctrl-C is pressed, say what
    ``stopped`` gives and the line that goes on, and raise ``typer.Abort``: every answer given is kept."""
    try:
        ended = ask_all(screen, journal, guide)
    except KeyboardInterrupt:
        ended = False
    if not ended:
        screen.show(("", f"{stopped()} Go on with:", command))
        raise typer.Abort


def _guide(screen: Screen, sitting: Sitting, who: Who, resume: bool, command: str) -> Guide:
    kept = sitting.kept
    if resume or (kept is not None and kept.answers and goes_on(screen, sitting.what, kept, command)):
        guide = sitting.go_on()
        screen.prompt((f"Going on: {guide.done} of {len(guide.rows)} entries are answered.",))
        if kept is not None and sitting.doubtful(kept):
            screen.show(("The model file has changed since. What no longer fits is asked again.",))
        return guide
    guide = sitting.begin(who)
    screen.prompt(
        (
            f"{sitting.asset}, {sitting.model.title}: {len(guide.rows)} entries, in the drive's order.",
            f"Enter: {guide.purpose.enter}. help lists words, stop keeps all for later.",
        )
    )
    return guide


def goes_on(screen: Screen, what: str, kept: Kept, command: str) -> bool:
    """Ask a person whether to go on with what waits. Raises ``Refused`` where there is nobody to ask."""
    from asleft.intake.keypad.answers import standing

    number = len(standing(kept.answers))
    counted = "1 answer" if number == 1 else f"{number} answers"
    at = kept.head.get("at", "")[:16].replace("T", " ")
    waits = f"a {what} waits: {counted} by {kept.head.get('by', 'somebody')}, begun {at}."
    if not screen.is_terminal:
        raise Refused(Fault(waits, f"Go on with it: {command}"))
    screen.prompt((waits[0].upper() + waits[1:],))
    while True:
        screen.prompt(("Go on with it? yes, or no to start afresh > ",), True)
        word = screen.read().strip().lower()
        if word in ("yes", "y", "no", "n"):
            return word[0] == "y"


class Talks(Protocol):
    """What is asked line by line."""

    def ask(self) -> tuple[str, ...]:
        """The lines to show before a line is typed."""

    def feed(self, line: str) -> Reply:
        """Take one typed line."""


def ask_all(screen: Screen, journal: Journal, guide: Talks) -> bool:
    """Whether the guide came to its end; not where the person stopped or the input ended."""
    while True:
        screen.prompt(guide.ask(), True)
        try:
            line = screen.read()
        except EOFError:
            return False
        reply = guide.feed(line)
        _keep(journal, reply)
        screen.reply(reply)
        if reply.end:
            return reply.end == "finished"


def _keep(journal: Journal, reply: Reply) -> None:
    """Answers on disk, also where Ctrl-C falls in between; twice does no harm."""
    try:
        journal.add(reply.answers)
    except KeyboardInterrupt:
        journal.add(reply.answers)
        raise


class Screen:
    """Lines to standard error, lines from standard input; prompts only where a person sits there."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.is_terminal = sys.stdin is not None and sys.stdin.isatty()
        self.lines_read = 0
        self._ascii = os.name != "nt" and "utf" not in _locale().lower()

    def prompt(self, lines: tuple[str, ...], typed: bool = False) -> None:
        """Lines that ask; ``typed`` where the person types behind the last one."""
        if self.is_terminal:
            self._write("\n".join(lines) + ("" if typed else "\n"))

    def reply(self, reply: Reply) -> None:
        """What a line led to; without a terminal, what was refused names its line."""
        if self.is_terminal:
            self.show(reply.lines)
        elif reply.refused:
            self.show((f"line {self.lines_read}: {' '.join(reply.lines)}",))

    def show(self, lines: Iterable[str]) -> None:
        """Lines to read."""
        self._write("".join(f"{line}\n" for line in lines))

    def read(self) -> str:
        """One typed line, whatever bytes a terminal sends. Raises ``EOFError`` at the end of input."""
        content = sys.stdin.buffer.readline(65536) if sys.stdin is not None else b""
        if not content:
            raise EOFError
        self.lines_read += 1
        try:
            return content.decode("utf-8")
        except UnicodeDecodeError:
            return content.decode("latin-1")

    def _write(self, text: str) -> None:
        self.session.err.write(text.translate(_ASCII) if self._ascii else text)
        self.session.err.flush()


def _locale() -> str:
    return next((os.environ[name] for name in ("LC_ALL", "LC_CTYPE", "LANG") if os.environ.get(name)), "")
