"""A sequence and the outcome required: ``never`` or ``always`` names what must hold."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from asleft.spec.rules import Outcome
from asleft.spec.subject import View
from asleft.spec.table import Table

FIELDS = ("requires",)


@dataclass(frozen=True, slots=True)
class Behaviour:
    """What the drive must do, or never do, whatever a person does at its inputs."""

    requires: str

    def judge(self, view: View) -> Iterator[Outcome]:
        """Cannot tell: nothing runs the drive's model here."""
        yield Outcome("cannot_tell", required=self.aloud(), words="Behaviour is not examined here yet.")

    def aloud(self) -> str:
        """What is required, in words."""
        return self.requires.replace("_", " ")

    def names(self) -> tuple[str, ...]:
        """None by name: the whole set decides."""
        return ()


def read(table: Table) -> Behaviour | None:
    """The name of the requirement."""
    requires = table.text("requires")
    if not requires:
        table.fault("requires", "what is required is missing.", 'Give requires = "…".')
        return None
    return Behaviour(requires)
