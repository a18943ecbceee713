"""Cut, measure, skim, until it fits: what the written text leaves is worked out here from the text alone.

A cutter that is smaller than its name by u, on a mill with play p, leaves every wall (u + p) / 2 short of where the
program puts it (plane geometry).
"""

import json
import math
import random
import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import shapely
from acceptance import shadow
from acceptance.mills import Mill, planned, removed, told

from camplan.comparison.records import ProgramUnderProof
from camplan.features.specs import PocketSpec
from camplan.findings import Severity
from camplan.pipeline.bench import load_bench, shop_of
from camplan.pipeline.faces import picked_faces
from camplan.pipeline.recutting import recut
from camplan.pipeline.skim_proof import Before, proven
from camplan.pipeline.worst_stock import unsafe_in_worst_stock
from camplan.recut.asked import Along, Asked, Measured
from camplan.recut.figures import grown
from camplan.recut.folder import read_folder
from camplan.recut.history import history_of
from camplan.recut.journal import read_journal
from camplan.rs274.read import read

UNDERSIZE, PLAY = 0.025, 0.015
OFF = (UNDERSIZE + PLAY) / 2.0


def read_off(true: float, *, chance: random.Random, sigma: float = 0.003) -> list[str]:
    return [f"{chance.gauss(true, sigma):.3f}" for _ in range(5)]


def test_a_pocket_is_cut_measured_and_skimmed_until_it_fits(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ring = plates.rounded(15, 8, 45, 32, radius=4)
    job = planned(tmp_path, plates, run, closed=[("POCKET", ring)], more="tolerance_um = 12\n")
    mill, chance, errors = Mill(job=job, off=OFF), random.Random(7), []
    for _ in range(4):
        wide, long = mill.across()
        words = ["--across", "x", "--measured", *read_off(wide, chance=chance)]
        words += ["--across", "y", "--measured", *read_off(long, chance=chance), "--sigma-um", "3"]
        before = len(mill.skims())
        ran = run("recut", mill.plan, "pocket", *words)
        assert (ran.code, ran.err) == (0, ""), ran.out
        if len(mill.skims()) == before:
            break
        errors.append(max(30.0 - mill.across()[0], 24.0 - mill.across()[1]) / 2.0)
    assert "Nothing needs cutting" in told(ran.out)
    assert len(errors) == 2, (errors, ran.out)
    assert 0.012 < errors[0] <= OFF, errors
    assert 0.0 <= errors[1] <= errors[0] / 3.0
    wanted = shapely.Polygon(shapely.box(15, 8, 45, 32)).buffer(-4).buffer(4, quad_segs=64)
    assert mill.plate().difference(wanted.buffer(0.001)).is_empty


def test_walls_that_were_not_measured_stay_where_they_are(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """An island as well: the walls that face X between it and the pocket's give, those that face Y do not."""
    island = [(27, 17), (33, 17), (33, 23), (27, 23)]
    job = planned(
        tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=4)), ("POCKET", island)]
    )
    mill = Mill(job=job, off=0.01)
    wide, long = mill.across(at=(21.0, 20.0))[0], mill.across()[1]
    ran = run(
        "recut",
        mill.plan,
        "pocket",
        "--across",
        "x",
        "--at",
        "21",
        "20",
        "--measured",
        f"{wide:.3f}",
        "--sigma-um",
        "2",
    )
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "Walls that face Y were not measured and stay" in told(ran.out)
    assert mill.across()[1] == pytest.approx(long, abs=1e-3)
    # asked for 12 between the walls; the cutter is 10 um a wall short of that
    assert mill.across(at=(21.0, 20.0))[0] == pytest.approx(12.0 - 0.02, abs=2e-3)
    assert mill.across(at=(39.0, 20.0))[0] == pytest.approx(12.0 - 0.02, abs=2e-3)
    document = json.loads((mill.skims()[0] / "skim.json").read_text(encoding="utf-8"))
    assert document["grow_mm"] == [pytest.approx(0.0, abs=1e-3), pytest.approx(-0.15)]


