"""What a plan was made from, as check sums: so that it is known later whether its job is still the same."""

import hashlib
from pathlib import Path

from camplan.features.specs import ExistingPlan
from camplan.pipeline.bench import Bench
from camplan.planned import MadeFrom
from camplan.recut.folder import PLAN


def made_from(bench: Bench) -> MadeFrom:
    """The check sums of a bench's files as they are on the disk."""
    tooling = {one.file for one in bench.shelf} | {bench.machine.file, bench.material.file, bench.post.file}
    tooling |= {str(folder / PLAN) for folder in begins_from(bench)}
    return MadeFrom(
        job=bench.job.file.name,
        job_sum=_sum([bench.job.file]),
        drawing=bench.job.drawing.relative_to(bench.job.folder).as_posix(),
        drawing_sum=_sum([bench.job.drawing]),
        tooling_sum=_sum([Path(file) for file in sorted(tooling, key=lambda file: (Path(file).name, file))]),
    )


def begins_from(bench: Bench) -> tuple[Path, ...]:
    """The folders of the earlier plans that its plate begins from."""
    return tuple(spec.folder for spec in bench.job.plate.existing if isinstance(spec, ExistingPlan))


def _sum(files: list[Path]) -> str:
    """The SHA-256 of files one after another, whatever line ends a system gave them."""
    digest = hashlib.sha256()
    for file in files:
        digest.update(file.read_bytes().replace(b"\r\n", b"\n"))
        digest.update(b"\0")
    return digest.hexdigest()
