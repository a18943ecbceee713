"""The command line as a user meets it: exit codes, messages, and files that are whole or not there."""

import dataclasses
import io
import subprocess
import sys
from pathlib import Path

import pytest

from camplan.cli.arguments import KINDS
from camplan.cli.console import ProgressLine, forgiving
from camplan.cli.main import main
from camplan.cutting.records import CutKind
from camplan.errors import InputError, Problem
from camplan.findings import Finding, Severity

PROGRAMS = ["01-clamps-slot-6.ngc", "02-clamps-slot-3.ngc", "03-middle-drill-4.2.ngc"]


def visible(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if not path.name.startswith("."))


def with_findings(bench, *findings: Finding) -> None:
    bench.plan = dataclasses.replace(bench.plan, findings=findings)


def finding(severity: Severity) -> Finding:
    return Finding(severity=severity, code="thin-web", message="The web is thin.", where="disc")


def test_a_proven_plan_is_written_beside_the_job_and_ends_with_0(bench, tmp_path, capsys):
    with_findings(bench)
    (tmp_path / "jobs").mkdir()
    assert main(["plan", "jobs/cavity.toml"]) == 0
    assert visible(tmp_path / "jobs" / "cavity-out") == [*PROGRAMS, "plan.json", "sheet.html"]
    said = capsys.readouterr()
    assert "Proof passed" in said.out
    assert said.err == ""


def test_a_folder_may_be_chosen(bench, tmp_path):
    assert main(["plan", "cavity.toml", "-o", "elsewhere/deep"]) == 1
    assert PROGRAMS[0] in visible(tmp_path / "elsewhere" / "deep")


def test_a_request_not_met_ends_with_1_and_is_written(bench, tmp_path):
    with_findings(bench, finding(Severity.UNMET))
    assert main(["plan", "cavity.toml"]) == 1
    assert PROGRAMS[0] in visible(tmp_path / "cavity-out")


@pytest.mark.parametrize("severity", [Severity.NOTE, Severity.CAUTION])
def test_notes_and_cautions_leave_the_code_at_0(bench, severity):
    with_findings(bench, finding(severity))
    assert main(["plan", "cavity.toml"]) == 0


def test_a_failed_proof_ends_with_3_and_writes_no_program(bench, plans, tmp_path, capsys):
    bench.plan = plans.failed_plan()
    assert main(["plan", "cavity.toml"]) == 3
    assert visible(tmp_path / "cavity-out") == ["plan.json", "sheet.html"]
    said = capsys.readouterr().out
    assert "PROOF FAILED" in said
    assert "[rapid-in-stock]" in said


def test_an_unsafe_finding_alone_also_keeps_programs_unwritten(bench, tmp_path):
    with_findings(bench, finding(Severity.UNSAFE))
    assert main(["plan", "cavity.toml"]) == 3
    assert visible(tmp_path / "cavity-out") == ["plan.json", "sheet.html"]


def test_programs_of_an_earlier_run_do_not_outlive_a_failed_proof(bench, plans, tmp_path):
    main(["plan", "cavity.toml"])
    bench.plan = plans.failed_plan()
    main(["plan", "cavity.toml"])
    assert visible(tmp_path / "cavity-out") == ["plan.json", "sheet.html"]