def test_an_island_that_is_too_large_gives_by_itself(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    island = [(27, 17), (33, 17), (33, 23), (27, 23)]
    job = planned(
        tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=4)), ("POCKET", island)]
    )
    mill = Mill(job=job, off=0.01)
    core = ["--at", "30", "20", "--measured"]
    words = ["--across", "x", *core, "6.32", "--across", "y", *core, "6.32", "--wanted", "6.1", "--sigma-um", "2"]
    before = mill.across()
    ran = run("recut", mill.plan, "pocket", *words)
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "Each wall of the island must give 160 um" in told(ran.out)
    document = json.loads((mill.skims()[0] / "skim.json").read_text(encoding="utf-8"))
    aims = [one["aim_mm"] for one in document["sizes"]]
    assert 5.98 <= aims[0] <= 6.0 and 6.08 <= aims[1] <= 6.1
    (hole,) = mill.plate().interiors
    x0, y0, x1, y1 = hole.bounds
    assert (x1 - x0, y1 - y0) == (pytest.approx(aims[0] + 0.02, abs=2e-3), pytest.approx(aims[1] + 0.02, abs=2e-3))
    assert mill.across() == (pytest.approx(before[0], abs=1e-3), pytest.approx(before[1], abs=1e-3))
    small = run("recut", mill.plan, "pocket", "--across", "x", *core, "5.9", "--wanted", "6.0")
    assert small.code == 1
    assert "It is 100 um too small" in told(small.out)


def test_a_round_pocket_gives_all_round_by_one_width(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    ring = [(20.0, 20.0, 1.0), (40.0, 20.0, 1.0)]
    job = planned(tmp_path, plates, run, closed=[("POCKET", ring)])
    mill = Mill(job=job, off=OFF)
    ran = run("recut", mill.plan, "pocket", "--across", "x", "--measured", "19.66", "--wanted", "20.1")
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "2 rounds of 110 um each" in told(ran.out)
    wide, long = mill.across()
    assert (wide, long) == (pytest.approx(20.1 - 2 * OFF, abs=1e-3), pytest.approx(20.1 - 2 * OFF, abs=1e-3))
    assert not list(mill.plan.glob("skim*"))


def test_holes_that_were_bored_are_skimmed_by_their_diameter(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[("PLATE", plates.rounded(0, 0, 60, 40, radius=2))],
        circles=[("BORES", 20.0, 20.0, 9.0), ("BORES", 40.0, 20.0, 9.0)],
    )
    bores = '\n[[feature]]\nname = "bores"\nkind = "hole"\nlayer = "BORES"\ndepth_mm = 5\nspot = false\n'
    job = plates.job(tmp_path, plates.HEAD + bores)
    assert run("plan", job).code == 0
    words = ["bores", "--diameter", "--measured", "8.95", "8.951", "8.949", "--wanted", "9.04", "--sigma-um", "2"]
    ran = run("recut", tmp_path / "plate-out", *words)
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "bores, all 2 regions" in told(ran.out)
    (program,) = (tmp_path / "plate-out-skim-1").glob("*01-slot-6.ngc")
    aim = json.loads((tmp_path / "plate-out-skim-1" / "skim.json").read_text(encoding="utf-8"))["sizes"][0]["aim_mm"]
    assert 9.04 <= aim <= 9.04 + 0.05
    for part in shapely.get_parts(removed(program, diameter=6.0, off=0.0)):
        x0, y0, x1, y1 = part.bounds
        assert (x1 - x0, y1 - y0) == (pytest.approx(aim, abs=2e-3), pytest.approx(aim, abs=2e-3))


def test_a_floor_that_stands_too_high_is_taken_down_all_over(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """Where the zero of Z stays, what it was off is made up for as far as that is sure; touched off anew, it is not."""
    job = planned(tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=2))])
    words = ["pocket", "--depth", "--measured", "2.95", "2.951", "2.949", "--sigma-um", "2"]
    ran = run("recut", tmp_path / "plate-out", *words)
    assert (ran.code, ran.err) == (0, ""), ran.out
    skim = Mill(job=job, off=0.0).skims()[0]
    document = json.loads((skim / "skim.json").read_text(encoding="utf-8"))
    aim = document["sizes"][0]["aim_mm"]
    assert 3.045 < aim < 3.05
    # every place between the walls as they stand, less what lies in corners tighter than the cutter, is taken down
    sizes = {"slot-6": 6.0, "slot-3": 3.0}
    gone = shapely.union_all(
        [
            removed(skim / one["file"], diameter=sizes[one["cutter"]], off=0.0, depth=aim - 1e-4)
            for one in document["programs"]
            if one["cutter"]
        ]
    )
    walls = shapely.box(15.15, 8.15, 44.85, 31.85).buffer(-1.85).buffer(1.85, quad_segs=64)
    assert gone.difference(walls.buffer(0.002)).is_empty
    left = walls.buffer(-0.002).difference(gone)
    assert left.area < 5e-3
    anew = run("recut", tmp_path / "plate-out", *words, "--not-run", "--new-zero")
    assert (anew.code, anew.err) == (0, ""), anew.out
    assert "nothing is made up for" in told(anew.out)
    second = json.loads((tmp_path / "plate-out-skim-2" / "skim.json").read_text(encoding="utf-8"))
    assert second["sizes"][0]["aim_mm"] == 3.0


