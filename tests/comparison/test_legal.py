"""Programs that are right give no unsafe finding, nothing left uncut, and walls within the proof's grant."""

import math
from types import ModuleType
from typing import Any

import numpy as np
import pytest
import shapely

from camplan import tolerance
from camplan.catalogue.shape import profile
from camplan.comparison.records import Proof
from camplan.features.records import Feature
from camplan.features.specs import FaceSpec, MarkSpec
from camplan.geometry.chains import chain, circle
from camplan.moves.table import Kind
from camplan.regions import Region


def clean(proof: Proof) -> bool:
    return proof.passed and not proof.findings and proof.gouge <= tolerance.GOUGE


def bored(
    shop: ModuleType, tape: Any, *, at: tuple[float, float], radius: float, bottom: float, pitch: float = 0.5
) -> None:
    """Down by a helix, one level turn, off the wall."""
    x, y = at
    tape.across(x + radius, y)
    turns = math.ceil((0.5 - bottom) / pitch)
    for turn in range(1, turns + 1):
        z = round(0.5 + (bottom - 0.5) * turn / turns, 4)
        tape.move(x + radius, y, z, kind=Kind.COUNTER_CLOCKWISE, centre=at)
    tape.move(x + radius, y, bottom, kind=Kind.COUNTER_CLOCKWISE, centre=at)
    tape.move(x, y, bottom)
    tape.rapid(x, y, shop.SAFE)


def pecked(shop: ModuleType, tape: Any, *, at: tuple[float, float], bottom: float, peck: float) -> None:
    """A pecking cycle: each time out to the plane, fast back to 0.25 mm above the last depth, and on."""
    x, y = at
    tape.across(x, y, near=1.0)
    depth = 1.0
    while depth > bottom:
        if depth < 1.0:
            tape.rapid(x, y, round(depth + 0.25, 4))
        depth = max(depth - peck, bottom)
        tape.move(x, y, depth)
        tape.rapid(x, y, 1.0)
    tape.rapid(x, y, shop.SAFE)


def test_a_square_pocket_keeps_its_corners_and_nothing_else(shop: ModuleType) -> None:
    tape = shop.cleared(shop.Tape(), shapely.box(20, 15, 60, 45), radius=3.0, levels=(-2.0, -4.0, -6.0))
    proof = shop.verdict(
        shop.program(tape, shop.slot_drill(6.0)), features=(shop.pocket(shop.rectangle(20, 15, 60, 45)),)
    )
    assert clean(proof)
    assert proof.wall_error <= tolerance.WALL_PROOF
    assert {round(section.z, 3) for section in proof.sections} >= {-0.002, -5.995, -6.002, -9.995}


def test_a_pocket_with_an_island_leaves_the_island(shop: ModuleType) -> None:
    island = circle((40.0, 30.0), radius=5.0, clockwise=True)
    region = shapely.box(20, 15, 60, 45).difference(shapely.Point(40, 30).buffer(5.0, quad_segs=256))
    tape = shop.cleared(shop.Tape(), region, radius=2.0, levels=(-3.0, -6.0))
    proof = shop.verdict(
        shop.program(tape, shop.slot_drill(4.0)),
        features=(shop.pocket(shop.rectangle(20, 15, 60, 45), islands=(island,)),),
    )
    assert clean(proof)


def test_a_bored_hole_is_round_and_legal(shop: ModuleType) -> None:
    tape = shop.Tape()
    bored(shop, tape, at=(50.0, 30.0), radius=3.0, bottom=-8.0)
    proof = shop.verdict(shop.program(tape, shop.slot_drill(6.0)), features=(shop.hole((50.0, 30.0), diameter=12.0),))
    assert clean(proof)
    assert proof.leftovers == ()
    assert proof.wall_error < 0.001


def test_a_helix_is_no_plunge_for_a_cutter_that_does_not_cut_at_its_centre(shop: ModuleType) -> None:
    tape = shop.Tape()
    bored(shop, tape, at=(50.0, 30.0), radius=3.0, bottom=-8.0)
    cutter = shop.slot_drill(6.0, centre_cutting=False)
    assert clean(shop.verdict(shop.program(tape, cutter), features=(shop.hole((50.0, 30.0), diameter=12.0),)))


