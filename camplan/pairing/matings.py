"""A core in its cavity: the gap between their walls, depth by depth, when the plates are closed.

The cavity plate's top and the core plate's parting face touch.  The core is what stands inside a pocket (its islands)
or inside an outline; it reaches ``closed`` below the cavity plate's top, by default as deep as its own feature goes, so
that the feature's floor is the parting face.  At a depth ``d`` of the cavity stands the core's section of its own depth
``closed - d``.  Walls are taken as they are drawn; allowances, which are left on purpose, are told beside.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from camplan import tolerance
from camplan.features.records import EMPTY, Feature, Section
from camplan.features.sections import heights, must
from camplan.features.specs import FaceSpec, OutlineSpec, PocketSpec
from camplan.findings import Finding, Severity
from camplan.geometry.places import place
from camplan.job.project import MatingSpec
from camplan.pairing.laying import Lie, laid_feature, laid_region
from camplan.pairing.patterns import feature_named
from camplan.pairing.records import GapAt, MatingFound, Placed
from camplan.regions import Region
from camplan.simulation import solids
from camplan.simulation.figures import polygon_of, region_polygon
from camplan.simulation.solids import Floats, Solid
from camplan.units import UM_PER_MM, Mm, Mm2

DEPTHS = 11
"""Evenly spaced depths at which a gap is measured, beside those where a section changes."""
SPACING: Mm = 0.1
"""From one measured place of a wall to the next; every corner is one too."""
_INSIDE: Mm = 1e-4
_SPECK: Mm2 = 0.01
_ROUGHLY: Mm = 2.0 * tolerance.CHORD
"""What chords for arcs may take from or add to a gap."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Mating:
    """Core and cavity in common coordinates, with the way back to the cavity's own."""

    core: Feature
    cavity: Feature
    closed: Mm
    lie: Lie


def mating_found(spec: MatingSpec, *, plates: Sequence[Placed]) -> MatingFound:
    """The gaps of one mating.  The names must be those of a core (`has_core`) and a pocket of the plates."""
    homes = {plate.spec.name: plate for plate in plates}
    core_home, cavity_home = homes[spec.core.plate], homes[spec.cavity.plate]
    core = _nominal(feature_named(core_home, name=spec.core.feature))
    cavity = _nominal(feature_named(cavity_home, name=spec.cavity.feature))
    closed = spec.closed if spec.closed is not None else core.bottom
    mating = _Mating(
        core=laid_feature(core, lie=core_home.lie),
        cavity=laid_feature(cavity, lie=cavity_home.lie),
        closed=closed,
        lie=cavity_home.lie,
    )
    found = [_gap_at(mating, depth=depth) for depth in _depths(mating)]
    gaps = tuple(gap for gap in found if gap is not None)
    floor = None if cavity.through else cavity.bottom - (closed - core.top)
    findings = [*_walls(spec, gaps=gaps, cavity=cavity, closed=closed), *_floor(spec, floor=floor)]
    findings += _left(spec, plates=homes)
    if spec.closed is None:
        findings += _rim(spec, core=core_home, cavity=cavity_home, parting=closed)
    return MatingFound(spec=spec, closed=closed, gaps=gaps, floor=floor, findings=tuple(findings))


def has_core(feature: Feature) -> bool:
    """Whether something stands inside: an island of a pocket, or the part of an outline cut from outside."""
    match feature.spec:
        case PocketSpec():
            return any(region.islands for region in feature.regions)
        case OutlineSpec(side=side):
            return side == "outside"
        case _:
            return False


def core_section(feature: Feature, *, depth: Mm) -> Solid:
    """What stands inside a feature at a depth below its plate's top."""
    section = must(feature, z=0.0 - depth)
    if isinstance(feature.spec, OutlineSpec):
        return polygon_of(Section(regions=section.keep, grow=section.keep_grow))
    return solids.enclosed(polygon_of(section))


def cavity_section(feature: Feature, *, depth: Mm) -> Solid:
    """What is open of a pocket at a depth below its plate's top."""
    section = must(feature, z=0.0 - depth)
    return solids.NOTHING if section is EMPTY else polygon_of(section)


