"""Features placed on the plate, and every drawing that cannot be used."""

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import ezdxf
import numpy as np
import pytest

from camplan.drawing.reading import read_drawing
from camplan.errors import InputError
from camplan.features.build import build
from camplan.geometry.chains import chain
from camplan.regions import area, bounds


def problems(make: SimpleNamespace, *specs: Any, layers: Any = (), plate: Any = None) -> list[str]:
    """What is said of specs on a drawing of a plate and these layers."""
    with pytest.raises(InputError) as raised:
        build(specs, plate=plate or make.plate(), drawing=make.drawing(*layers))
    return [str(problem) for problem in raised.value.problems]


@pytest.mark.parametrize(
    ("zero", "corner"),
    [
        ("front-left", (0.0, 0.0)),
        ("front-right", (-100.0, 0.0)),
        ("back-left", (0.0, -80.0)),
        ("back-right", (-100.0, -80.0)),
        ("centre", (-50.0, -40.0)),
    ],
)
def test_everything_moves_with_the_plates_zero(make: SimpleNamespace, zero: str, corner: tuple[float, float]) -> None:
    # the drawing's plate has its front left corner at (10, 20); whatever is drawn at (30, 50) is (20, 30) from there
    x, y = corner[0] + 20.0, corner[1] + 30.0
    built = build(
        (
            make.pocket(),
            make.outline(layer="DISC", name="cut"),
            make.hole(),
            make.groove(),
        ),
        plate=make.plate(zero=zero),
        drawing=make.drawing(
            make.layer("DISC", make.rectangle(30.0, 50.0, 60.0, 70.0)),
            make.layer("PINS", circles=[(30.0, 50.0, 4.0)]),
            make.layer("RUNNER", chain([(30.0, 50.0), (40.0, 50.0)])),
        ),
    )
    assert built.plate.bounds == pytest.approx((*corner, corner[0] + 100.0, corner[1] + 80.0))
    assert bounds(built.plate.outline) == pytest.approx(built.plate.bounds)
    disc, cut, pins, runner = built.features
    assert bounds(disc.regions[0])[:2] == pytest.approx((x, y))
    assert cut.stock is not None
    assert bounds(cut.stock) == pytest.approx(built.plate.bounds)
    assert pins.circles[0] == pytest.approx((x, y, 4.0))
    assert runner.lines[0].points[0] == pytest.approx((x, y))


def test_a_drawing_file_becomes_features(make: SimpleNamespace, tmp_path: Path) -> None:
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True, dxfattribs={"layer": "PLATE"})
    space.add_circle((60, 40), 25, dxfattribs={"layer": "DISC"})
    space.add_circle((60, 40), 6, dxfattribs={"layer": "DISC"})
    space.add_line((0, 40), (35, 40), dxfattribs={"layer": "RUNNER"})
    for x in (10, 110):
        space.add_circle((x, 10), 2.1, dxfattribs={"layer": "PINS"})
        space.add_point((x, 70), dxfattribs={"layer": "MARKS"})
    document.saveas(tmp_path / "cavity.dxf")
    specs = (make.pocket(), make.groove(), make.hole(depth=None), make.mark())
    built = build(specs, plate=make.plate(), drawing=read_drawing(tmp_path / "cavity.dxf"))
    disc, runner, pins, marks = built.features
    assert area(disc.regions[0]) == pytest.approx(np.pi * (25.0**2 - 6.0**2))
    assert not disc.open_edges
    assert runner.open_edges
    assert [circle[2] for circle in pins.circles] == pytest.approx([4.2, 4.2])
    assert (pins.through, pins.bottom, pins.break_through) == (True, 10.0, 0.3)
    assert len(marks.lines) == 4
    assert built.findings == ()


def test_holes_drawn_alike_have_one_size(make: SimpleNamespace) -> None:
    alike = make.layer("PINS", circles=[(30.0, 50.0, 4.2), (40.0, 50.0, 4.2 + 1e-9), (50.0, 50.0, 4.2 - 1e-9)])
    (pins,) = build((make.hole(),), plate=make.plate(), drawing=make.drawing(alike)).features
    assert {diameter for _, _, diameter in pins.circles} == {4.2}


