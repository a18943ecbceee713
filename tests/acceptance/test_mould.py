"""``camplan mould`` as a user meets it, its figures found again by hand from the drawing."""

import math
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]

JOB = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-3", "slot-2"]

[plate]
thickness_mm = 10
outline = "PLATE"

[[feature]]
name = "bar"
kind = "pocket"
layer = "BAR"
depth_mm = 2

[[feature]]
name = "runner"
kind = "groove"
layer = "RUNNER"
width_mm = 3
depth_mm = 2

[[feature]]
name = "air"
kind = "groove"
layer = "AIR"
width_mm = 3
depth_mm = 0.02
"""


@pytest.fixture
def job(tmp_path: Path, plates: Any) -> Callable[..., Path]:
    """A bar of 60 x 20 mm with round corners of 4 mm, fed in the middle of its left end by a runner of 20 mm."""

    def made(more: str = "", *, text: str = JOB) -> Path:
        plates.drawn(
            tmp_path / "plate.dxf",
            closed=[
                ("PLATE", [(0, 0), (110, 0), (110, 60), (0, 60)]),
                ("BAR", plates.rounded(30, 20, 90, 40, radius=4)),
            ],
            open_=[("RUNNER", [(10, 30), (30, 30)]), ("AIR", [(90, 30), (110, 30)])],
        )
        path: Path = plates.job(tmp_path, text + more)
        return path

    return made


def figures(text: str) -> dict[str, tuple[float, float]]:
    """The figures printed, name: (least, most)."""
    found = {}
    for name, low, high in re.findall(
        r"^  (\S.*?)  +([0-9.]+)(?: to ([0-9.]+))?(?: [A-Za-z0-9]+)?$", text, re.MULTILINE
    ):
        found[name] = (float(low), float(high or low))
    return found


def test_the_figures_are_those_of_the_drawing(run: Callable[..., Any], job: Callable[..., Path]) -> None:
    """Polypropylene: 24.5 to 34.3 MPa (CLAMP-J), 905 kg/m3 (CRAWFORD); Pye's runner; n 0.7; all worked by hand."""
    ran = run("mould", job(), "--plastic", "pp", "--wall-mm", "2", "--press-kn", "60")
    assert ran.code == 0, ran.out + ran.err
    found = figures(ran.out)
    cavity = 60.0 * 20.0 - (4.0 - math.pi) * 4.0**2
    runner = 3.0 * 20.0 + math.pi * 1.5**2 / 2.0  # its round end lies outside the bar at the start alone
    assert found["projected area"][0] == pytest.approx((cavity + runner) / 100.0, abs=0.006)
    area = cavity + runner
    assert found["clamp force"] == pytest.approx((area * 24.5e-3, 1.2 * area * 34.3e-3), abs=0.5)
    assert found["shot"][0] == pytest.approx((cavity + runner) * 2.0 * 0.905e-3, abs=0.006)
    mass = cavity * 2.0 * 0.905e-3
    assert found["runner diameter"][0] == pytest.approx(math.sqrt(mass) * 20.0**0.25 / 3.7, abs=0.006)
    assert found["gate thickness"][0] == pytest.approx(1.4)
    around = 2.0 * (60.0 + 20.0) - (8.0 - 2.0 * math.pi) * 4.0
    assert found["gate width"][0] == pytest.approx(0.7 * math.sqrt(2.0 * cavity + 2.0 * around) / 30.0, abs=0.006)
    assert found["vent depth"] == (0.013, 0.03)
    corner = math.hypot(60.0 - 4.0, 10.0 - 4.0) + 4.0
    assert found["flow length"][0] == pytest.approx(corner, abs=0.7)
    assert found["flow length"][0] <= found["flow length"][1] <= 1.04 * corner
    assert "press-holds" in ran.out


def test_nothing_is_written(run: Callable[..., Any], job: Callable[..., Path], tmp_path: Path) -> None:
    path = job()
    before = sorted(tmp_path.iterdir())
    assert run("mould", path, "--plastic", "pp").code == 0
    assert sorted(tmp_path.iterdir()) == before


