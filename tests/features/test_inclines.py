"""Plane floors that fall: how deep under places, what of a figure is as deep, and what a flat tip leaves."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.features.inclines import (
    depth_under,
    downhill,
    foot_height,
    from_depth,
    incline_angle,
    ridge_step,
    shifted_incline,
)
from camplan.features.records import Section
from camplan.features.specs import Incline
from camplan.geometry.chains import chain
from camplan.operations import areas
from camplan.regions import Region
from camplan.simulation.figures import polygon_of

EVEN = Incline(start=(10.0, 20.0), end=(50.0, 20.0), first=1.5, last=2.5)
BOX = Region(outer=chain([(10, 10), (50, 10), (50, 30), (10, 30)], closed=True))


def test_the_floor_has_its_depths_at_its_places_and_is_level_beyond_and_across() -> None:
    places = np.array([[10, 20], [30, 5], [50, 99], [0, 20], [70, 20]], dtype=float)
    assert depth_under(EVEN, places=places, radius=0.0).tolist() == pytest.approx([1.5, 2.0, 2.5, 1.5, 2.5])


def test_a_floor_may_rise_from_its_first_place() -> None:
    back = Incline(start=EVEN.end, end=EVEN.start, first=2.5, last=1.5)
    places = np.array([[17.0, 3.0], [44.0, 21.0]])
    assert depth_under(back, places=places, radius=0.0) == pytest.approx(depth_under(EVEN, places=places, radius=0.0))
    assert downhill(back) == downhill(EVEN)


def test_a_flat_tip_touches_with_its_upper_edge() -> None:
    """Over a plane of angle a the middle of a tip of radius r stands r tan a above it (plane geometry)."""
    (depth,) = depth_under(EVEN, places=np.array([[30.0, 20.0]]), radius=2.0)
    assert depth == pytest.approx(2.0 - 2.0 * math.tan(incline_angle(EVEN)))
    assert foot_height(EVEN, radius=2.0) == pytest.approx(2.0 * (2.0 - depth))


@pytest.mark.parametrize("depth", [1.6, 2.0, 2.45])
def test_both_kernels_cut_a_figure_where_its_floor_passes_a_depth(depth: float) -> None:
    section = Section(regions=(BOX,), within=from_depth(EVEN, depth=depth))
    x = 10.0 + 40.0 * (depth - 1.5)
    wanted = shapely.box(x, 10, 50, 30)
    assert polygon_of(section).symmetric_difference(wanted).area < 1e-6
    mine = shapely.union_all([shapely.Polygon(ring) for ring in areas.of_section(section)])
    assert mine.symmetric_difference(wanted).area < 1e-3


@settings(max_examples=40, deadline=None)
@given(
    turn=st.floats(0.0, 6.28),
    run=st.floats(2.0, 60.0),
    fall=st.floats(0.05, 3.0),
    radius=st.floats(0.4, 6.0),
    height=st.floats(0.002, 0.05),
)
def test_ridges_between_paths_are_no_higher_than_asked(
    turn: float, run: float, fall: float, radius: float, height: float
) -> None:
    plane = Incline(start=(0, 0), end=(run * math.cos(turn), run * math.sin(turn)), first=1.0, last=1.0 + fall)
    step = ridge_step(plane, radius=radius, height=height)
    assert 0.0 < step <= 2.0 * radius
    ridge = (radius - math.sqrt(max(radius**2 - step**2 / 4.0, 0.0))) * fall / run
    assert ridge <= height + 1e-9


def test_a_plane_moves_with_its_plate() -> None:
    moved = shifted_incline(EVEN, by=(-10.0, 5.0))
    assert (moved.start, moved.end) == ((0.0, 25.0), (40.0, 25.0))
