"""A skim's texts read back and held against what is wanted now, with every program that ran before them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.comparison.prove import prove
from camplan.comparison.records import ProgramUnderProof, Proof
from camplan.features.records import Feature
from camplan.findings import Finding, Severity
from camplan.pipeline.bench import Bench
from camplan.pipeline.faces import PickedFace
from camplan.pipeline.worst_stock import unsafe_in_worst_stock
from camplan.recut.folder import PlanFolder
from camplan.recut.history import History
from camplan.recut.records import SkimText
from camplan.recut.written import skim_text
from camplan.rs274.read import read
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Before:
    """What ran before a skim: the plan and the skims since, on a face."""

    plan: PlanFolder
    history: History
    picked: PickedFace
    bench: Bench


def proven(
    texts: Sequence[SkimText], *, wanted: Sequence[Feature], name: str, before: Before, short: Mm
) -> tuple[Proof, tuple[Finding, ...]]:
    """The proof that a skim and all that ran before it make the features as they are ``wanted``, and what is to be
    said: all that is unsafe, on the plate with walls ``short`` of where they should stand as well, and what is said
    of the feature ``name``."""
    picked, bench = before.picked, before.bench
    settings = {setting.name for setting in picked.settings}
    earlier = [
        _under(one.file, setting=one.setting, cutter=one.cutter, text=one.text, bench=bench)
        for one in before.plan.programs
        if one.cutter is not None and one.setting in settings
    ]
    for skim in before.history.skims:
        earlier += [
            _under(
                f"{one.folder}/{one.file}",
                setting=one.setting,
                cutter=one.cutter,
                text=skim_text(one, plan=before.plan),
                bench=bench,
            )
            for one in skim.programs
            if one.setting in settings
        ]
    now = [_under(one.file, setting=one.setting, cutter=one.cutter.name, text=one.text, bench=bench) for one in texts]

    def against_wanted(programs: Sequence[ProgramUnderProof]) -> Proof:
        return prove(
            programs,
            plate=picked.face.plate,
            features=wanted,
            settings=picked.settings,
            cutters=bench.shelf,
            machine=bench.machine,
            material=bench.material,
        )

    proof = against_wanted([*earlier, *now])
    found = list(proof.findings)
    files = {one.file for one in earlier}
    if any(one.severity is Severity.UNSAFE and _file(one) in files for one in found):
        # what ran before was proven against what was wanted then, such as an edge beside an allowance
        found = [one for one in found if _file(one) not in files]
        alone = against_wanted(now)
        found += [one for one in alone.findings if one.code == "gouge" and one not in found]
        proof = replace(proof, gouge=alone.gouge, wall_error=min(proof.wall_error, alone.wall_error))
    found += unsafe_in_worst_stock(now, before=earlier, plate=picked.face.plate, short=short, bench=bench)
    said = [one for one in found if one.severity is Severity.UNSAFE or one.where == name]
    return proof, tuple(said)


def _file(finding: Finding) -> str:
    return finding.where.rpartition(", line ")[0]


def _under(file: str, *, setting: str, cutter: str, text: str, bench: Bench) -> ProgramUnderProof:
    shelf = {one.name: one for one in bench.shelf}
    reading = read(text, file=file, post=bench.post)
    return ProgramUnderProof(
        file=file, setting=setting, cutter=shelf[cutter], motions=reading.motions, findings=reading.findings
    )
