"""What counters tell: load, starts an hour, edits against changes."""

from __future__ import annotations

from decimal import Decimal

from asleft.explain.facts import Fact
from asleft.explain.scene import Scene
from asleft.explain.view import View


def _grown(scene: Scene, key: str) -> float:
    return scene.new.number(key) - scene.old.number(key)


def hours_running(scene: Scene) -> Fact | None:
    """Share of the powered hours that the motor ran."""
    run, powered = _grown(scene, "drive.run_time_h"), _grown(scene, "drive.power_on_time_h")
    if run < 0:
        return scene.words("counted_back")
    if powered <= 0:
        return None
    share = run / powered * 100
    return scene.words(
        "hours_running",
        run=scene.show(run, "h"),
        powered=scene.show(powered, "h"),
        share=scene.show(share, "%"),
    )


def hours_powered(scene: Scene) -> Fact | None:
    """Powered hours against the time between the two readings."""
    readings = [view.side.set.reading for view in scene.sides]
    grown = _grown(scene, scene.key)
    if grown < 0:
        return scene.words("counted_back")
    if readings[0] is None or readings[1] is None:
        return None
    between = (readings[1].at - readings[0].at).total_seconds() / 3600
    if between <= 0:
        return None
    scene.new.note("time between the readings", Decimal(round(between)), "h", "reading")
    name = "powered" if grown <= between * 1.02 + 1 else "powered_too_long"
    return scene.words(
        name, grown=scene.show(grown, "h"), between=scene.show(between, "h"),
        share=scene.show(min(100.0, grown / between * 100), "%"),
    )  # fmt: skip


def mean_power(scene: Scene) -> Fact | None:
    """Mean power over the hours run, of the motor's."""
    energy, run = _grown(scene, "drive.energy_counter_kwh"), _grown(scene, "drive.run_time_h")
    if energy < 0:
        return scene.words("counted_back")
    if run <= 0:
        return None
    power = energy / run
    share = power / scene.new.plate("rated_power_kw") * 100
    return scene.words(
        "mean_power", power=scene.show(power, "kW"), share=scene.show(share, "%"), run=scene.show(run, "h")
    )


def starts_per_hour(scene: Scene) -> Fact | None:
    """Starts for each hour run."""
    starts, run = _grown(scene, "drive.start_count"), _grown(scene, "drive.run_time_h")
    if starts < 0:
        return scene.words("counted_back")
    if run <= 0:
        return None
    hours = run / starts
    name = "hours_per_start" if hours >= 1 else "starts_per_hour"
    shown = scene.show(hours, "h") if hours >= 1 else scene.show(1 / hours, "")
    return scene.words(name, each=shown, starts=f"{starts:.0f}")


def edits(scene: Scene) -> Fact | None:
    """Edits counted against settings that differ."""
    grown = _grown(scene, scene.key)
    differ = sum(1 for key in _settings(scene.new) if scene.old.values.get(key) != scene.new.values[key])
    if grown <= 0:
        return scene.words("counted_back")
    scene.new.note("settings that differ", Decimal(differ), "", "setting")
    name = "edits_match" if grown == differ else "edits_more" if grown > differ else "edits_fewer"
    return scene.words(name, edits=f"{grown:.0f}", differ=str(differ))


def _settings(view: View) -> list[str]:
    from asleft.vocabulary import vocabulary

    return [key for key in view.values if (found := vocabulary().get(key)) and found.class_ == "setting"]
