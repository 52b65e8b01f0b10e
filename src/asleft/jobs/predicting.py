"""What a drive will do, before it has done it."""

from __future__ import annotations

from dataclasses import dataclass

from asleft.jobs.naming import Inputs, Named, resolve
from asleft.prove.predict import predict
from asleft.prove.predicted import Prediction


@dataclass(frozen=True, slots=True)
class Predicted:
    """The answer to ``predict``: the set, and what it will do in its slot."""

    named: Named
    prediction: Prediction

    @property
    def is_undecided(self) -> bool:
        """Whether something cannot be told."""
        return bool(self.prediction.unknown)


def prediction(name: str, inputs: Inputs) -> Predicted:
    """Predict from a named set; without a slot only what the set alone allows. Raises ``Refused``."""
    named = resolve(name, inputs)
    return Predicted(named, predict(named.side, named.asset))
