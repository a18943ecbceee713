"""A plate that has pockets already: nothing is cut in air, and old and new together are what is wanted.

Programs are read by the second reader of `shadow.py` and held against figures drawn with GEOS alone.
"""

import json
import re
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from acceptance import shadow

HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-4", "slot-3"]

[plate]
thickness_mm = 10
outline = "PLATE"
"""
WIDE, LONG = 120.0, 80.0
OLD, NEW = (10, 10, 50, 50), (30, 20, 80, 40)
THIN, THICK = (50.6, 42, 70, 54), (56, 42, 75, 54)
BACK = (60, 50, 100, 70)
PINS = [(95, 15), (108, 40)]
WITHIN = 0.005

Run = Callable[..., Any]


def pocket(name: str, *, layer: str | None = None, depth: float = 5, more: str = "") -> str:
    head = f'\n[[feature]]\nname = "{name}"\nkind = "pocket"\nlayer = "{layer or name.upper()}"\n'
    return f"{head}depth_mm = {depth}\n{more}"


HOLES = '\n[[feature]]\nname = "pins"\nkind = "hole"\nlayer = "PINS"\ndepth = "through"\n'
FROM_FIRST = 'existing = "first-out"'


def wanted(box: tuple[float, ...], *, radius: float = 4.0) -> shapely.Polygon:
    return shapely.box(*box).buffer(-radius).buffer(radius, quad_segs=256)


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """A plan, and what its programs do, as the second reader has it."""

    code: int
    said: str
    job: Path
    folder: Path

    @property
    def document(self) -> dict[str, Any]:
        found: dict[str, Any] = json.loads((self.folder / "plan.json").read_text(encoding="utf-8"))
        return found

    @property
    def programs(self) -> list[Path]:
        return [self.folder / one["file"] for one in self.document["programs"]]

    def codes(self) -> set[str]:
        return {one["code"] for one in self.document["findings"]}

    def runs(self, *, below: float, setting: str | None = None) -> list[tuple[Any, float]]:
        """Pieces of the fed paths at or below a height, with the cutter's radius."""
        document = self.document
        found = []
        for program in document["programs"]:
            if setting is not None and program["setting"] != setting:
                continue
            radius = document["cutters"][program["cutter"]]["diameter_mm"] / 2.0
            steps, broken = shadow.steps((self.folder / program["file"]).read_text(encoding="utf-8").splitlines())
            assert broken == []
            for step in steps:
                low = step.path[step.path[:, 2] <= below + 1e-9]
                if step.mode and len(low) > 1:
                    found.append((low, radius))
        return found

    def removed(self, *, below: float, setting: str | None = None) -> Any:
        runs = self.runs(below=below, setting=setting)
        return shapely.union_all(
            [shapely.LineString(path[:, :2]).buffer(radius, quad_segs=64) for path, radius in runs]
        )

    def in_air(self, gone: Any) -> float:
        """The share of the way fed below the top on which all that the cutter covers was gone before."""
        whole = through = 0.0
        for path, radius in self.runs(below=-0.01):
            line = shapely.LineString(path[:, :2])
            whole += line.length
            through += line.intersection(gone.buffer(-radius - 0.01)).length
        return through / whole if whole else 0.0


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory, plates: Any, run: Run) -> Callable[..., Done]:
    """Plan a job of the one plate by name; the first has a pocket and two holes."""
    place = tmp_path_factory.mktemp("existing")
    draw(place, plates=plates)
    planner = planning(place, run=run)
    planner("first", "", pocket("old"), HOLES)
    return planner


def draw(place: Path, *, plates: Any, wide: float = WIDE) -> None:
    plates.drawn(
        place / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (wide, 0), (wide, LONG), (0, LONG)]),
            *((name, plates.rounded(*box, radius=4)) for name, box in (("OLD", OLD), ("NEW", NEW), ("BACK", BACK))),
            *((name, plates.rounded(*box, radius=4)) for name, box in (("THIN", THIN), ("THICK", THICK))),
        ],
        circles=[("PINS", x, y, 6.0) for x, y in PINS],
    )


