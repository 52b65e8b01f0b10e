"""The whole vocabulary is complete: every row, choice and phrase is there once.

The units follow common practice, no source.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from itertools import permutations
from typing import Any

import pytest
from vocabulary_rows import UNFIT, bad_sentence, content, of_type, rows

from asleft.vocabulary.loader import GROUP_ORDER, vocabulary
from asleft.vocabulary.parameter import Dormant, Parameter

ROW_COUNT = 259
SAYS_LIMIT = 45

COMMON_FIELDS = {
    "label",
    "type",
    "class",
    "locked_running",
    "risk",
    "risk_because",
    "common",
    "meaning",
    "source",
}
OPTIONAL_FIELDS = {"numbers", "together", "dormant", "standard", "usual"}
NUMBER_FIELDS = {"low", "high", "step", "raised", "lowered", "up", "down", "usual"}
FIELDS_OF_TYPE = {
    "number": NUMBER_FIELDS,
    "integer": NUMBER_FIELDS,
    "choice": {"choices", "changes"},
    "text": {"raised", "lowered"},
    "list": {"raised", "lowered"},
    "set": {"choices", "raised", "lowered"},
}
OPTIONAL_OF_TYPE = {
    "number": {"unit", "at_most", "at_least"},
    "integer": {"unit", "at_most", "at_least"},
    "choice": {"unit"},
}
CLASSES = {"setting", "identity", "tuned", "counter", "address", "slot", "operating", "action"}
DIRECTIONS = {
    ("higher", "lower"),
    ("longer", "shorter"),
    ("larger", "smaller"),
    ("more", "fewer"),
    ("wider", "narrower"),
    ("faster", "slower"),
    ("stronger", "weaker"),
    ("steeper", "gentler"),
}
UNIT_OF_SUFFIX = {
    "_s": "s",
    "_ms": "ms",
    "_h": "h",
    "_hz": "Hz",
    "_khz": "kHz",
    "_hz_per_s": "Hz/s",
    "_rpm": "rpm",
    "_a": "A",
    "_v": "V",
    "_v_per_krpm": "V per 1000 rpm",
    "_kw": "kW",
    "_kwh": "kWh",
    "_ohm": "ohm",
    "_mh": "mH",
    "_pct": "%",
    "_kbit_s": "kbit/s",
}
UNIT_WITHOUT_SUFFIX = {"access.display_speed_factor", "process.pid_feedback_span"}
POLES = {"2", "4", "6", "8", "10", "12"}
NUMBERED = re.compile(r"_n(?=[._]|$)")


def faults_of_row(row: str, data: dict[str, Any]) -> list[str]:
    kind = data["type"]
    needed = COMMON_FIELDS | FIELDS_OF_TYPE.get(kind, set())
    allowed = needed | OPTIONAL_FIELDS | OPTIONAL_OF_TYPE.get(kind, set())
    faults = [f"lacks {field}" for field in sorted(needed - set(data))]
    faults += [f"unknown {field}" for field in sorted(set(data) - allowed)]
    faults += [f"empty {field}" for field, value in data.items() if value in ("", [], {}, "-")]
    if (
        kind not in FIELDS_OF_TYPE
        or data["class"] not in CLASSES
        or data["risk"] not in ("low", "medium", "high")
    ):
        faults.append("type, class or risk is none of those there are")
    numbered = {"numbers" in data, "{n}" in data["label"], NUMBERED.search(row) is not None}
    if len(numbered) > 1:
        faults.append("numbers, key and label do not agree on being numbered")
    return faults


def every(place: str) -> Iterator[tuple[str, Parameter]]:
    return (
        (key, parameter) for key, parameter in vocabulary().parameters.items() if getattr(parameter, place)
    )


def row_exists(key: str) -> bool:
    return key in rows() or key in vocabulary()


def test_every_row_stands_once_in_the_file_of_its_group() -> None:
    names = Counter(row for name in GROUP_ORDER for row in content(name)["parameter"])
    assert sum(names.values()) == len(names) == ROW_COUNT
    assert [
        row for name in GROUP_ORDER for row in content(name)["parameter"] if row.split(".")[0] != name
    ] == []
    assert {parameter.row for parameter in vocabulary().parameters.values()} == set(names)


def test_every_group_has_a_title_and_a_meaning() -> None:
    groups = vocabulary().groups
    assert tuple(group.name for group in groups) == GROUP_ORDER
    assert len({group.title for group in groups}) == len({group.meaning for group in groups}) == len(groups)
    assert [group.name for group in groups if bad_sentence(group.meaning) or group.title[:1].islower()] == []


def test_every_row_has_the_fields_of_its_type_and_no_other() -> None:
    assert {row: faults for row, data in rows().items() if (faults := faults_of_row(row, data))} == {}


def test_labels_are_unique_phrases_that_fit_inside_a_sentence() -> None:
    labels = Counter(parameter.label for parameter in vocabulary().parameters.values())
    assert [label for label, count in labels.items() if count > 1] == []
    article = ("the ", "a ", "an ")
    first = {label: label.split()[0] for label in labels}
    assert [
        label for label in labels if label.startswith(article) or UNFIT.search(label) or "_" in label
    ] == []
    assert [
        label
        for label in labels
        if label.endswith(".") or not (first[label].islower() or first[label].isupper())
    ] == []


def test_no_two_rows_have_the_same_meaning() -> None:
    meanings = Counter(data["meaning"].casefold() for data in rows().values())
    assert [meaning for meaning, count in meanings.items() if count > 1] == []


def test_numbers_have_bounds_a_step_and_words_for_both_directions() -> None:
    wrong = [
        key
        for key, parameter in vocabulary().parameters.items()
        if parameter.is_number
        and not (
            parameter.low is not None
            and parameter.high is not None
            and parameter.step is not None
            and parameter.low < parameter.high
            and 0 < parameter.step <= parameter.high - parameter.low
            and (parameter.up, parameter.down) in DIRECTIONS
            and (parameter.raised != parameter.lowered or parameter.class_ == "address")
        )
    ]
    assert wrong == []


def test_steps_of_whole_numbers_are_whole() -> None:
    wrong = [
        row
        for row, data in of_type("integer")
        if not all(data[field].lstrip("-").isdecimal() for field in ("low", "high", "step"))
    ]
    assert wrong == []


def test_bounding_parameters_exist_and_have_the_same_unit() -> None:
    wrong = [
        (key, other)
        for place in ("at_most", "at_least")
        for key, parameter in every(place)
        if (other := getattr(parameter, place)) == key
        or other not in vocabulary()
        or vocabulary()[other].unit != parameter.unit
    ]
    assert wrong == []


def test_units_are_known_and_agree_with_the_key() -> None:
    suffixes = sorted(UNIT_OF_SUFFIX, key=len, reverse=True)
    wrong = []
    for row, data in rows().items():
        name = NUMBERED.sub("", row)
        expected = next((UNIT_OF_SUFFIX[end] for end in suffixes if name.endswith(end)), "")
        if row not in UNIT_WITHOUT_SUFFIX and data.get("unit", "") != expected:
            wrong.append((row, data.get("unit", ""), expected))
    assert wrong == []


def test_every_choice_says_and_means_something_of_its_own() -> None:
    wrong = []
    for row, data in of_type("choice", "set"):
        choices = data["choices"].values()
        says, means = ([choice[word].casefold() for choice in choices] for word in ("says", "means"))
        fit = all(0 < len(said) <= SAYS_LIMIT and not said.endswith(".") and "_" not in said for said in says)
        if len(says) < 2 or len(set(says)) < len(says) or len(set(means)) < len(means) or not fit:
            wrong.append(row)
    assert wrong == []


def test_every_change_of_choice_finds_its_sentence() -> None:
    missing = [
        (key, old, new)
        for key, parameter in vocabulary().parameters.items()
        if parameter.kind == "choice"
        for old, new in permutations(parameter.choices, 2)
        if not parameter.effect_of(old, new)
    ]
    assert missing == []


def test_every_change_sentence_is_used_and_names_choices_that_exist() -> None:
    wrong = []
    for row, data in of_type("choice"):
        names = data["choices"]
        used = {pattern_for(old, new, data["changes"]) for old, new in permutations(names, 2)}
        wrong += [(row, pattern) for pattern in data["changes"] if pattern not in used]
    assert wrong == []


def pattern_for(old: str, new: str, changes: dict[str, str]) -> str:
    return next((p for p in (f"{old}>{new}", f"*>{new}", f"{old}>*") if p in changes), "")


def test_parameters_named_together_exist_and_are_others() -> None:
    wrong = [
        (row, other)
        for row, data in rows().items()
        for other in data.get("together", [])
        if other == row or not row_exists(other)
    ]
    doubled = [
        row
        for row, data in rows().items()
        if len(set(data.get("together", []))) < len(data.get("together", []))
    ]
    assert (wrong, doubled) == ([], [])


def test_dormancy_names_values_of_another_parameter_and_leaves_one_that_wakes_it() -> None:
    wrong = [
        (key, rule.key, rule.values)
        for key, parameter in every("dormant")
        for rule in parameter.dormant
        if rule.key == key or not leaves_another(rule)
    ]
    assert wrong == []


def leaves_another(rule: Dormant) -> bool:
    waker = vocabulary().get(rule.key)
    if waker is None or not rule.values:
        return False
    if waker.low is not None and waker.high is not None:
        return all(waker.low <= Decimal(value) <= waker.high for value in rule.values)
    return set(rule.values) < set(waker.choices)


def test_counts_named_by_digits_say_their_unit() -> None:
    poles = rows()["motor.pole_count"]["choices"]
    assert set(poles) == POLES
    assert [name for name, choice in poles.items() if choice["says"] != f"{name} poles"] == []
    region = rows()["supply.frequency_region_hz"]["choices"]
    assert {name: choice["says"] for name, choice in region.items()} == {"50": "50 Hz", "60": "60 Hz"}


@pytest.mark.parametrize("poles", sorted(POLES))
def test_poles_mean_their_synchronous_speed(poles: str) -> None:
    """n = 120·f/p; 50 Hz gives 3000/1500/1000/750 rpm for 2/4/6/8 poles, the rest is arithmetic.

    electricalengineeringtoolbox.com/2016/02/how-to-calculate-synchronous-speed-and.html
    """
    assert f"50 Hz is {120 * 50 // int(poles)} rpm" in rows()["motor.pole_count"]["choices"][poles]["means"]
