"""Skip bands: what they take in, how wide they are, whether they still cover the resonance."""

from __future__ import annotations

from asleft.explain import motion
from asleft.explain.facts import Fact
from asleft.explain.scene import Scene
from asleft.explain.view import View


def band_points(scene: Scene) -> Fact | None:
    """Presets and the working point that the changed band takes in or lets go."""
    number = int(scene.key.split("band_")[1][0])
    points = {f"preset {n}": key for n, key in enumerate(motion.PRESETS, 1)}
    hertz = {name: view_hz for name, key in points.items() if (view_hz := _read(scene.new, key))}
    hertz["the working point"] = motion.working_hz(scene.new)
    inside = [[name for name, hz in hertz.items() if _inside(view, number, hz)] for view in scene.sides]
    gained = [f"{name} ({scene.show(hertz[name], 'Hz')})" for name in inside[1] if name not in inside[0]]
    lost = [f"{name} ({scene.show(hertz[name], 'Hz')})" for name in inside[0] if name not in inside[1]]
    if gained:
        return scene.words("band_takes", which=_listed(gained))
    if lost:
        return scene.words("band_frees", which=_listed(lost))
    return scene.words("band_free_of_points")


def _listed(points: list[str]) -> str:
    more = f" and {len(points) - 2} more" if len(points) > 3 else ""
    return ", ".join(points[:2] if more else points) + more


def _read(view: View, key: str) -> float:
    return float(str(view.values[key])) if view.has(key) else 0.0


def _inside(view: View, number: int, hz: float) -> bool:
    return any(found == number and low < hz < high for found, low, high in motion.skip_bands(view))


def band_width(scene: Scene) -> Fact | None:
    """The width of the band, as speeds the machine cannot hold."""
    stem = scene.key.rpartition(".")[0]
    widths = [
        max(0.0, view.number(f"{stem}.high_hz") - view.number(f"{stem}.low_hz")) for view in scene.sides
    ]
    if widths[1] == 0:
        return scene.words("band_gone" if widths[0] else "band_off")
    low, high = (scene.new.number(f"{stem}.{end}_hz") for end in ("low", "high"))
    between = f"{motion.speed_words(scene.new, low)} and {motion.speed_words(scene.new, high)}"
    return scene.fact(*widths, unit="Hz", between=between)


def band_resonance(scene: Scene) -> Fact | None:
    """Whether the band still covers the machine's recorded resonance."""
    if scene.asset is None or "resonance_low_hz" not in scene.asset.machine:
        return None
    low, high = scene.new.machine("resonance_low_hz"), scene.new.machine("resonance_high_hz")
    covered = any(start <= low and high <= end for _, start, end in motion.skip_bands(scene.new))
    name = "resonance_covered" if covered else "resonance_open"
    return scene.words(name, low=scene.show(low, "Hz"), high=scene.show(high, "Hz"))
