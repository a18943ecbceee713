"""Several plates that belong together: held against each other, then each planned as a job of its own."""

from dataclasses import replace
from pathlib import Path

from camplan.errors import InputError, Problem, kept
from camplan.job.project import ProjectPlate, project_of
from camplan.pairing.paired import name_problems, paired
from camplan.pipeline.bench import Bench, load_bench
from camplan.pipeline.drafts import Progress
from camplan.pipeline.plan import plan_job
from camplan.planned import Plan, ProjectPlan


def _quiet(what: str, share: float) -> None:
    del what, share


def plan_project(project_file: Path, *, progress: Progress = _quiet) -> ProjectPlan:
    """Every job of a project planned and proven, after its plates were held against each other.

    InputError with the problems of the project and of all its jobs in one.
    """
    progress("reading the project and its jobs", 0.0)
    problems: list[Problem] = []
    project = project_of(project_file, problems=problems)
    benches = {spec.name: _bench(spec, problems=problems) for spec in project.plates if spec.job.is_file()}
    loaded = {name: bench for name, bench in benches.items() if bench is not None}
    features = {name: bench.features for name, bench in loaded.items()}
    problems.extend(name_problems(project, features=features))
    if problems:
        raise InputError(tuple(dict.fromkeys(problems)))
    pairing = paired(project, plates={name: bench.plate for name, bench in loaded.items()}, features=features)
    plans: dict[str, Plan] = {}
    for number, spec in enumerate(project.plates):
        part = _part(progress, name=spec.name, number=number, of=len(project.plates))
        plan = _plan(spec, progress=part, problems=problems)
        if plan is not None:
            plans[spec.name] = plan
    if problems:
        raise InputError(tuple(problems))
    return ProjectPlan(pairing=pairing, plans=plans)


def _bench(spec: ProjectPlate, *, problems: list[Problem]) -> Bench | None:
    """What a job names; a problem that names no file is one of the job's."""
    own: list[Problem] = []
    bench = kept(lambda: load_bench(spec.job), problems=own)
    problems.extend(problem if problem.file else replace(problem, file=str(spec.job)) for problem in own)
    return bench


def _plan(spec: ProjectPlate, *, progress: Progress, problems: list[Problem]) -> Plan | None:
    return kept(lambda: plan_job(spec.job, progress=progress), problems=problems)


def _part(progress: Progress, *, name: str, number: int, of: int) -> Progress:
    """The progress of one plate among several."""

    def said(what: str, share: float) -> None:
        progress(f"{name}: {what}", (number + share) / of)

    return said