def test_points_become_crosses_and_holes_of_the_given_size(make: SimpleNamespace) -> None:
    both = make.layer("PINS", points=[(30.0, 50.0), (40.0, 60.0)])
    built = build(
        (make.hole(diameter=3.3), make.mark(layer="PINS", cross=6.0)), plate=make.plate(), drawing=make.drawing(both)
    )
    pins, marks = built.features
    assert [circle[2] for circle in pins.circles] == [3.3, 3.3]
    spans = [np.ptp(line.points, axis=0).tolist() for line in marks.lines]
    assert spans == [[6.0, 0.0], [0.0, 6.0]] * 2


def test_a_face_without_a_layer_is_the_whole_plate(make: SimpleNamespace) -> None:
    built = build((make.face(),), plate=make.plate(), drawing=make.drawing())
    assert area(built.features[0].regions[0]) == pytest.approx(8000.0)


def test_layers_are_found_in_upper_or_lower_case(make: SimpleNamespace) -> None:
    layer = make.layer("DISC", make.rectangle(30.0, 50.0, 60.0, 70.0))
    assert build((make.pocket(layer="disc"),), plate=make.plate(), drawing=make.drawing(layer)).features


def test_a_missing_layer_is_named_with_those_that_exist(make: SimpleNamespace) -> None:
    layer = make.layer("DISC", make.rectangle(30.0, 50.0, 60.0, 70.0))
    (said,) = problems(make, make.pocket(layer="DISK"), layers=[layer])
    assert 'feature "disc".layer: the drawing has no layer "DISK"; did you mean "DISC"?' in said
    assert "(accepted: DISC, PLATE)" in said


def test_an_open_contour_is_told_with_its_ends(make: SimpleNamespace) -> None:
    gap = make.layer("DISC", chain([(30, 50), (60, 50), (60, 70), (30, 70), (30, 50.5)]))
    (said,) = problems(make, make.pocket(), layers=[gap])
    assert "no closed contour for the pocket" in said
    assert "(30.000, 50.000)" in said
    assert "(30.000, 50.500)" in said
    assert "0.500 mm" in said


def test_an_open_contour_beside_closed_ones_is_found(make: SimpleNamespace) -> None:
    layer = make.layer("DISC", make.rectangle(30.0, 50.0, 60.0, 70.0), chain([(70, 50), (80, 50)]))
    built = build((make.pocket(),), plate=make.plate(), drawing=make.drawing(layer))
    assert [finding.code for finding in built.findings] == ["open-contour"]


def test_a_pocket_that_crosses_itself_is_refused_with_the_place(make: SimpleNamespace) -> None:
    bow = make.layer("DISC", chain([(30, 50), (60, 70), (60, 50), (30, 70)], closed=True))
    (said,) = problems(make, make.pocket(), layers=[bow])
    assert "crosses itself at (45.000, 60.000)" in said


def test_depths_must_lie_in_the_plate(make: SimpleNamespace) -> None:
    layer = make.layer("DISC", make.rectangle(30.0, 50.0, 60.0, 70.0))
    said = problems(
        make,
        make.pocket(name="deep", depth=12.0),
        make.pocket(name="upside down", top=3.0, depth=2.0),
        make.pocket(name="nothing", depth=float("nan")),
        make.pocket(name="above", top=-1.0),
        layers=[layer],
    )
    assert 'feature "deep".depth_mm: 12 mm is below the plate, which is 10 mm thick (accepted: up to 10)' in said
    assert any('"upside down"' in one and "above 3" in one for one in said)
    assert any('"nothing"' in one and "nan is no depth" in one for one in said)
    assert any('"above".top_mm' in one for one in said)


def test_a_plate_without_thickness_is_refused(make: SimpleNamespace) -> None:
    layer = make.layer("DISC", make.rectangle(30.0, 50.0, 60.0, 70.0))
    for thickness in (0.0, -1.0, float("nan")):
        plate = make.plate(thickness=thickness)
        said = problems(make, make.pocket(depth=None, draft=0.1), layers=[layer], plate=plate)
        assert any(one.startswith("plate.thickness_mm") and "above 0" in one for one in said)


def test_the_plate_is_one_contour(make: SimpleNamespace) -> None:
    two = make.layer("EDGES", make.rectangle(0.0, 0.0, 20.0, 20.0), make.rectangle(40.0, 0.0, 60.0, 20.0))
    (said,) = problems(make, make.face(), layers=[two], plate=make.plate(outline="EDGES"))
    assert "plate.outline" in said
    assert "(0.000, 0.000), (40.000, 0.000)" in said


