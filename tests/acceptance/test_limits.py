"""No move that is written asks more than cutter, material and mill bear.

The programs are read back, the engagement of every feed motion is measured in the stock that stands at that moment,
and what follows from it is worked out here with formulas of this file's own: chip h = fz cos(theta) from the feed's
direction (Martellotti 1941), force kc1.1 h^(1-mc) a mm of edge (Kienzle 1952, as in Klocke, from memory) times 1.3 for
a worn edge (Tschaetsch, from memory), radial over tangential 0.4 (common practice, no source), the beam by Castigliano
with flutes of 0.8 D (Kops & Vo, CIRP Annals 39, 1990), root stress 32 F L / (pi d^3).
"""

import json
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from camplan.catalogue import load_machine, load_material, load_shelf
from camplan.catalogue.records import Cutter, CutterKind, Machine, Material
from camplan.comparison.records import ProgramUnderProof
from camplan.features.records import Plate
from camplan.geometry.chains import chain
from camplan.pipeline.bench import load_bench
from camplan.pipeline.plan import plan_job
from camplan.regions import Region
from camplan.rs274.read import read
from camplan.simulation.engagement import ANGLE, ANGLES, Contact, contacts
from camplan.simulation.track import track_of

WORN, RADIAL = 1.3, 0.4
CARBIDE = {"elasticity": 580_000.0, "stress": 600.0}
HSS = {"elasticity": 200_000.0, "stress": 500.0}
MARGIN = 1.1
"""The planner's integrals and these agree within a tenth."""
HOLES = (CutterKind.DRILL, CutterKind.SPOT_DRILL, CutterKind.REAMER)
APART_MM = 8.0

NECKS = """\
drawing = "plate.dxf"
machine = "{machine}"
material = "{material}"
cutters = ["slot-6", "slot-4", "slot-3", "slot-2", "spot-90-6", "drill-4.2"]

[plate]
thickness_mm = 8
outline = "PLATE"

[[feature]]
name = "neck"
kind = "pocket"
layer = "NECK"
depth_mm = 4
tolerance_um = 30

[[feature]]
name = "well"
kind = "pocket"
layer = "WELL"
depth_mm = 3
tolerance_um = 30

[[feature]]
name = "slot"
kind = "groove"
layer = "SLOT"
width_mm = 3
depth_mm = 2
"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Written:
    """Programs as read back, what they are for, and what they run on."""

    document: dict[str, Any]
    programs: tuple[ProgramUnderProof, ...]
    plate: Plate
    material: Material
    machine: Machine


def written(job: Path, folder: Path) -> Written:
    bench = load_bench(job)
    document = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    programs = []
    for said in document["programs"]:
        text = (folder / said["file"]).read_text(encoding="utf-8")
        programs.append(
            ProgramUnderProof(
                file=said["file"],
                setting=said["setting"],
                cutter=load_shelf((said["cutter"],), beside=job.parent).cutters[said["cutter"]],
                motions=read(text, file=said["file"], post=bench.post).motions,
            )
        )
    return Written(
        document=document,
        programs=tuple(programs),
        plate=bench.plate,
        material=bench.material,
        machine=bench.machine,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A cutter in its collet: the tip's way a newton with the mill's own, stress a newton, and what it bears."""

    gives: float
    stress: float
    bears: float


def held(cutter: Cutter, *, machine: Machine) -> Held:
    """By 4000 slices of the beam: curvature M/EI twice integrated, and the highest 32 M / (pi d^3)."""
    steel = CARBIDE if cutter.tool_material == "carbide" else HSS
    x = (np.arange(4000) + 0.5) / 4000 * cutter.stick_out
    wide = np.full(x.shape, cutter.shank_diameter)
    neck = cutter.neck_diameter or cutter.diameter
    wide[x < cutter.reach] = neck
    fluted = x < cutter.flute_length
    slope = math.tan(cutter.half_angle or (cutter.point_angle or 0.0) / 2.0)
    cone = cutter.tip_diameter + 2.0 * x * slope if slope else np.full(x.shape, cutter.diameter)
    wide[fluted] = 0.8 * np.minimum(cone, cutter.diameter)[fluted]
    load = 0.15 if cutter.kind is CutterKind.ENGRAVER else 0.0
    counts = x > load
    bends = float(np.sum((x**2 / (steel["elasticity"] * math.pi * wide**4 / 64.0))[counts])) * cutter.stick_out / 4000
    return Held(
        gives=bends + 1.0 / (1000.0 * machine.stiffness),
        stress=float(np.max((32.0 * x / (math.pi * wide**3))[counts])),
        bears=steel["stress"],
    )


