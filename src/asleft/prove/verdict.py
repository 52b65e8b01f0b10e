"""A judgement in one plain line: within or outside, by how much, what else would give it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from asleft.explain import capital
from asleft.prove.judge import Judged, observed_value
from asleft.prove.sheet import Step

_FINEST = Decimal("0.001")
NOTHING_GIVES_IT = (
    "No single known setting gives it: check wiring, signal source and meter, then read the drive."
)


def verdict(step: Step, observed: str, judged: Judged, explained: Sequence[str] = ()) -> str:
    """The line for one observation, its judgement not that nothing was done; ``explained`` as told by the
    diagnosis."""
    if judged.result == "pass":
        return _within(step, observed)
    if judged.result == "fail":
        return f"{_outside(step, observed)} {explained[0] if explained else NOTHING_GIVES_IT}"
    if judged.result == "left_out":
        return f"{capital(observed)}."
    return f"Noted; it cannot be told whether that is right: {judged.because.removeprefix('noted; ')}."


def _within(step: Step, observed: str) -> str:
    off = _off(step, observed)
    if off is None:
        return "Noted as right: nothing was predicted." if step.cannot else "As predicted."
    return f"Within: {off}."


def _outside(step: Step, observed: str) -> str:
    if step.cannot:
        return "NOTED AS WRONG: nothing was predicted."
    off = _off(step, observed)
    return f"OUTSIDE: {off}." if off is not None else f"NOT AS PREDICTED, which was: {step.predicted}."


def _off(step: Step, observed: str) -> str | None:
    """``2.8 Hz above 36.0 Hz, ± 0.1 Hz allowed``; None where there is no number."""
    value = observed_value(step, observed)
    if step.value is None or value is None:
        return None
    off = (value - step.value).quantize(_FINEST)
    allowed = f"{step.value} {step.unit}, ± {step.tolerance} {step.unit} allowed"
    if not off:
        return f"just {allowed}"
    return f"{abs(off).normalize():f} {step.unit} {'above' if off > 0 else 'below'} {allowed}"


def not_done(reasons: Mapping[int, str]) -> Iterator[str]:
    """``Steps 1 to 3, 7: no time.`` of step numbers and why; those without a reason last."""
    for why in dict.fromkeys(sorted(reasons.values(), key=lambda why: not why)):
        numbers = [number for number, reason in reasons.items() if reason == why]
        told = f": {why}" if why else ""
        yield f"{'Step' if len(numbers) == 1 else 'Steps'} {_ranges(numbers)}{told}."


def _ranges(numbers: Sequence[int]) -> str:
    """``1 to 3, 7``."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)
