"""The trade's parameters as data, and their loader.

One TOML file a group lies in ``data/``; ``vocabulary()`` gives all of them, in file order, with repeated
parameters numbered (``digital_inputs.di_n.function`` becomes ``digital_inputs.di_1.function`` …).
"""

from asleft.vocabulary.loader import slot_fields, vocabulary
from asleft.vocabulary.parameter import Choice, Class, Dormant, Group, Kind, Parameter, Risk, Vocabulary

__all__ = [
    "Choice",
    "Class",
    "Dormant",
    "Group",
    "Kind",
    "Parameter",
    "Risk",
    "Vocabulary",
    "slot_fields",
    "vocabulary",
]
