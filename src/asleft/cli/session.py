"""What enters from outside: folder, environment, clock, user, streams. Passed down from here."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from functools import cached_property
from pathlib import Path
from shlex import join
from typing import IO, TYPE_CHECKING

from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.jobs.naming import Inputs
    from asleft.jobs.record import Record
    from asleft.jobs.who import Who
    from asleft.store import Git


class Session:
    """One run of a command."""

    def __init__(
        self, folder: Path | None = None, out: IO[str] | None = None, err: IO[str] | None = None
    ) -> None:
        self.folder = folder or Path.cwd()
        self.out = out or sys.stdout
        self.err = err or sys.stderr
        self.debug = False

    @cached_property
    def now(self) -> datetime:
        """The one instant of this run, in the local zone."""
        return datetime.now(UTC).astimezone()

    @cached_property
    def git(self) -> Git:
        """git with this machine's environment."""
        from asleft.store import Git

        return Git(dict(os.environ))

    @property
    def completing(self) -> bool:
        """Whether the shell asks what a word can become."""
        return "_ASLEFT_COMPLETE" in os.environ

    def site_folder(self, named: Path | None) -> Path:
        """Where to look for the site: as named, as ``ASLEFT_SITE`` says, or here."""
        return named or Path(os.environ.get("ASLEFT_SITE") or self.folder)

    def record(self, named: Path | None = None) -> Record:
        """The site's record. Raises a store error where there is none."""
        from asleft.jobs.record import Record
        from asleft.store import find

        store = find(self.site_folder(named), self.git)
        for line in store.heal():
            self.say(line)
        return Record(store)

    def inputs(self, named: Path | None, *names: str) -> Inputs:
        """Where the named sets come from; the record is opened only where a name needs it."""
        from asleft.jobs.naming import Inputs

        needed = named is not None or any(_needs_record(name) for name in names)
        record = self.record(named) if needed else self._record_if_any()
        return Inputs(record, self.standard_input, self.folder)

    def assets(self, named: Path | None, tags: list[str] | None, everything: bool) -> Inputs:
        """Inputs of a command over assets. Raises ``Refused`` unless some are named, or all are asked for."""
        if bool(tags) == everything:
            raise Refused(Fault("say which assets: name some, or --all.", "See them: asleft asset list"))
        from asleft.jobs.naming import Inputs

        return Inputs(self.record(named), self.standard_input, self.folder)

    def day(self, record: Record | None, on: str) -> date:
        """The day to judge by, in the site's zone. Raises ``Refused`` for what is no date."""
        if not on:
            return self.now.astimezone(record.site.zone if record else None).date()
        try:
            return date.fromisoformat(on)
        except ValueError:
            raise Refused(Fault(f"{on!r} is no date.", "Write 2026-10-01.", "--on")) from None

    def _record_if_any(self) -> Record | None:
        """The record around this folder, for its models, where there is one; asked without running git."""
        start = Path(os.environ.get("ASLEFT_SITE") or self.folder).absolute()
        if not any((folder / "site.toml").is_file() for folder in (start, *start.parents)):
            return None
        from asleft.store import StoreError

        try:
            return self.record(start)
        except StoreError:
            return None

    def standard_input(self) -> bytes:
        """All of standard input, within bounds."""
        from asleft.files.bounded import MOST_BYTES

        if sys.stdin is None or sys.stdin.isatty():
            raise Refused(Fault("there is nothing on standard input.", "Pipe a file in, or name one."))
        content = sys.stdin.buffer.read(MOST_BYTES + 1)
        if len(content) > MOST_BYTES:
            raise Refused(Fault("standard input is larger than any set.", "Check what is piped in."))
        return content

    def say(self, text: str) -> None:
        """A word to the person, beside the result."""
        print(text, file=self.err)

    def who(
        self, record: Record | None, by: str = "", at: str = "", reason: str = "", work_order: str = ""
    ) -> Who:
        """Who records, when, and why. Raises ``Refused`` where nobody can be named."""
        from asleft.jobs.who import Who
        from asleft.store.identity import identity

        folder = record.top if record else self.folder
        name, email = identity(folder, self.git)
        if not (by or name):
            raise Refused(
                Fault("who is recording this is not known.", 'Say --by "NAME", or set git\'s user.name once.')
            )
        return Who(by or name, email, self.moment(record, at), self.now, reason, work_order)

    def moment(self, record: Record | None, at: str) -> datetime:
        """A time as typed, told in the site's zone whatever zone it names; now where nothing was typed."""
        zone = record.site.zone if record else None
        if not at:
            return self.now.astimezone(zone).replace(microsecond=0)
        from asleft.record.tags import parse_moment

        found = parse_moment(at)
        if found is None:
            raise Refused(Fault(f"{at!r} is no time.", "Write 2026-03-12T14:05, with or without a zone."))
        if not isinstance(found, datetime):
            found = datetime(found.year, found.month, found.day, 12, 0)  # noqa: DTZ001
        here = zone or self.now.tzinfo
        return found.astimezone(here) if found.tzinfo else found.replace(tzinfo=here)


def _needs_record(name: str) -> bool:
    from asleft.record.tags import parse_set_name

    parsed = parse_set_name(name)
    return not (parsed.is_input or parsed.path)


def resuming(words: Sequence[str], given: Mapping[str, str], site: Path | None) -> str:
    """The command line that goes on after an interruption. ``given``: option -> what was said, or "".

    The time is left out: it is that of the run that goes on.
    """
    said = {**given, "--site": str(site or "")}
    more = [word for name, text in said.items() if text for word in (name, text)]
    return join(["asleft", *words, *more, "--resume"])