def forces(found: Contact, *, cutter: Cutter, material: Material, chip: float) -> tuple[float, float]:
    """Mean torque in N mm and highest force in the plane in N over a turn, of a worn edge."""
    assert material.kc11 is not None
    assert material.mc is not None
    height, radius, thick, meets = _slices(found)
    per_mm = material.kc11 * (chip * np.cos(ANGLES)) ** (1.0 - material.mc)
    torque = cutter.teeth * ANGLE / math.tau * float(np.sum(meets * per_mm * (thick * radius)[:, None]))
    turn = np.arange(24)[:, None, None] / 24.0 * math.tau / cutter.teeth
    tooth = np.arange(cutter.teeth)[None, :, None] * math.tau / cutter.teeth
    lag = height[None, None, :] * math.tan(cutter.helix) / (cutter.diameter / 2.0)
    angle = np.mod(lag - turn - tooth + math.pi, math.tau) - math.pi  # the spindle turns clockwise
    cell = np.rint((angle - ANGLES[0]) / ANGLE).astype(int)
    inside = (cell >= 0) & (cell < len(ANGLES))
    cuts = inside & meets[np.arange(len(height))[None, None, :], np.clip(cell, 0, len(ANGLES) - 1)]
    force = np.where(cuts, material.kc11 * (chip * np.maximum(np.cos(angle), 0.0)) ** (1.0 - material.mc) * thick, 0.0)
    x = np.sum(force * (np.sin(angle) - RADIAL * np.cos(angle)), axis=(1, 2))
    y = np.sum(force * (-np.cos(angle) - RADIAL * np.sin(angle)), axis=(1, 2))
    return WORN * torque, WORN * float(np.max(np.hypot(x, y)))


def _slices(found: Contact) -> tuple[Any, Any, Any, Any]:
    """Height, radius and thickness of each slice of the edge, and at which angles it meets stock."""
    if len(found.radii) > 1:
        thick = np.diff(found.heights)
        return (found.heights[1:] + found.heights[:-1]) / 2.0, found.radii, thick, found.depths > 0.5 * thick[:, None]
    middle = (np.arange(12) + 0.5) / 12.0 * found.depth
    return middle, np.full(12, found.radii[0]), np.full(12, found.depth / 12.0), found.depths[0] >= middle[:, None]


def thickest_allowed(cutter: Cutter, *, found: Contact, material: Material) -> float:
    """The most that the table gives a tooth at the cutter's width; the smallest tabulated for narrower tips."""
    row = next(row for row in material.rows if row.tool_material == cutter.tool_material)
    wide = [chip.diameter for chip in row.chips]
    most = [chip.chip_max for chip in row.chips]
    tapers = {CutterKind.TAPER: cutter.tip_diameter, CutterKind.ENGRAVER: 2.0 * float(found.radii.max())}
    diameter = tapers.get(cutter.kind, cutter.diameter)
    share = min(diameter / wide[0], 1.0) if cutter.kind is not CutterKind.ENGRAVER else 1.0
    return share * float(np.interp(diameter, wide, most))


def overloads(plan: Written) -> Iterator[str]:
    """Everything in some programs that is beyond a limit, said with its line."""
    track = track_of(plan.programs)
    firsts = [int(np.flatnonzero(track.program == number)[0]) for number in range(len(plan.programs))]
    holds = {one.cutter.name: held(one.cutter, machine=plan.machine) for one in plan.programs}
    rows = {(one.rpm, one.power) for one in plan.machine.power}
    rpms, watts = zip(*sorted(rows), strict=True)
    for found in contacts(track, plate=plan.plate, apart=APART_MM):
        number = int(track.program[found.row])
        program = plan.programs[number]
        place = found.row - firsts[number]
        feed, rpm = float(program.motions.feed[place]), float(program.motions.rpm[place])
        where = f"{program.file} line {track.line[found.row]}, F{feed:g} S{rpm:g}"
        for what, value, limit in _asked(
            found, plan=plan, cutter=program.cutter, feed=feed, rpm=rpm, watts=float(np.interp(rpm, rpms, watts)),
            hold=holds[program.cutter.name],
        ):  # fmt: skip
            if value > limit * MARGIN:
                met = f"{math.degrees(found.arc):.0f} degrees, {found.depth:.2f} mm deep"
                yield f"{where}: {what} {value:.4g}, bears {limit:.4g} ({met})"