def test_a_pecked_hole_is_legal_with_the_cone_of_its_drill(shop: ModuleType) -> None:
    tape = shop.Tape()
    cutter = shop.drill(4.2)
    cone = 2.1 / math.tan(math.radians(59.0))
    pecked(shop, tape, at=(50.0, 30.0), bottom=-6.0 - cone, peck=1.5)
    feature = shop.hole((50.0, 30.0), diameter=4.2, depth=6.0, point_angle=cutter.point_angle)
    assert clean(shop.verdict(shop.program(np_rounded(tape, shop), cutter), features=(feature,)))


def test_a_hole_drilled_through_is_legal(shop: ModuleType) -> None:
    tape = shop.Tape()
    cutter = shop.drill(4.2)
    cone = 2.1 / math.tan(math.radians(59.0))
    pecked(shop, tape, at=(50.0, 30.0), bottom=-10.3 - cone, peck=2.0)
    feature = shop.hole((50.0, 30.0), diameter=4.2, depth=None, point_angle=cutter.point_angle)
    assert clean(shop.verdict(shop.program(np_rounded(tape, shop), cutter), features=(feature,)))


def np_rounded(tape: Any, shop: ModuleType) -> Any:
    """Heights as a program's text would give them, in whole micrometres."""
    tape.rows = [(row[0], tuple(round(float(value), 3) for value in row[1]), *row[2:]) for row in tape.rows]
    return tape


def test_a_hole_reamed_after_drilling_is_legal(shop: ModuleType) -> None:
    first, second = shop.Tape(), shop.Tape()
    cutter = shop.drill(3.9)
    pecked(shop, first, at=(50.0, 30.0), bottom=-12.0, peck=3.0)
    second.across(50.0, 30.0)
    second.move(50.0, 30.0, -10.5)
    second.move(50.0, 30.0, 1.0)
    reamer = shop.slot_drill(
        4.0,
        name="ream-4",
        kind="reamer",
        centre_cutting=False,
        flute_length=20.0,
        reach=25.0,
        shank_diameter=4.0,
        stick_out=30.0,
    )
    reamer = shop.dataclasses.replace(reamer, kind=shop.CutterKind.REAMER)
    feature = shop.hole((50.0, 30.0), diameter=4.0, depth=None, point_angle=cutter.point_angle)
    feature = shop.dataclasses.replace(feature, break_through=2.0)
    proof = shop.verdict(
        shop.program(first, cutter), shop.program(second, reamer, file="02-ream.ngc"), features=(feature,)
    )
    assert clean(proof)


