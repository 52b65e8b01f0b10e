"""What a word means: a key, a drive's own id, a choice, a group, a class, a rule, a term, an exit code."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache

from asleft.explain import capital
from asleft.files.value import did_you_mean
from asleft.jobs.record import Record
from asleft.models import Model, Native, displayed_words, read_model
from asleft.record import Fault, Refused
from asleft.record.findings import SEVERITIES
from asleft.spec import Rule, engineering, read_aloud, read_spec
from asleft.vocabulary import Parameter, slot_fields, vocabulary
from asleft.vocabulary.terms import Term, terms

NO_SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Explanation:
    """One meaning of a name. ``kind`` says what it is, ``says`` is the answer in one or two sentences,
    ``facts`` are labelled details, ``see`` more names to ask."""

    name: str
    kind: str
    says: str
    source: str
    facts: tuple[tuple[str, str], ...] = ()
    see: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Known:
    """What is at hand beside the vocabulary: one size of each drive model of the site, and all rules."""

    models: Sequence[Model] = ()
    rules: Sequence[Rule] = field(default=())


def known_of(record: Record | None) -> Known:
    """What a site knows: its usable models and specs. The rules in the package are known anywhere.

    A file with faults is left out here; asleft model check and asleft spec check name them.
    """
    built_in = list(engineering().rules)
    if record is None:
        return Known((), built_in)
    return Known(list(_usable_models(record)), [*_site_rules(record), *built_in])


def _usable_models(record: Record) -> Iterator[Model]:
    for path in record.model_files():
        try:
            file = read_model(record.file(path), path)
            yield file.size(file.sizes[0])
        except (Refused, IndexError):
            continue


def _site_rules(record: Record) -> Iterator[Rule]:
    for file in sorted((record.top / "specs").glob("*.toml")):
        try:
            yield from read_spec(file.read_bytes(), f"specs/{file.name}").usable().rules
        except (Refused, OSError):
            continue


def explain(name: str, known: Known) -> tuple[Explanation, ...]:
    """Every meaning of a name. Raises ``Refused`` with the nearest names where it has none."""
    asked = plain(name)
    found = [one for look in LOOKS for one in look(asked, known)]
    if not found:
        near = (
            did_you_mean(name.lower(), names(known)) or "Ask by a key, an id of a drive, a choice or a term."
        )
        raise Refused(Fault(f"{name!r} is no word known here.", near))
    return tuple(dict.fromkeys(found))


@cache
def plain(name: str) -> str:
    """A name without differences of case, spacing, dashes and underlines."""
    return " ".join(name.lower().replace("_", " ").replace("-", " ").split())


def names(known: Known) -> list[str]:
    """Every name that can be asked, for completion and for did-you-mean."""
    vocabularies = (vocabulary(), slot_fields())
    found: dict[str, None] = {}
    for words in vocabularies:
        for key in words:
            found |= dict.fromkeys((key, key.rpartition(".")[2], words[key].label, *words[key].choices))
    for term in terms().values():
        found |= dict.fromkeys((term.name, *term.also))
    found |= dict.fromkeys(group.name for group in vocabulary().groups)
    found |= dict.fromkeys(native_id for model in known.models for native_id in model.natives)
    found |= dict.fromkeys((*SEVERITIES, *(f"rule {rule.id}" for rule in known.rules)))
    return list(found)


def _parameters(asked: str, known: Known) -> Iterator[Explanation]:
    for words in (vocabulary(), slot_fields()):
        for key in words:
            parameter = words[key]
            short = key.rpartition(".")[2]
            if asked in (plain(key), plain(parameter.row), plain(short), plain(parameter.label)):
                yield _parameter(parameter, known)


def _parameter(parameter: Parameter, known: Known) -> Explanation:
    drives = (
        f"{_type(model)}: {' and '.join(f'{one.id} {one.text}' for one in model.by_key[parameter.key])}"
        for model in known.models
        if parameter.key in model.by_key
    )
    return Explanation(
        parameter.key,
        "parameter",
        f"{capital(parameter.label)}: {parameter.meaning}",
        parameter.source or NO_SOURCE,
        (*_facts(parameter), *(("at the drive", words) for words in drives)),
        parameter.together,
    )


def _type(model: Model) -> str:
    """The drive's name without its size: all sizes share one list."""
    return model.title.removesuffix(f" {model.size}")


def _facts(parameter: Parameter) -> Iterator[tuple[str, str]]:
    for name, choice in parameter.choices.items():
        yield f"choice {name}", f"{choice.says}: {choice.means}" if choice.means else choice.says
    labelled = (
        ("raised", parameter.raised),
        ("lowered", parameter.lowered),
        ("usual", parameter.usual),
        ("believed possible", _range(parameter)),
        ("class", f"{parameter.class_}: {terms()[parameter.class_].says}"),
        ("risk", f"{parameter.risk}: {parameter.risk_because}" if parameter.risk_because else ""),
        ("locked", "only with the drive stopped, on most drives" if parameter.locked_running else ""),
        ("dormant", _dormant(parameter)),
        ("standard", parameter.standard),
    )
    yield from ((label, words) for label, words in labelled if words)


