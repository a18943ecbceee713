import math
from dataclasses import replace
from pathlib import Path

import pytest
import shapely

from camplan.features.records import Built
from camplan.features.specs import Clamp, SettingSpec
from camplan.geometry import planar
from camplan.pipeline.bench import load_bench
from camplan.recut.proposals import ROOM, best_known, error_with, proposed_marks

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


@pytest.fixture(scope="module")
def scale() -> Built:
    bench = load_bench(EXAMPLES / "scale" / "scale.toml")
    return Built(plate=bench.plate, features=bench.features, findings=())


def test_a_plate_that_has_crosses_gets_no_proposals() -> None:
    bench = load_bench(EXAMPLES / "first" / "first.toml")
    assert any(feature.points for feature in bench.features)
    assert proposed_marks(bench.features, plate=bench.plate, settings=bench.job.settings) == ()


def part_of(scale: Built) -> shapely.Polygon:
    edge = next(feature for feature in scale.features if feature.spec.name == "edge")
    return planar.polygon(edge.regions[0], chord=0.01)


def test_proposals_lie_on_bare_material_of_the_part_and_clear_of_clamps(scale: Built) -> None:
    part = part_of(scale)
    x0, y0, _, _ = part.bounds
    clamp = Clamp(x=x0 - 5.0, y=y0 - 5.0, width=30.0, length=20.0, height=10.0)
    setting = SettingSpec(name="one", features=(), clamps=(clamp,))
    found = proposed_marks(scale.features, plate=scale.plate, settings=(setting,))
    assert len(found) >= 2
    lines = [path for feature in scale.features for path in feature.lines]
    for x, y in found:
        assert part.contains(shapely.Point(x, y).buffer(ROOM - 0.01))
        assert min(shapely.Point(x, y).distance(shapely.LineString(path.points)) for path in lines) >= ROOM - 0.01
        box = shapely.box(clamp.x, clamp.y, clamp.x + clamp.width, clamp.y + clamp.length)
        assert shapely.Point(x, y).distance(box) > 7.9


def test_proposals_lie_far_apart(scale: Built) -> None:
    """Marks on the very corners of the part would do better, but not by half."""
    x0, y0, x1, y1 = part_of(scale).bounds
    corners = [(x, y) for x in (x0, x1) for y in (y0, y1)]
    found = proposed_marks(scale.features, plate=scale.plate, settings=())
    assert error_with(found, at=corners, sigma=1.0) < 1.5 * error_with(corners[:3], at=corners, sigma=1.0)


def test_where_there_is_no_room_nothing_is_proposed(scale: Built) -> None:
    x0, y0, x1, y1 = scale.plate.bounds
    everywhere = Clamp(x=x0, y=y0, width=x1 - x0, length=y1 - y0, height=5.0)
    setting = SettingSpec(name="one", features=(), clamps=(everywhere,))
    assert proposed_marks(scale.features, plate=scale.plate, settings=(setting,)) == ()


def test_of_known_marks_the_two_farthest_apart_are_named() -> None:
    bench = load_bench(EXAMPLES / "cavity" / "cavity.toml")
    screws = [feature for feature in bench.features if feature.spec.name == "screws"]
    pair = best_known(screws)
    places = {f"screws {number}": place[:2] for number, place in enumerate(sorted(screws[0].circles), start=1)}
    apart = math.dist(places[pair[0]], places[pair[1]])
    assert apart == pytest.approx(max(math.dist(a, b) for a in places.values() for b in places.values()))
    assert best_known([replace(screws[0], circles=screws[0].circles[:1])]) == ()
