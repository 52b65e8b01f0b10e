"""Analog signals: milliamps and volts to percent, to hertz and back; loss levels; what a wrong span gives."""

from dataclasses import dataclass
from enum import StrEnum

from asleft.machine import checks

SPANS = {
    "0_10_v": (0.0, 10.0),
    "2_10_v": (2.0, 10.0),
    "0_20_ma": (0.0, 20.0),
    "4_20_ma": (4.0, 20.0),
    "potentiometer": (0.0, 10.0),
}
"""Low and high end in mA or V. Source: memory of IEC 60381; 2–10 V and the potentiometer common practice."""

MEASURING_MA = (3.8, 20.5)
FAILURE_LOW_MA = 3.6
FAILURE_HIGH_MA = 21.0
FAILURE_PRESENT_S = 4.0
"""NAMUR NE 43: measuring range, failure levels, how long a failure stands."""


CONTACT_LEVELS_V = {1: (5.0, 15.0), 3: (5.0, 11.0)}
"""Digital input by type: 0 at or below, 1 at or above. Source: memory of IEC 61131-2."""


class SignalState(StrEnum):
    """What a 4–20 mA signal says of its transmitter."""

    FAILED_LOW = "failed_low"
    UNDEFINED_LOW = "undefined_low"
    MEASURING = "measuring"
    UNDEFINED_HIGH = "undefined_high"
    FAILED_HIGH = "failed_high"


@dataclass(frozen=True, slots=True)
class Scaling:
    """How a channel turns a signal into hertz.

    Ends in mA or V; frequencies at the ends; trim points in percent of span; inverted turns x into 1 − x.
    Raises ValueError unless the high end is above the low end and the high trim point above the low.
    """

    low: float
    high: float
    low_hz: float
    high_hz: float
    low_point_pct: float = 0.0
    high_point_pct: float = 100.0
    inverted: bool = False

    def __post_init__(self) -> None:
        checks.finite(low=self.low, high=self.high, low_hz=self.low_hz, high_hz=self.high_hz)
        checks.within(0, 100, low_point_pct=self.low_point_pct, high_point_pct=self.high_point_pct)
        if not (self.low < self.high and self.low_point_pct < self.high_point_pct):
            raise ValueError("the high end of a signal must lie above its low end")


def percent_of_span(signal: float, low: float, high: float) -> float:
    """Signal in percent of its span, (s − low)/(high − low)·100, beyond 0…100 too.

    Raises ValueError unless high is above low. Source: arithmetic.
    """
    checks.finite(signal=signal, low=low, high=high)
    if not low < high:
        raise ValueError("the high end of a signal must lie above its low end")
    return (signal - low) / (high - low) * 100


def signal_at_percent(percent: float, low: float, high: float) -> float:
    """Signal at a percent of span: `percent_of_span` turned round. Raises ValueError unless high > low."""
    checks.finite(percent=percent, low=low, high=high)
    if not low < high:
        raise ValueError("the high end of a signal must lie above its low end")
    return low + percent / 100 * (high - low)


def reference_share(scaling: Scaling, signal: float) -> float:
    """Share 0…1 the drive takes from a signal: clamped to the span, trimmed, clamped, inverted.

    Raises ValueError for a signal that is not a number. Source: common practice, no source.
    """
    percent = min(max(percent_of_span(signal, scaling.low, scaling.high), 0.0), 100.0)
    width = scaling.high_point_pct - scaling.low_point_pct
    share = min(max((percent - scaling.low_point_pct) / width, 0.0), 1.0)
    return 1 - share if scaling.inverted else share


def reference_hz(scaling: Scaling, signal: float) -> float:
    """Frequency the drive takes from a signal, f_low + x·(f_high − f_low). Raises likewise."""
    return scaling.low_hz + reference_share(scaling, signal) * (scaling.high_hz - scaling.low_hz)