def _nominal(feature: Feature) -> Feature:
    """The feature with its walls where they are drawn."""
    if isinstance(feature.spec, PocketSpec | OutlineSpec):
        return replace(feature, spec=replace(feature.spec, allowance=0.0))
    return feature


def _depths(mating: _Mating) -> list[Mm]:
    """Depths of the cavity at which both walls face each other, falling."""
    top = max(mating.cavity.top, mating.closed - mating.core.bottom, 0.0)
    low = min(mating.cavity.bottom, mating.closed - mating.core.top)
    if low < top - tolerance.SAME_POINT:
        return []
    steps = {float(depth) for depth in np.linspace(top, max(low, top), DEPTHS)}
    steps |= {0.0 - z for z in heights(mating.cavity)} | {mating.closed + z for z in heights(mating.core)}
    inside = sorted(min(max(step, top), low) for step in steps if top - 1e-9 <= step <= low + 1e-9)
    return [depth for place, depth in enumerate(inside) if place == 0 or depth - inside[place - 1] > 1e-6]


def _gap_at(mating: _Mating, *, depth: Mm) -> GapAt | None:
    """The gap at one depth; None where a section is empty there, so that there is no wall."""
    core = core_section(mating.core, depth=mating.closed - depth)
    cavity = cavity_section(mating.cavity, depth=depth)
    if core.is_empty or cavity.is_empty:
        return None
    x0, y0, x1, y1 = solids.bounds(solids.united([core, cavity]))
    room = 10.0 + max(x1 - x0, y1 - y0)
    around = solids.box((x0 - room, y0 - room, x1 + room, y1 + room))
    on_core, on_wall = (solids.edge_places(shape, apart=SPACING) for shape in (core, cavity))
    away = np.concatenate(
        (
            _signed(on_core, wall=solids.less(around, cavity), beside=cavity),
            _signed(on_wall, wall=core, beside=solids.less(around, core)),
        )
    )
    places = np.vstack((on_core, on_wall))
    least, most = int(np.argmin(away)), int(np.argmax(away))
    return GapAt(
        depth=depth,
        least=float(away[least]),
        least_at=mating.lie.own((float(places[least, 0]), float(places[least, 1]))),
        most=float(away[most]),
        most_at=mating.lie.own((float(places[most, 0]), float(places[most, 1]))),
    )


def _signed(places: Floats, *, wall: Solid, beside: Solid) -> Floats:
    """Distance of places to a wall; of those in it, less than 0: how far they are from what lies ``beside`` it."""
    away = solids.distances(places, to=wall)
    inside = np.flatnonzero(away <= 0.0)
    away[inside] = 0.0 - solids.distances(places[inside], to=beside)
    return away


def _walls(spec: MatingSpec, *, gaps: Sequence[GapAt], cavity: Feature, closed: Mm) -> list[Finding]:
    """Whether the gap is as asked at every depth: one finding for where it is too narrow, one for too wide."""
    if not gaps:
        message = (
            f"{spec.core} and {spec.cavity} do not face each other at any depth: the core reaches {closed:g} mm below "
            f"the cavity plate's top, and the cavity goes from {cavity.top:g} to {cavity.bottom:g} mm"
        )
        return [_unmet("core-outside-cavity", message, spec=spec)]
    asked = f"{spec.gap:g} mm +- {spec.tolerance * UM_PER_MM:g} um are asked"
    slack = spec.tolerance + _ROUGHLY
    found = []
    narrow = min(gaps, key=lambda gap: gap.least)
    if narrow.least < spec.gap - slack:
        many = sum(gap.least < spec.gap - slack for gap in gaps)
        at = f"at {place(narrow.least_at)} of {spec.cavity.plate}, {narrow.depth:.3f} mm below its top"
        if narrow.least < -_INSIDE:
            message = f"{spec.core} stands {-narrow.least:.3f} mm in the wall of {spec.cavity} {at}; {asked}"
            found.append(_unmet("core-meets-wall", message + _often(many, of=len(gaps)), spec=spec))
        else:
            message = f"the gap between {spec.core} and {spec.cavity} is only {max(narrow.least, 0.0):.3f} mm {at}"
            found.append(_unmet("gap-too-narrow", f"{message}; {asked}{_often(many, of=len(gaps))}", spec=spec))
    wide = max(gaps, key=lambda gap: gap.most)
    if wide.most > spec.gap + slack:
        many = sum(gap.most > spec.gap + slack for gap in gaps)
        at = f"at {place(wide.most_at)} of {spec.cavity.plate}, {wide.depth:.3f} mm below its top"
        message = f"the gap between {spec.core} and {spec.cavity} is {wide.most:.3f} mm {at}; {asked}"
        found.append(_unmet("gap-too-wide", message + _often(many, of=len(gaps)), spec=spec))
    return found