def _range(parameter: Parameter) -> str:
    if parameter.low is None or parameter.high is None:
        return ""
    step = f", usually in steps of {parameter.step}" if parameter.step is not None else ""
    return f"{parameter.low} to {parameter.high} {parameter.unit}".rstrip() + step


def _dormant(parameter: Parameter) -> str:
    parts = (f"while {rule.key} is {' or '.join(rule.values)}" for rule in parameter.dormant)
    words = "; ".join(parts)
    return f"does nothing {words}" if words else ""


def _natives(asked: str, known: Known) -> Iterator[Explanation]:
    for model in known.models:
        for native in model.natives.values():
            if asked in (plain(native.id), plain(native.text)):
                yield _native(native, model)


def _native(native: Native, model: Model) -> Explanation:
    meanings = [vocabulary()[key] for key in native.keys]
    says = " ".join(f"{capital(one.label)}: {one.meaning}" for one in meanings)
    return Explanation(
        native.id,
        f"entry of {_type(model)}",
        f"{native.text}. {says or 'It has no common meaning and is kept as the drive shows it.'}",
        f"the model file of {_type(model)}",
        tuple(_native_facts(native)),
        native.keys,
    )


def _native_facts(native: Native) -> Iterator[tuple[str, str]]:
    yield "menu", native.menu
    if native.is_number and native.low is not None:
        yield (
            "takes",
            f"{native.low} to {native.high} {native.unit}".rstrip() + f", in steps of {native.step}",
        )
    if native.choices:
        yield "choices", ", ".join(f"{code} ({choice.text})" for code, choice in native.choices.items())
    if native.factory and not native.secret:
        yield "factory", displayed_words(native, native.factory)
    if native.locked_running:
        yield "locked", "only with the drive stopped"
    if native.read_only:
        yield "only shown", "it cannot be entered"
    if native.access:
        yield "access level", native.access
    if native.sets:
        yield "sets by itself", ", ".join(native.sets)


def _groups(asked: str, known: Known) -> Iterator[Explanation]:
    for group in vocabulary().groups:
        if asked in (plain(group.name), plain(group.title)):
            keys = tuple(key for key in vocabulary() if vocabulary()[key].group == group.name)
            yield Explanation(
                group.name, "group", f"{group.title}: {group.meaning}", "this program", (), keys
            )


def _terms(asked: str, known: Known) -> Iterator[Explanation]:
    for term in terms().values():
        if asked in map(plain, (term.name, *term.also)):
            yield _term(term)


def _term(term: Term) -> Explanation:
    return Explanation(term.name, term.kind, term.says, term.source, (), term.see)


def _choices(asked: str, known: Known) -> Iterator[Explanation]:
    """Each parameter that has the choice, one of a numbered row; KEY=CHOICE tells its changes too."""
    key, equals, choice = (part.strip() for part in asked.partition("="))
    if asked.isdecimal():
        return
    told: set[str] = set()
    for words in (vocabulary(), slot_fields()):
        for parameter in words.parameters.values():
            wanted = plain(parameter.key) == key if equals else parameter.row not in told
            for name, one in parameter.choices.items() if wanted else ():
                if (choice or asked) in (plain(name), plain(one.says)):
                    told.add(parameter.row)
                    yield _choice(parameter, name, bool(equals))


def _choice(parameter: Parameter, name: str, in_full: bool) -> Explanation:
    choice = parameter.choices[name]
    changes = [
        (f"change {pattern.replace('*', 'any')}", text)
        for pattern, text in parameter.changes.items()
        if name in pattern.split(">") and in_full
    ]
    return Explanation(
        f"{parameter.key}={name}",
        f"choice of {parameter.label}",
        choice.means or capital(choice.says),
        parameter.source or NO_SOURCE,
        tuple(changes),
        (parameter.key,),
    )


def _severities(asked: str, known: Known) -> Iterator[Explanation]:
    for name, words in SEVERITIES.items():
        if asked == name:
            yield Explanation(name, "severity", f"A breach that {words}.", "an own scale, no source")


def _of_rule(rule: Rule) -> Iterator[tuple[str, str]]:
    yield "in short", rule.text
    if rule.do:
        yield "to meet it", rule.do
    if rule.proved_by:
        yield "proved by", rule.proved_by
    yield "severity", f"{rule.severity}: {SEVERITIES[rule.severity]}"


def _rules(asked: str, known: Known) -> Iterator[Explanation]:
    for rule in known.rules:
        own = plain(rule.id)
        if asked in (own, f"rule {own}", plain(f"{rule.spec} {rule.id}")):
            yield Explanation(
                f"rule {rule.id}",
                f"rule of {rule.spec}",
                read_aloud(rule),
                rule.source or NO_SOURCE,
                tuple(_of_rule(rule)),
                rule.body.names() if rule.body else (),
            )


LOOKS: tuple[Callable[[str, Known], Iterator[Explanation]], ...] = (
    _parameters,
    _natives,
    _groups,
    _terms,
    _severities,
    _rules,
    _choices,
)
"""Where a name is looked for, in the order shown. One entry a kind of name."""
