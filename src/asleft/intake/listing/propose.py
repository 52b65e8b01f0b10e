"""A proposal for every row of a list: which key, how sure, and why. Each key goes to one row."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from asleft.intake.listing.rows import ListRow
from asleft.intake.listing.score import Fit, fit, form_for
from asleft.intake.listing.words import of_the_unit
from asleft.vocabulary import vocabulary

SURE, MARGIN, TELLING = 0.72, 0.08, 2.9
"""A proposal is sure from this score on, with this lead over the next key, and where the shared words tell
keys apart: a weight of ln(1 + keys / keys that share the word)."""
SHOWN_FROM = 0.3
"""Below this score a key is not even suggested."""
_SHOWN = 3
_SAID = "said by a person or the list"


@dataclass(frozen=True, slots=True)
class Proposal:
    """``fits`` from the best on; ``key`` is what is proposed where ``sure``, empty for no meaning."""

    row: ListRow
    fits: tuple[Fit, ...]
    sure: bool
    why: str

    @property
    def key(self) -> str:
        """The proposed key, sure or not; empty where the row has no meaning in the trade."""
        return self.fits[0].key if self.fits else ""

    @property
    def confidence(self) -> float:
        """From 0 to 1."""
        return max(0.0, min(1.0, self.fits[0].score)) if self.fits else 0.0


def propose(rows: Sequence[ListRow], fixed: Mapping[str, str] | None = None) -> tuple[Proposal, ...]:
    """Proposals in the order of the rows. ``fixed`` gives keys that are known by row id, empty for none."""
    known = {row.id: row.given for row in rows if row.given} | dict(fixed or {})
    fits = {row.id: _fits(row) for row in rows if row.id not in known}
    taken = {key for key in known.values() if key}
    best: dict[str, list[tuple[float, str]]] = {}
    for row_id, found in fits.items():
        for each in found[:_SHOWN]:
            best.setdefault(each.key, []).append((each.score, row_id))
    for rivals in best.values():
        rivals.sort(reverse=True)
    return tuple(
        _known(row, known[row.id]) if row.id in known else _proposal(row, fits[row.id], best, taken)
        for row in rows
    )


def _fits(row: ListRow) -> list[Fit]:
    """Keys that a drive holds, the best first; items of the slot are not in any drive."""
    keys = (key for key in vocabulary() if vocabulary()[key].class_ != "slot")
    found = [each for key in keys if (each := fit(row, key)) is not None]
    return sorted(found, key=lambda each: -each.score)


def _known(row: ListRow, key: str) -> Proposal:
    """What a person or the list itself says; not sure where unit or kind of the row cannot give that key."""
    if not key:
        return Proposal(row, (), True, _SAID)
    form = form_for(row, key)
    if form is None:
        return Proposal(row, (Fit(key, 0.0, "", _SAID),), False, f"its unit or kind cannot give {key}")
    return Proposal(row, (Fit(key, 1.0, form, _SAID),), True, _SAID)


def _proposal(
    row: ListRow, found: list[Fit], best: Mapping[str, list[tuple[float, str]]], taken: set[str]
) -> Proposal:
    free = [each for each in found if each.key not in taken and each.score >= SHOWN_FROM][:_SHOWN]
    if of_the_unit(row.text):
        return Proposal(row, (), True, "it is of the unit itself: the trade has no key for it")
    if not free:
        return Proposal(row, (), False, "nothing in the trade's vocabulary is named like it")
    first = free[0]
    lead = first.score - (free[1].score if len(free) > 1 else 0.0)
    rivals = [score for score, row_id in best[first.key] if row_id != row.id] if first.key in best else []
    why = first.why
    if first.score < SURE:
        why = f"only {first.score:.0%} alike: {why}"
    elif first.weight < TELLING:
        why = f"many keys share these words: {why}"
    elif lead < MARGIN:
        why = f"{free[1].key} is nearly as likely: {why}"
    elif rivals and rivals[0] > first.score - MARGIN:
        why = f"another row would fit as well: {why}"
    elif first.asks:
        why = f"it does not say {first.asks}: {why}"
    else:
        return Proposal(row, tuple(free), True, why)
    return Proposal(row, tuple(free), False, why)
