"""What is noticed of the clamps of a job before anything is cut, and of cutters that clamps keep from going down."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from camplan.catalogue.records import Machine
from camplan.features.records import Plate
from camplan.features.specs import Clamp, SettingSpec
from camplan.findings import Finding, Severity
from camplan.geometry import clipper
from camplan.geometry.edges import distance, edges_of, holds
from camplan.linking.way import Air
from camplan.operations import areas
from camplan.operations.records import Operation
from camplan.passes.again import OVERLAP
from camplan.passes.cut import made
from camplan.passes.ground import Bar, Ground
from camplan.units import Mm

_LOW: Mm = 3.0
_CLEAR: Mm = 5.0
_LEAST_HIGH: Mm = 10.0
_BERTH: Mm = 2.0


def air_over(setting: SettingSpec, *, machine: Machine) -> Air:
    """How high the cutter crosses in a setting, and what of it stands in the way."""
    highest = max((clamp.height for clamp in setting.clamps), default=0.0)
    return Air(
        low=_LOW,
        high=max(highest + _CLEAR, _LEAST_HIGH),
        clamps=setting.clamps,
        berth=machine.holder_diameter / 2.0 + _BERTH,
    )


def bar_of(clamp: Clamp) -> Bar:
    """A clamp as what stands on the plate."""
    return Bar(area=areas.box(x=clamp.x, y=clamp.y, width=clamp.width, length=clamp.length), height=clamp.height)


def clamp_findings(setting: SettingSpec, *, plate: Plate) -> list[Finding]:
    """Clamps that hold nothing because they stand beside the plate."""
    outline = areas.of_regions((plate.outline,))
    x0, y0, x1, y1 = plate.bounds
    found = []
    for place, clamp in enumerate(setting.clamps, start=1):
        if not clipper.intersection(bar_of(clamp).area, with_=outline):
            message = (
                f"clamp {place} of {setting.name!r}, from X{clamp.x:g} Y{clamp.y:g} to X{clamp.x + clamp.width:g} "
                f"Y{clamp.y + clamp.length:g}, stands beside the plate (X{x0:g} Y{y0:g} to X{x1:g} Y{y1:g}) and holds "
                "nothing; it is kept clear of all the same"
            )
            found.append(
                Finding(severity=Severity.CAUTION, code="clamp-beside-plate", message=message, where=setting.name)
            )
    return found


def no_way_in(at: tuple[Mm, Mm], *, operation: Operation, setting: SettingSpec, ground: Ground) -> Finding:
    """A cutter that cannot go down at a place: because of a clamp, if it could without any."""
    x, y = at
    name, cutter = operation.feature.spec.name, operation.cutter.name
    message = f"{cutter} has no way down into {name}: no room for a helix or a ramp, and it does not cut at its centre"
    if setting.clamps and not made(operation, ground=replace(ground, bars=())).shut:
        place, clamp = min(enumerate(setting.clamps, start=1), key=lambda one: _away(one[1], at=at))
        message = (
            f"{cutter} has no way down into {name}: clamp {place} of {setting.name!r} at X{clamp.x:g} Y{clamp.y:g} "
            "stands over the only one; move or lower it, or name the feature in another setting too"
        )
    return Finding(severity=Severity.UNMET, code="no-way-in", message=message, where=f"x {x:.3f} y {y:.3f}")


def _away(clamp: Clamp, *, at: tuple[Mm, Mm]) -> Mm:
    edges = edges_of(bar_of(clamp).area)
    return 0.0 if holds(edges, point=at) else distance(edges, point=np.array(at))


def nothing_to_cut(setting: SettingSpec, *, first: bool, ground: Ground) -> Finding:
    """A setting in which no feature has anything left that can be cut."""
    names = ", ".join(setting.features)
    why = f"its clamps leave no way to {names}"
    if not first:
        why = f"earlier settings left nothing of {names} to cut in it"
    elif ground.gone and not setting.clamps:
        why = f"the plate has {names} already"
    message = f"setting {setting.name!r} has no program: {why}"
    return Finding(
        severity=Severity.CAUTION,
        code="nothing-to-cut",
        message=f"{message}; leave the setting out, or move its clamps",
        where=setting.name,
    )


def cut_on(setting: SettingSpec, *, cut: Sequence[str], ground: Ground) -> list[Finding]:
    """What a setting cuts on of features that earlier settings began."""
    begun = [name for name in dict.fromkeys(cut) if ground.earlier.get(name)]
    if not begun:
        return []
    message = (
        f"{', '.join(begun)}: cut on where clamps of earlier settings kept the cutters out, {OVERLAP:g} mm over the "
        "seam; what is off between the two clampings stands there as a step"
    )
    return [Finding(severity=Severity.NOTE, code="cut-on", message=message, where=setting.name)]
