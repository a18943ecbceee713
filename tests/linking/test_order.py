"""Tours are no longer than 2-opt leaves them."""

import itertools

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.linking.order import short_tour


def length(places: np.ndarray, order: list[int], start: tuple[float, float]) -> float:
    path = np.vstack((np.asarray(start)[None, :], places[order]))
    return float(np.hypot(*np.diff(path, axis=0).T).sum())


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.integers(0, 40))
def test_a_tour_visits_every_place_once(seed: int, count: int) -> None:
    places = np.random.default_rng(seed).uniform(0, 100, (count, 2))
    assert sorted(short_tour(places, start=(0.0, 0.0))) == list(range(count))


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000), st.integers(4, 25))
def test_no_exchange_of_two_links_shortens_a_tour(seed: int, count: int) -> None:
    places = np.random.default_rng(seed).uniform(0, 100, (count, 2))
    order = short_tour(places, start=(0.0, 0.0))
    best = length(places, order, (0.0, 0.0))
    for i, j in itertools.combinations(range(count + 1), 2):
        other = order[:i] + order[i:j][::-1] + order[j:]
        assert length(places, other, (0.0, 0.0)) >= best - 1e-6


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 10_000))
def test_a_small_tour_is_the_shortest(seed: int) -> None:
    places = np.random.default_rng(seed).uniform(0, 100, (7, 2))
    shortest = min(length(places, list(order), (0.0, 0.0)) for order in itertools.permutations(range(7)))
    assert length(places, short_tour(places, start=(0.0, 0.0)), (0.0, 0.0)) <= 1.0 * shortest + 1e-6
