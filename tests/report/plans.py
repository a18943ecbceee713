"""A small plan made by hand: the cavity plate of a hive entrance disc, in two settings.

Its motions are few and round, its figures easy to follow; one leftover and one finding of each milder severity.
"""

import dataclasses
import math

import numpy as np
import samples

from camplan.catalogue.records import Cutter, CutterKind, Machine, Material
from camplan.comparison.records import Leftover, Proof, SectionVerdict
from camplan.cutting.records import Reason
from camplan.features.records import Feature, Plate
from camplan.features.specs import (
    Clamp,
    FaceSpec,
    GrooveSpec,
    HoleSpec,
    MarkSpec,
    OutlineSpec,
    PocketSpec,
    SettingSpec,
)
from camplan.findings import Finding, Severity
from camplan.geometry.chains import backwards, chain, circle
from camplan.moves.table import Kind, MotionTable
from camplan.operations.records import Purpose
from camplan.planned import Plan, PlannedOperation, PlannedProgram, TimeBound
from camplan.regions import Region
from camplan.rs274.records import Post

SAFE = 5.0


def slot_drill(diameter: float) -> Cutter:
    return samples.slot_drill(
        diameter,
        flute_length=2.2 * diameter,
        reach=2.5 * diameter,
        shank_diameter=6.0,
        stick_out=20.0,
        file=f"slot-{diameter:g}.toml",
    )


def taper() -> Cutter:
    return dataclasses.replace(
        slot_drill(3.0),
        name="taper-2deg-3",
        kind=CutterKind.TAPER,
        tip_diameter=2.5,
        half_angle=math.radians(2.0),
        flute_length=8.0,
    )


def drill() -> Cutter:
    return dataclasses.replace(
        slot_drill(4.2),
        name="drill-4.2",
        kind=CutterKind.DRILL,
        tip_diameter=0.0,
        point_angle=math.radians(118.0),
        flute_length=40.0,
        reach=45.0,
        stick_out=55.0,
        shank_diameter=4.2,
    )


class Track:
    """Motions collected one after another, as a reader would give them."""

    def __init__(self) -> None:
        self.rows: list[tuple[object, ...]] = []
        self.at = (0.0, 0.0, SAFE)
        self.line = 0

    def go(self, *to: float, kind: Kind = Kind.LINE, centre: tuple[float, float] = (math.nan, math.nan)) -> None:
        self.line += 1
        feed = math.nan if kind is Kind.RAPID else 400.0
        self.rows.append((self.at, to, centre, int(kind), feed, 12000.0, self.line))
        self.at = (to[0], to[1], to[2])

    def rapid(self, x: float, y: float) -> None:
        self.go(self.at[0], self.at[1], SAFE, kind=Kind.RAPID)
        self.go(x, y, SAFE, kind=Kind.RAPID)

    def ring(self, x: float, y: float, *, radius: float, z: float) -> None:
        self.go(x + radius, y, z)
        self.go(x - radius, y, z, kind=Kind.COUNTER_CLOCKWISE, centre=(x, y))
        self.go(x + radius, y, z, kind=Kind.COUNTER_CLOCKWISE, centre=(x, y))

    def table(self) -> MotionTable:
        columns = list(zip(*self.rows, strict=True)) or [()] * 7
        return MotionTable(
            start=np.array(columns[0], dtype=np.float64).reshape(-1, 3),
            end=np.array(columns[1], dtype=np.float64).reshape(-1, 3),
            centre=np.array(columns[2], dtype=np.float64).reshape(-1, 2),
            kind=np.array(columns[3], dtype=np.int8),
            feed=np.array(columns[4], dtype=np.float64),
            rpm=np.array(columns[5], dtype=np.float64),
            line=np.array(columns[6], dtype=np.int64),
        )


def operation(feature: str, purpose: Purpose, *, lines: tuple[int, int], levels: tuple[float, ...]) -> PlannedOperation:
    return PlannedOperation(
        feature=feature,
        purpose=purpose,
        first_line=lines[0],
        last_line=lines[1],
        rpm=12000.0,
        feed=480.04,
        plunge=120.0,
        step_down=0.8,
        step_over=1.5,
        levels=levels,
        seconds=312.4,
        reasons=(
            Reason(figure="rpm", sentence="The spindle's top speed of 12000 1/min binds.", source="bench-mill"),
            Reason(figure="step down", sentence="0.15 of the diameter on a light mill.", source="common practice"),
        ),
    )


def program(
    file: str, *, setting: str, cutter: Cutter | None, motions: MotionTable, operations: tuple[PlannedOperation, ...]
) -> PlannedProgram:
    return PlannedProgram(
        file=file,
        setting=setting,
        cutter=cutter,
        rpm_max=12000.0,
        seconds=sum(item.seconds for item in operations),
        text="%\nG21\nM2\n%\n",
        motions=motions,
        operations=operations,
    )


