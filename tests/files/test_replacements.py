"""What was decided, asked, wired and left out at a replaced unit is read back as it was written."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.files.replacements import PARTS, Replacement, read_replacement, write_replacement
from asleft.record import Refused

AT = datetime(2026, 10, 11, 23, 10, tzinfo=UTC)
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), min_size=1, max_size=20)
HEAD = b"""format = 1
asset = "F2"
model = "skarn-k-18k5"
unit = "units/f2-spare.toml"
reading = ""
read = "F2 as left"

[work]
at = 2026-10-11T23:10:00Z
by = "T. Example"

"""


def rows(part: str) -> st.SearchStrategy[tuple[dict[str, str], ...]]:
    fields = {name: TEXTS for name in PARTS[part] if name != "key"}
    return st.lists(st.fixed_dictionaries({}, optional=fields).filter(bool), max_size=3).map(tuple)


@given(st.fixed_dictionaries({}, optional={part: rows(part).filter(bool) for part in PARTS}))
def test_written_and_read_it_is_the_same(parts: dict[str, tuple[dict[str, str], ...]]) -> None:
    done = Replacement(
        "F2", "skarn-k-18k5", "units/f2.toml", "", "F2 as left", AT, "T. Example", parts, "burnt"
    )
    content = write_replacement(done)
    assert read_replacement(content, "here.toml") == done
    assert write_replacement(read_replacement(content, "here.toml")) == content


FAULTS = [
    (HEAD.replace(b"format = 1\n", b""), 1, "the line format = 1 is missing"),
    (HEAD.replace(b"by =", b"bye ="), 10, "Did you mean by?"),
    (HEAD.replace(b"10:00Z", b"10:00"), 9, "no date and time with a zone"),
    (HEAD.replace(b'unit = "units/f2-spare.toml"', b"unit = 3"), 4, "unit is a text"),
    (HEAD.split(b"[work]")[0], 0, "who did the work and when is missing"),
    (HEAD.replace(b"[work]", b"extra = 1\n[work]"), 8, "extra means nothing here"),
    (HEAD + b"[decided]\n", 12, "decided is a list of tables"),
    (HEAD + b'[[wires]]\nwire = "1"\n[[wires]]\nwire = 12\n', 14, "wire is a text"),
    (HEAD + b'[[left_out]]\nstp = "1"\n', 12, "stp means nothing"),
    (HEAD + b'[[decided]]\nkey = "ramps.acel_time_1_s"\n', 12, "Did you mean ramps.accel_time_1_s"),
]


@pytest.mark.parametrize(("content", "line", "words"), FAULTS, ids=[words for *_, words in FAULTS])
def test_each_fault_is_named_with_its_line(content: bytes, line: int, words: str) -> None:
    with pytest.raises(Refused) as refused:
        read_replacement(content, "here.toml")
    assert any(fault.line == line and words in str(fault) for fault in refused.value.faults), refused.value