def _asked(
    found: Contact, *, plan: Written, cutter: Cutter, feed: float, rpm: float, watts: float, hold: Held
) -> Iterator[tuple[str, float, float]]:
    """What a moment asks, and the limit of each."""
    yield "feed", feed, plan.machine.feed_max
    yield "speed", rpm, min(plan.machine.rpm_max, cutter.rpm_max or math.inf)
    if cutter.kind in HOLES:
        return
    most = thickest_allowed(cutter, found=found, material=plan.material)
    if found.under > 0.05:
        share = 1.0 if cutter.kind is CutterKind.ENGRAVER else 0.5  # a point pushes little aside
        yield "chip straight down", feed * found.fall / (rpm * cutter.teeth), share * most
    chip = feed * math.sqrt(max(1.0 - found.fall**2, 0.0)) / (rpm * cutter.teeth)
    meets = found.depths.max(axis=0) > 1e-6
    if not meets.any() or chip < 1e-6:
        return
    yield "chip", chip * float(np.max(np.cos(ANGLES[meets]))), most
    if plan.material.kc11 is None or plan.material.mc is None:
        return
    torque, force = forces(found, cutter=cutter, material=plan.material, chip=chip)
    yield "power", torque / 1000.0 * math.tau * rpm / 60.0, watts
    uneven = (min(chip + plan.machine.run_out, cutter.teeth * chip) / chip) ** (1.0 - plan.material.mc)
    yield "root stress", force * uneven * hold.stress, hold.bears
    yield "bending", force * hold.gives, min(0.05, plan.material.finish_wall / 2.0)


@pytest.mark.parametrize("name", ["first", "cavity", "back", "nest", "scale"])
def test_no_move_of_an_example_asks_more_than_its_cutter_and_its_mill_bear(
    planned: Callable[[str], Any], name: str
) -> None:
    example = planned(name)
    assert list(overloads(written(example.job, example.folder))) == []


@pytest.mark.parametrize(
    ("machine", "material"),
    [
        ("bench-mill", "aluminium-6082"),
        ("gantry-router", "brass"),
        ("rigid-mill", "mild-steel"),
        ("belt-mill", "aluminium-6082"),
    ],
)
def test_no_move_in_necks_wells_corners_and_slots_asks_more(
    tmp_path: Path, plates: Any, run: Callable[..., Any], machine: str, material: str
) -> None:
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", plates.rounded(0, 0, 70, 50, radius=2)),
            ("NECK", [(8, 8), (26, 8), (26, 18), (34, 18), (34, 8), (52, 8), (52, 42), (34, 42), (34, 26), (26, 26),
                      (26, 42), (8, 42)]),
            ("WELL", [(57, 35, 1.0), (64.2, 35, 1.0)]),
        ],
        open_=[("SLOT", [(57, 10), (64, 10), (64, 24)])],
    )  # fmt: skip
    job = plates.job(tmp_path, NECKS.format(machine=machine, material=material))
    ran = run("plan", job)
    assert ran.code in (0, 1), ran.out + ran.err
    plan = written(job, tmp_path / "plate-out")
    assert plan.programs
    assert list(overloads(plan)) == []


LEANING = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "taper-2deg-3", "spot-90-6", "ball-3"]

[plate]
thickness_mm = 8
outline = "PLATE"