def planning(place: Path, *, run: Run) -> Callable[..., Done]:
    def planner(name: str, existing: str, *features: str) -> Done:
        file = place / f"{name}.toml"
        file.write_text(HEAD + existing + "\n" + "".join(features), encoding="utf-8")
        ran = run("plan", file)
        return Done(code=ran.code, said=ran.out + ran.err, job=file, folder=place / f"{name}-out")

    return planner


def alike(found: Any, figure: Any, *, within: float = WITHIN) -> None:
    assert found.difference(figure.buffer(within)).area < 1e-3
    assert figure.buffer(-within).difference(found).area < 1e-3


def first(bench: Callable[..., Done]) -> Done:
    return bench("first", "", pocket("old"), HOLES)


BOTH = [FROM_FIRST, 'existing = ["PINS", { layer = "OLD", depth_mm = 5 }]', 'existing = { plan = "first-out" }']


@pytest.mark.parametrize("existing", BOTH, ids=["folder", "layers", "plan"])
def test_old_and_new_together_are_what_is_wanted(bench: Callable[..., Done], existing: str) -> None:
    old, new = first(bench), bench("second", existing, pocket("new", depth=4))
    assert (old.code, new.code) == (0, 0), new.said
    assert new.document["proof"]["passed"] and new.document["proof"]["gouge_um"] < 2
    for below in (-2.0, -4.0):
        holes = shapely.union_all([shapely.Point(at).buffer(3.0, quad_segs=256) for at in PINS])
        alike(old.removed(below=below) | new.removed(below=below), wanted(OLD) | wanted(NEW) | holes)
    assert new.removed(below=-4.001).is_empty


def test_hardly_any_way_is_fed_through_air(bench: Callable[..., Done]) -> None:
    """Two fifths of the new pocket lie in the old one.  Planned as if the plate were whole, more than a quarter of the
    way is in air; else what takes the cutter's edge out of the material and into it again."""
    with_, without = bench("second", FROM_FIRST, pocket("new", depth=4)), bench("alone", "", pocket("new", depth=4))
    assert without.in_air(wanted(OLD)) > 0.25
    assert with_.in_air(wanted(OLD)) < 0.1
    assert with_.document["seconds"] < without.document["seconds"]


def test_no_cusps_stand_at_the_mouth_of_a_pocket_that_runs_into_an_old_one(bench: Callable[..., Done]) -> None:
    old, new = first(bench), bench("second", FROM_FIRST, pocket("new", depth=4))
    mouth = shapely.box(45, 20.01, 55, 39.99)
    assert mouth.difference(old.removed(below=-4.0) | new.removed(below=-4.0)).area < 1e-4


def test_a_pocket_that_is_deepened_skips_the_levels_that_are_gone(bench: Callable[..., Done]) -> None:
    old, new = first(bench), bench("deeper", FROM_FIRST, pocket("old", depth=8))
    assert new.code == 0, new.said
    levels = [z for program in new.document["programs"] for work in program["operations"] for z in work["levels_mm"]]
    assert levels and max(levels) < -5.0
    alike(old.removed(below=-3.0), wanted(OLD) | shapely.union_all([shapely.Point(at).buffer(3.0) for at in PINS]))
    alike(new.removed(below=-7.999), wanted(OLD))


def test_what_is_done_already_needs_no_program_and_that_is_said(bench: Callable[..., Done]) -> None:
    again = bench("again", FROM_FIRST, pocket("old"), HOLES)
    assert again.code == 0, again.said
    assert again.document["programs"] == [] and again.document["proof"]["passed"]
    assert "nothing-to-cut" in again.codes()
    assert "the plate has old, pins already" in " ".join(again.said.split())


def test_sharp_corners_that_were_granted_then_are_granted_again(tmp_path: Path, plates: Any, run: Run) -> None:
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[("PLATE", [(0, 0), (60, 0), (60, 50), (0, 50)]), ("OLD", [(10, 10), (50, 10), (50, 40), (10, 40)])],
    )
    planner = planning(tmp_path, run=run)
    assert planner("first", "", pocket("old", more="corner_mm = 2\n")).code == 0
    again = planner("again", FROM_FIRST, pocket("old", more="corner_mm = 2\n"))
    assert (again.code, again.document["programs"]) == (0, []), again.said


