"""Brought to another maker's drive and back, a set comes back within the coarser resolution of the two."""

from __future__ import annotations

import random
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st
from replaced_drives import drive, random_unit, read, side

from asleft.compare import Side
from asleft.compare.ramp_reference import KEY, TIMES
from asleft.record import Asset
from asleft.replace import put_right

TRUE_COPIES = ("copied", "converted")


@settings(max_examples=30, deadline=None, derandomize=True)
@given(
    seed=st.integers(0, 2**32),
    pair=st.sampled_from([("merrow-m4-18k5", "skarn-k-22k"), ("skarn-k-18k5", "merrow-m4-22k")]),
)
def test_what_the_ledger_calls_copied_or_converted_comes_back(seed: int, pair: tuple[str, str]) -> None:
    there, other = drive(pair[0]), drive(pair[1])
    first = read(random_unit(there, random.Random(seed), edits=80))
    out = put_right(first, side(other), Asset("X1"))
    between = Side(out.result, other)
    back = put_right(between, side(there), Asset("X1"))
    kept = {row.key for row in out.ledger if row.outcome in TRUE_COPIES and row.natives}
    kept &= {row.key for row in (*back.ledger, *back.implied) if row.outcome != "decide" and row.natives}
    stretch = Decimal(1)
    if isinstance(now := back.result.values.get(KEY), Decimal) and isinstance(
        before := first.values[KEY], Decimal
    ):
        stretch = before / now
    assert len(kept) > 100
    for key in kept - {KEY}:
        wanted, got = first.values[key], back.result.values[key]
        if isinstance(wanted, Decimal) and isinstance(got, Decimal):
            got = got * stretch if key in TIMES else got
            coarser = max(first.step(key, wanted), between.step(key, between.values[key]))  # type: ignore[arg-type]
            assert abs(got - wanted) <= coarser, key
        else:
            assert got == wanted, key
