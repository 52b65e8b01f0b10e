"""What a reading's firmware means for its list: whether the model file covers it, and what changed since."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.compare import Side
    from asleft.jobs.naming import Inputs
    from asleft.jobs.record import Record
    from asleft.models import Model
    from asleft.replace.definitions import DefinitionChange

MUCH = 2
"""One list is taken for another firmware's where at least one in two entries has its id and text."""


class Definitions(NamedTuple):
    """``beyond`` says which list does not cover its reading's firmware, ``notes`` which lists are two states
    of one, ``changes`` what differs between those."""

    beyond: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    changes: tuple[DefinitionChange, ...] = ()


NONE = Definitions()


class Sized(NamedTuple):
    """The changes of one size, or of all that both files have where ``size`` is empty."""

    size: str
    changes: tuple[DefinitionChange, ...]


@dataclass(frozen=True, slots=True)
class ListChanges:
    """The answer to ``model changes``. ``come`` and ``gone`` are sizes only one of the files has."""

    old: str
    new: str
    firmware: tuple[tuple[str, str], tuple[str, str]]
    sized: tuple[Sized, ...]
    come: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()

    @property
    def differs(self) -> bool:
        """Whether anything is defined otherwise."""
        return bool(self.come or self.gone or any(one.changes for one in self.sized))


def definitions(old: Side, new: Side, record: Record | None) -> Definitions:
    """What the firmware and the model files of two readings say of their definitions."""
    beyond = dict.fromkeys(note for side in (old, new) if (note := _beyond(side)))
    notes: list[str] = []
    pairs = (*_between(old, new), *_covering(old, record), *_covering(new, record))
    changes: dict[DefinitionChange, None] = {}
    for before, after, words in pairs:
        found = _changes(before, after)
        if found:
            notes.append(words)
            changes |= dict.fromkeys(found)
    return Definitions(tuple(beyond), tuple(dict.fromkeys(notes)), tuple(changes))


def _changes(old: Model, new: Model) -> tuple[DefinitionChange, ...]:
    from asleft.replace.definitions import definition_changes

    return definition_changes(old, new)


class _Lists(NamedTuple):
    old: Model
    new: Model
    words: str


def _beyond(side: Side) -> str:
    model, firmware = side.model, side.set.firmware
    if model is None or not firmware or model.covers(firmware):
        return ""
    first, last = model.firmware
    return (
        f"{model.title}: its list is true for firmware {first} to {last}, and the reading has {firmware}. "
        "Entries can mean something else."
    )


def _between(old: Side, new: Side) -> Iterator[_Lists]:
    """The two models of a comparison, where they are two states of one list."""
    one, other = old.model, new.model
    if one is None or other is None or (one.name, one.version) == (other.name, other.version):
        return
    if one.name == other.name:
        words = f"The model file of {other.name} has changed between the two readings"
        yield _Lists(one, other, f"{words}: what its entries mean is told below.")
    elif _kin(one, other):
        words = f"{other.name} is the list of another firmware of {one.name}"
        yield _Lists(one, other, f"{words}: what it changes is told below.")


def _covering(side: Side, record: Record | None) -> Iterator[_Lists]:
    """A list of the site that covers a firmware the reading's own list does not."""
    if record is None or side.model is None or not _beyond(side):
        return
    for name in record.model_names():
        other = record.model(name)
        if other.name != side.model.name and other.covers(side.set.firmware) and _kin(side.model, other):
            words = f"{other.name} is the list of firmware {side.set.firmware}"
            yield _Lists(side.model, other, f"{words}: what it changes is told below. Read the unit with it.")


def _kin(one: Model, other: Model) -> bool:
    """Whether two models are one size of one drive, with lists of two firmwares."""
    if (one.maker, one.size) != (other.maker, other.size):
        return False
    alike = sum(
        1
        for native in one.natives.values()
        if (twin := other.natives.get(native.id)) is not None and twin.text == native.text
    )
    return alike * MUCH >= max(len(one.natives), len(other.natives))


def changes_between(old: str, new: str, inputs: Inputs) -> ListChanges:
    """What differs between two model files, by path or by a full name of the site. Raises ``Refused``."""
    before, after = _models(old, inputs), _models(new, inputs)
    if len(before) == len(after) == 1:
        pairs = {"": (*before.values(), *after.values())}
    else:
        pairs = {size: (before[size], after[size]) for size in before if size in after}
    if not pairs:
        raise Refused(Fault(f"{old} and {new} have no size in common.", "Name two lists of one drive."))
    found = {size: _changes(one, other) for size, (one, other) in pairs.items()}
    firmware = (next(iter(before.values())).firmware, next(iter(after.values())).firmware)
    come, gone = (tuple(size for size in a if size not in b) for a, b in ((after, before), (before, after)))
    return ListChanges(
        old, new, firmware, tuple(_sized(found)), () if "" in found else come, () if "" in found else gone
    )


def _sized(found: dict[str, tuple[DefinitionChange, ...]]) -> Iterator[Sized]:
    """What all sizes share is told once."""
    first = next(iter(found.values()))
    shared = tuple(change for change in first if all(change in changes for changes in found.values()))
    yield Sized("", shared)
    for size, changes in found.items():
        own = tuple(change for change in changes if change not in shared)
        if own:
            yield Sized(size, own)


def _models(name: str, inputs: Inputs) -> dict[str, Model]:
    """By size: those of a file, or the one a full name means."""
    from asleft.files.bounded import read_bounded
    from asleft.models import read_model

    path = inputs.folder / name
    if path.is_file() or name.endswith(".toml") or inputs.record is None:
        file = read_model(read_bounded(Path(path), name), name)
        return {size: file.size(size) for size in file.sizes}
    model = inputs.record.model(name)
    return {model.size: model}