[[feature]]
name = "{name}"
kind = "{kind}"
layer = "SHAPE"
depth_mm = 5
{more}
"""


@pytest.mark.parametrize(
    ("kind", "more"),
    [
        ("pocket", "draft_deg = 2"),
        ("outline", "draft_deg = 2"),
        ("outline", 'draft_deg = 2\nside = "inside"'),
        ("pocket", '[[feature]]\nname = "rim"\nkind = "edge"\nlayer = "SHAPE"\nchamfer_mm = 0.6'),
        ("pocket", '[[feature]]\nname = "rim"\nkind = "edge"\nlayer = "SHAPE"\nradius_mm = 0.8'),
    ],
)
def test_no_move_along_leaning_walls_and_edges_asks_more(
    tmp_path: Path, plates: Any, run: Callable[..., Any], kind: str, more: str
) -> None:
    """A shape with sharp inner corners, whichever side of it is cut."""
    shape = [(15, 12), (55, 12), (55, 24), (38, 24), (38, 38), (15, 38)]
    plates.drawn(tmp_path / "plate.dxf", closed=[("PLATE", plates.rounded(0, 0, 70, 50, radius=2)), ("SHAPE", shape)])
    job = plates.job(tmp_path, LEANING.format(name=kind, kind=kind, more=more))
    ran = run("plan", job)
    assert ran.code == 0, ran.out + ran.err
    assert list(overloads(written(job, tmp_path / "plate-out"))) == []


def test_a_cut_that_asks_too_much_is_seen() -> None:
    """The same measure on a slot 5 mm deep at twice the feed: all of it is beyond what a bench mill bears."""
    beside = Path(__file__).parent
    cutter = load_shelf(("slot-6",), beside=beside).cutters["slot-6"]
    text = "G21 G90 G17\nM3 S13700\nG0 X10 Y20 Z5\nG1 Z-5 F200\nX60 F2400\nG0 Z5\nM2\n"
    material = load_material("aluminium-6082", beside=beside).material
    machine = load_machine("bench-mill", beside=beside).machine
    edge = Region(outer=chain([(0.0, 0.0), (80.0, 0.0), (80.0, 40.0), (0.0, 40.0)], closed=True))
    plate = Plate(thickness=10.0, outline=edge, bounds=(0.0, 0.0, 80.0, 40.0), zero="front-left")
    post = load_bench(beside.parents[1] / "examples" / "first" / "first.toml").post
    program = ProgramUnderProof(
        file="hard.ngc", setting="", cutter=cutter, motions=read(text, file="hard.ngc", post=post).motions
    )
    plan = Written(document={}, programs=(program,), plate=plate, material=material, machine=machine)
    said = "\n".join(overloads(plan))
    for what in ("chip", "power", "root stress", "bending"):
        assert f"{what} " in said


@pytest.mark.parametrize(("cutter", "width"), [("slot-6", 6.1), ("slot-3", 3.05), ("slot-3", 3.2)])
def test_the_walls_of_a_pocket_hardly_wider_than_the_cutter_are_fed_as_walls(
    cutter: str, width: float, tmp_path: Path, plates: Any
) -> None:
    """There is no room for leads; what roughing leaves there is a skin all the same, and no slot."""
    edge = plates.rounded(0, 0, 60, 40, radius=2)
    slot = plates.rounded(10, 10, 40, 10 + width, radius=width / 2.0 - 1e-4)
    plates.drawn(tmp_path / "plate.dxf", closed=[("PLATE", edge), ("POCKET", slot)])
    head = plates.HEAD.replace('"slot-6", "spot-90-6", "drill-4.2"', f'"{cutter}"')
    plan = plan_job(plates.job(tmp_path, head + plates.POCKET.replace("depth_mm = 3", "depth_mm = 6")))
    assert plan.proof.passed
    assert "slot-rubs" not in {finding.code for finding in plan.findings}
    (program,) = (one for one in plan.programs if one.cutter is not None)
    wall = [one for one in program.operations if one.purpose.value == "finish"][-1]
    motions = program.motions
    level = (motions.line >= wall.first_line) & (motions.line <= wall.last_line)
    level &= (np.abs(motions.start[:, 2] + 6.0) < 1e-6) & (np.abs(motions.end[:, 2] + 6.0) < 1e-6)
    across = np.hypot(*(motions.end - motions.start)[:, :2].T)
    assert across[level].sum() > 45.0
    assert across[level & (motions.feed >= 0.99 * wall.feed)].sum() > 0.8 * across[level].sum()