def test_draft_is_cut_along_a_wall_that_was_upright(tmp_path: Path, plates: Any, run: Run) -> None:
    """The floor is the old one; at the top the wall leans out by 5 tan 2 = 0.175 mm."""
    draw(tmp_path, plates=plates)
    planner = planning(tmp_path, run=run)
    planner("first", "", pocket("old"))
    file = tmp_path / "leans.toml"
    text = HEAD.replace('"slot-3"', '"slot-3", "taper-2deg-3"') + FROM_FIRST + "\n"
    file.write_text(text + pocket("old", more='draft_deg = 2\nnominal = "floor"\n'), encoding="utf-8")
    assert run("plan", file).code == 0
    document = json.loads((tmp_path / "leans-out" / "plan.json").read_text(encoding="utf-8"))
    assert {program["cutter"] for program in document["programs"]} >= {"taper-2deg-3"}


def settings(*, about: str, top: str, back: str) -> str:
    first_ = f'\n[[setting]]\nname = "top"\nfeatures = [{top}]\n'
    return f'{first_}\n[[setting]]\nname = "back"\nface = "back"\nabout = "{about}"\nfeatures = [{back}]\n'


@pytest.fixture(scope="module")
def chain(tmp_path_factory: pytest.TempPathFactory, plates: Any, run: Run) -> tuple[Done, Done, Done]:
    """Three plans of one plate: turned over about X, then about Y, with holes from both faces, then all of it again."""
    place = tmp_path_factory.mktemp("chain")
    draw(place, plates=plates)
    planner = planning(place, run=run)
    one = planner("one", "", pocket("old"), pocket("back", depth=3), settings(about="x", top='"old"', back='"back"'))
    more = (pocket("new", depth=4), pocket("back", depth=4.5), HOLES)
    two = planner("two", 'existing = "one-out"', *more, settings(about="y", top='"new", "pins"', back='"back", "pins"'))
    every = (pocket("old"), pocket("new", depth=4), pocket("back", depth=4.5), HOLES)
    three = planner(
        "three",
        'existing = "two-out"',
        *every,
        settings(about="x", top='"old", "new", "pins"', back='"back", "pins"'),
    )
    return one, two, three


def test_a_plate_may_be_turned_over_the_other_way_the_next_time(chain: tuple[Done, Done, Done]) -> None:
    one, two, _ = chain
    assert (one.code, two.code) == (0, 0), two.said
    levels = [
        z
        for program in two.document["programs"]
        for work in program["operations"]
        for z in work["levels_mm"]
        if work["feature"] == "back"
    ]
    assert levels and max(levels) < -3.0
    # about X the plate's back edge is in front: y is 0 there and negative across; about Y the same of x
    about_x = shapely.affinity.scale(one.removed(below=-2.99, setting="back"), yfact=-1.0, origin=(0, 0))
    about_y = shapely.affinity.scale(two.removed(below=-4.49, setting="back"), xfact=-1.0, origin=(0, 0))
    alike(about_x, wanted(BACK))
    holes = shapely.union_all([shapely.Point(at).buffer(3.0, quad_segs=256) for at in PINS])
    alike(about_y, wanted(BACK) | holes)
    both = one.removed(below=-3.0, setting="top") | two.removed(below=-3.0, setting="top")
    alike(both, wanted(OLD) | wanted(NEW) | holes)


def test_in_a_chain_of_plans_all_that_any_has_cut_is_known(chain: tuple[Done, Done, Done]) -> None:
    three = chain[2]
    assert (three.code, three.document["programs"]) == (0, []), three.said
    gone = three.document["existing"]
    assert {one["face"] for one in gone} == {"top", "back"}


def test_a_thin_wall_is_told_and_a_thick_one_is_not(bench: Callable[..., Done]) -> None:
    thin, thick = bench("thin", FROM_FIRST, pocket("thin")), bench("thick", FROM_FIRST, pocket("thick"))
    (said,) = [one for one in thin.document["findings"] if one["code"] == "thin-wall"]
    assert (said["severity"], said["where"]) == ("caution", "thin")
    assert "a wall 0.6 mm thick and 5 mm high" in said["message"] and "X50.600" in said["message"]
    assert thick.code == 0 and "thin-wall" not in thick.codes()


