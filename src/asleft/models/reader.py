"""A drive model file: one family of drives, all its sizes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any

from asleft.files.toml import Document, parse
from asleft.files.value import did_you_mean, to_value
from asleft.models.forms import BASES, FORMS
from asleft.models.model import Model, Native, NativeChoice, Register
from asleft.models.shape import FILE_FIELDS, NATIVE_FIELDS, shape_faults
from asleft.models.units import number_shown
from asleft.record import Fault, Refused, Value
from asleft.vocabulary import vocabulary

FORMAT = 1
UNIT_OF_FORM = {"percent": "%", "rpm": "rpm", "proportional_band": "%", "repeats_per_minute": "1/min"}
"""What a display shows where the form alone decides it."""


@dataclass(frozen=True, slots=True)
class ModelFile:
    """A parsed model file. ``faults`` is empty where it can be used."""

    document: Document
    version: str
    faults: tuple[Fault, ...]
    _made: dict[str, Model] = field(default_factory=dict, repr=False, compare=False)

    @property
    def name(self) -> str:
        """The family's name, first part of each full model name."""
        return str(self.document.data.get("name", ""))

    @property
    def sizes(self) -> tuple[str, ...]:
        """The sizes the file holds."""
        return tuple(self.document.data.get("sizes", {}))

    @property
    def full_names(self) -> tuple[str, ...]:
        """Names a set may give as its model."""
        return tuple(f"{self.name}-{size}" for size in self.sizes)

    def size(self, size: str) -> Model:
        """One size, ready for use. Raises ``Refused`` where the file has faults or lacks the size."""
        if self.faults:
            raise Refused(self.faults)
        if size not in self.sizes:
            raise Refused(
                Fault(
                    f"{self.name} has no size {size!r}.",
                    f"It has {', '.join(self.sizes)}.",
                    self.document.where,
                )
            )
        if size not in self._made:
            self._made[size] = _model(self, size)
        return self._made[size]


@lru_cache(maxsize=64)
def read_model(content: bytes, where: str, version: str = "") -> ModelFile:
    """Parse a model file; every fault of its form is listed, with its line. Raises ``Refused`` if no TOML."""
    document = parse(content, where)
    return ModelFile(document, version, tuple(shape_faults(document)) or tuple(_faults(document)))


def _faults(document: Document) -> Iterator[Fault]:
    data = document.data
    yield from document.format_faults(FORMAT)
    for name in ("name", "title", "firmware", "sizes", "parameters"):
        if not data.get(name):
            yield document.fault((), f"{name} is missing.", "Every model file has it.")
    for name in data.keys() - FILE_FIELDS:
        yield document.fault((name,), f"{name} means nothing here.", did_you_mean(name, FILE_FIELDS))
    sizes: list[tuple[str, ...]] = [("sizes", size) for size in data.get("sizes", {})]
    for path in [("fixed",), *sizes]:
        yield from _value_faults(document, path)
    for native_id, row in data.get("parameters", {}).items():
        yield from _native_faults(document, native_id, row)


def _value_faults(document: Document, path: tuple[str, ...]) -> Iterator[Fault]:
    table: Any = document.data
    for part in path:
        table = table.get(part, {})
    for key, raw in table.items():
        if key == "factory":
            continue
        if key not in vocabulary():
            yield document.fault((*path, key), f"{key} is no known key.", did_you_mean(key, vocabulary()))
            continue
        try:
            to_value(vocabulary()[key], raw)
        except ValueError as problem:
            yield document.fault((*path, key), str(problem), "")


def _native_faults(document: Document, native_id: str, row: Mapping[str, Any]) -> Iterator[Fault]:
    path = ("parameters", native_id)
    for name in row.keys() - NATIVE_FIELDS:
        yield document.fault((*path, name), f"{name} means nothing here.", did_you_mean(name, NATIVE_FIELDS))
    if not row.get("text") or not row.get("menu"):
        yield document.fault(path, f"{native_id} needs text and menu.", "Write them as the drive shows them.")
    for key in _keys(row):
        if key not in vocabulary():
            yield document.fault(path, f"{key} is no known key.", did_you_mean(key, vocabulary()))
    form = _form(row)
    if form not in FORMS and form != "native":
        yield document.fault(path, f"there is no form {form!r}.", did_you_mean(form, FORMS))
    if len(_keys(row)) > 1 and form != "choice" and not form.startswith("band"):
        yield document.fault(path, f"form {form} gives one key, not {len(_keys(row))}.", "Name one key.")
    yield from _number_faults(document, path, row, form)
    for code, choice in row.get("choices", {}).items():
        yield from _choice_faults(document, path, row, code, choice)


def _number_faults(
    document: Document, path: tuple[str, ...], row: Mapping[str, Any], form: str
) -> Iterator[Fault]:
    numeric = form in FORMS and form not in ("choice", "coded", "bits", "text", "secret")
    if numeric and not all(name in row for name in ("range", "step")):
        yield document.fault(path, f"{path[1]} is a number without range and step.", "Give both.")
    if form == "percent" and row.get("base") not in (*BASES, "drive_duty"):
        yield document.fault(
            path, f"what is 100 %? {row.get('base')!r} is no base.", f"One of {', '.join(BASES)}."
        )
    if form.startswith("band") and ("partner" not in row or len(_keys(row)) != 2):
        yield document.fault(path, f"{path[1]} is half of a band.", "Give keys = [low, high] and partner.")
    for name in ("range", "step"):
        for text in row.get(name, ()) if name == "range" else [row.get(name, "0")]:
            if not _is_decimal(text):
                yield document.fault((*path, name), f"{text!r} is no number in quotes.", "")
            elif name == "step" and "step" in row and Decimal(text) <= 0:
                yield document.fault((*path, name), f"a step of {text} leads nowhere.", "Give the display's.")


