"""Choosing on the example plates, from real cutters with real cutting data."""

import itertools
import re
from dataclasses import replace
from pathlib import Path

import pytest

from camplan.operations.alternatives import Choice
from camplan.operations.choose import Chosen, chosen
from camplan.operations.records import Part, Way
from camplan.operations.shop import FLATS
from camplan.pipeline.bench import Bench, load_bench, shop_of

NAMES = ("first", "back", "nest", "cavity", "scale")


def bench_of(examples: Path, name: str) -> Bench:
    return load_bench(examples / name / f"{name}.toml")


def picked(bench: Bench, *, without: tuple[str, ...] = ()) -> Chosen:
    shop = shop_of(bench)
    shelf = tuple(cutter for cutter in shop.cutters if cutter.name not in without)
    settings = [setting.features for setting in bench.job.settings]
    return chosen(bench.features, plate=bench.plate, shop=replace(shop, cutters=shelf), settings=settings)


def choice(found: Chosen) -> Choice:
    assert found.choice is not None
    return found.choice


@pytest.mark.parametrize("name", ["first", "back", "nest"])
def test_a_wider_cutter_more_on_the_shelf_never_makes_a_plate_slower(examples: Path, name: str) -> None:
    """The narrowest stays, so that no more is asked for; the wider ones are taken away one after another, while the
    rest can still make the plate."""
    bench = bench_of(examples, name)
    flats = sorted((cutter for cutter in bench.shelf if cutter.kind in FLATS), key=lambda one: -one.diameter)
    found = [picked(bench, without=tuple(one.name for one in flats[:count])) for count in range(len(flats))]
    totals = [choice(one).taken.total for one in found if one.choice is not None]
    assert len(totals) > 1
    assert all(more <= fewer + 1e-6 for more, fewer in itertools.pairwise(totals))


@pytest.mark.parametrize("name", NAMES)
def test_nothing_that_is_shown_takes_less_than_what_is_taken(examples: Path, name: str) -> None:
    found = choice(picked(bench_of(examples, name)))
    others = [other for other in (found.single, *found.without.values()) if other is not None]
    assert found.slack == 0.0
    assert all(found.taken.total <= other.total + 1e-6 for other in others)
    assert set(found.without) == set(found.taken.cutters)


@pytest.mark.parametrize("name", NAMES)
def test_operations_are_expected_to_take_what_was_added_up(examples: Path, name: str) -> None:
    found = picked(bench_of(examples, name))
    # cutters of edges are taken after the others and are not part of the choice
    chosen_for = [one for one in found.operations if one.part is not Part.EDGE]
    # cutters are chosen by rings; where fronts turn out quicker, less than was added up is expected
    added, expected = choice(found).taken.cutting, sum(one.expected for one in chosen_for)
    if any(one.way is not Way.RINGS for one in chosen_for):
        assert expected < added
    else:
        assert expected == pytest.approx(added)
    assert all(one.expected > 0.0 for one in found.operations)


def test_each_flat_cutter_says_what_the_plate_would_take_without_it(examples: Path) -> None:
    found = picked(bench_of(examples, "first"))
    rough = next(one for one in found.operations if one.part is Part.AREA)
    said = next(reason.sentence for reason in rough.reasons if reason.figure == "choice")
    assert re.fullmatch(
        r"slot-6: the plate takes ([0-9.]+) min with it, changes included; slot-3 alone would take ([0-9.]+) min", said
    )


def test_a_wall_is_cut_in_one_go_by_a_cutter_as_wide_as_its_corners(examples: Path) -> None:
    """The keys of the back plate have corners of 3 mm: what stands there for finishing is no work for a cutter of
    5 mm."""
    found = picked(bench_of(examples, "back"))
    keys = [one for one in found.operations if one.feature.spec.name == "keys"]
    assert {one.cutter.name for one in keys} == {"slot-6"}
    assert Part.REST not in {one.part for one in keys}


def test_cutters_named_by_a_feature_are_its_only_ones(examples: Path) -> None:
    bench = bench_of(examples, "first")
    features = tuple(
        replace(one, spec=replace(one.spec, cutters=("slot-3",))) if one.spec.name == "disc" else one
        for one in bench.features
    )
    found = picked(replace(bench, features=features))
    assert {one.cutter.name for one in found.operations if one.feature.spec.name == "disc"} == {"slot-3"}


def test_a_change_that_takes_long_makes_one_cutter_do_it_all(examples: Path) -> None:
    """With changes of ten minutes the narrow cutter clears the disc of the first plate alone; with none it does not."""
    bench = bench_of(examples, "first")
    slow = replace(bench, machine=replace(bench.machine, cutter_change=600.0))
    fast = replace(bench, machine=replace(bench.machine, cutter_change=0.0))
    assert choice(picked(slow)).taken.cutters == ("slot-3",)
    assert choice(picked(fast)).taken.cutters == ("slot-6", "slot-3")
