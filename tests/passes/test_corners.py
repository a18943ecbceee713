"""Smaller cutters clear only what is left."""

import math

import numpy as np
import pytest
from shapely import union_all
from shapely.geometry import LineString, Polygon, box

from camplan.geometry import chains, clipper
from camplan.geometry.fitting import NO_CIRCLES
from camplan.passes.corners import Corners, corner_passes, rest_of
from camplan.passes.entry import Descent
from camplan.passes.records import Feed

SQUARE = (np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)]),)
DESCENT = Descent(diameter=2.0, angle=math.radians(3), pitch=0.2, plunges=True)
WIDE, NARROW = 3.0, 1.0


def job(area: clipper.Area, levels: tuple[float, ...] = (-1.0,)) -> Corners:
    done = clipper.opened(area, radius=WIDE)
    work = clipper.offset(area, by=-NARROW)
    rest = rest_of(area, done=done, reach=clipper.offset(work, by=NARROW))
    return Corners(
        work=work,
        rest=rest,
        ground=clipper.offset(done, by=-NARROW),
        radius=NARROW,
        step_over=0.6,
        top=0.0,
        levels=levels,
        descent=DESCENT,
        known=NO_CIRCLES,
    )


def test_what_a_cutter_leaves_in_square_corners_has_its_closed_form() -> None:
    # a right angle keeps (1 - pi/4) r^2 of the wide cutter, less as much of the narrow one
    rest = job(SQUARE).rest
    assert clipper.surface(rest) == pytest.approx(4 * (1 - math.pi / 4) * (WIDE**2 - NARROW**2), rel=1e-2)


def test_corners_are_cleared_from_ground_cleared_before_and_nowhere_else() -> None:
    work = job(SQUARE, levels=(-0.5, -1.0))
    found = corner_passes(work)
    assert found.ways == ("enters from ground cleared before",)
    cuts = [
        LineString(chains.tessellated(stroke.path, chord=0.0005)).buffer(NARROW, quad_segs=48)
        for one in found.passes
        for stroke in one.strokes
        if stroke.feed in (Feed.CUT, Feed.SLOT) and stroke.z[0] == -1.0
    ]
    done = union_all(cuts)
    for ring in work.rest:
        assert Polygon(ring).difference(done.buffer(0.003)).area < 1e-4
    assert done.difference(box(0, 0, 40, 30).buffer(0.002)).is_empty
    assert done.area < 0.12 * 1200.0


def test_a_neck_that_the_wide_cutter_could_not_pass_is_opened_by_the_narrow_one() -> None:
    neck = (
        np.array(
            [
                (0, 0),
                (20, 0),
                (20, 8),
                (30, 8),
                (30, 0),
                (50, 0),
                (50, 20),
                (30, 20),
                (30, 12),
                (20, 12),
                (20, 20),
                (0, 20),
            ],
            dtype=float,
        ),
    )
    found = corner_passes(job(neck))
    reached = [stroke for one in found.passes for stroke in one.strokes if stroke.feed is not Feed.FREE]
    across = [
        stroke for stroke in reached if stroke.path.points[:, 0].min() < 22 and stroke.path.points[:, 0].max() > 28
    ]
    assert across