@pytest.mark.parametrize(("cutters", "draft"), [('"slot-6", "taper-2deg-3"', 2.0), ('"slot-6"', 3.0)])
def test_leaning_walls_give_the_same_at_every_height(
    plates: Any, run: Callable[..., Any], tmp_path: Path, cutters: str, draft: float
) -> None:
    """A width at depth d is the drawn one less 2 d tan(draft) (plane geometry); steps stand on it within the
    tolerance."""
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[("PLATE", plates.rounded(0, 0, 60, 40, radius=2)), ("POCKET", [(12, 8), (48, 8), (48, 32), (12, 32)])],
    )
    more = f"allowance_mm = 0.15\ndraft_deg = {draft}\ntolerance_um = 25\n"
    text = plates.HEAD.replace('"slot-6", "spot-90-6", "drill-4.2"', cutters) + plates.POCKET + more
    assert run("plan", plates.job(tmp_path, text)).code == 0
    lean = math.tan(math.radians(draft))
    drawn = 36.0 - 2.0 * 2.0 * lean
    asked = run("recut", tmp_path / "plate-out", "pocket", "--across", "x", "--measured", "35.6")
    assert "at what depth was it measured?" in told(asked.err)
    words = ["--across", "x", "--at-depth", "2", "--measured", f"{drawn - 0.3:.3f}", "--sigma-um", "3"]
    ran = run("recut", tmp_path / "plate-out", "pocket", *words)
    assert (ran.code, ran.err) == (0, ""), ran.out
    document = json.loads((tmp_path / "plate-out-skim-1" / "skim.json").read_text(encoding="utf-8"))
    assert document["sizes"][0]["wanted_mm"] == pytest.approx(drawn, abs=1e-5)
    assert document["grow_mm"] == [pytest.approx(0.0, abs=1e-5), -0.15]
    (program,) = [one for one in document["programs"] if one["cutter"]]
    levels = program["operations"][0]["levels_mm"]
    assert levels[-1] == -3.0
    found, _ = shadow.steps((tmp_path / "plate-out-skim-1" / program["file"]).read_text(encoding="utf-8").splitlines())
    tip = 3.0 if "taper" in program["cutter"] else 6.0
    for level in levels:
        path = [step.path for step in found if step.mode != 0 and abs(float(step.path[:, 2].max()) - level) < 1e-3]
        wide = max(float(one[:, 0].max()) for one in path) - min(float(one[:, 0].min()) for one in path) + tip
        assert wide == pytest.approx(36.0 + 2.0 * level * lean, abs=0.003 + 2e-3)


def test_a_mate_that_sticks_asks_for_one_small_step(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    job = planned(tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=4))])
    mill = Mill(job=job, off=OFF)
    ran = run("recut", mill.plan, "pocket", "--across", "x", "--sticks", "--step-um", "12")
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "A step of 12 um off each wall" in told(ran.out)
    assert mill.across()[0] == pytest.approx(29.7 + 0.024 - 2 * OFF, abs=1e-3)


def test_what_is_too_large_already_is_not_cut(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    job = planned(tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=4))])
    ran = run("recut", tmp_path / "plate-out", "pocket", "--across", "x", "--measured", "30.11")
    assert (ran.code, ran.err) == (1, "")
    said = " ".join(ran.out.split())
    assert "It is 110 um too large" in said
    assert "make its mate 110 um larger" in said
    assert not Mill(job=job, off=0.0).skims()


