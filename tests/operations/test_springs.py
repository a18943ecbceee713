"""A wall is walked again where no lower lap does the same."""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

from camplan.catalogue import load_machine, load_material, load_shelf
from camplan.cutting.data import cutting_data
from camplan.cutting.records import CutKind
from camplan.features.records import Feature
from camplan.features.specs import PocketSpec
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import why
from camplan.operations.springs import laps, sprung_levels

NOWHERE = Path("/nowhere")
SHELF = load_shelf(None, beside=NOWHERE).cutters


def wall(*levels: float, cutter: str, draft_deg: float = 0.0, springs: int = 1, **changes: Any) -> Operation:
    spec = PocketSpec(
        name="well",
        layer="W",
        top=0.0,
        depth=-levels[-1],
        draft=math.radians(draft_deg),
        nominal="top",
        allowance=0.0,
        finish=None,
        corner=None,
        tolerance=0.02,
        cutters=(),
    )
    data = cutting_data(
        SHELF["slot-6"],
        material=load_material("aluminium-6082", beside=NOWHERE).material,
        machine=load_machine("bench-mill", beside=NOWHERE).machine,
        kind=CutKind.WALL,
        depth=5.0,
    )
    made = Operation(
        feature=Feature(spec=spec, top=0.0, bottom=-levels[-1], through=False, break_through=0.0),
        purpose=Purpose.FINISH,
        part=Part.WALL,
        cutter=SHELF[cutter],
        data=replace(data, spring_passes=springs),
        levels=levels,
        stay=0.0,
        reasons=(why("cutter", "cuts the wall"),),
    )
    return replace(made, **changes)


def test_the_last_lap_walks_an_upright_wall_again_as_far_as_the_flutes_reach() -> None:
    assert SHELF["slot-6"].flute_length == 13.0
    assert sprung_levels(wall(-3.0, -6.0, -9.0, cutter="slot-6")) == (-9.0,)
    assert laps(wall(-3.0, -6.0, -9.0, cutter="slot-6", springs=2)) == 5


def test_what_lies_above_the_flutes_is_walked_again_by_itself() -> None:
    deep = wall(-3.0, -6.0, -9.0, -12.0, -15.0, cutter="slot-6")
    assert sprung_levels(deep) == (-3.0, -15.0)


def test_a_taper_on_a_wall_of_its_own_angle_is_one_side() -> None:
    taper = next(one for one in SHELF.values() if one.half_angle is not None and one.half_angle > 0.0)
    angle = math.degrees(taper.half_angle or 0.0)
    assert sprung_levels(wall(-1.0, -2.0, -3.0, cutter=taper.name, draft_deg=angle)) == (-3.0,)


def test_steps_on_a_leaning_wall_are_walls_of_their_own() -> None:
    steps = wall(-1.0, -2.0, -3.0, cutter="slot-6", draft_deg=2.0)
    assert sprung_levels(steps) == (-1.0, -2.0, -3.0)


def test_a_bore_is_such_a_wall_and_anything_else_is_not() -> None:
    assert sprung_levels(wall(-3.0, -6.0, cutter="slot-6", part=Part.BORED)) == (-6.0,)
    assert sprung_levels(wall(-3.0, -6.0, cutter="slot-6", part=Part.REST)) == (-3.0, -6.0)


def test_without_a_spring_pass_none_is_walked_again() -> None:
    assert sprung_levels(wall(-3.0, -6.0, cutter="slot-6", springs=0)) == ()
    assert laps(wall(-3.0, -6.0, cutter="slot-6", springs=0)) == 2
