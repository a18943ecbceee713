"""What was gone of a plate before it is cut, laid on its faces: layers of its drawing, or what earlier plans left."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from camplan.comparison.records import ProgramUnderProof
from camplan.drawing.records import Drawing
from camplan.errors import InputError, Problem
from camplan.features import layers
from camplan.features.existing import gone
from camplan.features.layers import Wanted
from camplan.features.records import Existing, Feature, Plate, PlateFace
from camplan.features.sections import must
from camplan.features.specs import ExistingLayer, ExistingPlan, ExistingSpec, GrooveSpec, PocketSpec
from camplan.findings import Finding, Severity
from camplan.geometry.chains import chain
from camplan.job import Job
from camplan.recut.earlier import Bounds, Earlier, Lying, read_earlier
from camplan.recut.folder import plan_sum_of
from camplan.recut.history import history_of
from camplan.recut.journal import journal_beside, read_journal
from camplan.recut.written import skim_text
from camplan.regions import Region, moved
from camplan.rs274.posts import load_post
from camplan.rs274.read import read
from camplan.simulation import solids
from camplan.simulation.figures import polygon_of, region_polygon, regions_polygon
from camplan.simulation.hollows import hollows
from camplan.simulation.solids import Solid
from camplan.simulation.track import track_of
from camplan.units import Mm

_ALIKE: Mm = 0.01
"""Plates whose sizes differ by less are one plate."""
_HARDLY: Mm = 0.001
"""What is wider by no more than this higher up is left out: it would be told again at every height."""
_LEAST = 1e-3
_JUST_ABOVE: Mm = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Gone:
    """A figure that is gone from the top, or else from the back, as it is seen from the plate's top."""

    solid: Solid
    depth: Mm
    back: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Begun:
    """A plate as it is before it is cut, seen from its top, and what is to be said of it."""

    plate: Plate
    findings: tuple[Finding, ...]


def begun(plate: Plate, *, job: Job, drawing: Drawing) -> Begun:
    """The plate as drawn, seen from its top, with what was gone before; InputError with every layer that is not there
    and every plan that cannot be used."""
    problems: list[Problem] = []
    findings: list[Finding] = []
    every: list[_Gone] = []
    for spec in job.plate.existing:
        try:
            every += _of(spec, plate=plate, drawing=drawing, beside=job.folder, findings=findings, problems=problems)
        except InputError as error:
            problems.extend(error.problems)
    if problems:
        raise InputError(tuple(problems))
    if job.plate.existing:
        findings.append(_said(every, plate=plate))
    through = [one for one in every if one.depth >= plate.thickness - _ALIKE]
    top = [one for one in every if not one.back or one in through]
    back = [one for one in every if one.back or one in through]
    return Begun(plate=replace(plate, existing=_laid(top), beneath=_laid(back)), findings=tuple(findings))


def on_face(face: PlateFace, *, top: Plate) -> PlateFace:
    """A face with what was gone of the plate before, as it lies then; ``top`` is the plate seen from its top."""
    if not top.existing and not top.beneath:
        return face
    if face.about is None:
        return _with(face, existing=top.existing, beneath=top.beneath)
    # turning over is its own inverse: from the top to the back as from the back to the top
    lies = Lying(about=face.about, bounds=top.bounds)
    existing, beneath = (_turned(every, lies=lies, seen=face.plate.bounds) for every in (top.beneath, top.existing))
    return _with(face, existing=existing, beneath=beneath)


def _turned(every: Iterable[Existing], *, lies: Lying, seen: Bounds) -> tuple[Existing, ...]:
    return tuple(
        Existing(regions=_regions(_laid_in(regions_polygon(one.regions), lies=lies, seen=seen)), depth=one.depth)
        for one in every
    )


def _laid_in(figure: Solid, *, lies: Lying, seen: Bounds) -> Solid:
    """A figure of a plate as it ``lies``, as it is ``seen`` in another box, turned over if it lies so."""
    if lies.about is None:
        return solids.shifted(figure, by=(seen[0] - lies.bounds[0], seen[1] - lies.bounds[1]))
    return solids.turned(figure, about=lies.about, lies=lies.bounds, seen=seen)


def _with(face: PlateFace, *, existing: tuple[Existing, ...], beneath: tuple[Existing, ...]) -> PlateFace:
    plate = replace(face.plate, existing=existing, beneath=beneath)
    return replace(face, plate=plate, features=tuple(_opened(feature, plate=plate) for feature in face.features))


def _opened(feature: Feature, *, plate: Plate) -> Feature:
    """A pocket or a groove that runs into what was gone as deep as it is, or deeper: open there, as at the plate's
    edge."""
    spec = feature.spec
    if not isinstance(spec, PocketSpec | GrooveSpec) or (isinstance(spec, PocketSpec) and spec.draft > 0.0):
        return feature
    beside = regions_polygon(gone(plate, z=-feature.bottom))
    figure = polygon_of(must(feature, z=-feature.bottom + _JUST_ABOVE))
    return replace(feature, open_edges=True) if solids.area(solids.common(figure, beside)) > _LEAST else feature


def _of(
    spec: ExistingSpec,
    *,
    plate: Plate,
    drawing: Drawing,
    beside: Path,
    findings: list[Finding],
    problems: list[Problem],
) -> list[_Gone]:
    match spec:
        case ExistingLayer():
            wanted = Wanted(
                drawing=drawing, name=spec.layer, key="plate.existing", problems=problems, findings=findings
            )
            return _drawn(spec, wanted=wanted, plate=plate)
        case ExistingPlan():
            return _cut(read_earlier(spec.folder), plate=plate, beside=beside, findings=findings)


