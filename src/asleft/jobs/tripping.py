"""From a fault to the settings that decide it, what they say, and what changed of them."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

from asleft.compare import Side, compare
from asleft.explain import Explained
from asleft.explain.explained import tell
from asleft.jobs.checking import needed, newest
from asleft.jobs.naming import Inputs
from asleft.jobs.record import Record, Recorded
from asleft.record import Asset, Fault, Refused, Value
from asleft.vocabulary.causes import Cause, causes


@dataclass(frozen=True, slots=True)
class Trip:
    """The answer to ``trip``: the reading it speaks of, the deciding settings as they stand, those that
    changed since ``since``, and those nobody read."""

    asset: Asset
    cause: Cause
    reading: Recorded
    since: Recorded | None
    stands: tuple[tuple[str, Value], ...]
    changed: tuple[Explained, ...]
    not_read: tuple[tuple[str, str], ...]


def trip(tag: str, cause: str, inputs: Inputs) -> Trip:
    """The settings behind a fault of an asset. Raises ``Refused``."""
    record = needed(inputs)
    asset = record.asset(tag)
    found = find_cause(cause)
    reading = newest([one for one in record.readings(asset.tag) if one.reading.kind != "planned"])
    if reading is None:
        raise Refused(
            Fault(f"nothing was ever read of {asset.tag}.", f"Read it now: asleft snapshot {asset.tag} …")
        )
    side = Side(reading.set, record.model_of(reading.set))
    since = _left_before(record, asset.tag, reading)
    stands = tuple((key, side.values[key]) for key in found.keys if key in side.values and _speaks(key, side))
    not_read = tuple((key, side.why(key)) for key in found.keys if side.state(key) == "not_read")
    return Trip(asset, found, reading, since, stands, _changed(record, found, since, side), not_read)


def find_cause(text: str) -> Cause:
    """The cause a person means, by name or in other words. Raises ``Refused`` with the nearest."""
    wanted = text.lower().replace("-", " ").replace("_", " ").strip()
    names = {word: cause for cause in causes().values() for word in _words(cause)}
    if wanted in names:
        return names[wanted]
    near = difflib.get_close_matches(wanted, names, n=1, cutoff=0.6)
    hint = (
        f"Did you mean {_spoken(names[near[0]].name)}?"
        if near
        else f"There are {_spoken(', '.join(causes()))}."
    )
    raise Refused(Fault(f"no fault is known as {text!r}.", hint))


def _spoken(name: str) -> str:
    return name.replace("_", " ")


def _words(cause: Cause) -> tuple[str, ...]:
    return (cause.name.replace("_", " "), cause.says, *cause.also)


def _left_before(record: Record, tag: str, reading: Recorded) -> Recorded | None:
    return newest([one for one in record.series(tag, "as_left") if one.rank < reading.rank])


def _speaks(key: str, side: Side) -> bool:
    """Terminals without a function say nothing of a fault."""
    if not key.startswith(("digital_inputs.di_", "outputs.relay_")):
        return True
    terminal = key.rpartition(".")[0]
    return side.values.get(f"{terminal}.function", "") != "none"


def _changed(record: Record, cause: Cause, since: Recorded | None, side: Side) -> tuple[Explained, ...]:
    if since is None:
        return ()
    before = Side(since.set, record.model_of(since.set))
    changes = [change for change in compare(before, side).changes if change.key in cause.keys]
    return tell(changes)
