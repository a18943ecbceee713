"""Made-up operations on made-up features, and benches of real cutters, for the tests of choosing."""

import dataclasses
import math
from collections.abc import Callable
from pathlib import Path

import pytest
import samples

from camplan.catalogue.records import Cutter
from camplan.cutting.records import CuttingData
from camplan.features.records import Feature
from camplan.features.specs import FeatureSpec, OutlineSpec, PocketSpec
from camplan.geometry.chains import chain
from camplan.operations.records import Operation, Part, Purpose
from camplan.regions import Region

DATA = CuttingData(
    rpm=10_000.0,
    chip=0.02,
    feed=600.0,
    slot_feed=500.0,
    plunge_feed=150.0,
    ramp_feed=250.0,
    ramp_angle=math.radians(3.0),
    helix_pitch=0.5,
    step_down=1.0,
    step_over=1.0,
    peck=None,
    peck_free_depth=0.0,
    force=None,
    power=None,
    bending=None,
    reasons=(),
)


def slot_drill(diameter: float) -> Cutter:
    return samples.slot_drill(
        diameter, flute_length=2.0 * diameter, reach=3.0 * diameter, shank_diameter=6.0, stick_out=20.0
    )


def pocket(name: str, *, top: float = 0.0, bottom: float = 2.0, x: float = 0.0, size: float = 10.0) -> Feature:
    spec = PocketSpec(
        name=name,
        layer=name.upper(),
        top=top,
        depth=bottom,
        draft=0.0,
        nominal="top",
        allowance=0.0,
        finish=None,
        corner=None,
        tolerance=0.02,
        cutters=(),
    )
    return placed(spec, top=top, bottom=bottom, x=x, size=size)


def outline(name: str, *, x: float = 0.0, size: float = 10.0) -> Feature:
    spec = OutlineSpec(
        name=name,
        layer=name.upper(),
        top=0.0,
        depth=None,
        side="outside",
        hold="none",
        bridges=0,
        bridge_width=0.0,
        bridge_height=0.0,
        skin=0.0,
        allowance=0.0,
        finish=None,
        corner=None,
        tolerance=0.02,
        cutters=(),
    )
    return placed(spec, top=0.0, bottom=10.0, x=x, size=size)


def placed(spec: FeatureSpec, *, top: float, bottom: float, x: float, size: float) -> Feature:
    square = chain([(x, 0.0), (x + size, 0.0), (x + size, size), (x, size)], closed=True)
    return Feature(
        spec=spec,
        top=top,
        bottom=bottom,
        through=False,
        break_through=0.0,
        regions=(Region(outer=square),),
    )


def operation(feature: Feature, *, diameter: float, part: Part = Part.AREA) -> Operation:
    return Operation(
        feature=feature,
        purpose=Purpose.ROUGH,
        part=part,
        cutter=slot_drill(diameter),
        data=DATA,
        levels=(-feature.bottom,),
        stay=0.0,
        reasons=(),
    )


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """The builders, for tests that may not import this file."""

    slot_drill: Callable[[float], Cutter]
    pocket: Callable[..., Feature]
    outline: Callable[..., Feature]
    operation: Callable[..., Operation]


@pytest.fixture(scope="session")
def made() -> Made:
    return Made(slot_drill=slot_drill, pocket=pocket, outline=outline, operation=operation)


@pytest.fixture(scope="session")
def examples() -> Path:
    return Path(__file__).parents[2] / "examples"
