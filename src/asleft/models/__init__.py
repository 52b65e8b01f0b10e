"""Drive models: the native list, and translation between native and neutral terms."""

from asleft.models.displayed import as_displayed
from asleft.models.forms import CannotEnter, CannotTell
from asleft.models.model import Model, Native, NativeChoice, Register
from asleft.models.reader import ModelFile, read_model
from asleft.models.translate import (
    Decoded,
    Entries,
    Entry,
    decode,
    display_step,
    displayed_words,
    encode,
    encode_one,
    factory_set,
    outside,
    to_step,
)

__all__ = [
    "CannotEnter",
    "CannotTell",
    "Decoded",
    "Entries",
    "Entry",
    "Model",
    "ModelFile",
    "Native",
    "NativeChoice",
    "Register",
    "as_displayed",
    "decode",
    "display_step",
    "displayed_words",
    "encode",
    "encode_one",
    "factory_set",
    "outside",
    "read_model",
    "to_step",
]
