"""A plate, features, cutters and hand-made programs for the proof's tests: hive entrance disc plates."""

import dataclasses
import math
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from samples import slot_drill

from camplan.catalogue.materials import load_material
from camplan.catalogue.records import Cutter, CutterKind, Machine, PowerPoint
from camplan.comparison.prove import prove
from camplan.comparison.records import ProgramUnderProof, Proof
from camplan.features.records import Feature, Plate
from camplan.features.specs import Clamp, FeatureSpec, GrooveSpec, HoleSpec, OutlineSpec, PocketSpec, SettingSpec
from camplan.geometry.chains import Chain, chain
from camplan.moves.table import Kind, MotionTable
from camplan.regions import Region

SAFE = 5.0
NAN = math.nan

MATERIAL = load_material("aluminium-6082", beside=Path("/nowhere")).material


def ball(diameter: float, **changes: Any) -> Cutter:
    usual = {"name": f"ball-{diameter:g}", "kind": CutterKind.BALL, "tip_diameter": 0.0, "corner_radius": diameter / 2}
    return slot_drill(diameter, **{**usual, **changes})


def taper(tip: float, *, half_angle_deg: float, flutes: float = 12.0) -> Cutter:
    angle = math.radians(half_angle_deg)
    return slot_drill(
        tip + 2.0 * flutes * math.tan(angle),
        name=f"taper-{half_angle_deg:g}deg-{tip:g}",
        kind=CutterKind.TAPER,
        tip_diameter=tip,
        half_angle=angle,
        flute_length=flutes,
    )


def drill(diameter: float, *, point_deg: float = 118.0) -> Cutter:
    return slot_drill(
        diameter,
        name=f"drill-{diameter:g}",
        kind=CutterKind.DRILL,
        tip_diameter=0.0,
        point_angle=math.radians(point_deg),
        flute_length=40.0,
        reach=45.0,
        stick_out=50.0,
    )