def test_the_job_may_say_it_all_and_the_command_line_comes_first(
    run: Callable[..., Any], job: Callable[..., Path]
) -> None:
    path = job('\n[moulding]\nplastic = "abs"\nwall_mm = 1.5\npress_kn = 10\n')
    own = run("mould", path)
    assert "moulded in ABS" in own.out
    assert figures(own.out)["wall"] == (1.5, 1.5)
    assert "press-too-weak" in own.out
    other = run("mould", path, "--plastic", "pp", "--wall-mm", "2", "--press-kn", "500")
    assert "moulded in polypropylene" in other.out
    assert figures(other.out)["wall"] == (2.0, 2.0)
    assert "press-holds" in other.out


def test_the_plastic_of_the_shrinkage_is_moulded_and_its_cavity_is_the_larger_one(
    run: Callable[..., Any], job: Callable[..., Path]
) -> None:
    plain = figures(run("mould", job(), "--plastic", "pp").out)
    ran = run("mould", job('\n[shrinkage]\nplastic = "pp"\npercent = 2\nfeatures = ["bar"]\n'))
    assert "moulded in polypropylene" in ran.out
    assert figures(ran.out)["projected area"][0] > 1.03 * plain["projected area"][0]
    assert "cut-as-drawn" not in ran.out


def test_roles_may_be_named(run: Callable[..., Any], job: Callable[..., Path]) -> None:
    ran = run("mould", job('\n[moulding]\ncavity = ["runner"]\ngates = ["bar"]\nvents = ["air"]\n'), "--plastic", "pp")
    assert "cavity: runner\n" in ran.out
    assert "gates: bar\n" in ran.out
    assert "runners: none\n" in ran.out


def test_every_source_is_spelt_out(run: Callable[..., Any], job: Callable[..., Path]) -> None:
    said = run("mould", job(), "--plastic", "pom", "--ejection-c", "120").out
    for publication in (
        "Pye, Injection Mould Design",
        "Crawford, Plastics Engineering",
        "Shusman 1959",
        "tutorial no. 110",
    ):
        assert publication in " ".join(said.split())
    assert "PVC" in said


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ([], 'moulding.plastic: nothing says what is moulded (accepted: plastic = "pp" in [moulding], or --plastic pp'),
        (["--plastic", "ppp"], "there is no 'ppp' in tooling/plastics"),
        (["--plastic", "pp", "--wall-mm", "-1"], "accepted: above 0"),
        (["--plastic", "pp", "--press-kn", "much"], "'much' is no force"),
        (["--plastic", "pp", "--ejection-c", "900"], "at most 400"),
    ],
)
def test_what_is_missing_or_impossible_is_said(
    run: Callable[..., Any], job: Callable[..., Path], line: list[str], words: str
) -> None:
    ran = run("mould", job(), *line)
    assert ran.code == 2
    assert words in ran.err
    assert ran.out == ""


def test_a_plate_without_a_cavity_is_told(run: Callable[..., Any], job: Callable[..., Path]) -> None:
    head, _, rest = JOB.partition('[[feature]]\nname = "bar"')
    _, _, rest = rest.partition("[[feature]]")
    ran = run("mould", job(text=f"{head}[[feature]]{rest}"), "--plastic", "pp")
    assert ran.code == 2
    assert "there is no cavity" in ran.err


def test_two_plastics_in_one_job_are_refused(run: Callable[..., Any], job: Callable[..., Path]) -> None:
    more = '\n[shrinkage]\nplastic = "abs"\nfeatures = ["bar"]\n\n[moulding]\nplastic = "pp"\n'
    ran = run("plan", job(more))
    assert ran.code == 2
    assert "shrinkage.plastic: moulding.plastic says 'pp'" in ran.err


def test_the_cavity_of_the_examples_is_told_from_its_well(run: Callable[..., Any], tmp_path: Path) -> None:
    """The disc is 56 mm wide with six windows; the well below the sprue lies apart from it, on the runner."""
    for file in (ROOT / "examples" / "cavity").glob("cavity.*"):
        shutil.copy(file, tmp_path / file.name)
    ran = run("mould", tmp_path / "cavity.toml")
    assert ran.code == 0, ran.out + ran.err
    assert "cavity: disc, rim, hub\n" in ran.out
    assert "runners: well, runner\n" in ran.out
    assert figures(ran.out)["projected area"][0] < math.pi * 28.0**2 / 100.0
    assert "cavity-unreached" not in ran.out