def disc() -> Feature:
    spec = PocketSpec(
        name="disc",
        layer="DISC",
        top=0.0,
        depth=6.5,
        draft=math.radians(2.0),
        nominal="top",
        allowance=0.15,
        finish=0.2,
        corner=1.2,
        tolerance=0.02,
        cutters=(),
    )
    island = backwards(chain([(50, 35), (62, 35), (62, 45), (50, 45)], closed=True))
    region = Region(outer=circle((60.0, 40.0), radius=28.0), islands=(island,))
    return Feature(spec=spec, top=0.0, bottom=6.5, through=False, break_through=0.0, regions=(region,))


def runner() -> Feature:
    spec = GrooveSpec(
        name="runner", layer="RUNNER", top=0.0, depth=2.5, width=4.0, section="square", tolerance=0.03, cutters=()
    )
    line = chain([(4.0, 40.0), (20.0, 40.0), (32.0, 46.0)])
    return Feature(spec=spec, top=0.0, bottom=2.5, through=False, break_through=0.0, lines=(line,))


def pins() -> Feature:
    spec = HoleSpec(
        name="guide pins", layer="PINS", top=0.0, depth=None, diameter=4.2, spot=False, tolerance=0.03, cutters=()
    )
    circles = ((12.0, 12.0, 4.2), (108.0, 12.0, 4.2), (108.0, 68.0, 4.2))
    return Feature(spec=spec, top=0.0, bottom=10.0, through=True, break_through=0.3, circles=circles)


def number() -> Feature:
    spec = MarkSpec(name="number", layer="MARK", top=0.0, depth=0.2, width=None, cross=3.0, cutters=())
    line = chain([(96, 30), (100, 36), (96, 42)])
    return Feature(spec=spec, top=0.0, bottom=0.2, through=False, break_through=0.0, lines=(line,))


def rim() -> Feature:
    spec = OutlineSpec(
        name="rim",
        layer="RIM",
        top=0.0,
        depth=None,
        side="outside",
        hold="bridges",
        bridges=4,
        bridge_width=5.0,
        bridge_height=0.8,
        skin=0.0,
        allowance=0.0,
        finish=None,
        corner=None,
        tolerance=0.05,
        cutters=(),
    )
    region = Region(outer=chain([(2, 2), (118, 2), (118, 78), (2, 78)], closed=True))
    return Feature(spec=spec, top=0.0, bottom=10.0, through=True, break_through=0.3, regions=(region,), kerf=6.0)


def skim() -> Feature:
    spec = FaceSpec(name="skim", layer=None, depth=0.3, cutters=())
    region = Region(outer=chain([(0, 0), (120, 0), (120, 80), (0, 80)], closed=True))
    return Feature(spec=spec, top=0.0, bottom=0.3, through=False, break_through=0.0, regions=(region,))


def first_program() -> PlannedProgram:
    track = Track()
    levels = (-2.0, -4.0, -6.5)
    for z in levels:
        track.rapid(66.0, 40.0)
        for radius in (8.0, 12.0, 16.0, 20.0, 24.7):
            track.ring(60.0, 40.0, radius=radius, z=z)
    last = track.line
    return program(
        "01-clamps-slot-6.ngc",
        setting="clamps at the ends",
        cutter=slot_drill(6.0),
        motions=track.table(),
        operations=(operation("disc", Purpose.ROUGH, lines=(1, last), levels=levels),),
    )


def second_program() -> PlannedProgram:
    track = Track()
    track.rapid(4.0, 40.0)
    track.go(4.0, 40.0, -2.5)
    track.go(20.0, 40.0, -2.5)
    track.go(32.0, 46.0, -2.5)
    groove = track.line
    track.rapid(96.0, 30.0)
    for point in ((96.0, 30.0), (100.0, 36.0), (96.0, 42.0)):
        track.go(*point, -0.2)
    return program(
        "02-clamps-slot-3.ngc",
        setting="clamps at the ends",
        cutter=slot_drill(3.0),
        motions=track.table(),
        operations=(
            operation("runner", Purpose.GROOVE, lines=(1, groove), levels=(-1.0, -2.5)),
            operation("number", Purpose.MARK, lines=(groove + 1, track.line), levels=(-0.2,)),
        ),
    )


def third_program() -> PlannedProgram:
    track = Track()
    for x, y, _ in pins().circles:
        track.rapid(x, y)
        track.go(x, y, -10.3)
    return program(
        "03-middle-drill-4.2.ngc",
        setting="clamp in the middle",
        cutter=drill(),
        motions=track.table(),
        operations=(operation("guide pins", Purpose.DRILL, lines=(1, track.line), levels=(-10.3,)),),
    )


