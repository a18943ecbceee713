"""A plate found again by its marks: its programs turned and proven, or its work offset alone."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from camplan.catalogue.records import Cutter
from camplan.comparison.records import ProgramUnderProof, Proof
from camplan.errors import InputError, Problem
from camplan.features.records import Feature
from camplan.geometry.chains import bounds
from camplan.moves.records import Move, Remark
from camplan.moves.turned import turned, turned_motions
from camplan.pipeline.bench import Bench, load_bench, shop_of
from camplan.pipeline.faces import picked_faces, proved
from camplan.pipeline.made_from import made_from
from camplan.recut.folder import FolderProgram, PlanFolder, job_of, read_folder, refuse_changed
from camplan.recut.placing import Found, MarkReading, found_plate
from camplan.recut.registration import Places
from camplan.rs274.offset import offset_program
from camplan.rs274.read import read
from camplan.rs274.records import ReadProgram
from camplan.rs274.write import write
from camplan.units import Mm, Rad, deg_from_rad

OFFSET_FILE = "00-offset"
_CAUTION = (
    "CAUTION: eye protection, clamps tight and clear, check zero and stick-out,",
    "first run in the air with a hand at the stop; the machine's manual comes first",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Located:
    """Where a plate is, the files that cut it there by name, and their proof (None: nothing had to be turned)."""

    title: str
    found: Found
    files: dict[str, str]
    proof: Proof | None


def locate(
    folder: Path,
    readings: Sequence[MarkReading],
    *,
    sigma: Mm,
    expected_turn: Rad = 0.0,
    job_file: Path | None = None,
) -> Located:
    """The plate of a plan folder, its top up, as its marks were measured in the machine's coordinates.

    Programs of settings that turn the plate over are left out, and so are marks that are cut from the back.  Programs
    are turned about the plate's zero and the zero is put where it was found; where leaving out the turn moves no
    feature by more than 2 um, the programs stay as they are.  InputError for a folder that no longer matches its job,
    and for marks that cannot be meant.
    """
    whole = read_folder(folder)
    job = job_of(whole, job=job_file)
    bench = load_bench(job)
    refuse_changed(whole, now=made_from(bench), job=job)
    plan = _of_the_top(whole, bench=bench)
    found = found_plate(
        readings,
        marks=plan.marks,
        corners=_corners(bench.features),
        sigma=sigma,
        expected_turn=expected_turn,
    )
    files: dict[str, str] = {}
    header = (
        plan.title,
        "work offset: X and Y of the plate as its marks were found; Z stays as touched off",
        *_CAUTION,
    )
    offset = offset_program(*found.zero, post=bench.post, header=header)
    if offset is not None:
        files[f"{OFFSET_FILE}{bench.post.extension}"] = offset
    if not found.turned:
        return Located(title=plan.title, found=found, files=files, proof=None)
    texts = {program.file: _turned_text(program, found=found, bench=bench) for program in plan.programs}
    proof = _proof(plan, texts=texts, found=found, bench=bench)
    if proof.passed:
        files.update(texts)
    return Located(title=plan.title, found=found, files=files if proof.passed else {}, proof=proof)


def _of_the_top(plan: PlanFolder, *, bench: Bench) -> PlanFolder:
    """The plan without what is cut with the plate turned over; InputError if nothing else is."""
    settings = {setting.name for setting in bench.job.settings if setting.face == "top"}
    features = {name for setting in bench.job.settings if setting.face == "top" for name in setting.features}
    if not settings:
        message = "everything on this plate is cut from its back, and its marks with it"
        raise InputError(
            Problem(message=message, file=str(plan.folder), accepted="a plan with a setting of the plate's top")
        )
    return replace(
        plan,
        marks=tuple(mark for mark in plan.marks if mark.feature in features),
        programs=tuple(program for program in plan.programs if program.setting in settings),
    )


def _corners(features: Sequence[Feature]) -> Places:
    """The corners of the boxes of all features, (n, 2)."""
    boxes = []
    for feature in features:
        chains = [*(region.outer for region in feature.regions), *feature.lines]
        boxes += [bounds(one) for one in chains]
        boxes += [(x - d / 2.0, y - d / 2.0, x + d / 2.0, y + d / 2.0) for x, y, d in feature.circles]
    return np.array([(x, y) for x0, y0, x1, y1 in boxes for x in (x0, x1) for y in (y0, y1)])


def _turned_text(program: FolderProgram, *, found: Found, bench: Bench) -> str:
    """A program turned about the plate's zero, its comments where they were."""
    reading = read(program.text, file=program.file, post=bench.post)
    degrees = deg_from_rad(found.registration.pose.turn)
    begin = min(reading.move_lines, default=1)
    header = [text for line, text in reading.comments if line < begin]
    header.append(f"turned by {degrees:.4f} degrees about the plate's zero, for the plate as its marks were found")
    moves = turned(_with_remarks(reading, begin=begin), by=found.registration.pose.turn)
    return write(moves, post=bench.post, header=header).text


def _with_remarks(reading: ReadProgram, *, begin: int) -> list[Move]:
    """The moves with the comments between them."""
    remarks = [(line, 0, Remark(text=text)) for line, text in reading.comments if line >= begin]
    moves = [(line, 1, move) for line, move in zip(reading.move_lines, reading.moves, strict=True)]
    return [one for _, _, one in sorted([*remarks, *moves], key=lambda item: item[:2])]


def _proof(plan: PlanFolder, *, texts: dict[str, str], found: Found, bench: Bench) -> Proof:
    """The turned texts read back, turned back on to the plate, and compared with what was drawn."""
    faces = picked_faces(bench, shop=shop_of(bench))
    problems = [problem for picked in faces for problem in picked.problems]
    if problems:
        raise InputError(tuple(problems))
    shelf = {cutter.name: cutter for cutter in bench.shelf}
    under = []
    for program in plan.programs:
        reading = read(texts[program.file], file=program.file, post=bench.post)
        under.append(
            ProgramUnderProof(
                file=program.file,
                setting=program.setting,
                cutter=_cutter(program, plan=plan, shelf=shelf),
                motions=turned_motions(reading.motions, by=-found.registration.pose.turn),
                findings=reading.findings,
            )
        )
    return proved(under, faces=[picked for picked in faces if picked.face.about is None], bench=bench)


def _cutter(program: FolderProgram, *, plan: PlanFolder, shelf: dict[str, Cutter]) -> Cutter:
    """The program's cutter; that of a trace is the first of its setting."""
    named = [program, *(one for one in plan.programs if one.setting == program.setting)]
    name = next((one.cutter for one in named if one.cutter is not None), None)
    if name is None or name not in shelf:
        message = f"its cutter {name!r} is not on the job's shelf"
        raise InputError(Problem(message=message, file=str(plan.folder / program.file), accepted=", ".join(shelf)))
    return shelf[name]
