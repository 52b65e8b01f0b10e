"""Which parameters have computed effects, and that each is computed indeed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
from explain_cases import Machine, machines, others

import asleft.explain.effects
from asleft.compare import Change, Side
from asleft.explain.computing import facts_of
from asleft.explain.coverage import coverage, table
from asleft.explain.facts import Fact
from asleft.explain.phrases import DATA, phrases
from asleft.explain.registry import EFFECTS
from asleft.record import Value
from asleft.vocabulary import Parameter, vocabulary

EFFECT_FILES = sorted(Path(asleft.explain.effects.__file__).parent.glob("[a-z]*.py"))


def _key(row: str) -> str:
    """A numbered key of a row, one that the machines use."""
    number = "_5" if row.startswith("digital_inputs.di_n") else "_1"
    return re.sub(r"_n(?=[._])", number, row)


def _others(parameter: Parameter, held: Value | None) -> Iterator[tuple[Value, Value]]:
    """Pairs to change between."""
    if parameter.is_number:
        value = held if isinstance(held, Decimal) and held else Decimal(20)
        step = parameter.step or Decimal(1)
        for factor in ("0.4", "0.8", "1.3", "2.5"):
            yield value, (value * Decimal(factor)).quantize(step)
    elif parameter.kind == "set":
        yield ("overcurrent",), ("overcurrent", "external")
    else:
        choices = tuple(parameter.choices)
        yield from ((choices[0], other) for other in choices[1:])
        yield from ((other, choices[0]) for other in choices[1:])


@cache
def _prepared(name: str) -> tuple[Machine, ...]:
    """A machine as it is, and with what lies idle on it put to use."""
    machine = machines()[name]
    used = {
        "start_stop.stop_method": "ramp_then_dc",
        "recovery.auto_reset_attempts": Decimal(3),
        "protection.comms_loss_reaction": "fault",
        "digital_inputs.di_6.function": "preset_bit_0",
        "digital_inputs.di_5.function": "external_fault",
        "stations.remote_reference_source": "analog_1",
        "analog_inputs.ai_1.signal": "4_20_ma",
        "limits.direction_permitted": "both",
        "drive.run_time_h": Decimal(500),
    }
    return machine, Machine(machine.changed(used), machine.asset)


def _later(side: Side) -> Side:
    """The same drive read 400 h later, 100 h run meanwhile."""
    reading = side.set.reading
    assert reading is not None
    values = {
        key: value + grown
        for key, grown in (("drive.run_time_h", 100), ("drive.power_on_time_h", 300))
        if isinstance(value := side.values.get(key), Decimal)
    }
    later = replace(side.set, reading=replace(reading, at=reading.at + timedelta(hours=400)))
    return Side(later.with_values(values))


def _facts(row: str) -> Iterator[Fact]:
    key = _key(row)
    parameter = vocabulary()[key]
    for name in machines():
        for machine in _prepared(name):
            for old, new in _others(parameter, machine.side.values.get(key)):
                before, after = (Side(machine.side.set.with_values({key: value})) for value in (old, new))
                if parameter.class_ == "counter":
                    after = _later(after)
                yield from facts_of(Change(key, old, new), before, after, machine.asset, others)


@pytest.mark.parametrize("row", EFFECTS)
def test_another_value_the_plate_or_the_machine_enters_the_result(row: str) -> None:
    label = vocabulary()[_key(row)].label
    assert any(
        not fact.cannot and any(given.name != label for given in fact.basis) for fact in _facts(row)
    ), f"nothing but {label} itself enters its effects"


@pytest.mark.parametrize("row", EFFECTS)
def test_every_fact_is_a_sentence_with_numbers_a_reader_can_use(row: str) -> None:
    for fact in _facts(row):
        assert fact.words.endswith("."), fact.words
        assert not re.search(r"[{}]|\bnan\b|inf\b|e-\d|  |\.\.|-\d", fact.words), fact.words
        assert len(fact.words) <= 200, fact.words
        assert fact.name.partition(".")[0] in {path.stem for path in DATA.glob("*.toml")}
        assert fact.basis or fact.cannot, f"{fact.words} rests on nothing"


def test_at_least_110_of_the_259_parameters_are_computed() -> None:
    covered = coverage()
    assert len(covered) == 259
    assert sum(1 for one in covered if one.effects) >= 110
    assert set(EFFECTS) <= {one.row for one in covered}


def test_the_table_says_what_is_computed_of_each() -> None:
    lines = table().splitlines()
    assert lines[0] == f"{len(EFFECTS)} of 259 parameters have computed effects."
    assert len(lines) == 4 + 259
    assert "| `ramps.accel_time_n_s` | Seconds from rest to the working point; " in table()


def test_every_phrase_is_told_somewhere_and_every_effect_is_registered() -> None:
    source = {path.stem: path.read_text(encoding="utf-8") for path in EFFECT_FILES}
    registered = {name for names in EFFECTS.values() for name in names}
    for module in sorted(path.stem for path in DATA.glob("*.toml") if path.stem not in ("bonds", "guards")):
        for name in phrases(module):
            named = re.search(rf'"(?:{module}\.)?{name}(?:_shaft)?"', "".join(source.values()))
            stem = name.removesuffix("_shaft")
            assert (
                named or f"{module}.{name}" in registered or f'"{module}.{stem}"' in "".join(source.values())
            ), f"{module}.{name} is never told"
    for module, text in source.items():
        for function in re.findall(r"^def ([a-z]\w*)\(scene", text, re.MULTILINE):
            assert f"{module}.{function}" in registered, f"{module}.{function} is never asked"


def test_words_of_a_phrase_that_grows_and_shrinks_differ() -> None:
    for module in (path.stem for path in DATA.glob("*.toml") if path.stem not in ("bonds", "guards")):
        for name, phrase in phrases(module).items():
            if "{new}" in phrase.up and phrase.up == phrase.down:
                assert "{old}" not in phrase.up, f"{module}.{name} says the same both ways"
