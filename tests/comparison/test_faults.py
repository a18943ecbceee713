"""Every planted fault is caught, with the program, the line and the place of the move that does it."""

import re
from types import ModuleType
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.comparison.records import Proof
from camplan.features.specs import Clamp
from camplan.findings import Finding, Severity
from camplan.geometry.chains import chain, circle
from camplan.moves.table import Kind

Rows = list[tuple[Any, ...]]


def unsafe(proof: Proof) -> list[tuple[str, str]]:
    """(code, where) of every unsafe finding."""
    return [(finding.code, finding.where) for finding in proof.findings if finding.severity is Severity.UNSAFE]


def at(line: int) -> str:
    return f"01-disc.ngc, line {line}"


def clearing(shop: ModuleType, *, levels: tuple[float, ...] = (-2.0, -4.0, -6.0)) -> Rows:
    rows: Rows = shop.cleared(shop.Tape(), shapely.box(20, 15, 60, 45), radius=3.0, levels=levels).rows
    return rows


def edited(rows: Rows, line: int, **axes: float) -> Rows:
    """One word changed in one line."""
    row = rows[line - 1]
    end = tuple(axes.get(name, value) for name, value in zip("xyz", row[1], strict=True))
    return [*rows[: line - 1], (row[0], end, *row[2:]), *rows[line:]]


def without(rows: Rows, line: int) -> Rows:
    """A line lost; the others keep their numbers."""
    return [*rows[: line - 1], *rows[line:]]


def judged(shop: ModuleType, rows: Rows, *, cutter: Any = None, **more: Any) -> Proof:
    usual = {"features": (shop.pocket(shop.rectangle(20, 15, 60, 45)),)}
    proof = shop.verdict(shop.program(shop.table(rows), cutter or shop.slot_drill(6.0)), **{**usual, **more})
    assert isinstance(proof, Proof)
    return proof


def test_the_program_without_fault_is_right(shop: ModuleType) -> None:
    assert judged(shop, clearing(shop)).passed


@pytest.mark.parametrize("deeper", [0.003, 0.05, 2.0])
def test_a_level_too_deep_is_a_gouge_of_that_depth(shop: ModuleType, deeper: float) -> None:
    rows = clearing(shop)
    line = next(row[6] for row in rows if row[1][2] == -6.0)
    proof = judged(shop, edited(rows, line, z=-6.0 - deeper))
    assert unsafe(proof) == [("gouge", at(line))]
    assert proof.gouge == pytest.approx(deeper, abs=1e-6)
    assert proof.wall_error >= proof.gouge


def test_line_and_place_of_a_gouge_belong_to_one_move(shop: ModuleType) -> None:
    """A first move leaves the pocket by 1 mm, a later one of the same connected gouge by 4 mm."""
    tape = shop.Tape()
    tape.across(57.0, 30.0)
    tape.move(57.0, 30.0, -6.0)
    first = tape.move(58.0, 30.0, -6.0)
    tape.move(57.0, 32.0, -6.0)
    second = tape.move(61.0, 32.0, -6.0)
    proof = judged(shop, tape.rows)
    found = [finding for finding in proof.findings if finding.code == "gouge"]
    assert [finding.where for finding in found] == [at(first), at(second)]
    assert ["1.000 mm into" in found[0].message, "4.000 mm into" in found[1].message] == [True, True]
    for finding, end in zip(found, ((58.0, 30.0), (61.0, 32.0)), strict=True):
        place = re.search(r"at X([\d.]+) Y([\d.]+) Z", finding.message)
        assert place is not None
        x, y = (float(figure) for figure in place.groups())
        assert np.hypot(x - end[0], y - end[1]) == pytest.approx(3.0, abs=0.01), "on the edge of the cutter there"


