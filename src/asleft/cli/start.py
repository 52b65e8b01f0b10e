"""From the command line to a command, and from what happened to an exit code."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from typing import IO, TYPE_CHECKING

from asleft.cli.session import Session
from asleft.cli.table import BY_NAME, COMMANDS, Command
from asleft.record import Refused

if TYPE_CHECKING:
    import typer

CLEAN, DIFFERS, WRONG_USE, OUR_FAULT, DAMAGED, BUSY = range(6)
INTERRUPTED, CLOSED_PIPE = 130, 141
_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_HELP = "Keeps the as-left record of variable-frequency drives: snapshot, diff, check, audit, compare."
_EPILOG = "Exit codes: 0 clean, 1 differences or breaches, 2 wrong use, 3 our fault, 4 damaged, 5 busy."


def run() -> None:
    """The console script."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace", newline="\n")
    code = main(sys.argv[1:], Session())
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        code = CLOSED_PIPE
    except OSError as problem:
        code = _unwritten(problem, sys.stderr)
    if code == CLOSED_PIPE:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(code)


def main(arguments: Sequence[str], session: Session) -> int:
    """Run one command line; the exit code."""
    try:
        return complete(session) if session.completing else _main(arguments, session)
    except (BrokenPipeError, SystemExit):  # click ends a closed pipe by exit 1, which means "differs" here
        return CLOSED_PIPE


def _main(arguments: Sequence[str], session: Session) -> int:
    given = [argument for argument in arguments if argument != "--debug"]
    session.debug = len(given) != len(arguments)
    try:
        if given == ["--version"]:
            from asleft import __version__

            session.out.write(f"asleft {__version__}\n")
            return CLEAN
        if not given or given in (["--help"], ["-h"], ["help"]):
            session.out.write(overview())
            return CLEAN
        if is_plain_diff(given):
            from asleft.cli.answers import diff

            return diff(session, given[1], given[2])
        app = application(given)
        return int(app(args=given, standalone_mode=False, prog_name="asleft", obj=session) or 0)
    except Exception as problem:
        return _failed(problem, session)
    except KeyboardInterrupt:
        session.say("Interrupted; what was not said to be recorded is not recorded.")
        return INTERRUPTED


def is_plain_diff(given: Sequence[str]) -> bool:
    """Two sets and no option: answered without loading the command line library, which is half of a cold
    diff's time."""
    return len(given) == 3 and given[0] == "diff" and not any(word.startswith("-") for word in given[1:])


def complete(session: Session) -> int:
    """Answer the shell with what the word at the cursor can become."""
    import typer

    from asleft.cli.completion import attach, words_so_far

    app = application(words_so_far(), completes=True)
    command = typer.main.get_command(app)
    attach(command, session.site_folder(None).absolute())
    try:
        command(args=[], prog_name="asleft")
    except SystemExit as ended:
        return int(ended.code or 0)
    return CLEAN


def application(arguments: Sequence[str], completes: bool = False) -> typer.Typer:
    """The application; with one command where the line names one, so that the others stay unread."""
    import typer

    app = typer.Typer(
        add_completion=completes or len(arguments) == 0 or arguments[0].startswith("--"),
        rich_markup_mode=None,
        no_args_is_help=True,
        help=_HELP,
        epilog=_EPILOG,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    app.callback()(lambda: None)
    named = BY_NAME.get(arguments[0]) if arguments else None
    for command in (named,) if named else COMMANDS:
        _add(app, command)
    return app


def overview() -> str:
    """What there is, by task."""
    lines = ["Usage: asleft COMMAND …", "", _HELP]
    for task in dict.fromkeys(command.task for command in COMMANDS):
        lines += ["", f"{task}:"]
        lines += [f"  {one.name:<14}{one.help}" for one in COMMANDS if one.task == task]
    return "\n".join([*lines, "", "asleft COMMAND --help starts with examples.", _EPILOG, ""])


def _add(app: typer.Typer, command: Command) -> None:
    import_module(f"asleft.cli.commands.{command.module}").add(app)
    for plain in app.registered_commands:
        plain.short_help = command.help if plain.name == command.name else plain.short_help
    for group in app.registered_groups:
        group.short_help = command.help if group.name == command.name else group.short_help


def _failed(problem: Exception, session: Session) -> int:
    if session.debug:
        import traceback

        traceback.print_exception(problem, file=session.err)
    if isinstance(problem, BrokenPipeError):
        return CLOSED_PIPE
    if isinstance(problem, Refused):
        for fault in problem.faults:
            session.say(f"asleft: {fault}")
        return WRONG_USE
    return _ended(problem, session)


def _ended(problem: Exception, session: Session) -> int:
    """What the command line library raises, and the rest."""
    import typer

    if isinstance(problem, typer.Exit):
        return problem.exit_code
    if isinstance(problem, (typer.Abort, EOFError)):
        session.say("Stopped; nothing more was recorded.")
        return INTERRUPTED
    if isinstance(problem, typer.BadParameter.__mro__[1]):
        return _usage(problem, session)
    return _store_or_ours(problem, session)


def _usage(problem: Exception, session: Session) -> int:
    session.say(f"asleft: {getattr(problem, 'format_message', lambda: str(problem))()}")
    context = getattr(problem, "ctx", None)
    session.say(f"Try: {context.command_path if context else 'asleft'} --help")
    return WRONG_USE


def _store_or_ours(problem: Exception, session: Session) -> int:
    from asleft.store.errors import StoreError

    if isinstance(problem, StoreError):
        session.say(f"asleft: {problem.what}")
        session.say(problem.do_next)
        return problem.exit_code
    if isinstance(problem, OSError) and problem.errno in _FULL:
        return _unwritten(problem, session.err)
    return _our_fault(problem, session)


def _unwritten(problem: OSError, err: IO[str]) -> int:
    print(
        f"asleft: the result cannot be written: {problem.strerror}. Make room, or name another place.",
        file=err,
    )
    return WRONG_USE


def _our_fault(problem: Exception, session: Session) -> int:
    import tempfile
    import traceback

    log = Path(tempfile.gettempdir()) / f"asleft-fault-{session.now:%Y%m%d-%H%M%S}.log"
    try:
        log.write_text("".join(traceback.format_exception(problem)), encoding="utf-8")
        kept = f"What happened is in {log}."
    except OSError:
        kept = "Run it again with --debug to see where."
    session.say(f"asleft: a fault of ours, not yours: {type(problem).__name__}: {problem}. {kept}")
    session.say("Nothing that was not said to be recorded is recorded.")
    return OUR_FAULT
