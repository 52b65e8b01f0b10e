"""What share of a held-out list is proposed right, wrong, and asked: ``python -m tests.intake.mapping_share``.

Right: sure, and the answer. Wrong: sure, and not the answer. Asked: a person decides. ``--rows`` lists the
wrong ones and the asked.
"""

from __future__ import annotations

import csv
import sys
from collections import Counter
from collections.abc import Sequence
from functools import cache
from pathlib import Path

from asleft.intake.listing import Proposal, propose
from asleft.intake.listing.from_table import rows_of
from asleft.intake.tables import read_book

CASES = Path(__file__).parents[1] / "cases" / "mapping"
LISTS = tuple(sorted(path.stem for path in CASES.glob("*.csv")))


@cache
def judged(name: str) -> list[tuple[str, Proposal, str]]:
    """Each row's verdict (right, wrong, asked), its proposal and the answer."""
    content = (CASES / f"{name}.csv").read_bytes()
    rows, _ = rows_of(read_book(content, name), None, name)
    with (CASES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        answers = {row["id"]: row["answer"].strip("-") for row in csv.DictReader(file, delimiter=";")}
    found = []
    for proposal in propose(rows):
        answer = answers[proposal.row.id]
        verdict = "asked" if not proposal.sure else "right" if proposal.key == answer else "wrong"
        found.append((verdict, proposal, answer))
    return found


def shares(verdicts: Sequence[str]) -> dict[str, float]:
    """Share of each verdict."""
    counts = Counter(verdicts)
    return {verdict: counts[verdict] / len(verdicts) for verdict in ("right", "wrong", "asked")}


def main(arguments: Sequence[str]) -> int:
    """Print the shares of every list and of all together."""
    together: list[str] = []
    for name in LISTS:
        found = judged(name)
        verdicts = [verdict for verdict, _, _ in found]
        together += verdicts
        firsts = [p.key == answer for verdict, p, answer in found if verdict == "asked"]
        _say(
            f"{name:<12}{_line(verdicts)}, the first suggestion right in {sum(firsts)} of {len(firsts)} asked"
        )
        for verdict, proposal, answer in found if "--rows" in arguments else ():
            if verdict != "right":
                shown = ", ".join(f"{fit.key} {fit.score:.2f}" for fit in proposal.fits[:2])
                _say(f"    {verdict}: {proposal.row.text!r}: {shown or 'none'}; right is {answer or 'none'}")
    _say(f"{'together':<12}{_line(together)}")
    return 0


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")


def _line(verdicts: Sequence[str]) -> str:
    share = shares(verdicts)
    parts = ", ".join(f"{name} {value:.1%}" for name, value in share.items())
    return f"{len(verdicts):>4} rows: {parts}"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
