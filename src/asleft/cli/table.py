"""Every command, by task: its name, the module that holds it, and one line of help."""

from __future__ import annotations

from typing import NamedTuple


class Command(NamedTuple):
    """``module`` is imported only when the command runs; its ``add(app)`` puts it on the application."""

    name: str
    module: str
    task: str
    help: str


COMMANDS = (
    Command("demo", "demo", "Start", "Build a site of eight drives with its history and walk through it."),
    Command("init", "init", "Start", "Start a site record."),
    Command("asset", "asset", "Start", "The slots: add, set, list, show, retire."),
    Command("model", "model", "Start", "Drive models: import, list, show, check."),
    Command("snapshot", "snapshot", "Record", "Read a drive and record it, as found or as left."),
    Command("show", "show", "Look", "A recorded set, in neutral terms or as the drive shows it."),
    Command("history", "history", "Look", "Readings of an asset: who, when, why, how many changes."),
    Command("diff", "diff", "Compare", "What differs between two sets, in plain words."),
    Command("check", "check", "Judge", "Judge drives against their application specs."),
    Command("spec", "spec", "Judge", "Application specs: list, copy a ready one, check, read a rule aloud."),
    Command("waive", "waive", "Judge", "Record a deviation that another person has approved."),
    Command("waivers", "waivers", "Judge", "What each waiver covers, and which end."),
    Command("accept", "accept", "Judge", "Accept the first check of an old plant as it stands."),
    Command("audit", "audit", "Judge", "What changed since, with and without a record."),
    Command("tables", "tables", "Look", "Who can start it, what a broken wire does, what each loss does."),
    Command("test", "test", "Judge", "Functional test: predicted, tolerance, observed."),
    Command("trip", "trip", "Look", "From a fault to the settings that decide it, and what changed of them."),
    Command("alike", "alike", "Compare", "Drift over drives that should be alike."),
    Command("rollout", "rollout", "Compare", "How far one change has come over alike drives."),
    Command("predict", "predict", "Look", "What a drive will do: speeds, times, signals, trips, starts."),
    Command("compare", "compare", "Compare", "A replaced unit against the record: what to put right."),
    Command("simulate-unit", "simulate_unit", "Start", "Serve a set over Modbus, as a drive to read from."),
    Command("plan", "plan", "Record", "Plan values: what to enter in which order, and how to undo it."),
    Command("correct", "correct", "Record", "Correct a reading; the wrong one stays in the history."),
    Command("explain", "explain", "Look", "A parameter, choice, term, result or exit code, with its source."),
    Command("gate", "gate", "Keep", "As a server's hook: refuse a push with a new breach."),
    Command("verify", "verify", "Keep", "Check that the whole record is sound."),
    Command("upkeep", "upkeep", "Keep", "Keep a large record fast."),
)
BY_NAME = {command.name: command for command in COMMANDS}
