"""An old plant is accepted as it stands: its breaches stay, do not fail, and come back."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from spec_subjects import spec_of, subject_of

from asleft.record import Refused
from asleft.record.findings import Finding, tally, worst_first
from asleft.spec import accept, judge, read_accepted, under, write_accepted

DAY, END = date(2026, 3, 1), date(2026, 12, 31)
SPEC = spec_of(
    {
        "1": {"kind": "limit", "key": "ramps.decel_time_1_s", "at_most": "10 s"},
        "2": {"kind": "exact", "key": "access.setting_lock", "value": "locked", "severity": "low"},
        "3": {"kind": "limit", "key": "ramps.accel_time_1_s", "at_most": "10 s"},
    }
).usable()


def _judged(decel: str, lock: str = "open") -> tuple[Finding, ...]:
    values = {"ramps.decel_time_1_s": Decimal(decel), "access.setting_lock": lock}
    return judge([SPEC], subject_of({"values": values}), {}, (), DAY)


ACCEPTED = accept(_judged("12.0"), DAY, END, "H. Example", "as taken over")


def test_only_breaches_are_accepted_and_they_do_not_fail() -> None:
    found = under(_judged("12.00"), ACCEPTED, DAY)
    assert [one.result for one in found] == ["breached", "breached", "cannot_tell"]
    assert not any(one.fails for one in found)
    counted = tally(found)
    assert (counted["breached"], counted["accepted"], counted["cannot_tell"]) == (0, 2, 1)
    assert found[0].accepted == "by H. Example on 1 March 2026, until 31 December 2026"


def test_another_value_of_the_same_setting_is_a_new_breach() -> None:
    first, second, _ = under(_judged("13.0"), ACCEPTED, DAY)
    assert first.fails and first.notes == ("It was accepted as it stood on 1 March 2026: 12.0 s.",)
    assert not second.fails


def test_a_breach_that_was_not_there_is_new() -> None:
    accepted = accept(_judged("12.0", "locked"), DAY, END, "H. Example")
    assert [one.fails for one in under(_judged("12.0"), accepted, DAY)] == [False, True, False]


def test_on_the_last_day_it_holds_and_on_the_next_it_does_not() -> None:
    assert not under(_judged("12.0"), ACCEPTED, END)[0].fails
    after = under(_judged("12.0"), ACCEPTED, date(2027, 1, 1))[0]
    assert after.fails and after.notes == ("It was accepted until 31 December 2026, and that is over.",)


def test_before_its_day_an_acceptance_holds_nothing() -> None:
    assert under(_judged("12.0"), ACCEPTED, date(2026, 2, 28))[0].fails


def test_an_old_reading_stays_accepted_while_it_ages() -> None:
    spec = spec_of({"1": {"kind": "leaving", "key": "reading.age_months", "at_most": "12 months"}}).usable()
    subject = subject_of({"reading": {"at": date(2024, 1, 2)}})
    accepted = accept(judge([spec], subject, {}, (), DAY), DAY, END, "H. Example")
    later = date(2026, 5, 1)
    assert not under(judge([spec], subject, {}, (), later), accepted, later)[0].fails


def test_a_set_of_members_is_accepted_as_it_is() -> None:
    rule = {"kind": "exclude", "key": "recovery.auto_reset_faults", "without": ["external"]}
    spec = spec_of({"1": rule}).usable()
    one, two = (
        judge([spec], subject_of({"values": {"recovery.auto_reset_faults": members}}), {}, (), DAY)
        for members in (["external"], ["external", "overload"])
    )
    accepted = accept(one, DAY, END, "H. Example")
    assert not under(one, accepted, DAY)[0].fails
    assert under(two, accepted, DAY)[0].fails


def test_acceptances_come_back_from_their_file_and_give_the_same_bytes() -> None:
    content = write_accepted(ACCEPTED)
    assert read_accepted(content, "accepted.toml") == ACCEPTED
    assert write_accepted(reversed(ACCEPTED)) == content


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("format = 2", "format 2 is newer"),
        ('format = 1\n[accepted.E1.test.1]\nby = "H. Example"\non = 2026-03-01', "until is no date"),
        ("format = 1\n[accepted.E1.test.1]\non = 2026-03-01\nuntil = 2026-03-01", "by is missing"),
        (
            'format = 1\n[accepted.E1.test.1]\nby = "H"\non = 2026-03-01\nuntil = 2026-03-01\nx = 1',
            "x means nothing",
        ),
        ("format = 1\naccepted = 1", "accepted is no table"),
        ("format = 1\n[accepted]\nE1 = 1", "is no table"),
        ("format = 1\n[accepted.E1]\ntest = 1", "is no table"),
        ("format = 1\n[accepted.E1.test]\n1 = 1", "is a table"),
    ],
)
def test_what_cannot_be_read_accepts_nothing(text: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        read_accepted(text.encode(), "accepted.toml")


def test_somebody_accepts_and_for_a_time() -> None:
    with pytest.raises(Refused, match="nobody"):
        accept(_judged("12.0"), DAY, END, " ")
    with pytest.raises(Refused, match="not after"):
        accept(_judged("12.0"), DAY, DAY, "H. Example")


def test_breaches_come_first_and_danger_before_the_rest() -> None:
    found = worst_first(under(_judged("12.0"), accept(_judged("12.0", "locked"), DAY, END, "H"), DAY))
    assert [(one.rule, one.result) for one in found] == [
        ("2", "breached"),
        ("1", "breached"),
        ("3", "cannot_tell"),
    ]
