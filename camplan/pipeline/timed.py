"""One timed program of a plan folder: what it says of its mill, and the mill's file that says so."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from camplan.catalogue.machine_text import ACCELERATION, JERK, line_of, with_figures
from camplan.catalogue.machines import ACCELERATION_RANGE, FOLDER, JERK_RANGE
from camplan.catalogue.records import Machine
from camplan.errors import InputError, Problem
from camplan.moves.calibration import LEAST, MOST, Calibration, Explained, calibrated, scaled
from camplan.pipeline.bench import load_bench
from camplan.pipeline.machine_time import drives_of, run_of_reading
from camplan.pipeline.made_from import made_from
from camplan.recut.folder import FolderProgram, PlanFolder, job_of, read_folder, refuse_changed
from camplan.recut.journal import journal_beside
from camplan.recut.timings import Timing
from camplan.report.plan_json import text_sum
from camplan.report.words import clock
from camplan.rs274.read import read
from camplan.units import Seconds

_TIMED = "-timed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """What a timed program says.  ``lines`` are for the mill's file, none where they are to stay; ``entry`` is for the
    ``journal``."""

    program: FolderProgram
    machine: Machine
    job: Path
    calibration: Calibration
    lines: tuple[str, ...]
    journal: Path
    entry: Timing


def time_program(folder: Path, *, measured: Seconds, program: str | None = None, job_file: Path | None = None) -> Timed:
    """What a program of a plan folder, which took ``measured``, says of the mill.

    ``program`` may be left out where only one cuts.  InputError for a folder that no longer matches its job, and for a
    program that is not there or cuts nothing.
    """
    whole = read_folder(folder)
    chosen = _chosen(whole, program=program)
    job = job_of(whole, job=job_file)
    bench = load_bench(job)
    refuse_changed(whole, now=made_from(bench), job=job)
    machine = bench.machine
    reading = read(chosen.text, file=chosen.file, post=bench.post)
    least, most = _sane(machine)
    found = calibrated(run_of_reading(reading), drives=drives_of(machine), measured=measured, least=least, most=most)
    figures = _figures(machine, scale=found.scale) if found.explained is Explained.SCALED else {}
    return Timed(
        program=chosen,
        machine=machine,
        job=job,
        calibration=found,
        lines=tuple(line_of(key, figures=values) for key, values in figures.items()),
        journal=journal_beside(job),
        entry=Timing(
            folder=whole.folder.name,
            program=chosen.file,
            check_sum=text_sum(chosen.text),
            machine=machine.name,
            predicted=found.predicted,
            measured=measured,
            scale=found.scale,
        ),
    )


def machine_file(timed: Timed, *, name: str) -> Path:
    """Where a mill's file of a name belongs, beside the job: where it is found first."""
    return timed.job.parent / FOLDER / f"{name}.toml"


def timed_name(machine: Machine) -> str:
    """What a mill is called once it is timed: "bench-mill-timed"."""
    return machine.name.removesuffix(_TIMED) + _TIMED


def machine_text(timed: Timed) -> str:
    """The mill's file with the accelerations that explain the measured time; InputError if there are none, or if its
    text cannot be copied so."""
    found, machine = timed.calibration, timed.machine
    if found.scale is None or not timed.lines:
        message = "there are no other accelerations to write"
        raise InputError(Problem(message=message, key="--write", accepted="a time that accelerations explain"))
    path = Path(machine.file)
    head = (
        f"{machine.name} as timed: {timed.program.file} took {clock(found.measured)} for {clock(found.predicted)};",
        f"its accelerations are {found.scale:.3g} times those of {path.name}, all else is as it stood there.",
    )
    text = path.read_text(encoding="utf-8")
    return with_figures(text, file=str(path), head=head, figures=_figures(machine, scale=found.scale))


def _figures(machine: Machine, *, scale: float | None) -> dict[str, tuple[float, ...]]:
    """What is scaled, by its key in a mill's file."""
    if scale is None:
        return {}
    drives = scaled(drives_of(machine), by=scale)
    figures: dict[str, tuple[float, ...]] = {ACCELERATION: drives.acceleration}
    return figures if drives.jerk is None else {**figures, JERK: drives.jerk}


def _sane(machine: Machine) -> tuple[float, float]:
    """The scales that leave every figure one that a mill's file may hold."""
    ranges = [(machine.acceleration, ACCELERATION_RANGE)]
    if machine.jerk is not None:
        ranges.append((machine.jerk, JERK_RANGE))
    least = max(LEAST, *(low / min(figures) for figures, (low, _) in ranges))
    most = min(MOST, *(high / max(figures) for figures, (_, high) in ranges))
    return least, most


def _chosen(whole: PlanFolder, *, program: str | None) -> FolderProgram:
    """The program that was timed; InputError if it is not there, cuts nothing, or could be any of several."""
    cutting = [one for one in whole.programs if one.cutter is not None]
    accepted = _listed([one.file for one in cutting])
    if program is None:
        if len(cutting) == 1:
            return cutting[0]
        message = f"it is not said which of the {len(cutting)} programs was timed"
        raise InputError(Problem(message=message, file=str(whole.folder), key="--program", accepted=accepted))
    name = Path(program).name
    found = next((one for one in whole.programs if one.file == name), None)
    if found is None:
        message = f"there is no program {name!r}"
        raise InputError(Problem(message=message, file=str(whole.folder), key="--program", accepted=accepted))
    if found.cutter is None:
        message = f"{name} only traces the work in the air, with the spindle at rest"
        raise InputError(Problem(message=message, file=str(whole.folder), key="--program", accepted=accepted))
    return found


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names) or "a plan with a program that cuts"