def _often(many: int, *, of: int) -> str:
    return f" (at {many} of {of} depths)"


def _floor(spec: MatingSpec, *, floor: Mm | None) -> list[Finding]:
    """Whether the core's end stays off the cavity's floor as far as asked."""
    if floor is None:
        return []
    if floor < -tolerance.SAME_POINT:
        message = f"{spec.core} reaches {-floor:.3f} mm below the floor of {spec.cavity} when the plates are closed"
        return [_unmet("core-meets-floor", message, spec=spec)]
    if spec.floor_gap is None or abs(floor - spec.floor_gap) <= spec.tolerance + tolerance.SAME_POINT:
        return []
    message = (
        f"between the end of {spec.core} and the floor of {spec.cavity} are {floor:.3f} mm; "
        f"{spec.floor_gap:g} mm +- {spec.tolerance * UM_PER_MM:g} um are asked"
    )
    return [_unmet("floor-gap-off", message, spec=spec)]


def _rim(spec: MatingSpec, *, core: Placed, cavity: Placed, parting: Mm) -> list[Finding]:
    """Whether the core's plate stands above its parting face anywhere else, where the other plate would lie on it."""
    gone = [
        polygon_of(Section(regions=tuple(Region(outer=region.outer) for region in feature.regions)))
        for feature in core.features
        if isinstance(feature.spec, PocketSpec | FaceSpec)
        and feature.top <= tolerance.SAME_POINT
        and feature.bottom >= parting - tolerance.SAME_POINT
    ]
    other = laid_region(cavity.plate.outline, lie=cavity.lie)
    over = laid_region(other, lie=core.lie.back)
    plate = solids.common(region_polygon(core.plate.outline), region_polygon(over))
    stands = solids.less(plate, solids.grown(solids.united(gone), by=tolerance.JOIN))
    rims = solids.parts(stands, least=_SPECK)
    if not rims:
        return []
    at = place(solids.inside_point(max(rims, key=solids.area)))
    message = (
        f"beside {spec.core} its plate still stands {parting:g} mm above the core's floor, as at {at} of "
        f"{core.spec.name}: there the plates meet before the core is in; cut that away too, or say with closed_mm how "
        "far the core enters"
    )
    return [Finding(severity=Severity.CAUTION, code="rim-in-the-way", message=message, where=spec.name)]


def _left(spec: MatingSpec, *, plates: dict[str, Placed]) -> list[Finding]:
    """Allowances on either wall make the gap narrower than drawn until they are cut away."""
    named = (spec.core, spec.cavity)
    specs = [feature_named(plates[name.plate], name=name.feature).spec for name in named]
    left = [one.allowance if isinstance(one, PocketSpec | OutlineSpec) else 0.0 for one in specs]
    if not any(left):
        return []
    told = " and ".join(f"{mm:g} mm on {name}" for name, mm in zip(named, left, strict=True) if mm)
    message = (
        f"as planned, {told} stay on purpose: until that is cut away the gap is {sum(left):g} mm narrower than the "
        "walls as they are drawn, which are measured here"
    )
    return [Finding(severity=Severity.NOTE, code="gap-with-allowance", message=message, where=spec.name)]


def _unmet(code: str, message: str, *, spec: MatingSpec) -> Finding:
    return Finding(severity=Severity.UNMET, code=code, message=message, where=spec.name)
