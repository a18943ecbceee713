"""Pieces that come loose while they are cut: whether a clamp holds each in the setting that frees it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from camplan.features.records import Feature, Plate
from camplan.features.specs import OutlineSpec, PocketSpec, SettingSpec
from camplan.findings import Finding, Severity
from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.operations import areas
from camplan.operations.ties import figure_of
from camplan.pipeline.clamping import bar_of
from camplan.regions import Region
from camplan.units import Mm2

LOOSE = "piece-comes-loose"
_HOLDS: Mm2 = 1.0
"""A clamp that stands on less of a piece does not hold it (common practice, no source)."""
_LEAST: Mm2 = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Piece:
    """A piece that a cut frees, what it is, and whether it is but the rest of the plate round a part."""

    what: str
    area: Area
    rest: bool = False


def loose_findings(
    features: Sequence[Feature], *, plate: Plate, here: Sequence[SettingSpec], settings: Sequence[SettingSpec]
) -> list[Finding]:
    """Of each piece that a feature frees whether a clamp stands on it in the last of all ``settings`` that cut the
    feature; said of the features of one face if that is one of its settings, those ``here``."""
    found: list[Finding] = []
    for feature in features:
        last = [setting for setting in settings if feature.spec.name in setting.features][-1:]
        if last and last[0] in here:
            found.extend(_of(feature, setting=last[0], plate=plate))
    return found


def freed_early(features: Sequence[Feature], *, plate: Plate, settings: Sequence[SettingSpec]) -> list[Finding]:
    """Pieces that are cut free before a later setting, of either face, cuts on them; ``features`` as drawn, whole."""
    found: list[Finding] = []
    for feature in features:
        name = feature.spec.name
        places = [place for place, setting in enumerate(settings) if name in setting.features]
        for setting in settings[places[-1] + 1 :] if places else ():
            pieces = [piece for piece in _pieces(feature, plate=plate) if not piece.rest]
            late = [
                other.spec.name
                for other in features
                if other.spec.name in setting.features
                and any(clipper.intersection(figure_of(other), with_=piece.area) for piece in pieces)
            ]
            if late:
                last, after = settings[places[-1]].name, setting.name
                message = (
                    f'"{name}" cuts {pieces[0].what} free in setting {last!r}, and {after!r} after it cuts '
                    f'{", ".join(late)} on it: name "{name}" in {after!r} too or instead, or ask for bridges'
                )
                found.append(Finding(severity=Severity.UNMET, code="freed-too-early", message=message, where=name))
    return found


def _of(feature: Feature, *, setting: SettingSpec, plate: Plate) -> Iterator[Finding]:
    """One finding for all pieces of a feature that no clamp stands on."""
    bars = [bar_of(clamp).area for clamp in setting.clamps]
    free = [piece for piece in _pieces(feature, plate=plate) if not any(_on(bar, piece=piece) for bar in bars)]
    if not free:
        return
    points = np.vstack(free[0].area)
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    more = f", and {len(free) - 1} more" if len(free) > 1 else ""
    message = (
        f'"{feature.spec.name}" cuts {free[0].what} free in setting {setting.name!r}, from X{x0:.3f} Y{y0:.3f} to '
        f"X{x1:.3f} Y{y1:.3f}{more}"
    )
    if bars:
        remedy = "none of its clamps stands on it: put a clamp there, or ask for bridges or a skin"
    else:
        remedy = "no clamp is drawn there: see to it that something holds it to the end, or ask for bridges or a skin"
    yield Finding(
        severity=Severity.UNMET if bars else Severity.CAUTION,
        code=LOOSE,
        message=f"{message}, and {remedy}",
        where=feature.spec.name,
    )


def _on(bar: Area, *, piece: _Piece) -> bool:
    return clipper.surface(clipper.intersection(bar, with_=piece.area)) >= _HOLDS


def _pieces(feature: Feature, *, plate: Plate) -> Iterator[_Piece]:
    """The pieces that a feature frees, and the plate round a part that it leaves as a frame."""
    spec = feature.spec
    if not feature.through:
        return
    if isinstance(spec, PocketSpec):
        islands = [island for region in feature.regions for island in region.islands]
        for island in islands:
            yield _Piece(what="an island", area=clipper.union([areas.of_regions([Region(outer=island)])]))
    if isinstance(spec, OutlineSpec) and spec.hold == "none":
        across = spec.allowance + (feature.kerf or 0.0)
        for region in feature.regions:
            figure = areas.of_regions([region])
            part = figure if spec.side == "outside" else clipper.offset(figure, by=-across)
            if clipper.surface(part) > _LEAST:
                yield _Piece(what="the part" if spec.side == "outside" else "the piece in the window", area=part)
        if spec.side == "outside":
            cut = clipper.offset(areas.of_regions(feature.regions), by=across)
            rest = clipper.difference(areas.standing(plate, z=-plate.thickness), less=cut)
            # what is only trimmed off falls away beside the work; a frame goes round it
            for frame in clipper.pieces(rest):
                if len(frame) > 1 and clipper.surface(frame) > _LEAST:
                    yield _Piece(what="the plate round the part", area=frame, rest=True)
