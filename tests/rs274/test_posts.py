"""Posts from files."""

from pathlib import Path

import pytest

from camplan.errors import InputError
from camplan.resources import shipped
from camplan.rs274.posts import load_post

NAMES = ("rs274ngc", "grbl", "iso6983")


def changed(folder: Path, name: str, **replacements: str) -> None:
    """The shipped post beside a job, some keys set anew ("" leaves the key out)."""
    lines = []
    for line in (shipped() / "posts" / f"{name}.toml").read_text(encoding="utf-8").splitlines():
        key = line.partition("=")[0].strip()
        if key not in replacements:
            lines.append(line)
        elif replacements[key]:
            lines.append(f"{key} = {replacements[key]}")
    (folder / "posts").mkdir(exist_ok=True)
    (folder / "posts" / f"{name}.toml").write_text("\n".join(lines), encoding="utf-8")


@pytest.mark.parametrize("name", NAMES)
def test_a_shipped_post_is_fit_to_use(name: str, tmp_path: Path) -> None:
    loaded = load_post(name, beside=tmp_path)
    assert loaded.post.dialect == name
    assert not loaded.findings


def test_an_unknown_post_is_refused_with_the_nearest_name(tmp_path: Path) -> None:
    with pytest.raises(InputError) as refused:
        load_post("grble", beside=tmp_path)
    assert "did you mean 'grbl'" in str(refused.value)
    assert "iso6983" in refused.value.problems[0].accepted


def test_a_post_beside_the_job_comes_first_and_says_what_it_hides(tmp_path: Path) -> None:
    changed(tmp_path, "grbl", title='"my own"')
    loaded = load_post("grbl", beside=tmp_path)
    assert loaded.post.title == "my own"
    assert [finding.code for finding in loaded.findings] == ["hidden-file"]


@pytest.mark.parametrize(
    ("name", "key", "value"),
    [
        ("grbl", "cycles", "true"),  # Grbl 1.1h error 20
        ("grbl", "changes_cutters", "true"),
        ("grbl", "percent_lines", "true"),
        ("grbl", "line_length", "80"),  # 79 without the terminator
        ("grbl", "arc_tolerance_mm", "0.02"),
        ("rs274ngc", "line_length", "300"),  # NISTIR 6556 §3.3
        ("rs274ngc", "arc_tolerance_mm", "0.01"),  # NISTIR 6556 §3.5.3.2
        ("rs274ngc", "decimals", "1"),
        ("rs274ngc", "decimals", "9"),
        ("rs274ngc", "dialect", '"other"'),
        ("rs274ngc", "extension", '"ngc"'),
        ("rs274ngc", "extension", '"./x"'),
        ("rs274ngc", "preamble", '["G21 G90 G94"]'),
        ("rs274ngc", "preamble", '["G17 G20 G90 G94"]'),
        ("rs274ngc", "preamble", '["G17 G21 G90 G94 G7"]'),
        ("rs274ngc", "closing", '["M5"]'),
        ("rs274ngc", "closing", '["G0 X"]'),
        ("rs274ngc", "title", ""),
        ("iso6983", "cycles", "true"),
    ],
)
def test_what_a_dialect_does_not_bear_is_refused_by_key(name: str, key: str, value: str, tmp_path: Path) -> None:
    changed(tmp_path, name, **{key: value})
    with pytest.raises(InputError) as refused:
        load_post(name, beside=tmp_path)
    assert key in {problem.key for problem in refused.value.problems}
    assert all(problem.file.endswith(f"{name}.toml") for problem in refused.value.problems)


def test_every_problem_of_a_post_comes_in_one_run(tmp_path: Path) -> None:
    changed(tmp_path, "grbl", cycles="true", line_length="500", closing='["M31"]')
    with pytest.raises(InputError) as refused:
        load_post("grbl", beside=tmp_path)
    assert {problem.key for problem in refused.value.problems} == {"cycles", "line_length", "closing"}
