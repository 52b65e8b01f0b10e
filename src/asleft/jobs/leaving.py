"""The part of a put-right list that may wait until morning, with the day by which it is done."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from asleft.files.sets import write_set
from asleft.jobs.comparing import Pair
from asleft.jobs.planning import refuse_bad_end
from asleft.jobs.record import Record
from asleft.jobs.temporary import LEFT_OVER
from asleft.jobs.who import Who
from asleft.record import Fault, Reading, Refused
from asleft.replace import PutRight, Step


@dataclass(frozen=True, slots=True)
class Left:
    """What waits: the steps, and the day. ``commit`` is None on a dry run, or where it stood so already."""

    asset: str
    steps: tuple[Step, ...]
    until: date
    commit: str | None
    dry_run: bool


def leave(record: Record, pair: Pair, listed: PutRight, until: str, who: Who, dry_run: bool = False) -> Left:
    """Record what the unit is to hold by ``until`` as the plan of the asset. Raises ``Refused``."""
    refuse_nameless(listed, until, who)
    tag = pair.asset.tag
    reading = Reading("planned", who.at, who.by, "list", LEFT_OVER, who.reason, who.work_order, until=until)
    target = replace(listed.result, asset=tag, model=pair.model.name, model_version=pair.model.version)
    files = {f"assets/{tag}/planned.toml": write_set(replace(target, reading=reading))}
    commit = None if dry_run else _write(record, files, tag, until, who)
    return Left(tag, listed.tomorrow, date.fromisoformat(until), commit, dry_run)


def refuse_nameless(listed: PutRight, until: str, who: Who) -> None:
    """Raise ``Refused`` where something waits and no day is named, or a day and nothing waits."""
    if not listed.tomorrow:
        raise Refused(Fault("nothing of the list may wait, so it needs no day.", "Leave out --until."))
    if not until:
        number = len(listed.tomorrow)
        waiting = "1 entry waits" if number == 1 else f"{number} entries wait"
        raise Refused(
            Fault(
                f"{waiting} until morning, and no day is named.",
                "Say by when they are made: --until 2026-10-12 --reason TEXT.",
                "--until",
            )
        )
    refuse_bad_end(until, who)


def _write(record: Record, files: dict[str, bytes], tag: str, until: str, who: Who) -> str | None:
    return record.store.write(
        files,
        f"{tag} left over from the replacement, until {until}",
        who.trailers(tag, "planned", LEFT_OVER),
        author_name=who.by,
        author_email=who.email,
        author_at=who.at,
        committed_at=who.now,
    )
