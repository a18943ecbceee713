"""An earlier plan as the stock of the next: read from the folder as `plan_json` writes it, or refused."""

import dataclasses
import json
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from camplan.errors import InputError
from camplan.planned import MadeFrom
from camplan.recut.earlier import Lying, read_earlier
from camplan.report.plan_json import plan_json


@pytest.fixture
def folder(plans: ModuleType, tmp_path: Path) -> Path:
    """The plan made by hand, written as a plan is."""
    made = MadeFrom(job="disc.toml", job_sum="0", drawing="disc.dxf", drawing_sum="0", tooling_sum="0")
    plan = dataclasses.replace(plans.sample_plan(), made_from=made)
    (tmp_path / "plan.json").write_text(plan_json(plan), encoding="utf-8")
    for program in plan.programs:
        (tmp_path / program.file).write_text(program.text, encoding="utf-8")
    return tmp_path


@pytest.fixture
def edited(folder: Path) -> Callable[[Callable[[dict[str, Any]], object]], Path]:
    def change(edit: Callable[[dict[str, Any]], object]) -> Path:
        file = folder / "plan.json"
        document = json.loads(file.read_text(encoding="utf-8"))
        edit(document)
        file.write_text(json.dumps(document), encoding="utf-8")
        return folder

    return change


def problems(folder: Path) -> str:
    with pytest.raises(InputError) as raised:
        read_earlier(folder)
    return "\n".join(str(problem) for problem in raised.value.problems)


def test_plate_cutters_and_settings_are_those_of_the_plan(folder: Path, plans: ModuleType) -> None:
    plan, earlier = plans.sample_plan(), read_earlier(folder)
    assert (earlier.thickness, earlier.bounds, earlier.post) == (
        plan.plate.thickness,
        plan.plate.bounds,
        plan.post.name,
    )
    assert set(earlier.cutters) >= {program.cutter.name for program in plan.programs if program.cutter}
    for program in plan.programs:
        if program.cutter:
            read = earlier.cutters[program.cutter.name]
            for figure in ("kind", "diameter", "tip_diameter", "corner_radius", "flute_length", "reach", "stick_out"):
                said = getattr(program.cutter, figure)
                assert getattr(read, figure) == (pytest.approx(said) if isinstance(said, float) else said), figure
    assert list(earlier.settings) == [setting.name for setting in plan.settings]
    assert (earlier.existing, earlier.beneath) == ((), ())


def test_what_was_gone_before_it_is_told_by_face(edited: Callable[..., Path]) -> None:
    square = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]]
    island = [[1.0, 1.0], [1.0, 2.0], [2.0, 2.0], [2.0, 1.0]]

    def gone(face: str, depth: float) -> dict[str, Any]:
        return {"face": face, "depth_mm": depth, "regions": [{"outer_mm": square, "islands_mm": [island]}]}

    earlier = read_earlier(edited(lambda plan: plan.update(existing=[gone("top", 3.0), gone("back", 2.0)])))
    (top,), (back,) = earlier.existing, earlier.beneath
    assert (top.depth, back.depth) == (3.0, 2.0)
    assert top.regions[0].outer.points.tolist() == square
    assert [one.points.tolist() for one in top.regions[0].islands] == [island]


def test_a_setting_may_have_lain_turned_over(edited: Callable[..., Path]) -> None:
    def turn(plan: dict[str, Any]) -> None:
        plan["settings"][0].update(about="y", plate_bounds_mm=[-9.0, 0.0, 0.0, 5.0])

    (lying, *_) = read_earlier(edited(turn)).settings.values()
    assert lying == Lying(about="y", bounds=(-9.0, 0.0, 0.0, 5.0))


@pytest.mark.parametrize("key", ["existing", "plate", "post", "cutters", "settings"])
def test_a_plan_of_an_earlier_version_is_refused(edited: Callable[..., Path], key: str) -> None:
    said = problems(edited(lambda plan: plan.pop(key)))
    assert "does not say all that is needed of the plate it was for" in said
    assert "the earlier job planned again" in said


@pytest.mark.parametrize(
    "edit",
    [
        lambda plan: plan["plate"].update(bounds_mm=[0.0, 1.0]),
        lambda plan: plan["plate"].update(thickness_mm="thick"),
        lambda plan: plan.update(existing=[{"face": "top"}]),
        lambda plan: plan.update(cutters=[]),
        lambda plan: next(iter(plan["cutters"].values())).update(kind="spoon"),
        lambda plan: next(iter(plan["cutters"].values())).update(diameter_mm=None),
    ],
)
def test_a_plan_that_is_garbled_is_refused(edited: Callable[..., Path], edit: Callable[..., object]) -> None:
    assert "does not say all that is needed" in problems(edited(edit))


def test_a_program_that_was_edited_is_refused_with_its_file(folder: Path) -> None:
    file = next(iter(sorted(folder.glob("*.ngc"))))
    file.write_text(file.read_text(encoding="utf-8") + "G0 X0\n", encoding="utf-8")
    said = problems(folder)
    assert file.name in said and "is not the text that was proven" in said


def test_a_folder_without_a_plan_is_refused(tmp_path: Path) -> None:
    said = problems(tmp_path)
    assert "plan.json" in said and "a folder that `camplan plan` wrote" in said