def test_features_outside_the_plate_are_refused(make: SimpleNamespace) -> None:
    layers = [
        make.layer("DISC", make.rectangle(200.0, 50.0, 230.0, 70.0)),
        make.layer("PINS", circles=[(0.0, 0.0, 4.0)]),
        make.layer("RUNNER", chain([(0, 0), (5, 0)])),
        make.layer("PART", make.rectangle(50.0, 50.0, 130.0, 70.0)),
    ]
    said = problems(make, make.pocket(), make.hole(), make.groove(), make.outline(), layers=layers)
    assert [one.split(":")[1].strip() for one in said] == [
        'feature "disc"',
        'feature "pins"',
        'feature "runner"',
        'feature "part"',
    ]
    assert "from (200.000, 50.000) to (230.000, 70.000) in the drawing lies outside the plate" in said[0]
    assert "cannot be cut out whole" in said[3]


def test_a_pocket_over_the_edge_is_open_and_a_hole_there_is_told(make: SimpleNamespace) -> None:
    layers = [
        make.layer("DISC", make.rectangle(0.0, 50.0, 40.0, 70.0)),
        make.layer("PINS", circles=[(10.0, 80.0, 4.0)]),
        make.layer("FLUSH", make.rectangle(80.0, 50.0, 110.0, 70.0)),
    ]
    specs = (make.pocket(), make.pocket(name="flush", layer="FLUSH"), make.hole())
    built = build(specs, plate=make.plate(), drawing=make.drawing(*layers))
    assert [feature.open_edges for feature in built.features] == [True, True, False]
    assert [(finding.code, finding.where) for finding in built.findings] == [("over-the-edge", "pins")]


def test_holes_need_a_size(make: SimpleNamespace) -> None:
    (said,) = problems(make, make.hole(), layers=[make.layer("PINS", points=[(30, 50)])])
    assert "a point has no size" in said
    assert "diameter_mm" in said
    (said,) = problems(make, make.hole(diameter=4.2), layers=[make.layer("PINS", circles=[(30, 50, 5.0)])])
    assert "circles of 5.000 mm, and diameter_mm says 4.2" in said
    (said,) = problems(make, make.hole(), layers=[make.layer("PINS", make.rectangle(30, 50, 34, 54))])
    assert "no circles, the first at (30.000, 50.000)" in said
    (said,) = problems(make, make.hole(), layers=[make.layer("PINS", chain([(30, 50), (40, 50)]))])
    assert "no circle and no point" in said


def test_grooves_and_marks_need_lines(make: SimpleNamespace) -> None:
    empty = [make.layer("RUNNER", points=[(30, 50)]), make.layer("MARKS")]
    said = problems(make, make.groove(), make.mark(), layers=empty)
    assert "no line for the groove" in said[0]
    assert "or points" in said[1]


def test_the_same_region_twice_is_a_caution(make: SimpleNamespace) -> None:
    layer = make.layer("DISC", circles=[(60.0, 60.0, 30.0)])
    upper, lower = make.pocket(depth=3.0), make.pocket(name="lower", top=3.0)
    built = build((upper, lower), plate=make.plate(), drawing=make.drawing(layer))
    assert built.findings == ()
    again = (upper, make.pocket(name="again"), make.hole(name="bore", layer="DISC"))
    built = build(again, plate=make.plate(), drawing=make.drawing(layer))
    assert {finding.code for finding in built.findings} == {"same-region-twice"}
    assert len(built.findings) == 3


def test_a_recess_over_a_whole_part_is_not_cut_twice(make: SimpleNamespace) -> None:
    layer = make.layer("DISC", circles=[(60.0, 60.0, 30.0)])
    built = build((make.pocket(), make.outline(layer="DISC")), plate=make.plate(), drawing=make.drawing(layer))
    assert built.findings == ()


def test_a_pocket_that_closes_above_its_floor_is_refused(make: SimpleNamespace) -> None:
    layer = make.layer("DISC", make.rectangle(30.0, 50.0, 60.0, 50.4))
    (said,) = problems(make, make.pocket(draft=0.0349), layers=[layer])
    assert "closes above its floor" in said
    (said,) = problems(make, make.pocket(allowance=0.25), layers=[layer])
    assert "allowance" in said


