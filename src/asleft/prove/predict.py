"""What a drive will do, reckoned from its set, its plate and its machine before anybody presses start."""

from __future__ import annotations

from asleft.compare import Side
from asleft.prove.asking import Asking
from asleft.prove.loads import plate, trips, working
from asleft.prove.predicted import Prediction
from asleft.prove.speeds import points, signal_tables
from asleft.prove.starting import starts
from asleft.prove.times import spans
from asleft.record import Asset


def predict(side: Side, asset: Asset | None = None) -> Prediction:
    """Speeds, signals, times, loads, trips and starts; what cannot be told is listed with its reason.

    Ramps are reckoned as set: no torque limit, current limit or overvoltage hold on the way.
    """
    asking = Asking(side, asset)
    found = Prediction(
        points=points(asking),
        signals=signal_tables(asking),
        spans=spans(asking),
        trips=trips(asking),
        working=working(asking),
        starts=starts(asking),
        plate=plate(asking),
    )
    return found._replace(unknown=tuple(asking.unknown), basis=tuple(dict.fromkeys(asking.view.used)))
