"""The features of a job built for each face of the plate that its settings turn up."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.drawing.records import Drawing
from camplan.errors import InputError, Problem, kept
from camplan.features.build import build
from camplan.features.records import Built, Feature, PlateFace
from camplan.features.scaled import Scaling
from camplan.features.specs import SettingSpec
from camplan.features.turned import half, turned_drawing, turned_scaling, turned_spec, turned_zero
from camplan.job import Job


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BuiltFaces:
    """All features ``drawn``, as seen from the top, each whole; and the faces as they lie."""

    drawn: Built
    faces: tuple[PlateFace, ...]


def built_faces(job: Job, *, drawing: Drawing, scaling: Scaling | None = None) -> BuiltFaces:
    """The plate and its features as drawn, and for each face that is up in some setting; InputError as in `build`.

    Features of different faces are not held against each other here: they may lie over each other.
    """
    tops = [setting for setting in job.settings if setting.face == "top"]
    backs = [setting for setting in job.settings if setting.face == "back"]
    if not backs:
        whole = build(job.features, plate=job.plate, drawing=drawing, scaling=scaling)
        return BuiltFaces(drawn=whole, faces=(_face(tops, built=whole, features=whole.features),))
    problems: list[Problem] = []
    top = kept(lambda: _drawn(job, settings=tops, drawing=drawing, scaling=scaling), problems=problems)
    back = kept(lambda: _drawn(job, settings=backs, drawing=drawing, scaling=scaling), problems=problems)
    if problems or top is None or back is None:
        raise InputError(tuple(dict.fromkeys(problems)))
    about = backs[0].about
    zero = backs[0].zero or turned_zero(job.plate.zero, about=about)
    names = _names(backs)
    turned = build(
        tuple(turned_spec(spec, about=about) for spec in job.features if spec.name in names),
        plate=replace(job.plate, zero=zero),
        drawing=turned_drawing(drawing, about=about),
        scaling=turned_scaling(scaling, about=about) if scaling is not None else None,
    )
    by_name = {feature.spec.name: feature for feature in (*back.features, *top.features)}
    faces = [
        _face(tops, built=top, features=_halved(top.features, job=job, face="top")) if tops else None,
        replace(_face(backs, built=turned, features=_halved(turned.features, job=job, face="back")), about=about),
    ]
    return BuiltFaces(
        drawn=Built(
            plate=top.plate,
            features=tuple(by_name[spec.name] for spec in job.features),
            findings=tuple(dict.fromkeys((*top.findings, *back.findings))),
            scaled_about=top.scaled_about,
        ),
        faces=tuple(face for face in faces if face is not None),
    )


def _drawn(job: Job, *, settings: Sequence[SettingSpec], drawing: Drawing, scaling: Scaling | None) -> Built:
    """The features of some settings as drawn."""
    names = _names(settings)
    specs = tuple(spec for spec in job.features if spec.name in names)
    return build(specs, plate=job.plate, drawing=drawing, scaling=scaling)


def _names(settings: Sequence[SettingSpec]) -> set[str]:
    return {name for setting in settings for name in setting.features}


def _face(settings: Sequence[SettingSpec], *, built: Built, features: tuple[Feature, ...]) -> PlateFace:
    names = tuple(setting.name for setting in settings)
    return PlateFace(settings=names, about=None, plate=built.plate, features=features)


def _halved(features: Sequence[Feature], *, job: Job, face: str) -> tuple[Feature, ...]:
    """The features, of those that are cut from both faces only the half of this one."""
    found = []
    for feature in features:
        faces = [setting.face for setting in job.settings if feature.spec.name in setting.features]
        shared = len(set(faces)) > 1
        found.append(half(feature, thickness=job.plate.thickness, last=faces[-1] == face) if shared else feature)
    return tuple(found)