def passed_proof() -> Proof:
    return Proof(
        passed=True,
        gouge=0.0004,
        wall_error=0.0031,
        left_area=0.82,
        rapids_in_stock=0,
        clamp_hits=0,
        outside_travel=0,
        sections=(
            SectionVerdict(z=-1.0, gouge=0.0004, left_area=0.0),
            SectionVerdict(z=-6.5, gouge=0.0, left_area=0.82),
        ),
        leftovers=(
            Leftover(
                feature="disc",
                depth=6.5,
                area=0.82,
                deepest=0.41,
                at=(60.0, 40.0),
                cause="the smallest listed cutter leaves a corner radius of 1.5 mm",
            ),
        ),
        findings=(),
    )


def failed_proof() -> Proof:
    unsafe = Finding(
        severity=Severity.UNSAFE,
        code="rapid-in-stock",
        message="The rapid goes through the plate.",
        where="01-clamps-slot-6.ngc line 7",
    )
    return dataclasses.replace(passed_proof(), passed=False, rapids_in_stock=1, findings=(unsafe,))


def sample_plan() -> Plan:
    """The whole plan; proven, with one place left and findings in no order."""
    return Plan(
        title="Hive entrance disc, cavity <plate> & runner",
        plate=Plate(
            thickness=10.0,
            outline=Region(outer=chain([(0, 0), (120, 0), (120, 80), (0, 80)], closed=True)),
            bounds=(0.0, 0.0, 120.0, 80.0),
            zero="front-left",
        ),
        material=Material(
            name="aluminium-6082",
            title="6082-T6, wrought aluminium",
            group="aluminium-wrought",
            kc11=800.0,
            mc=0.25,
            kc_source="VDI 3323",
            slot_depth_ratio=0.5,
            side_depth_ratio=1.0,
            side_width_ratio=0.25,
            finish_wall=0.2,
            finish_floor=0.15,
            ramp_angle=math.radians(4.0),
            helix_pitch_ratio=0.15,
            rows=(),
            cautions=("Clear the chips before they weld to the cutter.",),
            source="common practice, no source",
            file="aluminium-6082.toml",
        ),
        machine=Machine(
            name="bench-mill",
            title="bench mill with a 12000 1/min spindle",
            travel=(300.0, 200.0, 120.0),
            rapid=(2000.0, 2000.0, 1000.0),
            feed_max=1500.0,
            acceleration=(200.0, 200.0, 100.0),
            junction_deviation=0.01,
            rpm_min=2000.0,
            rpm_max=12000.0,
            spin_up=3.0,
            power=(),
            stiffness=10.0,
            run_out=0.01,
            step=0.0025,
            holder_diameter=25.0,
            holder_length=40.0,
            changes_cutters=False,
            cutter_change=60.0,
            source="SHOP: invented figures",
            file="bench-mill.toml",
        ),
        post=Post(
            name="rs274ngc",
            title="RS-274/NGC",
            dialect="rs274ngc",
            extension=".ngc",
            decimals=4,
            line_length=256,
            line_numbers=False,
            line_number_step=1,
            percent_lines=True,
            comments=True,
            cycles=True,
            changes_cutters=False,
            arc_tolerance=0.002,
            arc_radius_max=1000.0,
            preamble=("G17 G21 G40 G49 G80 G90 G94",),
            closing=("M2",),
            source="NISTIR 6556",
            file="rs274ngc.toml",
        ),
        cutters=(slot_drill(6.0), slot_drill(3.0), taper(), drill()),
        settings=(
            SettingSpec(
                name="clamps at the ends",
                features=("disc", "runner", "number"),
                clamps=(
                    Clamp(x=0.0, y=55.0, width=12.0, length=20.0, height=15.0),
                    Clamp(x=108.0, y=20.0, width=12.0, length=40.0, height=15.0),
                ),
            ),
            SettingSpec(
                name="clamp in the middle",
                features=("guide pins",),
                clamps=(Clamp(x=50.0, y=0.0, width=20.0, length=10.0, height=12.0),),
            ),
        ),
        features=(disc(), runner(), number(), pins()),
        programs=(first_program(), second_program(), third_program()),
        smallest_inner_radius={"disc": 0.0, "runner": None, "number": None, "guide pins": 2.1},
        proof=passed_proof(),
        findings=(
            Finding(severity=Severity.NOTE, code="hidden-file", message="A file of yours hides a shipped one."),
            Finding(
                severity=Severity.UNMET,
                code="corner-too-large",
                message="The corner radius asked for is 1.2 mm; 1.5 mm stays.",
                where="disc",
            ),
            Finding(severity=Severity.CAUTION, code="thin-web", message="The web is 0.9 mm thick.", where="runner"),
        ),
    )


def failed_plan() -> Plan:
    """The same plan with a proof that failed."""
    return dataclasses.replace(sample_plan(), proof=failed_proof())


def bounded_plan() -> Plan:
    """The same plan, held against 4000 / 1000 min of roughing and half a minute of holes."""
    bound = TimeBound(volume=4000.0, removal=1000.0, walls=900.0, finish_feed=300.0, drilling=30.0)
    return dataclasses.replace(sample_plan(), bound=bound)
