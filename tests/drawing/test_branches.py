"""Where more than two ends meet, loops are taken only if there is one way to."""

import itertools
import math

import pytest

from camplan.drawing.joining import joined
from camplan.geometry.chains import chain, signed_area


def join(*pieces):
    return joined(list(pieces), closed=[], layer="SPOKES", within=0.01)


def lines(*points):
    return [chain([a, b]) for a, b in itertools.pairwise(points)]


def test_two_loops_that_touch_in_a_vertex_are_two_loops():
    result = join(*lines((0, 0), (5, 0), (5, 5), (0, 5), (0, 0)), *lines((0, 0), (-5, 0), (-5, -5), (0, -5), (0, 0)))
    assert [abs(signed_area(path)) for path in result.closed] == [25.0, 25.0] and not result.open
    (finding,) = result.findings
    assert finding.code == "branch" and "(0.000, 0.000)" in finding.message and '"SPOKES"' in finding.message


def test_a_loop_that_touches_another_from_inside_is_a_loop():
    result = join(*lines((0, 0), (9, 0), (9, 9), (0, 9), (0, 0)), *lines((0, 0), (3, 1), (3, 3), (1, 3), (0, 0)))
    assert sorted(round(abs(signed_area(path)), 6) for path in result.closed) == [6.0, 81.0]


def test_a_tail_on_a_loop_stays_open_beside_the_loop():
    result = join(*lines((0, 0), (9, 0), (9, 9), (0, 9), (0, 0)), *lines((9, 9), (12, 12), (15, 12)))
    assert [abs(signed_area(path)) for path in result.closed] == [81.0]
    assert [path.points.tolist() for path in result.open] == [[[9, 9], [12, 12], [15, 12]]]


def test_a_bridge_between_two_loops_stays_open():
    result = join(
        *lines((0, 0), (5, 0), (5, 5), (0, 5), (0, 0)),
        *lines((9, 0), (14, 0), (14, 5), (9, 5), (9, 0)),
        *lines((5, 0), (9, 0)),
    )
    assert [abs(signed_area(path)) for path in result.closed] == [25.0, 25.0]
    assert len(result.open) == 1


def test_a_divided_rectangle_is_left_open_and_said():
    result = join(*lines((0, 0), (5, 0), (10, 0), (10, 6), (5, 6), (0, 6), (0, 0)), *lines((5, 0), (5, 6)))
    assert not result.closed and len(result.open) == 3
    (finding,) = result.findings
    assert finding.code == "branch-open"
    assert "(5.000, 0.000)" in finding.message and "(5.000, 6.000)" in finding.message


def test_lines_that_branch_without_a_loop_stay_lines():
    result = join(*lines((0, 0), (5, 0)), *lines((5, 0), (9, 4)), *lines((5, 0), (9, -4)))
    assert len(result.open) == 3 and [finding.code for finding in result.findings] == ["branch"]


def test_arcs_that_leave_a_vertex_in_the_same_direction_are_told_apart_by_their_curvature():
    """Two half discs that leave one vertex to the right, one turning up and one down; tails at their far corners."""
    result = join(
        chain([(0, 0), (0, 4)], bulges=[1.0]),
        chain([(0, 0), (0, -4)], bulges=[-1.0]),
        *lines((0, 4), (0, 0), (0, -4)),
        *lines((0, 4), (-5, 8)),
        *lines((0, -4), (-5, -8)),
    )
    assert [abs(signed_area(path)) for path in result.closed] == pytest.approx([2.0 * math.pi] * 2)
    assert len(result.open) == 2 and [finding.code for finding in result.findings] == ["branch"]


def test_a_grid_of_lines_is_answered_at_once():
    """All loops of a 12 x 12 grid would be more than could ever be counted."""
    pieces = []
    for k in range(13):
        for m in range(12):
            pieces += [chain([(k, m), (k, m + 1)]), chain([(m, k), (m + 1, k)])]
    result = join(*pieces)
    assert not result.closed and [finding.code for finding in result.findings] == ["branch-open"]
    assert sum(len(path.bulges) for path in result.open) == len(pieces)