def _drawn(spec: ExistingLayer, *, wanted: Wanted, plate: Plate) -> list[_Gone]:
    layer = layers.found(wanted)
    if layer is None:
        return []
    regions = layers.regions(layer, wanted=wanted, of="pockets that the plate already has")
    figure = regions_polygon(moved(region, by=plate.drawn_at) for region in regions)
    depth = plate.thickness if spec.depth is None else spec.depth
    return [_Gone(solid=figure, depth=depth, back=spec.face == "back")] if regions else []


def _cut(earlier: Earlier, *, plate: Plate, beside: Path, findings: list[Finding]) -> list[_Gone]:
    """What the programs of an earlier plan, and the skims since, have left, and what was gone before them."""
    _refuse_other(earlier, plate=plate)
    drawn = Lying(about=None, bounds=earlier.bounds)
    found = [
        _Gone(solid=_laid_in(regions_polygon(one.regions), lies=drawn, seen=plate.bounds), depth=one.depth, back=back)
        for back, each in ((False, earlier.existing), (True, earlier.beneath))
        for one in each
    ]
    programs = _programs(earlier, beside=beside, findings=findings)
    for lying in dict.fromkeys(earlier.settings.values()):
        track = track_of([program for program in programs if earlier.settings[program.setting] == lying])
        for hollow in hollows(track, thickness=plate.thickness):
            solid = _laid_in(hollow.solid, lies=lying, seen=plate.bounds)
            found.append(_Gone(solid=solid, depth=-hollow.z, back=lying.about is not None))
    return found


def _refuse_other(earlier: Earlier, *, plate: Plate) -> None:
    """InputError if an earlier plan was for a plate of another size."""

    def size(bounds: Bounds, thickness: Mm) -> tuple[Mm, Mm, Mm]:
        return bounds[2] - bounds[0], bounds[3] - bounds[1], thickness

    then, now = size(earlier.bounds, earlier.thickness), size(plate.bounds, plate.thickness)
    if any(abs(one - other) > _ALIKE for one, other in zip(then, now, strict=True)):
        said = [" x ".join(f"{edge:.6g}" for edge in one) for one in (then, now)]
        raise InputError(
            Problem(
                message=f"was planned for a plate of {said[0]} mm, and this one is {said[1]} mm",
                file=str(earlier.folder.folder),
                key="plate.existing",
                accepted="the earlier plan of the same plate; or a layer that shows what is gone of it",
            )
        )


def _programs(earlier: Earlier, *, beside: Path, findings: list[Finding]) -> list[ProgramUnderProof]:
    """The texts of an earlier plan and of the skims in its journal, as they are read back."""
    folder = earlier.folder
    post = load_post(earlier.post, beside=beside).post
    texts = [(one.file, one.setting, one.cutter, one.text) for one in folder.programs if one.cutter is not None]
    job = folder.folder.resolve().parent / folder.made_from.job
    history = history_of(read_journal(journal_beside(job)), plan_sum=plan_sum_of(folder.folder))
    for skim in history.skims:
        texts += [(one.file, one.setting, one.cutter, skim_text(one, plan=folder)) for one in skim.programs]
    found = []
    for file, setting, cutter, text in texts:
        reading = read(text, file=file, post=post)
        findings += [finding for finding in reading.findings if finding.severity is Severity.UNSAFE]
        found.append(
            ProgramUnderProof(
                file=file, setting=setting, cutter=earlier.cutters[cutter], motions=reading.motions, findings=()
            )
        )
    return found


def _laid(every: Sequence[_Gone]) -> tuple[Existing, ...]:
    """What is gone, the deepest first, each with all that is gone deeper."""
    laid: list[Existing] = []
    whole: Solid = solids.NOTHING
    for depth in sorted({one.depth for one in every}, reverse=True):
        known = solids.grown(whole, by=_HARDLY)
        parts = [part for one in every if one.depth == depth for part in solids.parts(one.solid, least=_LEAST)]
        more = [part for part in parts if not solids.contains(known, part)]
        if more:
            whole = solids.united([whole, *more])
            laid.append(Existing(regions=_regions(whole), depth=depth))
    return tuple(laid)


def _regions(figure: Solid) -> tuple[Region, ...]:
    found = []
    for part in solids.parts(figure, least=_LEAST):
        outer, holes = solids.rings(part)
        islands = tuple(chain(hole, closed=True) for hole in holes)
        found.append(Region(outer=chain(outer, closed=True), islands=islands))
    return tuple(found)


def _said(every: Sequence[_Gone], *, plate: Plate) -> Finding:
    """How much of the plate was gone before."""
    figure = solids.common(solids.united([one.solid for one in every]), region_polygon(plate.outline))
    deepest = max((one.depth for one in every), default=0.0)
    whole = "through" if deepest >= plate.thickness - _ALIKE else f"up to {deepest:.2f} mm deep"
    return Finding(
        severity=Severity.NOTE,
        code="existing",
        message=f"the plate already has {solids.area(figure):.0f} mm2 cut away, {whole}: nothing is cut there again; "
        "check that it lies with the same zero as it did then",
        where="plate",
    )