def test_a_square_groove_as_wide_as_its_cutter_is_legal(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    for z, x in ((-1.5, 60.0), (-3.0, 20.0)):
        tape.move(tape.at[0], 30.0, z)
        tape.move(x, 30.0, z)
    proof = shop.verdict(
        shop.program(tape, shop.slot_drill(4.0)),
        features=(shop.groove(chain([(20.0, 30.0), (60.0, 30.0)]), width=4.0, depth=3.0),),
    )
    assert clean(proof)
    assert proof.leftovers == ()


@pytest.mark.parametrize("depth", [1.5, 3.0])
def test_a_round_groove_cut_by_a_ball_is_legal(shop: ModuleType, depth: float) -> None:
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(20.0, 30.0, -depth)
    tape.move(60.0, 30.0, -depth)
    proof = shop.verdict(
        shop.program(tape, shop.ball(4.0)),
        features=(shop.groove(chain([(20.0, 30.0), (60.0, 30.0)]), width=4.0, depth=depth, section="round"),),
    )
    assert clean(proof)
    assert proof.wall_error < tolerance.WALL_PROOF


def drafted(shop: ModuleType, *, slip: float = 0.0) -> tuple[Any, Feature, Any]:
    """A round pocket with draft: cleared by a flat cutter in steps inside, finished by a taper of the wall's angle."""
    angle = math.radians(5.0)
    feature = shop.pocket(circle((50.0, 30.0), radius=12.0), draft=angle, depth=5.0)
    cutter = shop.taper(3.0, half_angle_deg=5.0)
    tape = shop.Tape()
    for radius in (1.0, 3.0, 5.0, 7.0, 9.0, 10.5 + slip):
        tape.across(50.0 + radius, 30.0)
        tape.circle(50.0, 30.0, radius=radius, z=-5.0)
    tape.rapid(tape.at[0], 30.0, 5.0)
    return tape, feature, cutter


def test_a_wall_with_draft_cut_by_a_taper_is_legal(shop: ModuleType) -> None:
    tape, feature, cutter = drafted(shop)
    proof = shop.verdict(shop.program(tape, cutter), features=(feature,))
    assert clean(proof)
    assert proof.wall_error < tolerance.WALL_PROOF


def test_a_wall_with_draft_tells_a_hundredth_too_much(shop: ModuleType) -> None:
    tape, feature, cutter = drafted(shop, slip=0.01)
    proof = shop.verdict(shop.program(tape, cutter), features=(feature,))
    assert not proof.passed
    assert proof.gouge == pytest.approx(0.01, abs=0.001)


def test_a_mark_is_as_its_engraver_leaves_it(shop: ModuleType) -> None:
    cutter = shop.slot_drill(
        3.0, name="engrave-60", tip_diameter=0.1, point_angle=math.radians(60.0), kind=shop.CutterKind.ENGRAVER
    )
    spec = MarkSpec(name="marks", layer="MARKS", top=0.0, depth=0.2, width=None, cross=4.0, cutters=())
    feature = shop.feature(spec, lines=(chain([(20.0, 30.0), (30.0, 40.0)]),), profile=profile(cutter, steps=32))
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(20.0, 30.0, -0.2)
    tape.move(30.0, 40.0, -0.2)
    tape.rapid(30.0, 40.0, 5.0)
    proof = shop.verdict(shop.program(tape, cutter), features=(feature,))
    assert clean(proof)
    assert proof.leftovers == ()


def test_a_face_may_run_out_over_the_edge(shop: ModuleType) -> None:
    spec = FaceSpec(name="top", layer=None, depth=0.5, cutters=())
    feature = shop.feature(spec, regions=(Region(outer=shop.rectangle(-10.0, -10.0, 110.0, 70.0)),))
    tape = shop.Tape()
    tape.across(-8.0, 0.0)
    x = -8.0
    tape.move(x, 0.0, -0.5)
    for y in range(0, 65, 5):
        tape.move(tape.at[0], float(y), -0.5)
        x = 108.0 if x < 0.0 else -8.0
        tape.move(x, float(y), -0.5)
    proof = shop.verdict(shop.program(tape, shop.slot_drill(8.0)), features=(feature,))
    assert clean(proof)
    assert proof.leftovers == ()


def parted(shop: ModuleType, *, lift: bool) -> tuple[Any, Feature]:
    """A disc parted from the plate with two bridges that stand 1.5 mm high; ``lift``: whether they are spared."""
    bridges = tuple(Region(outer=shop.rectangle(x0, 28.0, x0 + 8.0, 32.0)) for x0 in (29.0, 63.0))
    feature = shop.outline(circle((50.0, 30.0), radius=15.0), kerf=4.0, hold="bridges", bridges_standing=bridges)
    tape = shop.Tape()
    tape.across(67.0, 30.0)
    for z in (-3.0, -6.0, -8.5):
        tape.circle(50.0, 30.0, radius=17.0, z=z)
    half = math.asin(4.05 / 17.0)
    ends = [50.0 + 17.0 * math.cos(half), 50.0 - 17.0 * math.cos(half)]
    for side in (1.0, -1.0):
        start, end = (ends[0], 30.0 + side * 4.05), (ends[1], 30.0 + side * 4.05)
        tape.rapid(tape.at[0], tape.at[1], 5.0)
        tape.rapid(*start, 5.0)
        tape.rapid(*start, -8.0)
        tape.move(*start, -10.3)
        kind = Kind.COUNTER_CLOCKWISE if side > 0 else Kind.CLOCKWISE
        tape.move(*end, -10.3, kind=kind, centre=(50.0, 30.0))
    if not lift:
        tape.move(ends[1], 30.0 + 4.05, -10.3, kind=Kind.CLOCKWISE, centre=(50.0, 30.0))
    tape.rapid(tape.at[0], tape.at[1], 5.0)
    return tape, feature


def test_a_parted_disc_stands_on_its_bridges(shop: ModuleType) -> None:
    tape, feature = parted(shop, lift=True)
    cutter = shop.slot_drill(4.0, flute_length=14.0, reach=14.0)
    proof = shop.verdict(shop.program(tape, cutter), features=(feature,))
    assert clean(proof)
    assert {left.cause for left in proof.leftovers} == {"beside a bridge"}
    assert len(proof.leftovers) == 4


def test_a_bridge_cut_away_is_a_gouge(shop: ModuleType) -> None:
    tape, feature = parted(shop, lift=False)
    cutter = shop.slot_drill(4.0, flute_length=14.0, reach=14.0)
    proof = shop.verdict(shop.program(tape, cutter), features=(feature,))
    assert [finding.code for finding in proof.findings if finding.severity == "unsafe"] == ["gouge"]
    assert proof.findings[0].where == f"01-disc.ngc, line {len(tape.rows) - 1}"


def test_a_small_cutter_after_a_large_one_leaves_only_its_own_corners(shop: ModuleType) -> None:
    first = shop.cleared(shop.Tape(), shapely.box(20, 15, 60, 45), radius=3.0, levels=(-3.0, -6.0))
    second = shop.Tape()
    ring = [(21.0, 16.0), (59.0, 16.0), (59.0, 44.0), (21.0, 44.0)]
    second.across(40.0, 30.0)
    for z in (-1.0, -2.0, -3.0, -4.0, -5.0, -6.0):
        second.move(40.0, 30.0, z)
        second.move(*ring[0], z)
        for point in (*ring[1:], ring[0]):
            second.move(*point, z)
    programs = (
        shop.program(first, shop.slot_drill(6.0)),
        shop.program(second, shop.slot_drill(2.0), file="02-corners.ngc"),
    )
    proof = shop.verdict(*programs, features=(shop.pocket(shop.rectangle(20, 15, 60, 45)),))
    assert clean(proof)
    assert proof.left_area == pytest.approx(4.0 * (1.0 - math.pi / 4.0), abs=0.003)


def test_an_allowance_is_left_and_not_missed(shop: ModuleType) -> None:
    tape = shop.cleared(shop.Tape(), shapely.box(20.15, 15.15, 59.85, 44.85), radius=3.0, levels=(-3.0, -6.0))
    feature = shop.pocket(shop.rectangle(20, 15, 60, 45), allowance=0.15)
    proof = shop.verdict(shop.program(tape, shop.slot_drill(6.0)), features=(feature,))
    assert clean(proof)
    assert proof.left_area == pytest.approx(4.0 * 9.0 * (1.0 - math.pi / 4.0), abs=0.03)


def test_a_neck_goes_down_level_by_level_beside_a_deep_wall(shop: ModuleType) -> None:
    levels = tuple(-float(level) for level in range(1, 9))
    tape = shop.cleared(shop.Tape(), shapely.box(20, 15, 40, 35), radius=1.0, levels=levels)
    cutter = shop.slot_drill(2.0, flute_length=3.0, reach=10.0, neck_diameter=1.9, shank_diameter=6.0)
    feature = shop.pocket(shop.rectangle(20, 15, 40, 35), depth=8.0)
    assert clean(shop.verdict(shop.program(tape, cutter), features=(feature,)))


def test_a_program_may_change_its_cutter(shop: ModuleType) -> None:
    tape = shop.Tape()
    bored(shop, tape, at=(30.0, 30.0), radius=3.0, bottom=-8.0)
    rows = len(tape.rows)
    bored(shop, tape, at=(60.0, 30.0), radius=3.0, bottom=-8.0)
    features = (
        shop.hole((30.0, 30.0), diameter=12.0),
        shop.dataclasses.replace(shop.hole((60.0, 30.0), diameter=10.0)),
    )
    small = shop.slot_drill(4.0)
    program = shop.program(tape, shop.slot_drill(6.0), changes=((rows, small),))
    proof = shop.verdict(program, features=features, shelf=(shop.slot_drill(6.0), small))
    assert proof.passed
    assert proof.gouge < 0.001


def test_the_same_programs_give_the_same_proof(shop: ModuleType) -> None:
    tape = shop.cleared(shop.Tape(), shapely.box(20, 15, 60, 45), radius=3.0, levels=(-3.0, -6.5))
    feature = shop.pocket(shop.rectangle(20, 15, 60, 45))
    first, second = (shop.verdict(shop.program(tape, shop.slot_drill(6.0)), features=(feature,)) for _ in range(2))
    assert first == second


def test_arrays_of_no_motion_prove_nothing_cut(shop: ModuleType) -> None:
    proof = shop.verdict(
        shop.program(shop.table([]), shop.slot_drill(6.0)), features=(shop.pocket(shop.rectangle(20, 15, 60, 45)),)
    )
    assert proof.passed
    assert [finding.code for finding in proof.findings] == ["left-uncut"]
    assert np.isfinite(proof.wall_error)
