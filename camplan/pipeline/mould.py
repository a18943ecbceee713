"""From a job's drawing to what its mould asks of the press, of its channels and of patience."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Literal

import shapely

from camplan import resources
from camplan.catalogue.plastics import FOLDER, load_plastic
from camplan.errors import InputError, Problem
from camplan.features.cavity import across, from_above, held
from camplan.features.records import Feature
from camplan.features.specs import GrooveSpec, PocketSpec
from camplan.findings import Finding, Severity
from camplan.geometry import planar
from camplan.geometry.farthest import farthest
from camplan.job import Job
from camplan.moulding.answer import answered
from camplan.moulding.records import CavityFigures, Channel, FlowPath, MouldingSpec
from camplan.pipeline.bench import load_bench
from camplan.planned import MouldTable
from camplan.units import Mm

SHALLOW: Mm = 0.1
"""Grooves and pockets no deeper than this let out air, where nothing else is said."""
_WELL = 0.1  # of the largest moulding's figure (common practice, no source)
_SPECK = 1e-6

Role = Literal["cavity", "runners", "gates", "vents"]


def mould_table(job_file: Path, *, said: MouldingSpec) -> MouldTable:
    """What the mould of a job asks for; what is ``said`` comes before the job's own ``[moulding]``.

    InputError for a job that cannot be used, a plastic that nobody names and a plate without a cavity.
    """
    bench = load_bench(job_file)
    spec = _merged(bench.job.moulding, said=said)
    name = spec.plastic or (bench.job.shrinkage.plastic if bench.job.shrinkage is not None else None)
    if name is None:
        names = ", ".join(resources.named(FOLDER, beside=bench.job.folder))
        raise InputError(
            Problem(
                message="nothing says what is moulded",
                file=str(job_file),
                key="moulding.plastic",
                accepted=f'plastic = "pp" in [moulding], or --plastic pp; there are {names}',
            )
        )
    loaded = load_plastic(name, beside=bench.job.folder)
    roles = _roles(bench.features, spec=spec)
    if not roles["cavity"]:
        raise InputError(
            Problem(
                message="there is no cavity: no pocket for plastic to fill",
                file=str(job_file),
                key="moulding.cavity",
                accepted='a feature of kind "pocket", or names of features in moulding.cavity',
            )
        )
    figures = _figures(roles)
    answer = answered(loaded.plastic, figures=figures, spec=spec)
    return MouldTable(
        title=bench.job.title,
        plastic=loaded.plastic,
        roles={str(role): tuple(feature.spec.name for feature in found) for role, found in roles.items()},
        figures=figures,
        answer=replace(answer, findings=(*loaded.findings, *_scale(bench.job), *answer.findings)),
    )


def _merged(own: MouldingSpec | None, *, said: MouldingSpec) -> MouldingSpec:
    """The job's table with what was said on the command line in its place."""
    if own is None:
        return said
    return replace(
        own,
        plastic=said.plastic if said.plastic is not None else own.plastic,
        wall=said.wall if said.wall is not None else own.wall,
        press=said.press if said.press is not None else own.press,
        ejection=said.ejection if said.ejection is not None else own.ejection,
    )


def _scale(job: Job) -> tuple[Finding, ...]:
    """That sizes are those of the drawing, where nothing says how much the plastic shrinks."""
    if job.shrinkage is not None:
        return ()
    message = "the job has no [shrinkage], so the cavity is cut, and counted here, as drawn"
    return (Finding(severity=Severity.NOTE, code="cut-as-drawn", message=message, where="shrinkage"),)


def _roles(features: Sequence[Feature], *, spec: MouldingSpec) -> dict[Role, tuple[Feature, ...]]:
    """Which features are cavity, runners, gates and vents: as named, the others told by kind, depth and name."""
    told: dict[Role, tuple[str, ...] | None] = {
        "cavity": spec.cavity,
        "runners": spec.runners,
        "gates": spec.gates,
        "vents": spec.vents,
    }
    named = {name: role for role, names in told.items() for name in names or ()}
    found: dict[Role, list[Feature]] = {role: [] for role in told}
    for feature in features:
        role = named.get(feature.spec.name)
        guess = _guess(feature) if role is None else None
        if guess is not None and told[guess] is None:
            role = guess
        if role is not None:
            found[role].append(feature)
    if told["cavity"] is None and told["runners"] is None:
        _part_wells(found)
    return {role: tuple(of) for role, of in found.items()}


def _guess(feature: Feature) -> Role | None:
    """What a feature is for, by its kind, depth and name (common practice, no source)."""
    spec = feature.spec
    if not isinstance(spec, PocketSpec | GrooveSpec):
        return None
    name = spec.name.casefold()
    if "vent" in name or feature.bottom - feature.top <= SHALLOW:
        return "vents"
    if isinstance(spec, PocketSpec):
        return "cavity"
    return "gates" if "gate" in name else "runners"


def _part_wells(found: dict[Role, list[Feature]]) -> None:
    """Small pockets that lie apart from the cavity and on a runner are wells, and belong to the runners."""
    if not found["runners"]:
        return
    runners, cavity = from_above(found["runners"]), from_above(found["cavity"])
    largest = max((part.area for part in planar.polygons(cavity)), default=0.0)
    for feature in tuple(found["cavity"]):
        rest = [other for other in found["cavity"] if other is not feature]
        figure = from_above([feature])
        apart = bool(rest) and not figure.intersects(from_above(rest))
        if apart and figure.area < _WELL * largest and figure.intersects(runners):
            found["cavity"].remove(feature)
            found["runners"].append(feature)


def _figures(roles: dict[Role, tuple[Feature, ...]]) -> CavityFigures:
    cavity, fed = from_above(roles["cavity"]), (*roles["runners"], *roles["gates"])
    filled = (*roles["cavity"], *fed)
    parts = [float(part.area) for part in planar.polygons(cavity) if part.area > _SPECK]
    own, whole = held(roles["cavity"]), held(filled)
    return CavityFigures(
        cavity_area=float(cavity.area),
        runner_area=float(from_above(filled).area - cavity.area),
        cavity_volume=own.volume,
        runner_volume=whole.volume - own.volume,
        walls=own.walls,
        mouldings=len(parts),
        largest=max(parts) / sum(parts),
        deepest=max(feature.bottom for feature in roles["cavity"]),
        runners=_channels(roles["runners"]),
        gates=_channels(roles["gates"]),
        vents=tuple(_vent(feature) for feature in roles["vents"]),
        flow=_flow(cavity, gates=roles["gates"] or roles["runners"]),
    )


def _channels(features: Sequence[Feature]) -> tuple[Channel, ...]:
    """The grooves among them: a well has no section across and no length."""
    return tuple(_channel(feature) for feature in features if isinstance(feature.spec, GrooveSpec))


def _channel(feature: Feature) -> Channel:
    section = across(feature)
    return Channel(
        name=feature.spec.name,
        width=section.width,
        depth=section.depth,
        area=section.area,
        around=section.around,
        length=section.line,
    )


def _vent(feature: Feature) -> Channel:
    """A groove, or a pocket, of which the depth alone matters."""
    if isinstance(feature.spec, GrooveSpec):
        return _channel(feature)
    depth = feature.bottom - feature.top
    return Channel(name=feature.spec.name, width=0.0, depth=depth, area=0.0, around=0.0, length=0.0)


def _flow(cavity: shapely.Geometry, *, gates: Sequence[Feature]) -> FlowPath | None:
    found = farthest(cavity, begins=from_above(gates)) if gates else None
    if found is None:
        return None
    return FlowPath(straight=found.straight, along=found.along, unreached=found.unreached)
