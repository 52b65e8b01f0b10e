"""How well a row of a list fits a parameter of the vocabulary."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache, lru_cache

from asleft.intake.listing.rows import ListRow
from asleft.intake.listing.words import Name, choice_words, menu_of, name_of, phrases, pieces_of, plain
from asleft.models.units import factor
from asleft.vocabulary import Parameter, vocabulary

_UNITS = {
    "1/min": "rpm", "min-1": "rpm", "u/min": "rpm", "r/min": "rpm", "rpm": "rpm", "sec": "s", "s": "s",
    "ms": "ms", "min": "min", "h": "h", "ω": "ohm", "ohm": "ohm", "ohms": "ohm", "mohm": "mohm", "v": "V",
    "volt": "V", "mv": "mV", "a": "A", "amp": "A", "amps": "A", "ma": "mA", "hz": "Hz", "khz": "kHz",
    "hz/s": "Hz/s", "w": "W", "kw": "kW", "kwh": "kWh", "kbps": "kbit/s", "kbaud": "kbit/s",
    "kbit/s": "kbit/s", "deg c": "°C", "%": "%",
}  # fmt: skip
_RECIPROCALS = {
    ("process.pid_gain", "%"): "proportional_band",
    ("process.pid_integral_time_s", "rpm"): "repeats_per_minute",
}
_ENDINGS = ("_hz", "_s", "_a", "_v", "_kw", "_pct", "_ohm", "_ms", "_khz", "_h", "_kwh", "_rpm", "_mh")
_MENU = 0.8
_ALIKE, _LEAD = 0.66, 0.15
_WORTH_LOOKING = 0.2
_TELLING, _HARDLY_TELLING = 0.28, 0.1
"""How much choices say beside the name; yes and no say little."""


@dataclass(frozen=True, slots=True)
class Fit:
    """``score`` says how sure, from 0 to about 1; ``form`` as a model file names it, ``why`` in a few words.

    ``asks`` says what the form leaves open, as what a per cent is of; ``weight`` how much the shared words
    tell apart.
    """

    key: str
    score: float
    form: str
    why: str
    asks: str = ""
    weight: float = math.inf


def unit_named(text: str) -> str:
    """A unit in the spelling of model files."""
    return _UNITS.get(text.strip().lower(), text.strip())


@cache
def _names(key: str) -> tuple[Name, ...]:
    """Every name of a key, with its number apart."""
    parameter = vocabulary()[key]
    number = "" if parameter.number is None else str(parameter.number)
    bare = parameter.row.partition(".")[2] or parameter.row
    for ending in _ENDINGS:
        bare = bare.removesuffix(ending)
    texts = [parameter.label, bare.replace("_n", " {n}").replace("_", " "), *phrases(parameter.row)]
    return tuple(dict.fromkeys(name_of(text.replace("{n}", number)) for text in texts))


@cache
def _weights() -> Mapping[str, float]:
    """Words that few keys share weigh more."""
    counts = Counter(
        word for key in vocabulary() for word in frozenset().union(*(name.words for name in _names(key)))
    )
    total = len(vocabulary())
    return {word: math.log(1 + total / count) for word, count in counts.items()}


_UNKNOWN = 3.0


def _weight(word: str) -> float:
    return _weights().get(word, _UNKNOWN)


def fit(row: ListRow, key: str) -> Fit | None:
    """How the row fits the key; None where unit, kind or number rule it out."""
    parameter = vocabulary()[key]
    form = form_for(row, key)
    if form is None:
        return None
    name, menu = name_of(row.text), menu_of(row.menu)
    by_name, shared = max((_likeness(name, menu, each) for each in _names(key)), key=lambda pair: pair[0])
    if by_name == 0 or not _numbers_fit(name, menu, parameter):
        return None
    score, why = by_name, [f"name shares {', '.join(sorted(shared))}"]
    if parameter.choices and row.choices:
        alike = choices_alike(row, parameter) if by_name >= _WORTH_LOOKING else 0.0
        share = _TELLING if len(row.choices) > 2 else _HARDLY_TELLING
        score = (1 - share) * score + share * alike
        why.append(f"{alike:.0%} of choices alike")
    elif row.is_number and parameter.is_number:
        bounds = _bounds(row, parameter)
        score += 0.04 if bounds else -0.12
        why.append("range fits" if bounds else "range does not fit")
    if row.unit and parameter.unit and unit_named(row.unit) == parameter.unit:
        score += 0.03
        why.append(f"unit {parameter.unit}")
    return Fit(key, score, form, "; ".join(why), _open(form), sum(map(_weight, shared)))


def _open(form: str) -> str:
    return {"percent": "what 100 % is", "rpm": "", "": ""}.get(form, "")


def _likeness(name: Name, menu: Name, other: Name) -> tuple[float, frozenset[str]]:
    """Weighted share of common words; words of the menu may stand in for words the text leaves out."""
    shared = name.words & other.words
    lent = (menu.words & other.words) - shared
    if not shared:
        return 0.0, shared
    common = sum(map(_weight, shared)) + _MENU * sum(map(_weight, lent))
    mine = sum(map(_weight, name.words)) + _MENU * sum(map(_weight, lent))
    theirs = sum(map(_weight, other.words))
    return 2 * common / (mine + theirs), shared | lent


def _numbers_fit(name: Name, menu: Name, parameter: Parameter) -> bool:
    """A numbered key needs its number in the text or menu; without any, the first is meant."""
    if parameter.number is None:
        return True
    numbers = [number for number in (*name.numbers, *_letters(name), *menu.numbers[:1]) if number < 100]
    return parameter.number == (numbers[0] if numbers else 1)


def _letters(name: Name) -> tuple[int, ...]:
    return tuple(place for place, letter in enumerate("ab", start=1) if letter in name.words)


def form_for(row: ListRow, key: str) -> str | None:
    """The form in which the row would give the key; None where it cannot, whatever it is called."""
    parameter = vocabulary()[key]
    if parameter.kind == "choice":
        return _choice_form(row, parameter)
    if parameter.kind == "set":
        return "bits" if row.choices else None
    if not parameter.is_number:
        return "text" if not row.choices and not row.is_number and not row.unit else None
    if row.choices:
        return None
    unit = unit_named(row.unit)
    if (parameter.key, unit) in _RECIPROCALS:
        return _RECIPROCALS[parameter.key, unit]
    if unit and factor(unit, parameter.unit) is not None:
        return "number"
    if unit == "rpm" and parameter.unit == "Hz":
        return "rpm"
    if unit == "%" and parameter.unit in ("A", "V", "Hz"):
        return "percent"
    return "number" if not unit and parameter.unit == "" else None


def _choice_form(row: ListRow, parameter: Parameter) -> str | None:
    if parameter.key in ("access.pin_state", "access.wireless_pin_state"):
        return "secret" if not row.choices else None
    return "choice" if row.choices else None


def _bounds(row: ListRow, parameter: Parameter) -> bool:
    if parameter.low is None or parameter.high is None:
        return True
    scale = factor(unit_named(row.unit), parameter.unit)
    if scale is None:
        return True
    slack = Decimal("1.02")
    low_fits = row.low is None or row.low * scale >= parameter.low
    high_fits = row.high is None or row.high * scale <= parameter.high * slack
    return low_fits and high_fits


def choices_alike(row: ListRow, parameter: Parameter) -> float:
    """What share of the row's choices has a clear counterpart."""
    return sum(bool(_choice_named(text, parameter.key)) for text in row.choices.values()) / len(row.choices)


