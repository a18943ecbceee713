"""A stand-in for the pipeline, so that these tests meet the command line alone."""

import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import camplan
from camplan.comparison.records import Proof
from camplan.cutting.records import CuttingData, Reason
from camplan.planned import CutterRow, CutterTable, Plan

COMMANDS = ("start", "plan", "check", "cutters", "mould", "speeds")


@dataclass
class Bench:
    """What the stand-in gives, and what it was asked."""

    plan: Plan
    proof: Proof
    error: BaseException | None = None
    asked: list[tuple[str, Any]] = field(default_factory=list)

    def note(self, name: str, *what: Any) -> None:
        self.asked.append((name, what))
        if self.error is not None:
            raise self.error

    def module(self, plans: ModuleType) -> ModuleType:
        made = ModuleType("camplan.pipeline")

        def plan_job(job_file: Path, *, progress: Callable[[str, float], None]) -> Plan:
            progress("proving", 0.65)
            self.note("plan_job", job_file)
            return self.plan

        def output_files(plan: Plan) -> dict[str, str]:
            programs = {program.file: program.text for program in plan.programs}
            return {**programs, "plan.json": "{}\n", "sheet.html": "<!DOCTYPE html>\n"}

        def check_programs(programs: Sequence[Path], *, job_file: Path) -> Proof:
            self.note("check_programs", tuple(programs), job_file)
            return self.proof

        def first_job_text(drawing: Path, *, unit: str | None) -> str:
            self.note("first_job_text", drawing, unit)
            return 'title = "Hive entrance disc"\n'

        def cutter_table(job_file: Path, *, feature: str | None) -> CutterTable:
            self.note("cutter_table", job_file, feature)
            row = CutterRow(
                feature="disc",
                depth=6.5,
                smallest_inner_radius=1.2,
                smallest_inner_radius_at=(40.0, 30.0),
                narrowest_neck=3.4,
                narrowest_neck_at=(50.0, 20.0),
                cutter=plans.slot_drill(6.0),
                reaches_depth=True,
                area_left=14.25,
                deepest_left=1.9,
                seconds=300.0,
            )
            answer = "The smallest cutter that this plate needs is slot-2."
            return CutterTable(rows=(row,), answer=answer, title="Disc", plate=self.plan.plate)

        def speeds(**asked: Any) -> CuttingData:
            self.note("speeds", asked)
            return CuttingData(
                rpm=12000.0,
                chip=0.02,
                feed=480.0,
                slot_feed=400.0,
                plunge_feed=120.0,
                ramp_feed=200.0,
                ramp_angle=0.05,
                helix_pitch=0.5,
                step_down=0.9,
                step_over=1.5,
                peck=None,
                peck_free_depth=12.0,
                force=41.2,
                power=150.0,
                bending=0.0124,
                reasons=(Reason(figure="rpm", sentence="the spindle's top speed binds", source="bench-mill.toml"),),
            )

        for function in (plan_job, output_files, check_programs, first_job_text, cutter_table, speeds):
            setattr(made, function.__name__, function)
        return made


@pytest.fixture
def bench(plans: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Bench]:
    """The stand-in in place of the pipeline, in an empty working folder."""
    made = Bench(plan=plans.sample_plan(), proof=plans.passed_proof())
    module = made.module(plans)
    monkeypatch.setitem(sys.modules, "camplan.pipeline", module)
    monkeypatch.setattr(camplan, "pipeline", module, raising=False)
    for command in COMMANDS:
        monkeypatch.delitem(sys.modules, f"camplan.cli.{command}", raising=False)
    monkeypatch.chdir(tmp_path)
    yield made
    for command in COMMANDS:  # no later test may meet a command that was loaded with the stand-in
        sys.modules.pop(f"camplan.cli.{command}", None)
