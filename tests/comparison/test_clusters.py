"""Features are compared in clusters that do not meet, and the answer is that of the whole plate."""

from types import ModuleType
from typing import Any

import numpy as np
import pytest
import shapely

from camplan.comparison.clusters import layers_of
from camplan.comparison.wanted import wanted_of
from camplan.features.specs import FaceSpec
from camplan.regions import Region
from camplan.simulation.blank import blank_of
from camplan.simulation.removed import radii_of
from camplan.simulation.track import track_of


def layers(shop: ModuleType, *features: Any, tape: Any = None) -> Any:
    track = track_of([shop.program(tape or shop.Tape(), shop.slot_drill(4.0))] if tape else [])
    wanted = wanted_of(features, plate=blank_of(shop.plate()))
    return layers_of(wanted, track=track, radii=radii_of(track))


def row_of_pockets(shop: ModuleType, *, count: int, gap: float) -> list[Any]:
    step = 6.0 + gap
    return [
        shop.pocket(shop.rectangle(5.0 + step * number, 10.0, 11.0 + step * number, 20.0), name=f"p{number}", depth=3.0)
        for number in range(count)
    ]


def test_pockets_apart_are_clusters_of_their_own(shop: ModuleType) -> None:
    (layer,) = layers(shop, *row_of_pockets(shop, count=4, gap=1.0))
    assert [cluster.members for cluster in layer.clusters] == [(0,), (1,), (2,), (3,)]


def test_pockets_that_touch_are_one_cluster(shop: ModuleType) -> None:
    (layer,) = layers(shop, *row_of_pockets(shop, count=4, gap=0.0))
    assert [cluster.members for cluster in layer.clusters] == [(0, 1, 2, 3)]


def test_an_outline_round_pockets_is_apart_from_them(shop: ModuleType) -> None:
    part = shop.outline(shop.rectangle(3.0, 5.0, 60.0, 40.0), kerf=2.0)
    (layer,) = layers(shop, part, *row_of_pockets(shop, count=3, gap=1.0))
    assert [cluster.members for cluster in layer.clusters] == [(0,), (1,), (2,), (3,)]
    assert layer.clusters[0].domain.area < 2.2 * 190.0


def test_a_face_over_many_pockets_parts_the_heights(shop: ModuleType) -> None:
    spec = FaceSpec(name="top", layer=None, depth=0.5, cutters=())
    face = shop.feature(spec, regions=(Region(outer=shop.rectangle(0.0, 0.0, 100.0, 60.0)),))
    lower, upper = layers(shop, face, *row_of_pockets(shop, count=9, gap=1.0))
    assert [cluster.members for cluster in upper.clusters] == [tuple(range(10))]
    assert [cluster.members for cluster in lower.clusters] == [(number,) for number in range(1, 10)]


@pytest.mark.parametrize(("line", "fault"), [(None, False), ("face", True), ("pocket", True)])
def test_a_face_and_its_pockets_are_proved_together(shop: ModuleType, line: str | None, fault: bool) -> None:
    spec = FaceSpec(name="top", layer=None, depth=0.5, cutters=())
    face = shop.feature(spec, regions=(Region(outer=shop.rectangle(-5.0, -5.0, 105.0, 65.0)),))
    first = shop.Tape()
    first.across(-5.0, 0.0)
    for y in range(0, 64, 4):
        for x in (-5.0, 105.0) if y % 8 == 0 else (105.0, -5.0):
            first.move(x, float(y), -0.51 if line == "face" and y == 32 else -0.5)
    first.rapid(first.at[0], first.at[1], 5.0)
    second = shop.Tape()
    for number in range(9):
        room = shapely.box(5.0 + 7.0 * number, 10.0, 11.0 + 7.0 * number, 20.0)
        depth = -3.01 if line == "pocket" and number == 4 else -3.0
        shop.cleared(second, room, radius=1.0, levels=(-1.5, depth))
    proof = shop.verdict(
        shop.program(first, shop.slot_drill(6.0)),
        shop.program(second, shop.slot_drill(2.0), file="02-pockets.ngc"),
        features=(face, *row_of_pockets(shop, count=9, gap=1.0)),
    )
    assert proof.passed is not fault
    if fault:
        assert {finding.code for finding in proof.findings} == {"gouge"}
        assert proof.gouge == pytest.approx(0.01, abs=1e-6)
        assert np.isclose(proof.gouge, max(section.gouge for section in proof.sections))
    else:
        assert not proof.findings
