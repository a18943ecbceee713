"""The air beside the plate into which leaning pockets open."""

import math
from typing import Any

import pytest
import shapely

from camplan.features.build import build
from camplan.features.sections import may

DRAFT = math.radians(3.0)


def pocket_on_the_edge(make: Any, **changes: Any) -> Any:
    layer = make.layer("DISC", make.rectangle(60.0, 40.0, 110.0, 70.0))
    spec = make.pocket(depth=6.0, draft=DRAFT, **changes)
    return build((spec,), plate=make.plate(), drawing=make.drawing(layer)).features[0]


@pytest.mark.parametrize(("nominal", "level"), [("top", 0.0), ("floor", 6.0)])
def test_walls_lean_and_the_mouth_stays_at_the_plates_edge(make: Any, nominal: str, level: float) -> None:
    """Inside the plate of 100 x 80 the section is the rectangle drawn in by (level - depth) tan a on three sides."""
    open_ = pocket_on_the_edge(make, nominal=nominal)
    plate = shapely.box(0.0, 0.0, 100.0, 80.0)
    for depth in (0.5, 3.0, 5.5):
        by = (level - depth) * math.tan(DRAFT)
        asked = shapely.box(50.0, 20.0, 130.0, 50.0).buffer(by, quad_segs=64).intersection(plate)
        found = make.figure(may(open_, z=-depth)).intersection(plate)
        assert found.symmetric_difference(asked).area < 2e-3


def test_upright_or_closed_pockets_have_no_mouths(make: Any) -> None:
    layer = make.layer("DISC", make.rectangle(60.0, 40.0, 100.0, 70.0))
    spec = make.pocket(depth=6.0, draft=DRAFT)
    closed = build((spec,), plate=make.plate(), drawing=make.drawing(layer)).features[0]
    assert closed.mouths == ()
    open_ = make.layer("DISC", make.rectangle(60.0, 40.0, 110.0, 70.0))
    upright = build((make.pocket(depth=6.0),), plate=make.plate(), drawing=make.drawing(open_)).features[0]
    assert upright.open_edges
    assert upright.mouths == ()
