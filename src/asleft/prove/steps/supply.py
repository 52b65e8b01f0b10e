"""The supply goes and comes back; a short dip."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from asleft.prove.sheet import Draft
from asleft.prove.stage import Stage
from asleft.prove.steps.recovering import left_words, recovery

OFF: Final = "switch the supply off at its isolator and wait until the display is dark"
DIP: Final = "0.4"
"""Seconds of the dip tried: long enough to be one, short enough for a drive that rides through."""


def off_and_back(stage: Stage) -> Iterator[Draft]:
    """Off while running, back with the command standing, a new command."""
    station = stage.main
    if station is None:
        return
    topic, gone, back = "Supply off and on", ("supply goes off",), ("supply comes back",)
    running = stage.running(station)
    yield Draft("supply.off", topic, running, OFF, gone, again=True, supply=True)
    off = running.after(left_words(stage, station), gone)
    words = "switch the supply on again, wait until the drive is ready"
    yield Draft("supply.back", topic, off, words, back, again=True, supply=True)
    lines = (*off.lines, *back)
    if stage.config.stations.reference[station] != "keypad":
        yield from recovery(stage, "supply", topic, station, lines)
        return
    asked = stage.asks(station)
    left = f"with the supply back, {asked.words} set again"
    yield from recovery(stage, "supply", topic, station, (*lines, *asked.lines), left=left)


def dip(stage: Stage) -> Iterator[Draft]:
    """A dip while running, and what comes after a fault from it."""
    if stage.main is None:
        return
    running, act = stage.running(stage.main), (f"supply dips {DIP} s",)
    note = "Only with a switching device made for it in the supply; leave it out otherwise."
    words = f"interrupt the supply for {DIP} s"
    yield Draft("supply.dip", "Supply dip", running, words, act, supply=True, note=note)
    for draft in recovery(stage, "supply.dip", "Supply dip", stage.main, (*running.lines, *act), again=False):
        yield replace(draft, note="Where the dip was tried.")
