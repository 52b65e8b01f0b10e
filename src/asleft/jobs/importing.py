"""A drive model from a parameter list: what was mapped, what a person has to decide."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from asleft.files.value import did_you_mean
from asleft.intake.eds import read_dictionary
from asleft.intake.listing import ListRow, Proposal, propose
from asleft.intake.listing.from_eds import rows_of_eds
from asleft.intake.listing.from_table import ROLES, rows_of
from asleft.intake.listing.write import Head, Meant, meant_by, model_bytes
from asleft.intake.tables import parse_layout, read_book
from asleft.models import read_model
from asleft.models.check import check
from asleft.models.forms import BASES
from asleft.record import Fault, Refused
from asleft.vocabulary import vocabulary

NONE = "-"


@dataclass(frozen=True, slots=True)
class Imported:
    """``content`` is the model file; ``notes`` say what of the list was odd, ``faults`` what its check finds.

    ``unclear`` gives, by row id, the texts of choices that no neutral choice was found for.
    """

    name: str
    content: bytes
    proposals: tuple[Proposal, ...]
    meant: tuple[Meant, ...]
    unclear: Mapping[str, tuple[str, ...]]
    notes: tuple[Fault, ...]
    faults: tuple[Fault, ...]

    @property
    def mapped(self) -> int:
        """How many rows carry a key."""
        return sum(bool(meant.key) for meant in self.meant)

    @property
    def open(self) -> tuple[Proposal, ...]:
        """Rows that a person has to decide."""
        return tuple(proposal for proposal in self.proposals if not proposal.sure)


Ask = Callable[[Proposal], str | None]
"""Asked of a person: the key (with ``:base`` for per cent), ``-`` for none, None to leave it open."""


def read_list(content: bytes, where: str, columns: str = "") -> tuple[list[ListRow], list[Fault]]:
    """Rows of a parameter list, from an EDS or a table. Raises ``Refused``."""
    if where.lower().endswith((".eds", ".dcf")):
        return rows_of_eds(read_dictionary(content, where), where)
    book = read_book(content, where)
    layout = parse_layout(columns, book.sheets, ROLES, where) if columns else None
    return rows_of(book, layout, where)


def import_list(
    rows: Sequence[ListRow],
    notes: Sequence[Fault],
    head: Head,
    given: Sequence[str] = (),
    ask: Ask | None = None,
) -> Imported:
    """The model of a list. ``given`` are a person's ``ID=KEY``, ``ID=KEY:BASE`` for per cent, ``ID=-`` for no
    meaning and ``ID.CODE=CHOICE``; ``ask`` is put every row that is unsure.

    Raises ``Refused`` for answers that name no row or key.
    """
    answers = _answers(given, rows)
    proposals = propose(rows, answers.keys)
    if ask is not None:
        more = [(proposal.row.id, ask(proposal)) for proposal in proposals if not proposal.sure]
        said = [f"{id_}={answer}" for id_, answer in more if answer is not None]
        answers = _answers([*given, *said], rows)
        proposals = propose(rows, answers.keys)
    meant = meant_by(proposals, answers.bases, answers.choices)
    content = model_bytes(head, meant)
    unclear = {
        each.row.id: texts
        for each in meant
        if (texts := tuple(each.row.choices[code] for code, name in each.choices.items() if not name))
    }
    faults = check(read_model(content, f"{head.name}.toml"))
    return Imported(head.name, content, proposals, tuple(meant), unclear, tuple(notes), faults)


@dataclass(frozen=True, slots=True)
class _Answers:
    """Keys and bases by row id, neutral choices by row id and code."""

    keys: dict[str, str]
    bases: dict[str, str]
    choices: dict[tuple[str, str], str]


def _answers(given: Sequence[str], rows: Sequence[ListRow]) -> _Answers:
    by_id = {row.id: row for row in rows}
    found = _Answers({}, {}, {})
    faults: list[Fault] = []
    for answer in given:
        name, sign, said = (part.strip() for part in answer.partition("="))
        id_, _, code = name.rpartition(".")
        try:
            if sign and name in by_id:
                _key(name, said, found)
            elif sign and id_ in by_id and code in by_id[id_].choices:
                found.choices[id_, code] = "" if said == NONE else said
            else:
                raise ValueError(f"the list has no row {name!r}. {did_you_mean(name, by_id)}")
        except ValueError as problem:
            faults.append(Fault(str(problem), "", "--map"))
    if faults:
        raise Refused(faults)
    return found


def _key(id_: str, said: str, found: _Answers) -> None:
    key, _, base = said.partition(":")
    if key != NONE and key not in vocabulary():
        raise ValueError(f"{key!r} is no known key. {did_you_mean(key, vocabulary())}")
    if base and base not in (*BASES, "drive_duty"):
        raise ValueError(f"{base!r} is no base of per cent. One of {', '.join(BASES)}.")
    found.keys[id_] = "" if key == NONE else key
    if base:
        found.bases[id_] = base
