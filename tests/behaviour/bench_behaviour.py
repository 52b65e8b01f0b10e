"""How fast the search is: run with ``python tests/behaviour/bench_behaviour.py``.

Two full sets: six contacts and two live-zero signals, all used. States a second, time, memory.
"""

from __future__ import annotations

import resource
import sys
import time
from decimal import Decimal
from fractions import Fraction

from behaviour_cases import BASE_SET
from behaviour_sets import HARVEST_NIGHT, LEG

from asleft.behaviour import Budget, Drive, compare_behaviour
from asleft.behaviour.equivalence import walk_over
from asleft.behaviour.search import settled_search, unsettled_search
from asleft.record import Value

FULL: dict[str, Value] = {
    **BASE_SET,
    "analog_inputs.ai_2.signal": "4_20_ma",
    "analog_inputs.ai_2.freq_at_high_hz": Decimal(50),
    "stations.local_reference_source": "analog_2",
    "limits.frequency_min_hz": Decimal(10),
    "skip_bands.band_1.low_hz": Decimal(31),
    "skip_bands.band_1.high_hz": Decimal(34),
    "protection.signal_loss_reaction": "hold_last",
    "recovery.auto_reset_attempts": Decimal(3),
}
OTHER: dict[str, Value] = {
    **FULL,
    "stations.change_restart": "resume_if_present",
    "protection.signal_loss_reaction": "go_to_preset",
    "recovery.auto_reset_attempts": Decimal(0),
}


def say(words: str) -> None:
    sys.stdout.write(words + "\n")


def main() -> None:
    walk = walk_over(Drive.of(FULL), Drive.of(OTHER), Fraction(1, 10))
    begun = time.process_time()
    settled_search(walk, Budget(enough=400_000))
    took = time.process_time() - begun
    say(
        f"settled search, eight inputs: {len(walk.order)} states, {walk.transitions} transitions in {took:.2f} s"
    )
    say(
        f"  {len(walk.order) / took:.0f} states/s, {walk.transitions / took:.0f} transitions/s, complete {walk.complete}"
    )
    begun = time.process_time()
    tried, whole = unsettled_search(walk, Budget())
    took = time.process_time() - begun
    say(f"one unsettled change: {tried} tried in {took:.2f} s, all {whole}")
    for name, first, second in (("eight inputs", FULL, OTHER), ("the leg", LEG, {**LEG, **HARVEST_NIGHT})):
        for k in (0, 1):
            begun = time.process_time()
            diff = compare_behaviour(Drive.of(first), Drive.of(second), k=k)
            took = time.process_time() - begun
            say(f"compared, {name}, k = {k}: {len(diff.differences)} differences in {took:.2f} s")
    say(f"most memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB")


if __name__ == "__main__":
    main()
