"""Each face of the plate by itself: its cutters chosen, its programs proven as it lies.

What one face's programs remove is no ground for those of the other: each is planned and proven as if the plate were
whole there.  So nothing that the proof of a face finds clear can be less clear on the plate itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.comparison.faces import meetings
from camplan.comparison.prove import prove
from camplan.comparison.records import ProgramUnderProof, Proof
from camplan.errors import Problem
from camplan.features.records import Feature, PlateFace
from camplan.features.specs import SettingSpec
from camplan.findings import Finding, Severity
from camplan.operations.alternatives import Choice
from camplan.operations.choose import chosen
from camplan.operations.records import Operation
from camplan.operations.shop import Shop
from camplan.pipeline.bench import Bench


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PickedFace:
    """A face, its features with what their cutters add to them, and its operations."""

    face: PlateFace
    settings: tuple[SettingSpec, ...]
    operations: tuple[Operation, ...]
    problems: tuple[Problem, ...]
    findings: tuple[Finding, ...]
    choice: Choice | None


def picked_faces(bench: Bench, *, shop: Shop) -> tuple[PickedFace, ...]:
    """The operations of every face."""
    found = []
    for face in bench.faces:
        settings = tuple(setting for setting in bench.job.settings if setting.name in face.settings)
        picked = chosen(face.features, plate=face.plate, shop=shop, settings=[setting.features for setting in settings])
        found.append(
            PickedFace(
                face=replace(face, features=picked.features),
                settings=settings,
                operations=picked.operations,
                problems=picked.problems,
                findings=picked.findings,
                choice=picked.choice,
            )
        )
    return tuple(found)


def proved(programs: Sequence[ProgramUnderProof], *, faces: Sequence[PickedFace], bench: Bench) -> Proof:
    """The proof of programs, each against the face that is up in its setting, and of the faces against each other."""
    proofs = [
        prove(
            [program for program in programs if program.setting in picked.face.settings],
            plate=picked.face.plate,
            features=picked.face.features,
            settings=picked.settings,
            cutters=bench.shelf,
            machine=bench.machine,
            material=bench.material,
        )
        for picked in faces
    ]
    if len(proofs) == 1 and faces[0].face.about is None:
        return proofs[0]
    named = [_named(proof, face=picked.face) for proof, picked in zip(proofs, faces, strict=True)]
    return _together(named, findings=meetings([picked.face for picked in faces]))


def _named(proof: Proof, *, face: PlateFace) -> Proof:
    """A proof whose sections, leftovers and findings say that they are of the back."""
    if face.about is None:
        return proof
    return replace(
        proof,
        sections=tuple(replace(section, face="back") for section in proof.sections),
        leftovers=tuple(replace(left, face="back") for left in proof.leftovers),
        findings=tuple(
            replace(finding, message=f"{finding.message} (of the back, in its setting's coordinates)")
            if finding.severity is Severity.UNMET
            else finding
            for finding in proof.findings
        ),
    )


def _together(proofs: Sequence[Proof], *, findings: Sequence[Finding]) -> Proof:
    return Proof(
        passed=all(proof.passed for proof in proofs),
        gouge=max(proof.gouge for proof in proofs),
        wall_error=max(proof.wall_error for proof in proofs),
        left_area=sum(proof.left_area for proof in proofs),
        rapids_in_stock=sum(proof.rapids_in_stock for proof in proofs),
        clamp_hits=sum(proof.clamp_hits for proof in proofs),
        outside_travel=sum(proof.outside_travel for proof in proofs),
        sections=tuple(section for proof in proofs for section in proof.sections),
        leftovers=tuple(left for proof in proofs for left in proof.leftovers),
        findings=(*(finding for proof in proofs for finding in proof.findings), *findings),
    )


def as_drawn(bench: Bench, *, faces: Sequence[PickedFace]) -> tuple[Feature, ...]:
    """All features as seen from the top, those of the top alone with what their cutters add to them."""
    backed = {feature.spec.name for face in bench.faces if face.about is not None for feature in face.features}
    fitted = {
        feature.spec.name: feature
        for picked in faces
        if picked.face.about is None
        for feature in picked.face.features
        if feature.spec.name not in backed
    }
    return tuple(fitted.get(feature.spec.name, feature) for feature in bench.features)
