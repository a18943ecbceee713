"""Edges: what lies inside, what crosses."""

import numpy as np

from camplan.geometry.edges import covered, edges_of

# a block with a step in its left side: from (0, 6) the edge turns away to the left
STEPPED = (np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 12.0), (-4.0, 12.0), (-4.0, 10.0), (0.0, 6.0)]),)
HOLLOW = (np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 12.0), (0.0, 12.0), (0.0, 10.0), (4.0, 8.0), (0.0, 6.0)]),)


def test_a_way_along_an_edge_and_on_through_the_inside_is_covered() -> None:
    assert covered(edges_of(STEPPED), path=np.array([(1e-7, 0.0), (1e-7, 11.9)]))


def test_a_way_along_an_edge_that_then_turns_away_is_not_covered() -> None:
    """It starts on the edge, leaves the block where the edge turns in, and comes back: it crosses no edge."""
    assert not covered(edges_of(HOLLOW), path=np.array([(0.0, 0.0), (-1e-7, 11.9)]))
    assert not covered(edges_of(HOLLOW), path=np.array([(0.0, 0.0), (0.0, 12.0)]))


def test_a_way_across_the_outside_is_not_covered() -> None:
    assert not covered(edges_of(HOLLOW), path=np.array([(0.5, 6.5), (0.5, 9.5)]))
    assert covered(edges_of(HOLLOW), path=np.array([(5.0, 1.0), (5.0, 11.0)]))