@given(stray=st.integers(0, 3), depth=st.sampled_from([-3.0, -6.0]), far=st.floats(0.5, 4.0))
@settings(max_examples=10, deadline=None)
def test_the_move_named_reaches_the_place_named(shop: ModuleType, stray: int, depth: float, far: float) -> None:
    """Four moves out of the pocket on one line, each farther than the one before, one of them farthest."""
    tape = shop.Tape()
    tape.across(57.0, 30.0)
    tape.move(57.0, 30.0, depth)
    ends = {}
    for number in range(4):
        x = 57.0 + (far + 1.0 if number == stray else far - 0.1 * number)
        ends[tape.move(x, 30.0 + number, depth)] = (x, 30.0 + number)
        tape.move(57.0, 30.0 + number, depth)
    proof = judged(shop, tape.rows)
    found = [finding for finding in proof.findings if finding.code == "gouge"]
    assert found
    for finding in found:
        line = int(finding.where.rsplit(" ", 1)[1])
        place = re.search(r"at X([\d.]+) Y([\d.]+) Z", finding.message)
        assert place is not None
        x, y = (float(figure) for figure in place.groups())
        way = shapely.LineString([row[1][:2] for row in tape.rows[line - 2 : line]])
        assert way.distance(shapely.Point(x, y)) <= 3.0 + 0.001


@pytest.mark.parametrize("farther", [0.004, 0.3, 5.0])
def test_a_coordinate_too_far_is_a_gouge_at_that_place(shop: ModuleType, farther: float) -> None:
    rows = clearing(shop)
    line = max(row[6] for row in rows if row[1][2] == -6.0 and row[1][0] == pytest.approx(57.0))
    proof = judged(shop, edited(rows, line, x=57.0 + farther))
    first = unsafe(proof)[0]
    assert first[0] == "gouge"
    assert first[1] in (at(line - 1), at(line))
    assert proof.gouge == pytest.approx(farther, rel=0.1)
    assert "X6" in proof.findings[0].message


def test_a_gouge_far_from_every_feature_is_caught(shop: ModuleType) -> None:
    rows = clearing(shop)
    line = next(row[6] for row in rows if row[1][2] == -4.0)
    stray = [
        *rows[:line],
        (None, (85.0, 10.0, -4.0), (np.nan, np.nan), int(Kind.LINE), 400.0, 12000.0, 999),
        *rows[line:],
    ]
    proof = judged(shop, stray)
    assert ("gouge", at(999)) in unsafe(proof)
    assert proof.gouge == pytest.approx(4.0)


def test_an_arc_turned_the_wrong_way_is_a_gouge(shop: ModuleType) -> None:
    line_of = {}
    tapes = {}
    for kind in (Kind.COUNTER_CLOCKWISE, Kind.CLOCKWISE):
        tape = shop.Tape()
        tape.across(20.0, 30.0)
        tape.move(20.0, 30.0, -2.0)
        tape.move(40.0, 30.0, -2.0)
        line_of[kind] = tape.move(50.0, 40.0, -2.0, kind=kind, centre=(40.0, 40.0))
        tape.rapid(50.0, 40.0, 5.0)
        tapes[kind] = tape
    line = chain([(20.0, 30.0), (40.0, 30.0), (50.0, 40.0)], bulges=[0.0, np.tan(np.pi / 8.0)])
    groove = shop.groove(line, width=4.0, depth=2.0)
    right, wrong = (
        shop.verdict(shop.program(tapes[kind], shop.slot_drill(4.0)), features=(groove,))
        for kind in (Kind.COUNTER_CLOCKWISE, Kind.CLOCKWISE)
    )
    assert right.passed
    assert unsafe(wrong) == [("gouge", at(line_of[Kind.CLOCKWISE]))]


def test_a_lift_left_out_sends_a_rapid_through_the_stock(shop: ModuleType) -> None:
    tape = shop.Tape()
    for x in (30.0, 60.0):
        tape.across(x, 30.0)
        tape.circle(x, 30.0, radius=1.0, z=-3.0)
    tape.rapid(61.0, 30.0, 5.0)
    pockets = tuple(shop.pocket(circle((x, 30.0), radius=4.0), depth=3.0, name=f"d{x:g}") for x in (30.0, 60.0))
    assert judged(shop, tape.rows, features=pockets).passed
    lift = next(row[6] for row in tape.rows if row[6] > 4 and row[3] == Kind.RAPID)
    proof = judged(shop, without(tape.rows, lift), features=pockets)
    # the rapid across now slants up from the floor of the first pocket
    assert ("rapid-in-stock", at(lift + 1)) in unsafe(proof)
    assert proof.rapids_in_stock == 1