def signal_for_hz(scaling: Scaling, frequency_hz: float) -> float:
    """Signal that gives a frequency, in mA or V.

    Raises ValueError for a frequency the channel cannot give, or a channel that gives one frequency only.
    Source: arithmetic.
    """
    if scaling.low_hz == scaling.high_hz:
        raise ValueError("this channel gives one frequency for every signal")
    least, most = sorted((scaling.low_hz, scaling.high_hz))
    checks.within(least, most, frequency_of_this_channel_hz=frequency_hz)
    share = (frequency_hz - scaling.low_hz) / (scaling.high_hz - scaling.low_hz)
    share = 1 - share if scaling.inverted else share
    width = scaling.high_point_pct - scaling.low_point_pct
    return signal_at_percent(scaling.low_point_pct + share * width, scaling.low, scaling.high)


def span_taken_for_another_hz(signal_ma: float, low_hz: float, high_hz: float) -> float:
    """Frequency a channel set 0–20 mA gives for a signal meant as 4–20, f_low + (f_high − f_low)·mA/20.

    Raises ValueError for a signal that is not a number. Source: arithmetic.
    """
    return reference_hz(Scaling(0.0, 20.0, low_hz, high_hz), signal_ma)


def loss_level(percent_of_full: float, high: float) -> float:
    """Loss level in mA or V from its setting in percent of full signal: 18 % of 20 mA is 3.6 mA.

    Raises ValueError for a negative percent or a full signal not above zero. Source: arithmetic.
    """
    checks.not_negative(percent_of_full=percent_of_full)
    checks.above_zero(high=high)
    return percent_of_full / 100 * high


def loss_percent(level: float, high: float) -> float:
    """Setting in percent of full signal for a loss level in mA or V. Raises likewise."""
    checks.not_negative(level=level)
    checks.above_zero(high=high)
    return level / high * 100


def signal_state(signal_ma: float) -> SignalState:
    """What a 4–20 mA signal says: 3.8…20.5 measures, at or below 3.6 and at or above 21 has failed.

    Raises ValueError for a signal that is not a number. Source: NAMUR NE 43.
    """
    checks.finite(signal_ma=signal_ma)
    if signal_ma <= FAILURE_LOW_MA:
        return SignalState.FAILED_LOW
    if signal_ma < MEASURING_MA[0]:
        return SignalState.UNDEFINED_LOW
    if signal_ma <= MEASURING_MA[1]:
        return SignalState.MEASURING
    return SignalState.UNDEFINED_HIGH if signal_ma < FAILURE_HIGH_MA else SignalState.FAILED_HIGH


def contact_closed(voltage_v: float, input_type: int) -> bool | None:
    """What a 24 V digital input of type 1 or 3 makes of a voltage; None between its levels: either.

    Raises ValueError for another type or a voltage that is not a number. Source: memory of IEC 61131-2.
    """
    checks.finite(voltage_v=voltage_v)
    if input_type not in CONTACT_LEVELS_V:
        raise ValueError(f"digital inputs are of type 1 or 3 here, not {input_type}")
    open_v, closed_v = CONTACT_LEVELS_V[input_type]
    if voltage_v <= open_v:
        return False
    return True if voltage_v >= closed_v else None


def resolution_hz(scaling: Scaling, signal_step: float) -> float:
    """Change of frequency for one step of the signal (of a meter's last digit, or a converter's count).

    Raises ValueError unless the step is above zero. Source: arithmetic.
    """
    checks.above_zero(signal_step=signal_step)
    width = (scaling.high_point_pct - scaling.low_point_pct) / 100
    return abs(scaling.high_hz - scaling.low_hz) * signal_step / ((scaling.high - scaling.low) * width)


def converter_step(high: float, bits: int) -> float:
    """One count of an unsigned converter, full signal over 2^bits − 1 counts.

    Raises ValueError for fewer than 1 or more than 32 bits. Source: arithmetic.
    """
    checks.above_zero(high=high)
    checks.within(1, 32, bits=bits)
    return float(high / (2**bits - 1))