def test_programs_that_count_on_what_was_gone_are_refused_on_a_whole_plate(
    bench: Callable[..., Done], run: Run
) -> None:
    """The planted lie: they come down fast where the plate stands."""
    with_ = bench("deeper", FROM_FIRST, pocket("old", depth=8))
    files = with_.programs
    assert run("check", *files, "--job", with_.job).code == 0
    without = with_.job.with_name("whole.toml")
    without.write_text(with_.job.read_text(encoding="utf-8").replace(FROM_FIRST, ""), encoding="utf-8")
    ran = run("check", *files, "--job", without)
    assert ran.code == 3
    assert "unsafe" in ran.out and "[rapid-in-stock]" in " ".join(ran.out.split()), ran.out


def copied(done: Done, *, to: Path) -> Path:
    """The folder of a plan with its job and drawing, elsewhere."""
    shutil.copytree(done.folder, to / done.folder.name)
    for file in (done.job, done.job.with_name("plate.dxf")):
        shutil.copy(file, to / file.name)
    return to / done.folder.name


def test_an_earlier_plan_whose_program_was_edited_is_refused(
    bench: Callable[..., Done], run: Run, tmp_path: Path
) -> None:
    folder = copied(first(bench), to=tmp_path)
    program = next(iter(sorted(folder.glob("*.ngc"))))
    program.write_text(program.read_text(encoding="utf-8").replace("M2", "G0 X1\nM2"), encoding="utf-8")
    ran = planning(tmp_path, run=run)("second", FROM_FIRST, pocket("new"))
    assert ran.code == 2 and "is not the text that was proven" in " ".join(ran.said.split())
    assert program.name in ran.said and not ran.folder.exists()


def test_an_earlier_plan_of_a_plate_of_another_size_is_refused(
    bench: Callable[..., Done], run: Run, plates: Any, tmp_path: Path
) -> None:
    copied(first(bench), to=tmp_path)
    draw(tmp_path, plates=plates, wide=130.0)
    ran = planning(tmp_path, run=run)("second", FROM_FIRST, pocket("new"))
    said = " ".join(ran.said.split())
    assert ran.code == 2 and "was planned for a plate of 120 x 80 x 10 mm, and this one is 130 x 80 x 10 mm" in said
    assert "a layer that shows what is gone of it" in said


def test_a_layer_that_is_not_there_is_refused_with_those_that_are(bench: Callable[..., Done]) -> None:
    ran = bench("missing", 'existing = "OLDER"', pocket("new"))
    assert ran.code == 2 and "plate.existing" in ran.said and "OLD" in ran.said


def test_a_plan_is_not_written_over_the_one_it_begins_from(
    bench: Callable[..., Done], run: Run, tmp_path: Path
) -> None:
    folder = copied(first(bench), to=tmp_path)
    before = {file.name: file.read_bytes() for file in folder.iterdir()}
    ran = planning(tmp_path, run=run)("first", FROM_FIRST, pocket("old", depth=8))
    assert ran.code == 2 and "would be overwritten" in " ".join(ran.said.split())
    assert {file.name: file.read_bytes() for file in folder.iterdir()} == before


def measured(run: Run, folder: Path, feature: str, *, wide: float, long: float) -> Any:
    """A pocket measured ten times and found two hundredths small."""
    words: list[object] = ["recut", folder, feature]
    for axis, size in (("x", wide), ("y", long)):
        read = [f"{size - 0.02 + off:.3f}" for off in (-0.002, -0.001, 0.0, 0.001, 0.002)]
        words += ["--across", axis, "--measured", *read]
    return run(*words, "--sigma-um", "3")


