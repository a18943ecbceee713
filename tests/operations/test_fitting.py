"""How holes with a fit and those of threads are made of what is on the shelf."""

import dataclasses
import math
from pathlib import Path

import pytest

from camplan.catalogue import load_machine, load_material, load_shelf
from camplan.catalogue.records import CutterKind
from camplan.catalogue.standards import load_standards
from camplan.features.holds import Fit, Gauge, Holds, Magnet, Screw, Thread
from camplan.features.records import Feature, Plate
from camplan.features.specs import HoleSpec
from camplan.geometry.chains import chain
from camplan.operations.candidates import tasks
from camplan.operations.chamfers import unchamfered
from camplan.operations.holes import hole_operations, unmade
from camplan.operations.records import Operation, Part
from camplan.operations.sequence import batches
from camplan.operations.shop import Shop, furnished
from camplan.regions import Region

NOWHERE = Path("nowhere")
STANDARDS = load_standards(beside=NOWHERE)
SHELF = load_shelf(None, beside=NOWHERE).cutters
MATERIAL = load_material("aluminium-6082", beside=NOWHERE).material
H7 = Fit(fit=STANDARDS.holes["H7"])
M5 = Thread(size=STANDARDS.threads["M5"], depth=None)


def shop(*names: str, mill: str = "rigid-mill") -> Shop:
    machine = load_machine(mill, beside=NOWHERE).machine
    return furnished(tuple(SHELF[name] for name in names), material=MATERIAL, machine=machine)


def hole(holds: Holds, *, diameter: float, depth: float | None = None, spot: bool = True, **more: object) -> Feature:
    spec = HoleSpec(
        name="pins",
        layer="P",
        top=0.0,
        depth=depth,
        diameter=None,
        spot=spot,
        tolerance=0.003 if isinstance(holds, Fit) else 0.02,
        cutters=(),
        holds=holds,
    )
    return Feature(
        spec=spec,
        top=0.0,
        bottom=10.0 if depth is None else depth,
        through=depth is None,
        break_through=0.3 if depth is None else 0.0,
        circles=((10.0, 10.0, diameter),),
        **more,  # type: ignore[arg-type]
    )


def pin(nominal: float, *, depth: float | None = None) -> Feature:
    limits = H7.fit.limits(nominal)
    assert limits is not None
    aim = round(nominal + limits.middle, 6)
    most = nominal + limits.upper
    gauge = Gauge(name="H7", nominal=nominal, least=nominal, most=most, aim=aim, source="ISO-286-2, confirmed")
    return hole(H7, diameter=aim, depth=depth, gauges=(gauge,))


def made(feature: Feature, *, by: Shop) -> tuple[Feature, list[Operation]]:
    assert isinstance(feature.spec, HoleSpec)
    shaped, found = hole_operations(feature, spec=feature.spec, shop=by)
    return shaped, list(found)


def parts(operations: list[Operation]) -> list[tuple[Part, str]]:
    return [(one.part, one.cutter.name) for one in operations]


def test_a_reamer_of_the_size_follows_a_drill_and_its_lead_goes_past_the_underside() -> None:
    bench = shop("spot-90-6", "drill-5.8", "ream-6-h7", "slot-4")
    shaped, found = made(pin(6.0), by=bench)
    assert parts(found) == [(Part.SPOT, "spot-90-6"), (Part.DRILLED, "drill-5.8"), (Part.REAMED, "ream-6-h7")]
    lead = (6.006 - 5.406) / 2.0
    assert found[-1].levels == (pytest.approx(-(10.3 + lead)),)
    assert shaped.point_angle is not None


@pytest.mark.parametrize(
    ("nominal", "depth", "names"),
    [
        (6.0, 8.0, ("drill-5.8", "ream-6-h7", "slot-4")),  # blind: the lead leaves no straight wall at the floor
        (6.0, None, ("drill-5.0", "ream-6-h7", "slot-4")),  # no drill just under the size
        (5.0, None, ("drill-4.9", "ream-6-h7", "slot-4")),  # another size
    ],
)
def test_where_no_reamer_can_do_it_the_hole_is_bored(
    nominal: float, depth: float | None, names: tuple[str, ...]
) -> None:
    _, found = made(pin(nominal, depth=depth), by=shop(*names))
    assert [part for part, _ in parts(found)][-2:] == [Part.BORED, Part.BORED]
    assert found[-1].data.spring_passes >= 1
    assert found[-1].stay == 0.0


