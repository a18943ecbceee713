"""Lines and arcs that lie partly on others are taken once."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.drawing.joining import joined
from camplan.drawing.overlaps import without_overlaps
from camplan.geometry.chains import arcs, chain, circle, length


def arc(start_deg, end_deg, *, radius=5.0, clockwise=False):
    a, b = math.radians(start_deg), math.radians(end_deg)
    points = [(radius * math.cos(t), radius * math.sin(t)) for t in (a, b)]
    bulge = math.tan((b - a) / 4)
    return chain(points[::-1], bulges=[-bulge]) if clockwise else chain(points, bulges=[bulge])


def join(*pieces, closed=()):
    return joined(list(pieces), closed=list(closed), layer="RUNNER", within=0.01)


def test_a_line_that_overlaps_another_partly_lengthens_it():
    result = join(chain([(0, 0), (10, 0)]), chain([(14, 0), (6, 0)]))
    (path,) = result.open
    assert sorted(path.points[:, 0].tolist()) == [0.0, 14.0]
    (finding,) = result.findings
    assert finding.code == "duplicate" and "(6.000, 0.000)" in finding.message and '"RUNNER"' in finding.message


def test_a_line_within_another_is_dropped():
    result = join(chain([(0, 0), (10, 5)]), chain([(2, 1), (6, 3)]))
    assert [length(path) for path in result.open] == [pytest.approx(math.hypot(10, 5))]


def test_a_side_drawn_in_overlapping_parts_still_closes_the_contour():
    result = join(
        chain([(0, 0), (7, 0)]), chain([(4, 0), (10, 0)]), chain([(10, 0), (10, 6), (0, 6)]), chain([(0, 0), (0, 6)])
    )
    assert not result.open and len(result.closed) == 1
    assert sorted(map(tuple, result.closed[0].points.tolist())) == [(0, 0), (0, 6), (10, 0), (10, 6)]


def test_a_third_line_that_meets_an_overlapped_one_keeps_its_vertex():
    result = join(chain([(0, 0), (10, 0)]), chain([(8, 0), (15, 0)]), chain([(8, 0), (8, 5)]))
    assert sorted(round(length(path), 6) for path in result.open) == [5.0, 7.0, 8.0]


def test_arcs_that_overlap_on_one_circle_are_one_arc():
    result = join(arc(0, 100), arc(60, 170, clockwise=True))
    (path,) = result.open
    assert length(path) == pytest.approx(5.0 * math.radians(170))  # closed form: r times angle
    assert np.allclose(arcs(path).radii, 5.0)


def test_arcs_that_overlap_all_round_are_a_circle():
    result = join(arc(0, 130), arc(100, 250), arc(200, 395))
    assert not result.open and len(result.closed) == 1
    assert length(result.closed[0]) == pytest.approx(10.0 * math.pi)


def test_arcs_and_lines_on_closed_contours_are_dropped_and_these_stay():
    disc, square = circle((0, 0), radius=5), chain([(20, 0), (30, 0), (30, 10), (20, 10)], closed=True)
    result = join(arc(20, 70), chain([(22, 0), (27, 0)]), chain([(28, 0), (36, 0)]), closed=[disc, square])
    assert result.closed == (disc, square)
    assert [sorted(path.points[:, 0].tolist()) for path in result.open] == [[30.0, 36.0]]


def test_a_polyline_loses_only_the_segment_that_lies_on_another_curve():
    result = join(chain([(0, 0), (10, 0), (10, 10)]), chain([(2, 0), (8, 0)]))
    (path,) = result.open
    assert path.points.tolist() == [[0, 0], [10, 0], [10, 10]] and len(result.findings) == 1


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (chain([(0, 0), (10, 0)]), chain([(10, 0), (20, 0)])),
        (chain([(0, 0), (10, 0)]), chain([(0, 0.02), (10, 0.02)])),
        (chain([(0, 0), (10, 0)]), chain([(5, -5), (5, 5)])),
        (arc(0, 90), arc(90, 180)),
        (arc(0, 90), arc(0, 90, radius=5.02)),
        (arc(0, 180), chain([(5, 0), (-5, 0)])),
        (chain([(0, 0), (10, 0)], bulges=[0.001]), chain([(0, 0), (10, 0)], bulges=[-0.005])),
    ],
)
def test_neighbours_and_parallels_and_crossings_are_no_overlaps(one, other):
    assert without_overlaps([one, other], closed=[], within=0.01).pieces == (one, other)


@settings(max_examples=60, deadline=None)
@given(
    spans=st.lists(st.tuples(st.integers(0, 30), st.integers(1, 12)), min_size=1, max_size=8),
    turn=st.floats(0, 6.28),
    curved=st.booleans(),
)
def test_stretches_of_one_line_or_circle_cover_what_they_cover_together_once(spans, turn, curved):
    """Closed form: the length of the union of intervals."""
    if curved:
        pieces = [arc(10 * low, 10 * (low + size) if size < 36 else 359) for low, size in spans]
        covered = {step % 36 for low, size in spans for step in range(low, low + size)}
        unit = 5.0 * math.radians(10)
    else:
        way = np.array([math.cos(turn), math.sin(turn)])
        pieces = [chain([way * low, way * (low + size)]) for low, size in spans]
        covered = {step for low, size in spans for step in range(low, low + size)}
        unit = 1.0
    result = join(*pieces)
    total = sum(length(path) for path in (*result.open, *result.closed))
    assert total == pytest.approx(unit * len(covered), abs=1e-6)