def test_a_skim_in_the_journal_of_an_earlier_plan_is_counted(tmp_path: Path, plates: Any, run: Run) -> None:
    draw(tmp_path, plates=plates)
    planner = planning(tmp_path, run=run)
    planner("first", "", pocket("old", more="allowance_mm = 0.15\n"))
    before = planner("before", FROM_FIRST, pocket("new", depth=4))
    ran = measured(run, tmp_path / "first-out", "old", wide=39.7, long=39.7)
    assert ran.code == 0, ran.out + ran.err
    assert list(tmp_path.glob("first-out-skim-*"))
    after = planner("after", FROM_FIRST, pocket("new", depth=4))
    alike(gone(before.document), wanted(OLD).buffer(-0.15, quad_segs=64))
    taken = gone(after.document).area - gone(before.document).area
    assert taken > 0.1 * gone(before.document).length * 0.15


def gone(document: dict[str, Any]) -> Any:
    """What was gone at the top."""
    every = [region for one in document["existing"] if one["face"] == "top" for region in one["regions"]]
    return shapely.union_all([shapely.Polygon(region["outer_mm"], region["islands_mm"]) for region in every])


def test_a_plan_that_began_from_another_is_recut(bench: Callable[..., Done], run: Run, tmp_path: Path) -> None:
    old = copied(first(bench), to=tmp_path)
    second = planning(tmp_path, run=run)("second", FROM_FIRST, pocket("back", depth=4, more="allowance_mm = 0.15\n"))
    assert second.code == 0, second.said
    ran = measured(run, second.folder, "back", wide=39.7, long=19.7)
    assert (ran.code, ran.err) == (0, ""), ran.out
    (skim,) = tmp_path.glob("second-out-skim-*")
    assert list(skim.glob("*.ngc"))
    # the earlier plan is what it was made from
    plan = old / "plan.json"
    plan.write_text(plan.read_text(encoding="utf-8").replace('"title"', '"title" '), encoding="utf-8")
    ran = measured(run, second.folder, "back", wide=39.7, long=19.7)
    assert ran.code == 2 and "the earlier plan of its plate changed" in " ".join((ran.out + ran.err).split())


def test_the_plan_is_the_same_the_next_time(bench: Callable[..., Done]) -> None:
    def files(done: Done) -> dict[str, bytes]:
        return {file.name: file.read_bytes() for file in done.folder.iterdir()}

    once = files(bench("second", FROM_FIRST, pocket("new", depth=4)))
    assert files(bench("second", FROM_FIRST, pocket("new", depth=4))) == once


def test_the_sheet_shows_what_was_gone(bench: Callable[..., Done]) -> None:
    second = bench("second", FROM_FIRST, pocket("new", depth=4))
    assert "Pale and dashed: cut away before." in (second.folder / "sheet.html").read_text(encoding="utf-8")
    (said,) = [one for one in second.document["findings"] if one["code"] == "existing"]
    area = (wanted(OLD) | shapely.union_all([shapely.Point(at).buffer(3.0, quad_segs=64) for at in PINS])).area
    (cut,) = re.findall(r"(\d+) mm2 cut away, through", said["message"])
    assert [float(cut), gone(second.document).area] == pytest.approx([area, area], rel=1e-3)


def test_what_is_gone_at_many_heights_is_written_once(tmp_path: Path, plates: Any, run: Run) -> None:
    """A leaning wall is known in a hundred steps; the upright pocket beside it is the same in all of them."""
    draw(tmp_path, plates=plates)
    file = tmp_path / "first.toml"
    text = HEAD.replace('"slot-3"', '"slot-3", "taper-2deg-3"')
    file.write_text(text + pocket("old", more="draft_deg = 2\n") + pocket("back"), encoding="utf-8")
    assert run("plan", file).code == 0
    second = planning(tmp_path, run=run)("second", FROM_FIRST, pocket("new", depth=4))
    assert second.code == 0, second.said
    every = [json.dumps(region) for one in second.document["existing"] for region in one["regions"]]
    assert len(second.document["existing"]) > 90
    assert len(every) == len(set(every))
    upright = [one for one in every if np.min(json.loads(one)["outer_mm"], axis=0)[0] > 59.0]
    assert len(upright) < 8  # it was cut in a few levels
    third = planning(tmp_path, run=run)("third", 'existing = "second-out"', pocket("new", depth=4), pocket("back"))
    assert (third.code, third.document["programs"]) == (0, []), third.said
