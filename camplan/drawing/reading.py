"""A drawing file as named layers of joined chains in mm."""

from pathlib import Path

import numpy as np

from camplan import tolerance
from camplan.drawing import collecting
from camplan.drawing.collecting import Loose
from camplan.drawing.joining import joined
from camplan.drawing.loading import LengthUnit, loaded, scale
from camplan.drawing.records import Drawing, Layer
from camplan.drawing.rounds import full_circle
from camplan.errors import InputError, Problem
from camplan.findings import Finding
from camplan.units import Mm


def read_drawing(path: Path, *, unit: LengthUnit | None = None, join: Mm = tolerance.JOIN) -> Drawing:
    """The model space of a DXF file, R12 to 2018; loose ends closer than ``join`` are one point.

    ``unit`` is what the job says of the drawing's lengths; it stands above the file's header.  InputError: no
    such file, no DXF, damaged beyond repair, unit not known, nothing in it, or coordinates that are no plate's.
    """
    source = loaded(path)
    measure = scale(source.document, unit=unit, file=str(path))
    loose = collecting.collected(source.document, factor=measure.factor, file=str(path))
    problems = [measure.problem] if measure.problem is not None else []
    problems += [problem for layer in loose.values() for problem in collecting.problems(layer, file=str(path))]
    if not any(layer.pieces or layer.closed or layer.points or layer.astray for layer in loose.values()):
        problems.append(_nothing(loose, noticed=source.findings, file=str(path)))
    if problems:
        raise InputError(tuple(problems))
    layers = {name: _layer(layer, within=join) for name, layer in loose.items()}
    findings = (*source.findings, *measure.findings, *collecting.on_sheets(source.document, file=path.name))
    return Drawing(file=path.name, layers=layers, findings=findings, unit=unit)


def _layer(loose: Loose, *, within: Mm) -> Layer:
    result = joined(loose.pieces, closed=loose.closed, layer=loose.name, within=within)
    circles = tuple(found for path in result.closed if (found := full_circle(path)) is not None)
    return Layer(
        name=loose.name,
        closed=result.closed,
        open=result.open,
        circles=circles,
        points=np.array(loose.points, dtype=np.float64).reshape(-1, 2),
        findings=(*collecting.findings(loose), *result.findings),
        texts=collecting.texts(loose),
    )


def _nothing(loose: dict[str, Loose], *, noticed: tuple[Finding, ...], file: str) -> Problem:
    in_layers = [finding for layer in loose.values() for finding in collecting.findings(layer)]
    said = "; ".join(finding.message for finding in (*noticed, *in_layers))
    message = "the drawing's model space holds nothing to mill" + (f": {said}" if said else "")
    accepted = "LINE, ARC, CIRCLE, ELLIPSE, LWPOLYLINE, POLYLINE, SPLINE, POINT, and INSERTs of them"
    return Problem(message=message, file=file, accepted=accepted)
