"""Who can start the machine, and what starts it by itself."""

from __future__ import annotations

from collections.abc import Iterator

from asleft.explain import motion
from asleft.explain.view import View
from asleft.prove.asking import Asking
from asleft.prove.predicted import Said
from asleft.vocabulary import vocabulary

_BY_ITSELF = (
    ("start_stop.start_at_power_up", ("allow", "as_before"), "power returns"),
    ("recovery.reset_with_run_standing", ("resume_if_present",), "a fault is reset"),
    ("stations.change_restart", ("resume_if_present",), "the station is changed"),
    ("protection.safe_torque_off_recovery", ("resume_if_present",), "safe torque off is released"),
)


def starts(asking: Asking) -> tuple[Said, ...]:
    """From where it is started in each station, and what starts it with nobody acting."""
    return (*_stations(asking.view), *_alone(asking))


def _stations(view: View) -> Iterator[Said]:
    for station in ("remote", "local"):
        source = view.values.get(f"stations.{station}_command_source")
        if isinstance(source, str):
            choices = vocabulary()[f"stations.{station}_command_source"].choices
            yield Said(station, f"In {station} it is started by: {choices[source].says}.")


def _alone(asking: Asking) -> Iterator[Said]:
    view = asking.view
    level = asking.get("what starts it by itself", lambda: motion.command_starts_by_level(view))
    if level is None:
        return
    if not level:
        yield Said("by itself", "Every start needs a fresh contact or press: nothing that returns starts it.")
        return
    causes = [words for key, risky, words in _BY_ITSELF if view.is_(key, *risky)]
    causes.append("the run enable closes again")
    if view.values.get("recovery.auto_reset_attempts") and view.is_(
        "recovery.auto_reset_restarts_motor", "yes"
    ):
        causes.append(f"it resets itself, up to {view.number('recovery.auto_reset_attempts'):.0f} times")
    if view.is_("process.sleep_mode", "on") and not view.is_("process.pid_mode", "off"):
        causes.append("it wakes from sleep")
    listed = ", ".join(causes)
    yield Said("by itself", f"While the run contact stands it starts by itself when: {listed}.")