def mill(**changes: Any) -> Machine:
    machine = Machine(
        name="bench-mill",
        title="bench mill",
        travel=(320.0, 200.0, 160.0),
        rapid=(5000.0, 5000.0, 3000.0),
        feed_max=3000.0,
        acceleration=(500.0, 500.0, 300.0),
        junction_deviation=0.01,
        rpm_min=1500.0,
        rpm_max=18000.0,
        spin_up=3.0,
        power=(PowerPoint(rpm=1500.0, power=180.0),),
        stiffness=6.0,
        run_out=0.008,
        step=0.001,
        holder_diameter=28.0,
        holder_length=34.0,
        changes_cutters=False,
        cutter_change=60.0,
        source="SHOP: invented",
        file="",
    )
    return dataclasses.replace(machine, **changes)


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Chain:
    return chain([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)


def plate(*, size: tuple[float, float] = (100.0, 60.0), thickness: float = 10.0) -> Plate:
    x, y = size
    outline = Region(outer=rectangle(0.0, 0.0, x, y))
    return Plate(thickness=thickness, outline=outline, bounds=(0.0, 0.0, x, y), zero="front-left")


def feature(spec: FeatureSpec, *, thickness: float = 10.0, break_through: float = 0.3, **changes: Any) -> Feature:
    depth = spec.depth
    return Feature(
        spec=spec,
        top=getattr(spec, "top", 0.0),
        bottom=thickness if depth is None else depth,
        through=depth is None,
        break_through=break_through,
        **changes,
    )


def pocket(outer: Chain, *, islands: tuple[Chain, ...] = (), name: str = "disc", **changes: Any) -> Feature:
    usual = {"layer": "DISC", "top": 0.0, "depth": 6.0, "draft": 0.0, "nominal": "floor", "allowance": 0.0}
    usual |= {"finish": None, "corner": None, "tolerance": 0.02, "cutters": ()}
    return feature(PocketSpec(name=name, **{**usual, **changes}), regions=(Region(outer=outer, islands=islands),))


def groove(line: Chain, *, width: float, depth: float, section: Any = "square", **changes: Any) -> Feature:
    usual = {"name": "runner", "layer": "RUNNER", "top": 0.0, "tolerance": 0.005, "cutters": ()}
    spec = GrooveSpec(**{**usual, "depth": depth, "width": width, "section": section, **changes})
    return feature(spec, lines=(line,))


def hole(at: tuple[float, float], *, diameter: float, depth: float | None = 8.0, **changes: Any) -> Feature:
    usual = {"name": "pins", "layer": "PINS", "top": 0.0, "diameter": None, "spot": False, "tolerance": 0.005}
    spec = HoleSpec(**{**usual, "cutters": (), "depth": depth})
    return feature(spec, circles=((*at, diameter),), **changes)


def outline(outer: Chain, **changes: Any) -> Feature:
    usual = {"name": "part", "layer": "PART", "top": 0.0, "depth": None, "side": "outside", "hold": "none"}
    usual |= {"bridges": 0, "bridge_width": 3.0, "bridge_height": 1.5, "skin": 0.2}
    usual |= {"allowance": 0.0, "finish": None, "corner": None, "tolerance": 0.02, "cutters": ()}
    more = {key: changes.pop(key) for key in ("kerf", "bridges_standing") if key in changes}
    return feature(
        OutlineSpec(**{**usual, **changes}),
        regions=(Region(outer=outer),),
        kerf=more.get("kerf"),
        bridges=more.get("bridges_standing", ()),
    )


def setting(*clamps: Clamp) -> SettingSpec:
    return SettingSpec(name="one", features=(), clamps=clamps)


class Tape:
    """Motions one after another, one a line, as a reader would give them."""

    def __init__(self) -> None:
        self.rows: list[tuple[Any, ...]] = []
        self.at: tuple[float, ...] = (0.0, 0.0, SAFE)

    def move(self, *to: float, kind: Kind = Kind.LINE, centre: tuple[float, float] = (NAN, NAN)) -> int:
        """Adds a motion; its line."""
        line = len(self.rows) + 1
        self.rows.append((self.at, to, centre, int(kind), NAN if kind is Kind.RAPID else 400.0, 12000.0, line))
        self.at = to
        return line

    def rapid(self, *to: float) -> int:
        return self.move(*to, kind=Kind.RAPID)

    def across(self, x: float, y: float, *, near: float = 0.5) -> None:
        """Lift, cross, come down near the plate."""
        if self.at[2] < SAFE:
            self.rapid(self.at[0], self.at[1], SAFE)
        self.rapid(x, y, SAFE)
        self.rapid(x, y, near)

    def ring(self, points: Any, *, z: float) -> tuple[int, int]:
        """A closed way at one height, begun by going straight down; first and last line."""
        first = self.move(*points[0], z)
        last = first
        for point in (*points[1:], points[0]):
            last = self.move(*point, z)
        return first, last

    def circle(self, x: float, y: float, *, radius: float, z: float, clockwise: bool = False) -> int:
        kind = Kind.CLOCKWISE if clockwise else Kind.COUNTER_CLOCKWISE
        self.move(x + radius, y, z)
        return self.move(x + radius, y, z, kind=kind, centre=(x, y))

    def table(self) -> MotionTable:
        return table(self.rows)


def table(rows: list[tuple[Any, ...]]) -> MotionTable:
    """Rows as arrays; each starts where the one before ended."""
    columns = list(zip(*rows, strict=True)) if rows else [()] * 7
    end = np.array(columns[1], dtype=np.float64).reshape(-1, 3)
    start = np.vstack((np.array(columns[0][:1], dtype=np.float64).reshape(-1, 3), end[:-1]))
    return MotionTable(
        start=start[: len(rows)],
        end=end,
        centre=np.array(columns[2], dtype=np.float64).reshape(-1, 2),
        kind=np.array(columns[3], dtype=np.int8),
        feed=np.array(columns[4], dtype=np.float64),
        rpm=np.array(columns[5], dtype=np.float64),
        line=np.array(columns[6], dtype=np.int64),
    )


def rings_of(region: shapely.Polygon, *, radius: float, step: float) -> list[np.ndarray]:
    """Ways of a cutter that clears a region, outermost first."""
    found, inset = [], radius
    while True:
        room = region.buffer(-inset, quad_segs=64)
        if room.is_empty:
            return found
        for part in shapely.get_parts(room):
            found += [shapely.get_coordinates(ring)[:-1] for ring in (part.exterior, *part.interiors)]
        inset += step


def cleared(
    tape: Tape, region: shapely.Polygon, *, radius: float, levels: tuple[float, ...], step: float = 0.8
) -> Tape:
    """A region cleared from the inside out on each level."""
    for z in levels:
        for ring in reversed(rings_of(region, radius=radius, step=step * radius)):
            tape.across(*ring[0])
            tape.ring(np.round(ring, 4).tolist(), z=z)
    tape.rapid(tape.at[0], tape.at[1], SAFE)
    return tape


def program(
    tape: Tape | MotionTable, cutter: Cutter, *, file: str = "01-disc.ngc", **changes: Any
) -> ProgramUnderProof:
    motions = tape.table() if isinstance(tape, Tape) else tape
    return ProgramUnderProof(file=file, setting="one", cutter=cutter, motions=motions, **changes)


def verdict(
    *programs: ProgramUnderProof,
    features: tuple[Feature, ...],
    stock: Plate | None = None,
    clamps: tuple[Clamp, ...] = (),
    shelf: tuple[Cutter, ...] | None = None,
    machine: Machine | None = None,
) -> Proof:
    return prove(
        programs,
        plate=stock or plate(),
        features=features,
        settings=(setting(*clamps),),
        cutters=tuple(program.cutter for program in programs) if shelf is None else shelf,
        machine=machine or mill(),
        material=MATERIAL,
    )