def _is_decimal(text: object) -> bool:
    return isinstance(text, str) and number_shown(text) is not None


def _choice_faults(
    document: Document, path: tuple[str, ...], row: Mapping[str, Any], code: str, choice: Any
) -> Iterator[Fault]:
    where = (*path, "choices")
    if not isinstance(choice, list) or not choice or not isinstance(choice[0], str) or len(choice) > 2:
        yield document.fault(where, f"choice {code} is not [text, neutral choice].", "")
        return
    if _form(row) == "coded":
        if len(choice) == 2 and choice[1] != "":
            yield from _coded_faults(document, where, _keys(row)[0], choice[1])
        return
    if _form(row) == "bits" and not (code.isdecimal() and int(code) < 32 and _sets(row, choice)):
        yield document.fault(where, f"bit {code} needs a number from 0 to 31 and a meaning.", "")
    for key, name in _sets(row, choice).items():
        parameter = vocabulary().get(key)
        if parameter is not None and name not in parameter.choices:
            yield document.fault(
                where, f"choice {code}: {key} has no choice {name!r}.", did_you_mean(name, parameter.choices)
            )


def _coded_faults(document: Document, where: tuple[str, ...], key: str, raw: Any) -> Iterator[Fault]:
    try:
        to_value(vocabulary()[key], raw)
    except ValueError as problem:
        yield document.fault(where, str(problem), "Give the number each choice stands for.")


def _keys(row: Mapping[str, Any]) -> tuple[str, ...]:
    return (row["key"],) if "key" in row else tuple(row.get("keys", ()))


def _form(row: Mapping[str, Any]) -> str:
    if "form" in row:
        return str(row["form"])
    if not _keys(row):
        return "native"
    if "choices" not in row:
        return "number"
    parameter = vocabulary().get(_keys(row)[0])
    return "coded" if parameter is not None and parameter.is_number else "choice"


def _sets(row: Mapping[str, Any], choice: list[Any]) -> Mapping[str, str]:
    if len(choice) < 2 or choice[1] == "":
        return {}
    meaning = choice[1]
    return dict(meaning) if isinstance(meaning, dict) else {_keys(row)[0]: str(meaning)} if _keys(row) else {}


@cache
def _row_keys(pattern: str) -> tuple[str, ...]:
    if not pattern.endswith("*"):
        return (pattern,)
    return tuple(key for key in vocabulary() if key.startswith(pattern[:-1]))


def _model(file: ModelFile, size: str) -> Model:
    data = file.document.data
    sized = {key: raw for key, raw in data["sizes"][size].items() if key != "factory"}
    fixed: dict[str, Value] = {
        key: to_value(vocabulary()[key], raw) for key, raw in {**data.get("fixed", {}), **sized}.items()
    }
    fixed.setdefault("drive.model", f"{file.name}-{size}")
    factory = data["sizes"][size].get("factory", {})
    natives = {
        native_id: _native(native_id, row, factory.get(native_id))
        for native_id, row in data["parameters"].items()
    }
    had = {*fixed, *(key for native in natives.values() for key in native.keys)}
    return Model(
        name=f"{file.name}-{size}",
        title=f"{data['title']} {size}",
        maker=data.get("maker", ""),
        size=size,
        firmware=(data["firmware"][0], data["firmware"][-1]),
        register_base=int(data.get("register_base", 0)),
        behaviour=data.get("behaviour", {}),
        fixed=fixed,
        absent={
            key: why
            for pattern, why in data.get("absent", {}).items()
            for key in _row_keys(pattern)
            if key == pattern or key not in had
        },
        natives=natives,
        version=file.version,
        levels=tuple(data.get("levels", ())),
        source=file.document.where,
    )


def _native(native_id: str, row: Mapping[str, Any], factory: str | None) -> Native:
    get = row.get
    low, high = get("range", (None, None))
    keys, form = _keys(row), _form(row)
    unit = "" if not keys or "choices" in row else UNIT_OF_FORM.get(form, vocabulary()[keys[0]].unit)
    return Native(
        id=native_id,
        text=row["text"],
        menu=row["menu"],
        form=form,
        keys=keys,
        unit=get("unit", unit),
        low=None if low is None else Decimal(low),
        high=None if high is None else Decimal(high),
        step=Decimal(row["step"]) if "step" in row else None,
        factory=str(get("factory", "")) if factory is None else str(factory),
        choices={code: _choice(row, form, code, choice) for code, choice in get("choices", {}).items()},
        base=get("base", ""),
        partner=get("partner", ""),
        locked_running=get("locked", False),
        access=get("access", ""),
        register=_register(row),
        sets=get("sets", {}),
        after=tuple(get("after", ())),
        secret=get("secret", False) or form == "secret",
        read_only=get("read_only", False),
    )


def _choice(row: Mapping[str, Any], form: str, code: str, choice: list[Any]) -> NativeChoice:
    if form != "coded":
        return NativeChoice(code, choice[0], _sets(row, choice))
    number = to_value(vocabulary()[_keys(row)[0]], choice[1]) if choice[1:] not in ([], [""]) else None
    return NativeChoice(code, choice[0], {}, number if isinstance(number, Decimal) else None)


def _register(row: Mapping[str, Any]) -> Register | None:
    if "register" not in row:
        return None
    kind = row.get("type", "u16")
    words = row.get("words", 2 if kind in ("u32", "i32") else 1)
    return Register(
        number=int(row["register"]),
        kind=kind,
        words=int(words),
        low_word_first=row.get("word_order") == "low_first",
        bit=row.get("bit"),
        table=row.get("table", "holding"),
    )