def test_every_problem_of_the_input_is_a_line_and_nothing_is_written(bench, tmp_path, capsys):
    bench.error = InputError(
        (
            Problem(message="is missing", file="cavity.toml", key="plate.thickness_mm", accepted="above 0"),
            Problem(message="'poket' is unknown", file="cavity.toml", key="feature[1].kind", accepted="pocket, hole"),
        )
    )
    assert main(["plan", "cavity.toml"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.splitlines() == [
        "camplan: cavity.toml: plate.thickness_mm: is missing (accepted: above 0)",
        "camplan: cavity.toml: feature[1].kind: 'poket' is unknown (accepted: pocket, hole)",
    ]
    assert visible(tmp_path) == []


def test_ctrl_c_ends_with_130_and_leaves_the_earlier_output_whole(bench, tmp_path, capsys):
    main(["plan", "cavity.toml"])
    before = visible(tmp_path / "cavity-out")
    bench.error = KeyboardInterrupt()
    assert main(["plan", "cavity.toml"]) == 130
    assert visible(tmp_path / "cavity-out") == before
    assert "camplan: stopped" in capsys.readouterr().err


def test_an_unexpected_error_is_an_apology_not_a_traceback(bench, tmp_path, capsys, monkeypatch):
    monkeypatch.delenv("CAMPLAN_DEBUG", raising=False)
    bench.error = KeyError("no such ring")
    assert main(["plan", "cavity.toml"]) == 70
    said = capsys.readouterr().err
    assert "sorry, something went wrong inside camplan (KeyError: 'no such ring')" in said
    assert "Traceback" not in said
    assert visible(tmp_path) == []


def test_an_unexpected_error_is_shown_when_asked_for(bench, capsys, monkeypatch):
    monkeypatch.setenv("CAMPLAN_DEBUG", "1")
    bench.error = KeyError("no such ring")
    assert main(["plan", "cavity.toml"]) == 70
    assert "Traceback" in capsys.readouterr().err


def test_start_writes_a_job_beside_the_drawing(bench, tmp_path, capsys):
    assert main(["start", "cavity.dxf", "--unit", "inch"]) == 0
    assert (tmp_path / "cavity.toml").read_text(encoding="utf-8") == 'title = "Hive entrance disc"\n'
    assert bench.asked == [("first_job_text", (Path("cavity.dxf"), "inch"))]
    assert "Wrote cavity.toml" in capsys.readouterr().out


def test_start_never_overwrites_a_job(bench, tmp_path, capsys):
    (tmp_path / "cavity.toml").write_text("mine", encoding="utf-8")
    assert main(["start", "cavity.dxf"]) == 2
    assert (tmp_path / "cavity.toml").read_text(encoding="utf-8") == "mine"
    assert "exists already" in capsys.readouterr().err


def test_start_refuses_a_job_file(bench, capsys):
    assert main(["start", "cavity.toml"]) == 2
    assert "is a job file" in capsys.readouterr().err


@pytest.mark.parametrize("command", [["plan"], ["cutters"], ["check", "a.ngc", "--job"]])
def test_a_drawing_in_place_of_a_job_is_refused_with_advice(bench, capsys, command):
    assert main([*command, "cavity.dxf"]) == 2
    assert "camplan start cavity.dxf" in capsys.readouterr().err


@pytest.mark.parametrize("command", [["start"], ["plan"], ["cutters"], ["check", "a.ngc", "--job"]])
@pytest.mark.parametrize("path", [".", "", "folder"])
def test_a_folder_in_place_of_a_file_is_refused(bench, tmp_path, capsys, command, path):
    (tmp_path / "folder").mkdir()
    assert main([*command, path]) == 2
    assert "is a folder, not a file" in capsys.readouterr().err
    assert bench.asked == []


def test_check_says_the_verdict_alone(bench, capsys):
    assert main(["check", "a.ngc", "b.ngc", "--job", "cavity.toml"]) == 0
    assert capsys.readouterr().out.startswith("Proof passed")
    assert bench.asked == [("check_programs", ((Path("a.ngc"), Path("b.ngc")), Path("cavity.toml")))]


def test_check_ends_with_3_if_the_proof_fails(bench, plans, capsys):
    bench.proof = plans.failed_proof()
    assert main(["check", "a.ngc", "--job", "cavity.toml"]) == 3
    assert "[rapid-in-stock]" in capsys.readouterr().out


def test_cutters_prints_the_tightest_places_and_the_answer(bench, tmp_path, capsys):
    picture = tmp_path / "shelf.svg"
    assert main(["cutters", "cavity.toml", "disc", "-o", str(picture)]) == 0
    said = capsys.readouterr().out
    assert "smallest inner radius 1.2 mm at X 40 Y 30" in said
    assert "narrowest neck 3.4 mm at X 50 Y 20" in said
    assert "slot-6" in said
    assert "\nThe smallest cutter that this plate needs is slot-2.\n" in said
    assert said.rstrip().endswith(f"Picture: {picture}")
    assert picture.read_text(encoding="utf-8").startswith("<svg")
    assert bench.asked == [("cutter_table", (Path("cavity.toml"), "disc"))]


def test_the_picture_of_cutters_lies_beside_the_job_and_replaces_an_earlier_one(bench, tmp_path, capsys):
    job, picture = tmp_path / "cavity.toml", tmp_path / "cavity-cutters.svg"
    assert [main(["cutters", str(job)]), main(["cutters", str(job)])] == [0, 0]
    assert picture.exists()
    assert [path.name for path in tmp_path.iterdir()] == [picture.name]


def test_a_file_that_is_no_picture_of_cutters_is_not_replaced(bench, tmp_path, capsys):
    picture = tmp_path / "mine.svg"
    picture.write_text("<svg/>", encoding="utf-8")
    assert main(["cutters", str(tmp_path / "cavity.toml"), "-o", str(picture)]) == 2
    assert picture.read_text(encoding="utf-8") == "<svg/>"
    assert "not overwritten" in capsys.readouterr().err


def test_speeds_prints_each_figure_and_its_reason(bench, tmp_path, capsys):
    line = ["speeds", "--cutter", "slot-6", "--material", "aluminium-6082", "--depth", "6", "--width", "1.5mm"]
    assert main(line) == 0
    said = capsys.readouterr().out
    assert "12000 1/min" in said
    assert "spindle: the spindle's top speed binds (bench-mill.toml)" in said
    asked = bench.asked[0][1][0]
    assert (asked["depth"], asked["width"], asked["kind"], asked["machine"]) == (6.0, 1.5, "rough", "bench-mill")


def test_a_drill_has_no_steps(bench, capsys):
    line = ["speeds", "--cutter", "drill-4.2", "--material", "brass", "--depth", "12", "--kind"]
    assert main([*line, "drill"]) == 0
    assert "step" not in capsys.readouterr().out
    assert main([*line, "rough"]) == 0
    assert "step over" in capsys.readouterr().out


@pytest.mark.parametrize("depth", ["-3", "0", "deep", "nan", "inf"])
def test_an_impossible_depth_is_refused(bench, capsys, depth):
    assert main(["speeds", "--cutter", "slot-6", "--material", "brass", f"--depth={depth}"]) == 2
    assert "accepted:" in capsys.readouterr().err
    assert bench.asked == []


@pytest.mark.parametrize("line", [[], ["mill"], ["plan"], ["plan", "a.toml", "--outt", "x"], ["check", "--job", "a"]])
def test_a_wrong_command_line_ends_with_2(bench, capsys, line):
    assert main(line) == 2
    assert "usage: camplan" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["start", "plan", "check", "cutters", "mould", "speeds", "time"])
def test_every_command_shows_an_example(capsys, command):
    assert main([command, "--help"]) == 0
    said = capsys.readouterr().out
    assert "example" in said
    assert f"  camplan {command} " in said


def test_the_help_names_every_exit_code(capsys):
    assert main(["--help"]) == 0
    said = capsys.readouterr().out
    assert all(f"\n  {code} " in said for code in (0, 1, 2, 3, 70, 130))


def test_the_kinds_of_cut_are_those_that_data_exists_for():
    assert list(KINDS) == [kind.value for kind in CutKind]


def test_help_loads_no_numeric_library():
    code = (
        "import sys; from camplan.cli.main import main; main(['--help']); "
        "print([name for name in ('numpy', 'shapely', 'scipy', 'ezdxf') if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


def test_a_console_that_knows_few_letters_does_not_stop_the_run():
    raw = io.BytesIO()
    console = io.TextIOWrapper(raw, encoding="ascii")
    forgiving(console)
    console.write("2° a side, 3 µm\n")
    console.flush()
    assert raw.getvalue().strip() == b"2? a side, 3 ?m"


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_progress_stays_on_one_line_and_is_wiped():
    terminal = Terminal()
    line = ProgressLine(terminal)
    line("choosing cutters", 0.1)
    line("proving", 0.65)
    line.clear()
    assert "\n" not in terminal.getvalue()
    assert " 65 %  proving" in terminal.getvalue()
    assert terminal.getvalue().endswith(" \r")


def test_progress_is_silent_where_nobody_looks():
    stream = io.StringIO()
    ProgressLine(stream)("proving", 0.5)
    assert stream.getvalue() == ""


def test_an_output_place_that_is_a_file_is_refused(bench, tmp_path, capsys):
    (tmp_path / "notes").write_text("mine", encoding="utf-8")
    assert main(["plan", "cavity.toml", "-o", "notes"]) == 2
    assert "is a file, not a folder" in capsys.readouterr().err
    assert (tmp_path / "notes").read_text(encoding="utf-8") == "mine"
