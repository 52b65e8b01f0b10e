"""What a person said of one entry, and how it is kept."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

How = Literal["same", "typed", "together", "skipped", "open"]
HOWS: tuple[How, ...] = ("same", "typed", "together", "skipped", "open")


@dataclass(frozen=True, slots=True)
class Answer:
    """``value`` is what the drive displays. ``together``: confirmed with the rest of its menu; ``skipped``:
    not read, for ``reason``; ``open``: the answer before is taken back."""

    id: str
    how: How
    value: str = ""
    reason: str = ""

    @property
    def is_read(self) -> bool:
        """Whether a value was read."""
        return self.how in ("same", "typed", "together")

    def kept(self) -> dict[str, str]:
        """For the journal; what is empty is left out."""
        return {name: text for name, text in asdict(self).items() if text or name == "value"}


def as_answer(kept: Mapping[str, Any]) -> Answer | None:
    """An answer from the journal, or None where the line holds none."""
    texts = [kept.get(name, "") for name in ("id", "how", "value", "reason")]
    if not all(isinstance(text, str) for text in texts) or not texts[0] or texts[1] not in HOWS:
        return None
    return Answer(*texts)


def next_open(names: Sequence[str], answers: Container[str], reached: int) -> int | None:
    """The first place without an answer after one reached, else the first of all; None where none is open."""
    ways = (*range(reached + 1, len(names)), *range(reached + 1))
    return next((place for place in ways if names[place] not in answers), None)


def standing(answers: Iterable[Answer]) -> dict[str, Answer]:
    """The last answer of each entry, in the order given last; what was opened again is gone."""
    found: dict[str, Answer] = {}
    for answer in answers:
        found.pop(answer.id, None)
        if answer.how != "open":
            found[answer.id] = answer
    return found