def test_outlines_know_their_neighbours(make: SimpleNamespace) -> None:
    layers = [
        make.layer("PART", make.rectangle(20.0, 30.0, 50.0, 60.0)),
        make.layer("OTHER", make.rectangle(53.0, 30.0, 80.0, 60.0)),
        make.layer("WINDOW", make.rectangle(30.0, 40.0, 40.0, 50.0)),
    ]
    specs = (
        make.outline(),
        make.outline(name="other", layer="OTHER"),
        make.outline(name="window", layer="WINDOW", side="inside"),
    )
    built = build(specs, plate=make.plate(), drawing=make.drawing(*layers))
    part, other, window = built.features
    assert [bounds(region)[0] for region in part.neighbours] == [43.0]
    assert [bounds(region)[0] for region in other.neighbours] == [10.0]
    assert [bounds(region)[0] for region in window.neighbours] == [43.0]
    assert built.findings == ()


def test_outlines_that_cross_are_a_caution(make: SimpleNamespace) -> None:
    layers = [
        make.layer("PART", make.rectangle(20.0, 30.0, 50.0, 60.0)),
        make.layer("OTHER", make.rectangle(45.0, 30.0, 80.0, 60.0)),
    ]
    specs = (make.outline(), make.outline(name="other", layer="OTHER"))
    built = build(specs, plate=make.plate(), drawing=make.drawing(*layers))
    assert [finding.code for finding in built.findings] == ["outlines-cross"]


def test_a_skin_is_what_an_outline_stops_above(make: SimpleNamespace) -> None:
    layer = make.layer("PART", make.rectangle(20.0, 30.0, 50.0, 60.0))
    built = build((make.outline(hold="skin"),), plate=make.plate(), drawing=make.drawing(layer))
    (part,) = built.features
    assert (part.through, part.bottom, part.break_through) == (False, 9.8, 0.0)


def test_a_pocket_as_deep_as_the_plate_goes_through_and_says_so(make: SimpleNamespace) -> None:
    layer = make.layer("DISC", make.rectangle(30.0, 50.0, 60.0, 70.0))
    built = build((make.pocket(depth=10.0),), plate=make.plate(), drawing=make.drawing(layer))
    assert built.features[0].through
    assert [finding.code for finding in built.findings] == ["full-depth"]


def test_a_shallow_round_groove_is_narrower_than_asked(make: SimpleNamespace) -> None:
    layer = make.layer("RUNNER", chain([(30, 50), (60, 50)]))
    spec = make.groove(section="round", depth=1.0)
    built = build((spec,), plate=make.plate(), drawing=make.drawing(layer))
    assert "3.464 mm wide" in built.findings[0].message


def test_pieces_that_nothing_holds_are_a_caution(make: SimpleNamespace) -> None:
    part = make.layer("PART", make.rectangle(30.0, 40.0, 60.0, 70.0))
    ring = make.layer("DISC", circles=[(90.0, 60.0, 20.0), (90.0, 60.0, 6.0)])
    specs = (make.outline(hold="none"), make.pocket(depth=None))
    built = build(specs, plate=make.plate(), drawing=make.drawing(part, ring))
    found = [(finding.code, finding.where) for finding in built.findings]
    assert found == [("piece-comes-loose", "part"), ("piece-comes-loose", "disc")]
    held = build((make.outline(), make.pocket()), plate=make.plate(), drawing=make.drawing(part, ring))
    assert held.findings == ()


def test_a_blind_hole_whose_point_comes_out_is_a_caution(make: SimpleNamespace) -> None:
    layer = make.layer("PINS", circles=[(30.0, 50.0, 10.0)])
    for depth, codes in ((6.9, []), (7.1, ["point-comes-out"])):
        built = build((make.hole(depth=depth),), plate=make.plate(), drawing=make.drawing(layer))
        assert [finding.code for finding in built.findings] == codes


def test_a_groove_as_deep_as_the_plate_leaves_no_floor(make: SimpleNamespace) -> None:
    layer = make.layer("RUNNER", chain([(30, 50), (60, 50)]))
    built = build((make.groove(depth=10.0),), plate=make.plate(), drawing=make.drawing(layer))
    assert [finding.code for finding in built.findings] == ["no-floor"]