def test_a_drill_of_the_nominal_size_gives_no_fit() -> None:
    feature = pin(6.0)
    assert isinstance(feature.spec, HoleSpec)
    bench = shop("drill-6.0")
    assert made(feature, by=bench)[1] == []
    (size,) = unmade(feature, spec=feature.spec, shop=bench)
    assert "no flat cutter is narrow and long enough to bore it" in size.message
    assert "a drill of" not in size.accepted


def test_a_drill_before_boring_stops_above_a_floor_and_goes_through_without_one() -> None:
    blind = made(pin(6.0, depth=8.0), by=shop("drill-5.0", "slot-4"))[1]
    through = made(pin(6.0), by=shop("drill-5.0", "slot-4"))[1]
    point = 2.5 / math.tan(math.radians(118.0) / 2.0)
    assert (blind[0].cutter.name, blind[0].levels) == ("drill-5.0", (pytest.approx(-7.8),))
    assert through[0].levels == (pytest.approx(-(10.3 + point)),)


def test_a_fit_that_the_mill_may_miss_is_told_of_and_one_that_it_holds_is_not() -> None:
    feature = pin(10.0, depth=5.0)  # 15 um (ISO 286-2): 3.75 um a wall
    sure = made(feature, by=shop("slot-6", mill="rigid-mill"))[1]
    unsure = made(feature, by=shop("slot-6", mill="belt-mill"))[1]
    assert [finding.code for one in sure for finding in one.data.findings if "fit" in finding.code] == []
    (told,) = [finding for one in unsure for finding in one.data.findings if finding.code == "fit-not-sure"]
    assert "3.8 um are allowed" in told.message
    assert all(finding.code != "tolerance-not-held" for one in unsure for finding in one.data.findings)


def test_a_spot_over_a_flat_floor_ends_above_it() -> None:
    """A right-angled point as deep as half its width (plane geometry)."""
    (spot, *_) = made(pin(12.0, depth=3.0), by=shop("spot-90-10-hss", "drill-8.5", "slot-6"))[1]
    assert spot.part is Part.SPOT
    assert spot.levels == (pytest.approx(-2.8),)


def test_holes_of_two_sizes_share_the_programs_of_their_cutters() -> None:
    small, wide = pin(5.0), pin(8.0)
    feature = dataclasses.replace(
        small, circles=(*small.circles, (30.0, 10.0, wide.circles[0][2])), gauges=(*small.gauges, *wide.gauges)
    )
    _, found = made(feature, by=shop("spot-90-10-hss", "drill-4.5", "drill-6.8", "slot-4", "slot-6"))
    order = [batch.cutter for batch in batches(found)]
    assert len(order) == len(set(order))
    assert order[0] == "spot-90-10-hss"
    assert order.index("drill-4.5") < order.index("slot-4")
    assert order.index("drill-6.8") < order.index("slot-6")


def test_a_magnets_socket_is_never_drilled() -> None:
    feature = hole(Magnet(way="press", gap=-0.02), diameter=8.0, depth=3.0)
    shaped, found = made(feature, by=shop("drill-8.0", "slot-5"))
    assert {part for part, _ in parts(found)} == {Part.BORED}
    assert shaped.flat == (8.0,)


def test_a_sunk_head_is_bored_flat_to_its_own_depth_and_the_hole_under_it_drilled() -> None:
    screw = Screw(size=STANDARDS.screws["M5"], series="medium", head=5.4)
    base = hole(screw, diameter=5.5, sunk=((10.0, 5.4),))
    feature = Feature(
        spec=base.spec,
        top=0.0,
        bottom=10.0,
        through=True,
        break_through=0.3,
        circles=((10.0, 10.0, 5.5), (10.0, 10.0, 10.0)),
        sunk=base.sunk,
    )
    _, found = made(feature, by=shop("drill-5.5", "drill-10.0", "slot-6"))
    assert [part for part, _ in parts(found)] == [Part.DRILLED, Part.BORED, Part.BORED]
    assert found[1].levels == (-5.4,)
    assert [batch.cutter for batch in batches(found)] == ["drill-5.5", "slot-6"]
    assert found[2].levels[-1] == -5.4
    assert any("ISO-4762" in reason.source for reason in found[2].reasons)


