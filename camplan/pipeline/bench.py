"""Everything that a job names, loaded and built, every problem of it in one error."""

from dataclasses import dataclass
from pathlib import Path

from camplan.catalogue.cutters import load_shelf
from camplan.catalogue.machines import load_machine
from camplan.catalogue.materials import load_material
from camplan.catalogue.records import Cutter, Machine, Material
from camplan.catalogue.standards import load_standards
from camplan.drawing.reading import read_drawing
from camplan.errors import InputError, Problem, kept
from camplan.features.records import Feature, Plate, PlateFace
from camplan.features.specs import HoleSpec
from camplan.findings import Finding
from camplan.job import Job, read_job
from camplan.moulding.shrinkage import resolved
from camplan.operations.shop import Shop, furnished
from camplan.pipeline.built import built_faces
from camplan.pipeline.existing import begun, on_face
from camplan.pipeline.shrinkage import named_plastic, placed, scaling_of, shrinkage_findings
from camplan.planned import Shrunk
from camplan.rs274.posts import load_post
from camplan.rs274.records import Post


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bench:
    """Everything that a job names, loaded and built.

    ``plate`` and ``features`` are as drawn, seen from the plate's top, each feature whole; ``faces`` are what is cut
    from the top and from the back, each as it lies then.
    """

    job: Job
    shelf: tuple[Cutter, ...]
    material: Material
    machine: Machine
    post: Post
    plate: Plate
    features: tuple[Feature, ...]
    findings: tuple[Finding, ...]
    faces: tuple[PlateFace, ...]
    shrinkage: Shrunk | None = None


def load_bench(job_file: Path) -> Bench:
    """The job with its drawing, cutters, material, machine and post; InputError with every problem found."""
    job = read_job(job_file)
    beside = job.folder
    problems: list[Problem] = []
    shelf = kept(lambda: load_shelf(job.cutters, beside=beside), problems=problems)
    material = kept(lambda: load_material(job.material, beside=beside), problems=problems)
    machine = kept(lambda: load_machine(job.machine, beside=beside), problems=problems)
    post = kept(lambda: load_post(job.post, beside=beside), problems=problems)
    drawing = kept(lambda: read_drawing(job.drawing, unit=job.unit), problems=problems)
    before = len(problems)
    plastic = kept(lambda: named_plastic(job), problems=problems)
    # without its plastic the plate is built as drawn, so that what else is wrong is said as well
    asked = job.shrinkage if len(problems) == before else None
    shrinkage = resolved(asked, plastic=plastic.plastic if plastic else None) if asked is not None else None
    scaling = scaling_of(shrinkage) if shrinkage is not None else None
    built = kept(lambda: built_faces(job, drawing=drawing, scaling=scaling), problems=problems) if drawing else None
    start = (
        kept(lambda: begun(built.drawn.plate, job=job, drawing=drawing), problems=problems)
        if drawing and built
        else None
    )
    holding = any(isinstance(spec, HoleSpec) and spec.holds is not None for spec in job.features)
    standards = kept(lambda: load_standards(beside=beside), problems=problems) if holding else None
    if problems or not (shelf and material and machine and post and drawing and built and start):
        raise InputError(tuple(problems))
    shrunk = placed(shrinkage, built=built.drawn) if shrinkage is not None else None
    return Bench(
        job=job,
        shelf=tuple(shelf.cutters.values()),
        material=material.material,
        machine=machine.machine,
        post=post.post,
        plate=start.plate,
        features=built.drawn.features,
        faces=tuple(on_face(face, top=start.plate) for face in built.faces),
        findings=(
            *shelf.findings,
            *material.findings,
            *machine.findings,
            *post.findings,
            *(plastic.findings if plastic is not None else ()),
            *drawing.findings,
            *(standards.findings if standards else ()),
            *built.drawn.findings,
            *start.findings,
            *(shrinkage_findings(shrunk, features=built.drawn.features) if shrunk is not None else ()),
        ),
        shrinkage=shrunk,
    )


def shop_of(bench: Bench) -> Shop:
    return furnished(bench.shelf, material=bench.material, machine=bench.machine, both_ways=bench.job.both_ways)
