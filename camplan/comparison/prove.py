"""The verdict on programs: every rule of the shop, and removed against wanted at every height."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor

from camplan.catalogue.records import Cutter, Machine, Material
from camplan.comparison.compare import Compared, LeftOf, compared
from camplan.comparison.left import Left, Why
from camplan.comparison.reach import Shop
from camplan.comparison.records import Leftover, ProgramUnderProof, Proof
from camplan.comparison.wanted import comparable, wanted_of
from camplan.features.records import Feature, Plate
from camplan.features.sections import heights
from camplan.features.specs import SettingSpec
from camplan.findings import Finding, Severity
from camplan.geometry.places import by_axes, millimetres
from camplan.simulation.bodies import bodies_in_stock
from camplan.simulation.chips import thick_chips
from camplan.simulation.limits import beyond_limits
from camplan.simulation.rapids import plunges, rapids_in_stock
from camplan.simulation.records import Hit
from camplan.simulation.stock import stock_of
from camplan.simulation.surroundings import below_plate, clamp_hits, outside_travel
from camplan.simulation.track import Track, said_place, track_of
from camplan.units import UM_PER_MM, Mm

MOST_SAID = 20
"""Findings of one code that are said one by one."""


def prove(
    programs: Sequence[ProgramUnderProof],
    *,
    plate: Plate,
    features: Sequence[Feature],
    settings: Sequence[SettingSpec],
    cutters: Sequence[Cutter],
    machine: Machine,
    material: Material,
) -> Proof:
    """The proof of programs in the order in which they run, features with their kerfs, points and profiles.

    ``passed`` is False as soon as anything is unsafe: a gouge, a rapid or a body in the stock, a plunge that a cutter
    cannot make, a clamp, the table beneath, the travel, or an unsafe finding of the reader.
    """
    track = track_of(programs)
    stock = stock_of(track, plate=plate)
    known = [feature for feature in features if comparable(feature)]
    wanted = wanted_of(known, plate=stock.blank)
    shop = Shop(cutters=cutters, settings=settings, holder_radius=machine.holder_diameter / 2.0)
    # GEOS lets other threads run while it works: what is swept and what is left are asked side by side
    with ThreadPoolExecutor(max_workers=1) as beside:
        asked = beside.submit(rapids_in_stock, stock, machine=machine)
        found = compared(wanted, track=track, shop=shop)
        rapids = asked.result()
    clamps = clamp_hits(track, settings=settings, machine=machine)
    travel = outside_travel(track, machine=machine)
    others = (
        *plunges(stock),
        *bodies_in_stock(stock, machine=machine),
        *thick_chips(stock, material=material),
    )
    below = below_plate(track, lowest=_lowest(known, plate=plate))
    findings = [finding for program in programs for finding in program.findings]
    findings += beyond_limits(programs, machine=machine)
    findings += _gouge_findings(found, track=track)
    for hits in (rapids, clamps, others, below, travel):
        findings += _said(hits, track=track)
    leftovers, unmet = _leftovers(found.left, features=known)
    findings += unmet
    findings += [_unplanned(feature) for feature in features if not comparable(feature)]
    return Proof(
        passed=all(finding.severity is not Severity.UNSAFE for finding in findings),
        gouge=found.gouge,
        wall_error=found.wall,
        left_area=sum(left.area for left in leftovers),
        rapids_in_stock=len(rapids),
        clamp_hits=len(clamps),
        outside_travel=len(travel),
        sections=found.sections,
        leftovers=leftovers,
        findings=tuple(findings),
    )


def _lowest(features: Iterable[Feature], *, plate: Plate) -> Mm:
    """The deepest height that anything may be cut to: the plate's underside, or what features go below it."""
    return min((-plate.thickness, *(z for feature in features for z in heights(feature))))


def _gouge_findings(found: Compared, *, track: Track) -> list[Finding]:
    worst: dict[int, Hit] = {}
    depth: dict[int, Mm] = {}
    for gouge in found.gouges:
        if gouge.depth <= depth.get(gouge.row, -1.0):
            continue
        depth[gouge.row] = gouge.depth
        deep = f"{gouge.depth:.3f} mm" if gouge.depth >= 0.1 else f"{gouge.depth * UM_PER_MM:.1f} um"
        message = f"cuts {deep} into what must stay"
        worst[gouge.row] = Hit(row=gouge.row, code="gouge", message=message, at=gouge.at)
    return _said([worst[row] for row in sorted(worst)], track=track)


def _said(hits: Sequence[Hit], *, track: Track) -> list[Finding]:
    """Unsafe findings that name file, line and place; after `MOST_SAID` of a code the rest is counted."""
    findings: list[Finding] = []
    by_code: dict[str, list[Hit]] = defaultdict(list)
    for hit in hits:
        by_code[hit.code].append(hit)
    for code, members in by_code.items():
        for hit in members[:MOST_SAID]:
            message = f"{hit.message}, at {said_place(hit.at)}"
            findings.append(Finding(severity=Severity.UNSAFE, code=code, message=message, where=_where(hit, track)))
        if len(members) > MOST_SAID:
            message = f"and {len(members) - MOST_SAID} more moves like these"
            where = _where(members[MOST_SAID], track)
            findings.append(Finding(severity=Severity.UNSAFE, code=code, message=message, where=where))
    return findings


def _where(hit: Hit, track: Track) -> str:
    return f"{track.programs[int(track.program[hit.row])].file}, line {int(track.line[hit.row])}"


def _leftovers(found: Sequence[LeftOf], *, features: Sequence[Feature]) -> tuple[tuple[Leftover, ...], list[Finding]]:
    """Of each feature and reason the height at which most is left, piece by piece; and findings for what was asked."""
    by_why: dict[tuple[int, Why], list[tuple[LeftOf, list[Left]]]] = defaultdict(list)
    for left in found:
        for why in Why:
            pieces = [piece for piece in left.pieces if piece.why is why]
            if pieces:
                by_why[left.feature, why].append((left, pieces))
    leftovers: list[Leftover] = []
    findings: list[Finding] = []
    for (number, why), each in sorted(by_why.items(), key=lambda item: (item[0][0], list(Why).index(item[0][1]))):
        most, pieces = max(each, key=lambda item: (round(sum(piece.area for piece in item[1]), 6), -item[0].height.z))
        name = features[number].spec.name
        leftovers += [
            Leftover(
                feature=name,
                depth=most.height.depth,
                area=piece.area,
                deepest=piece.deepest,
                at=piece.at,
                cause=piece.cause,
            )
            for piece in pieces
        ]
        if why in (Why.UNCUT, Why.CLAMPED, Why.CORNER_NOT_MET, Why.NOT_REACHED):
            findings.append(_unmet(name, why=why, depth=most.height.depth, pieces=pieces))
    return tuple(leftovers), findings


def _unmet(name: str, *, why: Why, depth: Mm, pieces: Sequence[Left]) -> Finding:
    worst = max(pieces, key=lambda piece: (round(piece.deepest, 6), round(piece.area, 6)))
    places = "one place" if len(pieces) == 1 else f"{len(pieces)} places"
    message = (
        f"{sum(piece.area for piece in pieces):.3f} mm2 stand at {places} {millimetres(depth)} mm deep, up to "
        f"{worst.deepest:.3f} mm thick near {by_axes(worst.at)}: {worst.cause}"
    )
    return Finding(severity=Severity.UNMET, code=why.value, message=message, where=name)


def _unplanned(feature: Feature) -> Finding:
    message = "no cutter was chosen for it, so nothing of it may be cut"
    return Finding(severity=Severity.UNMET, code="not-cut", message=message, where=feature.spec.name)
