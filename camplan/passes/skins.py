"""Laps along a wall that has no room for leads: in a full slot, or along a skin that earlier cuts have left?"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan import tolerance
from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.passes.records import Feed, Pass
from camplan.units import Mm

_FINE: Mm = 0.0005
_SLACK: Mm = 4.0 * tolerance.ROUGH_FIT
"""By so much a skin may be thicker than its nominal: the fit of the path that left it, on either side, twice."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Skin:
    """What laps along a wall meet: ``work`` is where the tool's centre may be, ``done`` what is cleared down to their
    lowest level; ``most`` is the thickest skin that the feed along a wall is for."""

    work: Area
    radius: Mm
    done: Area
    most: Mm


def skimmed(passes: Sequence[Pass], *, skin: Skin) -> tuple[Pass, ...]:
    """The passes with the wall's own feed in place of the one for a slot, if nothing thicker than the skin is left."""
    if not any(stroke.feed is Feed.SLOT for one in passes for stroke in one.strokes) or not _is_thin(skin):
        return tuple(passes)
    return tuple(
        replace(
            one,
            strokes=tuple(
                replace(stroke, feed=Feed.CUT) if stroke.feed is Feed.SLOT else stroke for stroke in one.strokes
            ),
        )
        for one in passes
    )


def _is_thin(skin: Skin) -> bool:
    if not skin.done:
        return False
    swept = clipper.offset(clipper.simplified(skin.work, within=_FINE), by=skin.radius)
    left = clipper.difference(swept, less=skin.done)
    return not clipper.offset(left, by=-(skin.most + _SLACK) / 2.0)
