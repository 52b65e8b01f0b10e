"""One row of a parameter list, whatever it was read from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class ListRow:
    """``low``, ``high``, ``step`` and ``factory`` in displayed terms, ``choices`` text by code.

    ``register`` in the list's own counting, ``kind`` as a model file names it; ``given`` is the key that the
    list itself names, ``words`` how many registers a text takes. ``line`` counts from 1.
    """

    id: str
    text: str
    menu: str = ""
    unit: str = ""
    low: Decimal | None = None
    high: Decimal | None = None
    step: Decimal | None = None
    factory: str = ""
    choices: Mapping[str, str] = field(default_factory=dict)
    register: int | None = None
    kind: str = ""
    words: int | None = None
    access: str = ""
    read_only: bool = False
    locked: bool = False
    given: str = ""
    line: int = 0

    @property
    def is_number(self) -> bool:
        """Whether the row has bounds or a step and no choices."""
        return not self.choices and (self.low is not None or self.step is not None)
