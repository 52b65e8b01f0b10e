"""Changes in plain words, from phrase data and computed facts."""

from asleft.explain.explained import Explained, explain
from asleft.explain.sentences import capital, change_sentence, consequence, said

__all__ = ["Explained", "capital", "change_sentence", "consequence", "explain", "said"]
