"""A mill's file copied with other accelerations: nothing else in it changes."""

import tomllib

import pytest

from camplan import resources
from camplan.catalogue.machine_text import line_of, with_figures
from camplan.errors import InputError


def shipped(name: str) -> str:
    return (resources.shipped() / "tooling" / "machines" / f"{name}.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", sorted((resources.shipped() / "tooling" / "machines").glob("*.toml")))
def test_every_shipped_mill_keeps_all_else(path) -> None:
    text = path.read_text(encoding="utf-8")
    made = with_figures(text, file="a.toml", head=["as timed"], figures={"acceleration_mm_s2": (31.04, 32.0, 33.0)})
    assert made.startswith("# as timed\n#")
    assert tomllib.loads(made) == {**tomllib.loads(text), "acceleration_mm_s2": [31.0, 32.0, 33.0]}
    kept = [line for line in text.splitlines() if not line.startswith("acceleration")]
    assert [line for line in made.splitlines()[1:] if not line.startswith("acceleration")] == kept


def test_a_list_over_several_lines_is_replaced_whole_and_one_figure_by_three() -> None:
    over_lines = "acceleration_mm_s2 = [\n  500.0,   # x\n  500.0,\n  300.0,\n]\n"
    text = f'title = "x"\n{over_lines}jerk_mm_s3 = 9000\n[spindle]\na = 1\n'
    figures = {"acceleration_mm_s2": (1.0, 2.0, 3.0), "jerk_mm_s3": (4.0, 5.0, 6.0)}
    made = with_figures(text, file="a.toml", head=[], figures=figures)
    assert made == (
        'title = "x"\nacceleration_mm_s2 = [1.0, 2.0, 3.0]\njerk_mm_s3 = [4.0, 5.0, 6.0]\n[spindle]\na = 1\n'
    )


@pytest.mark.parametrize(
    "text",
    ['"acceleration_mm_s2" = [1, 2, 3]\n', "[spindle]\nacceleration_mm_s2 = [1, 2, 3]\n", 'title = "x"\n'],
)
def test_a_file_in_which_the_line_is_not_found_is_left_alone_with_the_line_to_put_in(text: str) -> None:
    with pytest.raises(InputError, match=r"acceleration_mm_s2 = \[1\.0, 2\.0, 3\.0\] put in by hand"):
        with_figures(text, file="a.toml", head=[], figures={"acceleration_mm_s2": (1.0, 2.0, 3.0)})


def test_a_text_that_only_looks_like_the_line_is_not_taken_for_it() -> None:
    text = 'source = """\nacceleration_mm_s2 = 1\n"""\nacceleration_mm_s2 = [1, 2, 3]\n'
    with pytest.raises(InputError, match="something else would change"):
        with_figures(text, file="a.toml", head=[], figures={"acceleration_mm_s2": (1.0, 2.0, 3.0)})


def test_figures_are_given_to_a_tenth() -> None:
    assert line_of("jerk_mm_s3", figures=(1234.56, 7.0, 0.25)) == "jerk_mm_s3 = [1234.6, 7.0, 0.2]"
