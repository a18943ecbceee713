"""Project files: read as they are meant, and every problem of one told in one run."""

from pathlib import Path

import pytest

from camplan.errors import InputError
from camplan.job.project import Named, is_project, read_project

WHOLE = """\
title = "Hive entrance disc, mould"
common = "drawing"

[[plate]]
name = "cavity"
job  = "cavity/cavity.toml"

[[plate]]
name = "back"
job  = "back.toml"
mirrored = true
about = "x"
axis_mm = 50
x_mm = 0.5
y_mm = -2

[[pattern]]
features = ["cavity: guide pins", "back: guide pins"]

[[mating]]
core = "back: core"
cavity = "cavity: disc"
gap_mm = 1.2
"""


def written(folder: Path, text: str = WHOLE) -> Path:
    (folder / "cavity").mkdir(exist_ok=True)
    for job in ("cavity/cavity.toml", "back.toml"):
        (folder / job).write_text('title = "a plate"\n', encoding="utf-8")
    path = folder / "mould.toml"
    path.write_text(text, encoding="utf-8")
    return path


def problems(folder: Path, text: str) -> list[str]:
    with pytest.raises(InputError) as raised:
        read_project(written(folder, text))
    return [str(problem) for problem in raised.value.problems]


def test_a_project_is_read_as_it_is_written(tmp_path: Path) -> None:
    project = read_project(written(tmp_path))
    assert (project.title, project.common) == ("Hive entrance disc, mould", "drawing")
    cavity, back = project.plates
    assert (cavity.name, cavity.job, cavity.about, cavity.by) == (
        "cavity",
        tmp_path / "cavity/cavity.toml",
        None,
        (0.0, 0.0),
    )
    assert (back.about, back.axis, back.by) == ("x", 50.0, (0.5, -2.0))
    (pattern,) = project.patterns
    assert pattern.features == (
        Named(plate="cavity", feature="guide pins"),
        Named(plate="back", feature="guide pins"),
    )
    assert (pattern.name, pattern.within) == ("guide pins", 0.005)
    (mating,) = project.matings
    assert (mating.name, mating.gap, mating.tolerance) == ("core in disc", 1.2, 0.02)
    assert (mating.closed, mating.floor_gap) == (None, None)


def test_lengths_may_be_inches(tmp_path: Path) -> None:
    project = read_project(written(tmp_path, 'units = "inch"\n' + WHOLE))
    assert project.plates[1].by == pytest.approx((12.7, -50.8))
    assert project.matings[0].gap == pytest.approx(30.48)


def test_a_project_is_told_from_a_job_by_its_tables_of_plates(tmp_path: Path) -> None:
    path = written(tmp_path)
    assert is_project(path)
    path.write_text('[plate]\nname = "one"\n', encoding="utf-8")
    assert not is_project(path)
    path.write_text("[[plate]\n", encoding="utf-8")
    assert not is_project(path)
    assert not is_project(tmp_path / "none.toml")
    assert not is_project(tmp_path)


def test_every_problem_of_a_project_is_told_in_one_run(tmp_path: Path) -> None:
    said = problems(
        tmp_path,
        """\
comon = "zero"
[[plate]]
name = "cavity"
job = "../cavity.toml"
[[plate]]
name = "Cavity"
job = "gone.toml"
about = "x"
[[plate]]
name = "a/b"
job = "mould.toml"
[[pattern]]
features = ["cavity: pins"]
within_um = 0
[[pattern]]
features = ["cavity: pins", "lid: pins"]
[[pattern]]
features = ["cavity: pins", "cavity: pins"]
[[mating]]
core = "cavity: core"
cavity = "cavity"
gap_mm = -1
""",
    )
    for expected in (
        "comon: is not a known key; did you mean 'common'?",
        "plate[1].job: '../cavity.toml' leads out of the project's folder",
        "plate[2].name: 'Cavity' is the name of another plate",
        "plate[2].job: there is no file 'gone.toml'",
        "plate[2].about: has no use where the plate is not mirrored",
        "plate[3].name: 'a/b' is no name of a plate",
        "plate[3].job: 'mould.toml' is a project, not a job",
        "pattern[1].features: names fewer than two",
        "pattern[1].within_um: 0 is impossible",
        "pattern[2].features: 'lid: pins': there is no plate 'lid'",
        "pattern[3].features: names one of them twice",
        "mating[1].cavity: 'cavity' does not name a plate and its feature",
        "mating[1].gap_mm: -1 is impossible",
    ):
        assert any(expected in one for one in said), expected
    assert all("mould.toml" in one for one in said)


def test_a_core_and_its_cavity_are_of_two_plates(tmp_path: Path) -> None:
    (said,) = problems(tmp_path, WHOLE.replace("back: core", "cavity: core"))
    assert "mating[1].core: is in the same plate as its cavity" in said


def test_no_plate_has_the_name_of_the_page(tmp_path: Path) -> None:
    text = WHOLE.replace('name = "cavity"', 'name = "Project.html"').replace("cavity: ", "Project.html: ")
    (said,) = problems(tmp_path, text)
    assert "is no name of a plate" in said
