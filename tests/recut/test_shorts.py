"""Of which wall the error of a width is, worked out by hand."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from camplan.features.records import Feature
from camplan.features.specs import PocketSpec
from camplan.geometry.chains import chain
from camplan.recut.asked import Along, Asked
from camplan.recut.history import History, Reading, Skimmed
from camplan.recut.shorts import own_of
from camplan.recut.sides import Side, Sides
from camplan.recut.walls import Walls
from camplan.regions import Region

FIRST = 0.014
ISLAND = (10.0, 8.0)


def pocket() -> Walls:
    """30 x 20, with an island from X 8 to 12 and Y 6 to 10."""
    outer = chain([(0, 0), (30, 0), (30, 20), (0, 20)], closed=True)
    island = chain([(8, 6), (8, 10), (12, 10), (12, 6)], closed=True)
    spec = PocketSpec(
        name="pocket",
        layer="POCKET",
        top=0.0,
        depth=3.0,
        draft=0.0,
        nominal="top",
        allowance=0.15,
        finish=None,
        corner=None,
        tolerance=0.02,
        cutters=(),
    )
    region = Region(outer=outer, islands=(island,))
    feature = Feature(spec=spec, top=0.0, bottom=3.0, through=False, break_through=0.0, regions=(region,))
    return Walls(feature=feature, numbers=(1,), grow=Sides(), islands=Sides(), deeper=0.0, skim=0)


def skim(number: int, *, walls: Sequence[Side] = (), island_walls: Sequence[Side] = ()) -> Skimmed:
    return Skimmed(
        number=number,
        feature="pocket",
        regions=(1,),
        grow=Sides(),
        islands=Sides(),
        deeper=0.0,
        bends=0.001 * number,
        programs=(),
        walls=tuple(walls),
        island_walls=tuple(island_walls),
    )


def reading(*, short: float, cut: int, walls: Sequence[Side], wall: Side | None = None) -> Reading:
    return Reading(
        line=0,
        plan="p",
        feature="pocket",
        regions=(1,),
        along="x" if wall is None else "wall",
        at=None,
        at_depth=None,
        skim=cut,
        mean=0.0,
        half_width=0.002,
        wanted=30.0,
        programmed=30.0,
        cutter="slot-6",
        material="brass",
        short=short,
        error=0.003,
        bends=0.0,
        cut=cut,
        walls=tuple(walls),
        wall=wall,
    )


def history(*told: Skimmed | Reading) -> History:
    readings = tuple(one for one in told if isinstance(one, Reading))
    skims = tuple(one for one in told if isinstance(one, Skimmed))
    return History(skims=skims, readings=readings, all_readings=readings, plan="p", known_plan=True, findings=())


X = Asked(along=Along.X)
LEFT, RIGHT = Side.LEFT, Side.RIGHT
BOTH = (LEFT, RIGHT)


def test_walls_that_one_program_cut_share_an_error() -> None:
    found = own_of(0.04, error=0.002, asked=X, walls=pocket(), history=history(), first=FIRST)
    assert (found.short, found.error, found.bends) == (0.02, 0.001, FIRST)
    assert (found.walls, found.cut, found.last) == (BOTH, 0, 0)
    found = own_of(0.04, error=0.002, asked=X, walls=pocket(), history=history(skim(3, walls=BOTH)), first=FIRST)
    assert (found.short, found.bends, found.cut) == (0.02, 0.003, 3)


def test_of_a_wall_that_was_cut_alone_the_other_ones_error_is_not() -> None:
    """Both stood 10 um short; 45 um are lacking now, so the wall that was cut since stands 35 um short."""
    told = history(reading(short=0.01, cut=0, walls=BOTH), skim(1, walls=[RIGHT]))
    found = own_of(0.045, error=0.004, asked=X, walls=pocket(), history=told, first=FIRST)
    assert found.short == pytest.approx(0.035)
    assert found.error == pytest.approx(0.005)
    assert (found.bends, found.walls, found.cut, found.last) == (0.001, (RIGHT,), 1, 1)


def test_three_skims_of_one_wall_after_another_are_told_apart() -> None:
    """Left by skim 1, right by skim 2, and left again by skim 3: each time the one that was just cut."""
    told: list[Skimmed | Reading] = [reading(short=0.01, cut=0, walls=BOTH), skim(1, walls=[LEFT])]
    first = own_of(0.05, error=0.0, asked=X, walls=pocket(), history=history(*told), first=FIRST)
    assert (first.short, first.walls) == (pytest.approx(0.04), (LEFT,))
    told += [reading(short=first.short, cut=1, walls=first.walls), skim(2, walls=[RIGHT])]
    second = own_of(0.07, error=0.0, asked=X, walls=pocket(), history=history(*told), first=FIRST)
    assert (second.short, second.walls) == (pytest.approx(0.03), (RIGHT,))
    told += [reading(short=second.short, cut=2, walls=second.walls), skim(3, walls=[LEFT])]
    third = own_of(0.05, error=0.0, asked=X, walls=pocket(), history=history(*told), first=FIRST)
    assert (third.short, third.walls, third.cut) == (pytest.approx(0.02), (LEFT,), 3)


def test_what_cannot_be_told_apart_teaches_nothing() -> None:
    """Nothing says how far the wall stood that was not cut: both are taken for alike, as after the first cut."""
    told = history(skim(1, walls=[RIGHT]))
    found = own_of(0.04, error=0.002, asked=X, walls=pocket(), history=told, first=FIRST)
    assert (found.short, found.bends, found.walls, found.cut, found.last) == (0.02, FIRST, BOTH, 0, 1)


def test_a_wall_that_was_measured_by_itself_says_what_stands() -> None:
    told = history(reading(short=0.03, cut=0, walls=[LEFT], wall=LEFT), skim(1, walls=[RIGHT]))
    found = own_of(0.04, error=0.0, asked=X, walls=pocket(), history=told, first=FIRST)
    assert (found.short, found.walls) == (pytest.approx(0.01), (RIGHT,))
    alone = Asked(along=Along.WALL, wall=RIGHT)
    found = own_of(0.02, error=0.001, asked=alone, walls=pocket(), history=told, first=FIRST)
    assert (found.short, found.error, found.walls, found.cut) == (0.02, 0.001, (RIGHT,), 1)
    # the island's left wall is not the pocket's
    place = replace(reading(short=0.03, cut=0, walls=[LEFT], wall=LEFT), at=ISLAND)
    found = own_of(
        0.04, error=0.0, asked=X, walls=pocket(), history=history(place, skim(1, walls=[RIGHT])), first=FIRST
    )
    assert found.cut == 0


def test_a_width_beside_an_island_ends_at_the_islands_wall() -> None:
    """Between X 0 and the island's left wall: a skim of that one is of this width, one of the pocket's right is not."""
    gap = Asked(along=Along.X, at=(4.0, 8.0))
    before = replace(reading(short=0.01, cut=0, walls=BOTH), at=gap.at)
    told = history(before, skim(1, island_walls=[LEFT]))
    found = own_of(0.05, error=0.0, asked=gap, walls=pocket(), history=told, first=FIRST)
    assert (found.short, found.walls, found.cut) == (pytest.approx(0.04), (RIGHT,), 1)
    told = history(before, skim(1, walls=[RIGHT], island_walls=[RIGHT]))
    found = own_of(0.02, error=0.0, asked=gap, walls=pocket(), history=told, first=FIRST)
    assert (found.short, found.walls, found.cut, found.last) == (0.01, BOTH, 0, 0)


def test_walls_that_face_another_way_are_still_as_the_first_cut_left_them() -> None:
    along_y = Asked(along=Along.Y)
    found = own_of(0.04, error=0.0, asked=along_y, walls=pocket(), history=history(skim(1, walls=BOTH)), first=FIRST)
    assert (found.short, found.bends, found.cut) == (0.02, FIRST, 0)


def test_a_floor_has_all_of_its_error() -> None:
    walls = replace(pocket(), skim=2)
    found = own_of(0.05, error=0.01, asked=Asked(along=Along.DEPTH), walls=walls, history=history(), first=FIRST)
    assert (found.short, found.error, found.bends, found.cut) == (0.05, 0.01, 0.0, 2)