@pytest.fixture(scope="module")
def shy(plates: Any, run: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A plate that was planned with an allowance."""
    folder = tmp_path_factory.mktemp("shy")
    return planned(folder, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=4))])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["pocket", "--across", "x", "--measured", "1.1673"], "looks like inches"),
        (["pocket", "--across", "x", "--measured=-29.65"], "its sign looks turned"),
        (["pocket", "--across", "x", "--measured", "12.0"], "far from what was cut"),
        (["pocket", "--across", "x", "--measured", "29.65", "--wanted", "1.18"], "looks like inches"),
        (["socket", "--across", "x", "--measured", "29.65"], "the job has no such feature (accepted: pocket)"),
        (["pocket", "--across", "x"], "no reading is given"),
        (["pocket", "--measured", "29.65"], "it is not said what was measured"),
        (["pocket"], "no size is given"),
        (["pocket", "--diameter", "--measured", "29.65"], "pocket is not round"),
        (["pocket", "--across", "x", "--measured", "29.65", "--region", "2"], "pocket has no region 2"),
        (["pocket", "--across", "x", "--measured", "29.65", "--at", "2", "2"], "is not inside pocket"),
        (
            ["pocket", "--across", "x", "--measured", "29.65", "--across", "x", "--measured", "29.6"],
            "more than one size",
        ),
        (["pocket", "--across", "x", "--measured", "29.65", "--not-run"], "no skim of pocket was written"),
    ],
)
def test_what_cannot_be_meant_is_refused_and_nothing_is_written(
    shy: Path, run: Callable[..., Any], words: list[str], said: str
) -> None:
    before = sorted(shy.parent.rglob("*"))
    ran = run("recut", shy.parent / "plate-out", *words)
    assert ran.code == 2, ran.out
    assert said in " ".join(ran.err.split())
    assert sorted(shy.parent.rglob("*")) == before


def test_a_plan_that_no_longer_matches_its_job_is_refused(shy: Path, run: Callable[..., Any], tmp_path: Path) -> None:
    for file in shy.parent.glob("plate.*"):
        shutil.copy(file, tmp_path / file.name)
    job = tmp_path / "plate.toml"
    job.write_text(job.read_text(encoding="utf-8").replace("0.15", "0.10"), encoding="utf-8")
    ran = run("recut", shy.parent / "plate-out", "pocket", "--across", "x", "--measured", "29.65", "--job", job)
    assert ran.code == 2
    assert "plate.toml changed after that was planned" in told(ran.err)
    assert not list(tmp_path.glob("*.journal"))


def test_a_torn_journal_is_noted_and_kept(shy: Path, run: Callable[..., Any], tmp_path: Path) -> None:
    """And a size that did not change since a skim was written says that the skim was not run."""
    folder = tmp_path / "plate"
    shutil.copytree(shy.parent, folder)
    words = ["pocket", "--across", "x", "--measured", "29.65"]
    first = run("recut", folder / "plate-out", *words)
    assert first.code == 0, first.err
    journal = folder / "plate.journal"
    torn = journal.read_bytes() + b'0badc0de {"kind": "skim", "sk'
    journal.write_bytes(torn)
    again = run("recut", folder / "plate-out", *words)
    assert again.code == 2
    assert "it seems not to have been run" in told(again.err)
    assert journal.read_bytes() == torn
    anew = run("recut", folder / "plate-out", *words, "--not-run")
    assert anew.code == 0, anew.err
    assert "journal-torn" in told(anew.out)
    assert journal.read_bytes().startswith(torn)
    assert (folder / "plate-out-skim-2" / "skim.txt").is_file()


def test_a_skim_that_was_changed_since_is_not_believed(shy: Path, run: Callable[..., Any], tmp_path: Path) -> None:
    folder = tmp_path / "plate"
    shutil.copytree(shy.parent, folder)
    assert run("recut", folder / "plate-out", "pocket", "--across", "x", "--measured", "29.65").code == 0
    (program,) = (folder / "plate-out-skim-1").glob("*01-slot-6.ngc")
    program.write_text(re.sub(r"F1315", "F1316", program.read_text(encoding="utf-8"), count=1), encoding="utf-8")
    ran = run("recut", folder / "plate-out", "pocket", "--across", "x", "--measured", "29.95")
    assert ran.code == 2
    assert "was changed since it was proven" in told(ran.err)


def test_a_rapid_that_only_the_real_plate_bars_is_found(shy: Path) -> None:
    """Planned, the cleared middle ends at X 44.85; a cutter of 6 mm whose middle stands at X 41.82 reaches to 44.82."""
    bench = load_bench(shy)
    (program,) = [one for one in read_folder(shy.parent / "plate-out").programs if one.cutter]
    (cutter,) = [one for one in bench.shelf if one.name == "slot-6"]

    def under(text: str) -> ProgramUnderProof:
        reading = read(text, file="skim.ngc", post=bench.post)
        return ProgramUnderProof(file="skim.ngc", setting="one clamping", cutter=cutter, motions=reading.motions)

    before, skim = under(program.text), under("G17 G21 G90 G94\nM3 S9000\nG0 Z10\nX41.82 Y20\nZ-2\nZ10\nM5\nM2\n")
    found = {
        short: unsafe_in_worst_stock([skim], before=[before], plate=bench.plate, short=short, bench=bench)
        for short in (0.0, 0.06)
    }
    assert found[0.0] == []
    assert [finding.code for finding in found[0.06]] == ["rapid-in-stock"]
    assert "60 um farther in than planned" in found[0.06][0].message


def test_the_journal_is_shown_as_a_table_and_a_picture(shy: Path, run: Callable[..., Any], tmp_path: Path) -> None:
    folder = tmp_path / "plate"
    shutil.copytree(shy.parent, folder)
    before = run("journal", folder / "plate.toml")
    assert before.code == 0
    assert "nothing was measured yet" in told(before.out)
    assert not list(folder.glob("*.svg"))
    assert run("recut", folder / "plate-out", "pocket", "--across", "x", "--measured", "29.65").code == 0
    ran = run("journal", folder / "plate.toml")
    assert (ran.code, ran.err) == (0, "")
    assert "skim 1 written" in told(ran.out)
    assert (folder / "plate-journal.svg").is_file()
    assert run("journal", folder / "plate.toml").code == 0
    gone = run("journal", folder / "another.toml")
    assert gone.code == 2
    assert "there is no such job file" in told(gone.err)


def test_the_sheet_says_what_to_type_once_it_is_measured(shy: Path, run: Callable[..., Any], tmp_path: Path) -> None:
    """And what it says can be typed."""
    sheet = (shy.parent / "plate-out" / "sheet.html").read_text(encoding="utf-8")
    (command,) = re.findall(r"<code>camplan (recut [^<]*)</code>", sheet)
    assert command == "recut plate-out pocket --across x --measured ... --across y --measured ..."
    folder = tmp_path / "plate"
    shutil.copytree(shy.parent, folder)
    words = (
        command.replace("plate-out", str(folder / "plate-out"))
        .replace("...", "29.65", 1)
        .replace("...", "23.66")
        .split()
    )
    ran = run(*words)
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "camplan recut" in told(ran.out)


def test_an_edge_along_walls_that_give_is_said_to_become_narrower(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    edge = '\n[[feature]]\nname = "rim"\nkind = "edge"\nlayer = "POCKET"\nchamfer_mm = 0.5\n'
    ring = plates.rounded(15, 8, 45, 32, radius=4)
    planned(tmp_path, plates, run, closed=[("POCKET", ring)], more=edge)
    ran = run("recut", tmp_path / "plate-out", "pocket", "--across", "x", "--measured", "29.66")
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert re.search(r"which give up to 17\d(\.\d)? um: it becomes so much narrower \[edge-narrower\]", told(ran.out))


def test_a_skim_that_goes_too_far_fails_its_proof(shy: Path) -> None:
    """The wall at X 45, cut by a path at X 42, is moved by 30 um in the text."""
    folder = shy.parent / "plate-out"
    sizes = (Asked(along=Along.X, readings=(29.68,), wanted=30.0), Asked(along=Along.Y, readings=(23.68,), wanted=24.0))
    found = recut(folder, Measured(feature="pocket", sizes=sizes, instrument=0.005))
    bench = load_bench(shy)
    (picked,) = picked_faces(bench, shop=shop_of(bench))
    history = history_of(read_journal(shy.with_suffix(".none")), plan_sum="p")
    before = Before(plan=read_folder(folder), history=history, picked=picked, bench=bench)
    (pocket,) = picked.face.features
    assert isinstance(pocket.spec, PocketSpec)
    regions = grown(pocket.regions[0], by=found.grow, islands=found.grow)
    wanted = replace(pocket, spec=replace(pocket.spec, allowance=0.0), regions=regions)
    far = [replace(one, text=re.sub(r"\bX42\b", "X42.03", one.text)) for one in found.programs]
    assert [one.text for one in far] != [one.text for one in found.programs]
    codes = {}
    for name, texts in (("as written", found.programs), ("too far", far)):
        _, findings = proven(texts, wanted=[wanted], name="pocket", before=before, short=0.02)
        codes[name] = {finding.code for finding in findings if finding.severity is Severity.UNSAFE}
    assert codes["as written"] == set()
    assert "gouge" in codes["too far"]


@pytest.mark.parametrize(("side", "hold"), [("outside", "bridges"), ("outside", "skin"), ("inside", "bridges")])
def test_the_wall_of_an_outline_is_skimmed_in_its_kerf(
    plates: Any, run: Callable[..., Any], tmp_path: Path, side: str, hold: str
) -> None:
    """A part gives inward, an opening outward; walls that were not measured stay."""
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", plates.rounded(0, 0, 60, 40, radius=2)),
            ("PART", plates.rounded(15, 10, 45, 30, radius=4)),
        ],
    )
    outline = f'\n[[feature]]\nname = "part"\nkind = "outline"\nlayer = "PART"\ndepth = "through"\nside = "{side}"\n'
    outline += f'hold = "{hold}"\nallowance_mm = 0.15\n'
    job = plates.job(tmp_path, plates.HEAD + outline)
    ran = run("plan", job)
    assert ran.code == 0, ran.out + ran.err
    mill = Mill(job=job, off=0.01)

    def widths() -> tuple[float, float]:
        kerf = mill.plate()
        x0, y0, x1, y1 = kerf.interiors[0].bounds if side == "outside" else kerf.bounds
        return x1 - x0, y1 - y0

    before = widths()
    words = ["--across", "x", "--measured", f"{before[0]:.3f}", "--sigma-um", "2"]
    ran = run("recut", mill.plan, "part", *words)
    assert (ran.code, ran.err) == (0, ""), ran.out
    after = widths()
    assert after[0] == pytest.approx(30.02 if side == "outside" else 29.98, abs=2e-3)
    assert after[1] == pytest.approx(before[1], abs=1e-3)


def test_parts_that_were_cut_free_are_not_skimmed(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", plates.rounded(0, 0, 60, 40, radius=2)),
            ("PART", plates.rounded(15, 10, 45, 30, radius=4)),
        ],
    )
    outline = '\n[[feature]]\nname = "part"\nkind = "outline"\nlayer = "PART"\ndepth = "through"\nhold = "none"\n'
    job = plates.job(tmp_path, plates.HEAD + outline)
    assert run("plan", job).code in (0, 1)
    ran = run("recut", tmp_path / "plate-out", "part", "--across", "x", "--measured", "30.1")
    assert ran.code == 2
    assert "its parts are cut free; it cannot be skimmed by a size" in told(ran.err)


def test_grooves_and_drilled_holes_are_not_skimmed_and_what_can_be_done_is_said(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """What is said of holes helps: bored by a plan without their drill, they are skimmed."""
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[("PLATE", plates.rounded(0, 0, 60, 40, radius=2))],
        open_=[("WAY", [(10, 10), (50, 10)])],
        circles=[("PINS", 20.0, 25.0, 4.2)],
    )
    way = '\n[[feature]]\nname = "way"\nkind = "groove"\nlayer = "WAY"\nwidth_mm = 6\ndepth_mm = 2\n'
    pins = '\n[[feature]]\nname = "pins"\nkind = "hole"\nlayer = "PINS"\ndepth_mm = 5\n'
    head = plates.HEAD.replace('"slot-6",', '"slot-6", "slot-3",')
    assert run("plan", plates.job(tmp_path, head + way + pins)).code == 0
    groove = run("recut", tmp_path / "plate-out", "way", "--across", "y", "--measured", "5.9")
    assert groove.code == 2
    assert "it is a groove, and grooves are not skimmed yet (accepted: a pocket drawn in its place" in told(groove.err)
    drilled = run("recut", tmp_path / "plate-out", "pins", "--diameter", "--measured", "4.1")
    assert drilled.code == 2
    assert "its holes were drilled, not bored, and those are not skimmed yet (accepted: a plan that" in told(
        drilled.err
    )
    assert not list(tmp_path.glob("*.journal"))
    bored = tmp_path / "bored"
    bored.mkdir()
    shutil.copy(tmp_path / "plate.dxf", bored)
    assert run("plan", plates.job(bored, head + way + pins + 'cutters = ["slot-3"]\n')).code == 0
    ran = run("recut", bored / "plate-out", "pins", "--diameter", "--measured", "4.1")
    assert (ran.code, ran.err) == (0, ""), ran.out