def test_a_rapid_down_into_solid_material_is_caught(shop: ModuleType) -> None:
    rows = clearing(shop)
    near = next(row[6] for row in rows if row[1][2] == 0.5)
    proof = judged(shop, edited(rows, near, z=-1.0))
    assert unsafe(proof) == [("rapid-in-stock", at(near))]


def test_a_rapid_a_tenth_deeper_than_the_last_level_is_caught(shop: ModuleType) -> None:
    rows = clearing(shop)
    nears = [row[6] for row in rows if row[1][2] == 0.5]
    second = next(line for line in nears if rows[line][1][2] == -4.0)
    assert judged(shop, edited(rows, second, z=-1.9)).passed
    assert unsafe(judged(shop, edited(rows, second, z=-2.1))) == [("rapid-in-stock", at(second))]


def test_a_peck_that_returns_below_the_last_depth_is_caught(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(50.0, 30.0, near=1.0)
    tape.move(50.0, 30.0, -2.0)
    tape.rapid(50.0, 30.0, 1.0)
    back = tape.rapid(50.0, 30.0, -1.75)
    tape.move(50.0, 30.0, -4.0)
    tape.rapid(50.0, 30.0, 5.0)
    hole = shop.hole((50.0, 30.0), diameter=6.0, depth=4.0)
    assert judged(shop, tape.rows, features=(hole,)).passed
    assert unsafe(judged(shop, edited(tape.rows, back, z=-2.25), features=(hole,))) == [("rapid-in-stock", at(back))]


def test_a_cutter_blind_at_its_centre_may_not_go_straight_down(shop: ModuleType) -> None:
    rows = clearing(shop, levels=(-6.0,))
    proof = judged(shop, rows, cutter=shop.slot_drill(6.0, centre_cutting=False))
    plunges = [where for code, where in unsafe(proof) if code == "plunge"]
    assert plunges[0] == at(next(row[6] for row in rows if row[1][2] == -6.0))


def test_a_ramp_of_thirty_degrees_is_none_of_a_plunge(shop: ModuleType) -> None:
    def ramped(angle_deg: float) -> Proof:
        tape = shop.Tape()
        tape.across(30.0, 30.0)
        tape.move(30.0, 30.0, 0.0)
        tape.move(30.0 + 2.0 / np.tan(np.radians(angle_deg)), 30.0, -2.0)
        tape.move(50.0, 30.0, -2.0)
        tape.move(30.0, 30.0, -2.0)
        line = chain([(30.0, 30.0), (50.0, 30.0)])
        return judged(
            shop,
            tape.rows,
            cutter=shop.slot_drill(6.0, centre_cutting=False),
            features=(shop.groove(line, width=6.0, depth=2.0),),
        )

    assert ramped(29.0).passed
    assert unsafe(ramped(31.0)) == [("plunge", at(4))]


def test_a_narrow_helix_leaves_a_core_under_a_blind_cutter(shop: ModuleType) -> None:
    def helix(radius: float) -> Proof:
        tape = shop.Tape()
        tape.across(50.0 + radius, 30.0)
        for turn in range(1, 6):
            z = 0.5 - 0.5 * turn
            tape.move(50.0 + radius, 30.0, z, kind=Kind.COUNTER_CLOCKWISE, centre=(50.0, 30.0))
        tape.move(50.0 + radius, 30.0, -2.0, kind=Kind.COUNTER_CLOCKWISE, centre=(50.0, 30.0))
        hole = shop.hole((50.0, 30.0), diameter=6.0 + 2.0 * radius, depth=2.0)
        return judged(shop, tape.rows, cutter=shop.slot_drill(6.0, centre_cutting=False), features=(hole,))

    assert helix(1.2).passed
    assert {code for code, _ in unsafe(helix(0.6))} == {"plunge"}


def test_a_drill_moved_sideways_in_the_plate_is_caught(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(50.0, 30.0)
    tape.move(50.0, 30.0, -3.0)
    line = tape.move(52.0, 30.0, -3.0)
    proof = judged(shop, tape.rows, cutter=shop.drill(4.0), features=(shop.pocket(circle((51.0, 30.0), radius=9.0)),))
    assert ("drill-sideways", at(line)) in unsafe(proof)


@pytest.mark.parametrize("height", [15.0, 3.0])
def test_a_clamp_in_the_way_of_the_cutter_is_caught(shop: ModuleType, height: float) -> None:
    rows = clearing(shop)
    clamp = Clamp(x=59.5, y=20.0, width=10.0, length=10.0, height=height)
    proof = judged(shop, rows, clamps=(clamp,))
    assert proof.clamp_hits > 0
    touching = {int(where.rsplit(" ", 1)[1]) for code, where in unsafe(proof) if code == "clamp-hit"}
    outer = [row[6] for row in rows if row[1][0] == pytest.approx(57.0)]
    assert touching <= set(range(min(outer), max(outer) + 2))


def test_a_clamp_a_little_farther_off_is_none(shop: ModuleType) -> None:
    clamp = Clamp(x=60.01, y=20.0, width=10.0, length=10.0, height=15.0)
    assert judged(shop, clearing(shop), clamps=(clamp,)).clamp_hits == 0


def test_a_clamp_that_only_the_holder_reaches_is_caught(shop: ModuleType) -> None:
    clamp = Clamp(x=65.0, y=20.0, width=10.0, length=10.0, height=20.0)
    assert judged(shop, clearing(shop), clamps=(clamp,)).clamp_hits > 0
    assert judged(shop, clearing(shop), clamps=(clamp,), machine=shop.mill(holder_diameter=15.0)).passed


def test_a_rapid_low_over_a_clamp_is_caught(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.rapid(10.0, 50.0, 5.0)
    line = tape.rapid(90.0, 50.0, 5.0)
    clamp = Clamp(x=40.0, y=48.0, width=10.0, length=10.0, height=15.0)
    proof = judged(shop, tape.rows, features=(), clamps=(clamp,))
    assert unsafe(proof) == [("clamp-hit", at(line))]
    high = judged(shop, tape.rows, features=(), clamps=(Clamp(x=40.0, y=48.0, width=10.0, length=10.0, height=4.9),))
    assert high.passed


@pytest.mark.parametrize(
    ("axis", "travel"), [("X", (33.0, 200.0, 160.0)), ("Y", (320.0, 23.0, 160.0)), ("Z", (320.0, 200.0, 10.0))]
)
def test_programs_wider_than_the_travel_are_caught(
    shop: ModuleType, axis: str, travel: tuple[float, float, float]
) -> None:
    rows = clearing(shop)[1:]
    rows[0] = (rows[0][0], (rows[0][1][0], rows[0][1][1], 5.0), *rows[0][2:])
    rows[0] = ((rows[0][1]), *rows[0][1:])
    proof = judged(shop, rows, machine=shop.mill(travel=travel))
    assert proof.outside_travel == 1
    assert proof.findings[0].message.startswith(f"{axis} spreads over")
    assert not proof.passed


def test_flutes_shorter_than_the_cut_rub_with_the_shank(shop: ModuleType) -> None:
    rows = clearing(shop, levels=(-6.0,))
    proof = judged(shop, rows, cutter=shop.slot_drill(6.0, flute_length=4.0, reach=4.0))
    first = next(row[6] for row in rows if row[1][2] == -6.0)
    assert ("shank-in-stock", at(first)) in unsafe(proof)
    assert judged(shop, clearing(shop), cutter=shop.slot_drill(6.0, flute_length=4.0, reach=4.0)).passed


def test_one_level_skipped_ahead_rubs_though_later_levels_clear_it(shop: ModuleType) -> None:
    rows = clearing(shop, levels=(-2.0, -4.0, -6.0))
    cutter = shop.slot_drill(6.0, flute_length=3.0, reach=3.0)
    first = next(row[6] for row in rows if row[1][2] == -2.0)
    assert judged(shop, rows, cutter=cutter).passed
    proof = judged(shop, edited(rows, first, z=-6.0), cutter=cutter)
    assert ("shank-in-stock", at(first)) in unsafe(proof)


def test_a_shank_wider_than_the_cut_needs_room_below_its_reach(shop: ModuleType) -> None:
    levels = (-2.0, -4.0, -6.0)
    tape = shop.cleared(shop.Tape(), shapely.box(20, 15, 30, 25), radius=1.0, levels=levels)
    short = shop.slot_drill(2.0, flute_length=4.0, reach=5.0, shank_diameter=6.0)
    long = shop.slot_drill(2.0, flute_length=4.0, reach=6.5, shank_diameter=6.0)
    features = (shop.pocket(shop.rectangle(20, 15, 30, 25)),)
    assert judged(shop, tape.rows, cutter=long, features=features).passed
    assert "shank-in-stock" in {code for code, _ in unsafe(judged(shop, tape.rows, cutter=short, features=features))}


def test_a_holder_in_the_plate_is_caught(shop: ModuleType) -> None:
    cutter = shop.slot_drill(6.0, flute_length=5.0, reach=5.0, stick_out=5.5)
    assert "holder-in-stock" in {code for code, _ in unsafe(judged(shop, clearing(shop), cutter=cutter))}


def test_deeper_than_the_plate_and_its_grant_is_caught(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(50.0, 30.0)
    line = tape.move(50.0, 30.0, -10.3)
    hole = shop.hole((50.0, 30.0), diameter=6.0, depth=None)
    assert judged(shop, tape.rows, features=(hole,)).passed
    assert unsafe(judged(shop, edited(tape.rows, line, z=-10.31), features=(hole,))) == [("below-plate", at(line))]


def test_a_skin_cut_through_is_a_gouge(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(67.0, 30.0)
    tape.circle(50.0, 30.0, radius=17.0, z=-5.0)
    tape.circle(50.0, 30.0, radius=17.0, z=-9.8)
    part = shop.outline(circle((50.0, 30.0), radius=15.0), kerf=4.0, hold="skin", depth=9.8)
    cutter = shop.slot_drill(4.0)
    assert judged(shop, tape.rows, cutter=cutter, features=(part,)).passed
    line = len(tape.rows)
    proof = judged(shop, edited(tape.rows, line, z=-10.0), cutter=cutter, features=(part,))
    assert unsafe(proof)[0] == ("gouge", at(line))
    assert proof.gouge == pytest.approx(0.2, abs=0.002)


def test_what_the_reader_found_unsafe_fails_the_proof(shop: ModuleType) -> None:
    found = Finding(severity=Severity.UNSAFE, code="unknown-word", message="Q5 means nothing here", where="line 3")
    program = shop.program(shop.table(clearing(shop)), shop.slot_drill(6.0), findings=(found,))
    proof = shop.verdict(program, features=(shop.pocket(shop.rectangle(20, 15, 60, 45)),))
    assert not proof.passed
    assert found in proof.findings


def test_many_faults_of_one_kind_are_counted_not_listed(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    for number in range(40):
        tape.rapid(20.0 + number, 30.0, -1.0)
    proof = judged(shop, tape.rows)
    said = [finding for finding in proof.findings if finding.code == "rapid-in-stock"]
    assert proof.rapids_in_stock == 40
    assert len(said) == 21
    assert said[-1].message == "and 20 more moves like these"


@settings(max_examples=30, deadline=None)
@given(place=st.integers(0, 10_000), by=st.floats(0.006, 3.0), axis=st.sampled_from("xy"))
def test_any_corner_of_the_outermost_ring_moved_outwards_is_caught_at_its_line(
    shop: ModuleType, place: int, by: float, axis: str
) -> None:
    rows = clearing(shop)
    outer = [row[6] for row in rows if row[1][2] < 0.0 and row[3] == Kind.LINE and row[1][0] in (23.0, 57.0)]
    line = outer[place % len(outer)]
    value = rows[line - 1][1]["xy".index(axis)]
    middle = {"x": 40.0, "y": 30.0}[axis]
    moved = value + by * (1.0 if value > middle else -1.0)
    proof = judged(shop, edited(rows, line, **{axis: moved}))
    assert not proof.passed
    lines = {int(where.rsplit(" ", 1)[1]) for code, where in unsafe(proof) if code == "gouge"}
    assert lines & {line, line + 1}
    depth = min(by, -rows[line - 1][1][2])
    assert proof.gouge == pytest.approx(depth, abs=0.002 + 0.1 * depth)
