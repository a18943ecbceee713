"""Plates that belong together, as a user meets them: one project file, every plate planned, what differs named."""

import shutil
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import ezdxf
import pytest

Run = Callable[..., Any]

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"

HEAD = """\
drawing = "{name}.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-4", "spot-90-6", "drill-4.2"]

[plate]
thickness_mm = 10
outline = "PLATE"

[[feature]]
name = "guide pins"
kind = "hole"
layer = "PINS"
depth = "through"

[[feature]]
name = "{pocket}"
kind = "pocket"
layer = "{layer}"
depth_mm = {depth}
"""

PROJECT = """\
title = "Hive entrance disc, mould"

[[plate]]
name = "cavity"
job = "cavity.toml"

[[plate]]
name = "back"
job = "back.toml"
mirrored = true

[[pattern]]
features = ["cavity: guide pins", "back: guide pins"]

[[mating]]
core = "back: core"
cavity = "cavity: disc"
gap_mm = 1.2
floor_gap_mm = 1.0
"""


@pytest.fixture
def mould(tmp_path: Path, plates: ModuleType) -> Callable[..., Path]:
    """The two plates of a small mould; the core may stand ``off`` its place, and pins of the back be moved."""

    def made(*, off: float = 0.0, pin: float = 0.0, mirrored: bool = True) -> Path:
        edge = plates.rounded(0, 0, 70, 50, radius=3)
        pins = ((8, 8), (8, 42), (62, 42))
        plates.drawn(
            tmp_path / "cavity.dxf",
            closed=[("PLATE", edge), ("DISC", plates.rounded(18, 13, 52, 37, radius=5))],
            circles=[("PINS", x, y, 4.2) for x, y in pins],
        )
        core = plates.rounded(19.2 + off, 14.2, 50.8 + off, 35.8, radius=3.8)
        back = [(70 - x, y) for x, y in pins]
        back[0] = (back[0][0] + pin, back[0][1])
        plates.drawn(
            tmp_path / "back.dxf",
            closed=[("PLATE", edge), ("CORE", plates.rounded(-8, -8, 78, 58, radius=1)), ("CORE", core)],
            circles=[("PINS", x, y, 4.2) for x, y in back],
        )
        for name, pocket, layer, depth in (("cavity", "disc", "DISC", 4.0), ("back", "core", "CORE", 3.0)):
            text = HEAD.format(name=name, pocket=pocket, layer=layer, depth=depth)
            (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
        project = tmp_path / "mould.toml"
        text = PROJECT if mirrored else PROJECT.replace("mirrored = true\n", "")
        project.write_text(text, encoding="utf-8")
        return project

    return made


def test_plates_that_fit_are_planned_each_into_its_folder(mould: Callable[..., Path], run: Run) -> None:
    project = mould()
    ran = run("plan", project)
    assert ran.code == 0, ran.out + ran.err
    out = project.with_name("mould-out")
    for name in ("cavity", "back"):
        assert (out / name / "plan.json").exists()
        assert (out / name / "sheet.html").exists()
        assert list((out / name).glob("*.ngc"))
    page = (out / "project.html").read_text(encoding="utf-8")
    assert "The plates fit each other, and every program is proven" in page
    assert 'href="cavity/sheet.html"' in page
    assert "<svg" in page
    assert "3 holes within 5 um" in ran.out
    assert "gap 1.2 to 1.2 mm at 11 depths" in ran.out


def test_planning_again_writes_the_same_and_leaves_what_is_the_users(mould: Callable[..., Path], run: Run) -> None:
    project = mould()
    run("plan", project)
    out = project.with_name("mould-out")
    first = {path: path.read_bytes() for path in sorted(out.rglob("*")) if path.is_file()}
    (out / "notes.txt").write_text("mine", encoding="utf-8")
    assert run("plan", project).code == 0
    again = {path: path.read_bytes() for path in sorted(out.rglob("*")) if path.is_file()}
    assert again.pop(out / "notes.txt") == b"mine"
    assert again == first


def test_a_plate_is_planned_as_it_is_by_itself(mould: Callable[..., Path], run: Run) -> None:
    project = mould()
    run("plan", project)
    run("plan", project.with_name("back.toml"))
    together, alone = project.with_name("mould-out") / "back", project.with_name("back-out")
    files = sorted(path.name for path in alone.iterdir())
    assert sorted(path.name for path in together.iterdir()) == files
    assert all((together / name).read_bytes() == (alone / name).read_bytes() for name in files)


def test_a_pin_twenty_micrometres_off_and_a_core_out_of_its_place_end_with_one(
    mould: Callable[..., Path], run: Run
) -> None:
    project = mould(pin=0.02, off=0.1)
    ran = run("plan", project)
    assert ran.code == 1, ran.out + ran.err
    said = " ".join(ran.out.split())
    assert "[hole-off-centre]" in said
    assert "at (62.020, 8.000) lies 20.0 um off" in said
    assert "[gap-too-narrow]" in said
    assert "only 1.100 mm" in said
    assert "[gap-too-wide]" in said
    page = (project.with_name("mould-out") / "project.html").read_text(encoding="utf-8")
    assert "The plates do not fit each other as asked" in page
    assert "hole-off-centre" in page


def test_a_plate_that_is_not_said_to_be_mirrored_is_recognised(mould: Callable[..., Path], run: Run) -> None:
    ran = run("plan", mould(mirrored=False))
    assert ran.code == 1
    said = " ".join(ran.out.split())
    assert "[pattern-lies-otherwise]" in said
    assert 'it would match if "back" were mirrored about y' in said


def test_problems_of_the_project_and_of_its_jobs_come_in_one_run_and_nothing_is_written(
    mould: Callable[..., Path], run: Run
) -> None:
    project = mould()
    for name in ("cavity", "back"):
        job = project.with_name(f"{name}.toml")
        job.write_text(job.read_text(encoding="utf-8").replace('layer = "PINS"', 'layer = "PIN"'), encoding="utf-8")
    text = PROJECT.replace("gap_mm = 1.2", "gap_mm = -1\nwidth_mm = 3")
    project.write_text(text.replace("floor_gap_mm", "floor_mm"), encoding="utf-8")
    ran = run("plan", project)
    assert ran.code == 2
    assert ran.err.count('no layer "PIN"') == 2
    assert "mating[1].gap_mm: -1 is impossible" in ran.err
    assert "mating[1].floor_mm: is not a known key; did you mean 'floor_gap_mm'?" in ran.err
    assert not project.with_name("mould-out").exists()


def test_names_that_are_none_and_features_of_the_wrong_kind_are_refused(mould: Callable[..., Path], run: Run) -> None:
    project = mould()
    text = PROJECT.replace("back: guide pins", "back: guide pin").replace("cavity: guide pins", "cavity: disc")
    text = text.replace('cavity = "cavity: disc"', 'cavity = "cavity: guide pins"')
    project.write_text(text.replace('core = "back: core"', 'core = "back: guide pins"'), encoding="utf-8")
    ran = run("plan", project)
    assert ran.code == 2
    assert "no feature of that name; did you mean 'guide pins'?" in ran.err
    assert '"cavity: disc" is no feature of holes' in ran.err
    assert '"back: guide pins" leaves nothing standing' in ran.err
    assert '"cavity: guide pins" is no pocket' in ran.err


def test_a_project_is_no_job_for_other_commands(mould: Callable[..., Path], run: Run) -> None:
    project = mould()
    assert "project of several plates" in run("cutters", project).err
    assert "project of several plates" in run("check", "none.ngc", "--job", project).err


def test_the_plates_of_the_example_fit_and_a_moved_dowel_is_found(tmp_path: Path, run: Run) -> None:
    for name in ("cavity", "back"):
        (tmp_path / name).mkdir()
        for file in (f"{name}.toml", f"{name}.dxf"):
            shutil.copy(EXAMPLES / name / file, tmp_path / name / file)
    project = shutil.copy(EXAMPLES / "mould.toml", tmp_path / "mould.toml")
    ran = run("plan", project)
    assert ran.code == 0, ran.out + ran.err
    assert "3 holes within 5 um" in ran.out
    path = tmp_path / "back" / "back.dxf"
    drawing = ezdxf.readfile(path)
    dowel = next(one for one in drawing.modelspace().query("CIRCLE") if one.dxf.layer == "DOWELS")
    dowel.dxf.center = dowel.dxf.center + ezdxf.math.Vec3(0.006, 0, 0)
    drawing.saveas(path)
    ran = run("plan", project)
    assert ran.code == 1
    assert "6.0 um off" in " ".join(ran.out.split())