def test_a_thread_is_spotted_as_wide_as_its_chamfer() -> None:
    shaped, found = made(hole(M5, diameter=4.2), by=shop("spot-90-6", "drill-4.2"))
    assert shaped.mouth is not None
    assert shaped.mouth.diameter == pytest.approx(5.25)
    assert found[0].part is Part.SPOT
    assert found[0].levels == (pytest.approx(-5.25 / 2.0),)
    assert any("between" not in reason.sentence and "4.134 to 4.334" in reason.sentence for reason in found[1].reasons)
    assert unchamfered(shaped) == ()


def test_in_a_pocket_the_narrowest_spotting_drill_that_does_it_is_taken() -> None:
    bench = shop("spot-90-3", "spot-90-6", "spot-90-10-hss", "drill-4.2")
    for top, name in ((0.0, "spot-90-10-hss"), (4.0, "spot-90-6")):
        feature = dataclasses.replace(hole(M5, diameter=4.2), top=top)
        assert made(feature, by=bench)[1][0].cutter.name == name


def test_a_cutter_that_is_sure_to_hold_a_fit_goes_before_a_faster_one() -> None:
    feature = pin(10.0, depth=5.0)
    region = Region(outer=chain([(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)], closed=True))
    plate = Plate(thickness=10.0, outline=region, bounds=(0.0, 0.0, 40.0, 40.0), zero="front-left")
    bench = shop("end-6", "slot-6", mill="rigid-mill")
    (task,) = tasks(feature, plate=plate, shop=bench)
    assert [option.flats for option in task.options] == [("slot-6",)]
    either = tasks(feature, plate=plate, shop=shop("end-6", "slot-6", mill="belt-mill"))[0]
    assert {option.flats for option in either.options} == {("end-6",), ("slot-6",)}


@pytest.mark.parametrize(
    ("nominal", "spot", "names"),
    [
        ("M6", True, ("spot-90-6", "drill-5.0")),  # 6.3 mm across: the spotting drill is too narrow to do it at once
        ("M5", False, ("spot-90-6", "drill-4.2")),
        ("M10", True, ("engrave-90-0.2", "drill-8.5")),
    ],
)
def test_a_narrower_point_walks_round_the_mouth_after_the_drill(
    nominal: str, spot: bool, names: tuple[str, ...]
) -> None:
    size = STANDARDS.threads[nominal]
    shaped, found = made(hole(Thread(size=size, depth=None), diameter=size.drill, spot=spot), by=shop(*names))
    assert [(one.part, one.purpose.value) for one in found[-2:]] == [(Part.DRILLED, "drill"), (Part.MOUTH, "edge")]
    assert shaped.mouth is not None
    assert shaped.mouth.diameter == pytest.approx(1.05 * size.nominal)
    deep = (1.05 * size.nominal - size.drill) / 2.0 + 0.2
    assert found[-1].levels[-1] == pytest.approx(-deep)
    assert unchamfered(shaped) == ()


@pytest.mark.parametrize("names", [("spot-90-3", "drill-4.2"), ("drill-4.2",), ("engrave-30-0.2", "drill-4.2")])
def test_a_mouth_that_nothing_chamfers_is_told_of(names: tuple[str, ...]) -> None:
    tight = dataclasses.replace(hole(M5, diameter=4.2), bottom=0.7, through=False, break_through=0.0)
    shaped, _ = made(tight if names[0] == "spot-90-3" else hole(M5, diameter=4.2), by=shop(*names))
    assert shaped.mouth is None
    (told,) = unchamfered(shaped)
    assert told.code == "mouth-left-sharp"
    assert "chamfer them by hand before they are tapped, to about 5.2 mm" in told.message


def test_the_shelf_has_what_these_tests_take_from_it() -> None:
    assert SHELF["ream-6-h7"].kind is CutterKind.REAMER
    assert SHELF["ream-6-h7"].diameter == 6.006