def choice_for(row: ListRow, code: str, parameter: Parameter) -> str:
    """The neutral choice a native one means; empty where none or more than one would do."""
    return _choice_named(row.choices[code], parameter.key)


@lru_cache(maxsize=50_000)
def _choice_named(text: str, key: str) -> str:
    wanted = plain(text)
    for texts_of in (_own_texts(key), _common_texts(key)):
        named = [name for name, texts in texts_of.items() if wanted in texts]
        if named:
            return named[0] if len(named) == 1 else ""
    return _nearest_choice(text, key)


@cache
def _own_texts(key: str) -> Mapping[str, frozenset[str]]:
    choices = vocabulary()[key].choices
    return {name: frozenset((plain(name), plain(choice.says))) for name, choice in choices.items()}


@cache
def _common_texts(key: str) -> Mapping[str, frozenset[str]]:
    return {name: choice_words().get(name, frozenset()) for name in vocabulary()[key].choices}


@cache
def _choice_pieces(key: str) -> Mapping[str, tuple[frozenset[str], ...]]:
    """The words of every text that may name a choice."""
    own, common = _own_texts(key), _common_texts(key)
    return {name: tuple({pieces_of(text) for text in own[name] | common[name]}) for name in own}


def _nearest_choice(text: str, key: str) -> str:
    """The one choice whose words are clearly nearest."""
    words = pieces_of(text)
    scores = sorted(
        (
            (max((_overlap(words, other) for other in others), default=0.0), name)
            for name, others in _choice_pieces(key).items()
        ),
        reverse=True,
    )
    (best, name), second = scores[0], scores[1][0] if len(scores) > 1 else 0.0
    return name if best >= _ALIKE and best - second >= _LEAD else ""


def _overlap(one: frozenset[str], other: frozenset[str]) -> float:
    common = len(one & other)
    return 2 * common / (len(one) + len(other)) if common else 0.0
