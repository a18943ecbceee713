"""Grooves whose floors fall turned into passes."""

from dataclasses import replace

import numpy as np

from camplan import tolerance
from camplan.features.records import Slope
from camplan.features.slopes import is_worth, shallowest
from camplan.geometry import clipper
from camplan.geometry.along import length_at, nearest
from camplan.geometry.chains import tessellated
from camplan.operations import areas
from camplan.operations.records import Operation
from camplan.passes.again import runs_left, still_out, undone
from camplan.passes.common import Made, descent, freed
from camplan.passes.ground import Ground, barred, with_hollow
from camplan.passes.ramps import part_of, ramped_pass
from camplan.units import Mm2


def slopes_made(operation: Operation, *, ground: Ground) -> Made:
    """Each line to and fro in ramps; what is cleared is told down to the shallowest floor."""
    feature = operation.feature
    top = -feature.top
    slopes, kept_out = _open_slopes(operation, ground=ground)
    whole = top - operation.levels[-1]
    shares = tuple((top - level) / whole for level in operation.levels)
    passes = tuple(
        replace(ramped_pass(slope, top=top, shares=shares, descent=descent(operation)), group=number)
        for number, slope in enumerate(slopes)
    )
    area = areas.along((slope.path for slope in slopes), by=operation.cutter.tip_diameter / 2.0)
    after = with_hollow(ground, area=area, top=top, bottom=-shallowest(feature.slopes), feature=feature.spec.name)
    return Made(
        passes=freed(passes, operation=operation, ground=ground),
        holes=(),
        ground=after,
        ways=("enters by a ramp along its line, never below its floor",),
        shut=(),
        kept_out=kept_out,
    )


def _open_slopes(operation: Operation, *, ground: Ground) -> tuple[tuple[Slope, ...], Mm2]:
    """What of a feature's slopes nothing on the plate keeps the cutter out of, and earlier settings have left; and the
    size of what it is kept out of now as before."""
    slopes = operation.feature.slopes
    shut = barred(operation.cutter, deepest=operation.levels[-1], ground=ground)
    left = undone(operation, ground=ground)
    if not shut and left is None:
        return slopes, 0.0
    out = still_out(shut, left=left)
    found: list[Slope] = []
    kept_out = 0.0
    for slope in slopes:
        points = tessellated(slope.path, chord=tolerance.CHORD)
        inside = clipper.cut_lines([points], area=out, inside=True) if out else ()
        kept_out += operation.cutter.diameter * sum(float(np.hypot(*np.diff(part, axis=0).T).sum()) for part in inside)
        for part in runs_left([points], shut=shut, left=left):
            ends = [nearest(slope.path, to=(float(x), float(y))) for x, y in (part[0], part[-1])]
            start, end = sorted(length_at(slope.path, place=place) for place in ends)
            open_part = part_of(slope, start=start, end=end) if end - start > tolerance.JOIN else None
            found.extend([open_part] if open_part is not None and is_worth(open_part.path) else [])
    return tuple(found), kept_out
