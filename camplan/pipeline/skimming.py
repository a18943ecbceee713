"""What a recut asks for as operations, programs and their proof."""

import math
from collections.abc import Sequence
from dataclasses import replace

from camplan import tolerance
from camplan.catalogue.records import Cutter
from camplan.catalogue.shape import wall_radius
from camplan.errors import InputError, Problem
from camplan.features.records import Feature
from camplan.features.specs import HoleSpec, OutlineSpec, PocketSpec
from camplan.findings import Finding, Severity
from camplan.geometry import clipper
from camplan.geometry.chains import circle
from camplan.geometry.clipper import Area
from camplan.operations import areas
from camplan.operations.air import with_air
from camplan.operations.records import Operation
from camplan.operations.shop import Shop
from camplan.operations.skims import Lap, bends_at_most, floor_operations, skim_operations, wall_cutter
from camplan.pipeline.skim_programs import ground_left, skim_texts
from camplan.pipeline.skim_proof import Before, proven
from camplan.recut.asked import Along
from camplan.recut.figures import grown
from camplan.recut.gives import Verdict
from camplan.recut.history import SKIM, History, Skimmed, SkimProgram, skim_said
from camplan.recut.records import Recut
from camplan.recut.sides import Sides
from camplan.recut.sizes import Next, Sized, next_deeper, next_grow
from camplan.recut.walls import Walls, is_part, stands
from camplan.regions import Region
from camplan.units import UM_PER_MM, Mm

_BERTH: Mm = 0.005
"""How much farther in than measured the walls are taken to stand where the skim comes down."""
_RUN_ON: Mm = 0.1
"""How much farther than it must a lap runs on along the walls beside one that gives."""
_INTO_AIR: Mm = 0.6
"""The same beside a pocket that meets the plate's edge, where laps begin and end in the air."""
_HAIR: Mm = tolerance.CHORD
"""Two figures of a curved wall that stays may lie apart by twice this, as chords."""
_UNKNOWN: Mm = 0.05
"""How far in they are taken to stand where only is known that a mate does not go in."""


def skimmed(result: Recut, *, feature: Feature, before: Before, shop: Shop) -> Recut:
    """The recut with its skim planned, written as text and proven; without programs if the proof fails."""
    walls, history, picked = result.walls, before.history, before.picked
    then = next_grow(walls, sizes=result.sizes)
    deeper, thickness = next_deeper(walls, sizes=result.sizes)
    skims = max(math.ceil(then.widest / result.limit - 1e-9), 1)
    wanted = _wanted(feature, walls=walls, then=then, deeper=deeper, history=history)
    short = max((_short(one) for one in result.sizes if one.asked.along is not Along.DEPTH), default=0.0) + _BERTH
    cut = [one for one in picked.operations if one.feature.spec.name == feature.spec.name]
    laps = [
        _lap(
            wanted,
            walls=walls,
            moved=then.before((skims - number) / skims),
            width=then.widest / skims,
            short=short,
            before=before,
        )
        for number in range(1, skims + 1)
        if then.widest > 0.0
    ]
    operations: list[Operation] = []
    if thickness > 0.0:
        level = replace(wanted, regions=_moved(walls, to=(walls.grow, walls.islands)))
        pieces = clipper.pieces(_figure(level, before=before))
        old = -(feature.bottom + deeper - thickness)
        operations += floor_operations(wanted, before=cut, pieces=pieces, old=old, shop=shop)
    only = _where(walls, then=then, cutter=wall_cutter(cut), before=before)
    operations += skim_operations(wanted, before=cut, laps=laps, plate=picked.face.plate, shop=shop, only=only)
    count = max((1, *(len(one.pieces) for one in operations)))
    ground = ground_left(feature, picked=picked, bench=before.bench, short=short, pieces=count, anew=thickness > 0.0)
    about = f"skim {result.number} of {feature.spec.name}"
    texts = skim_texts(operations, ground=ground, picked=picked, bench=before.bench, about=about)
    if not texts:
        message = "clamps, or what is too narrow, keep the cutters out of all of it"
        key = f"feature {feature.spec.name!r}"
        raise InputError(Problem(message=message, key=key, accepted="clamps set otherwise, or another size"))
    features = _features(picked.face.features, wanted=wanted, history=history)
    proof, findings = proven(texts, wanted=features, name=feature.spec.name, before=before, short=short)
    passed = all(one.severity is not Severity.UNSAFE for one in findings)
    mine = tuple(one for one in proof.leftovers if one.feature == feature.spec.name)
    programs = tuple(
        SkimProgram(
            folder=result.folder, file=one.file, check_sum=one.check_sum, setting=one.setting, cutter=one.cutter.name
        )
        for one in texts
        if not one.trace
    )
    skim = Skimmed(
        number=result.number,
        feature=feature.spec.name,
        regions=walls.numbers,
        grow=then.grow,
        islands=then.islands,
        deeper=deeper,
        bends=bends_at_most(operations, laps=laps) if laps else 0.0,
        programs=programs,
        walls=then.cut[0],
        island_walls=then.cut[1],
    )
    aims = {_aimed(one): one.give.aim for one in result.sizes if one.give.verdict is Verdict.CUT}
    return replace(
        result,
        skims=skims,
        grow=then.grow,
        programs=tuple(texts) if passed else (),
        proof=replace(
            proof,
            passed=passed,
            findings=findings,
            leftovers=mine,
            left_area=sum(one.area for one in mine),
        ),
        findings=(*result.findings, *findings, *_edges_left(feature, then=then, before=before)),
        skim_entries=((SKIM, skim_said(skim, plan_sum=history.plan, aims=aims)),),
    )


def _edges_left(feature: Feature, *, then: Next, before: Before) -> list[Finding]:
    """Edges along walls that give: they were broken for walls that stood where they stood."""
    given = max(*then.widths, *then.island_widths)
    return [
        Finding(
            severity=Severity.CAUTION,
            code="edge-narrower",
            message=f"it was broken for the walls of {feature.spec.name} as they stood, which give up to "
            f"{given * UM_PER_MM:.0f} um: it becomes so much narrower",
            where=edge.spec.name,
        )
        for edge in before.picked.face.features
        if given > tolerance.GOUGE and feature.spec.name in edge.follows
    ]


def as_pocket(feature: Feature) -> Feature:
    """A feature whose walls are skimmed as those of a pocket: holes as round ones."""
    spec = feature.spec
    if not isinstance(spec, HoleSpec):
        return feature
    return replace(
        feature,
        spec=PocketSpec(
            name=spec.name,
            layer=spec.layer,
            top=spec.top,
            depth=spec.depth,
            draft=0.0,
            nominal="top",
            allowance=0.0,
            finish=None,
            corner=None,
            tolerance=spec.tolerance,
            cutters=spec.cutters,
        ),
        regions=tuple(Region(outer=circle((x, y), radius=size / 2.0)) for x, y, size in feature.circles),
        circles=(),
    )


def _where(walls: Walls, *, then: Next, cutter: Cutter | None, before: Before) -> Area:
    """Where a cutter's middle may be while it cuts what walls give, so that it leaves all others alone; InputError if
    none of that is on the plate."""
    spec = walls.feature.spec
    draft = spec.draft if isinstance(spec, PocketSpec | OutlineSpec) else 0.0
    lean = (walls.feature.bottom - walls.feature.top) * math.tan(draft)
    old, new = (
        areas.of_regions(_moved(walls, to=to)) for to in ((walls.grow, walls.islands), (then.grow, then.islands))
    )
    gives = clipper.union([clipper.difference(new, less=old), clipper.difference(old, less=new)])
    plate = areas.of_regions((before.picked.face.plate.outline,))
    if then.widest > 0.0 and not clipper.intersection(gives, with_=plate):
        message = f"{spec.name} is open at the plate's edge there: no wall stands on the plate that could give"
        raise InputError(Problem(message=message, key=f"feature {spec.name!r}", accepted="another wall of it"))
    on = _INTO_AIR if walls.feature.open_edges else _RUN_ON
    reach = (0.0 if cutter is None else wall_radius(cutter)) + lean + on
    return clipper.offset(clipper.opened(gives, radius=_HAIR), by=reach)


def _aimed(one: Sized) -> str:
    """What a skim's size runs along; of a wall by itself its name."""
    return one.asked.along.value if one.asked.along is not Along.WALL else str(one.asked.wall)


def _short(one: Sized) -> Mm:
    """How far in the walls may stand of where the programs before were to put them."""
    return max(one.give.short, 0.0) + one.give.half_width if one.reading is not None else _UNKNOWN


def _moved(walls: Walls, *, to: tuple[Sides, Sides]) -> tuple[Region, ...]:
    grow, islands = to
    return tuple(
        one for number in walls.numbers for one in grown(walls.feature.regions[number - 1], by=grow, islands=islands)
    )


def _figure(feature: Feature, *, before: Before) -> Area:
    figure = areas.of_regions(feature.regions)
    if feature.open_edges:
        widest = max(one.cutter.diameter for one in before.picked.operations)
        plate = areas.standing(before.picked.face.plate, z=-feature.bottom)
        return with_air(figure, plate=plate, width=widest + 1.0)
    return figure


def _lap(wanted: Feature, *, walls: Walls, moved: tuple[Sides, Sides], width: Mm, short: Mm, before: Before) -> Lap:
    """A round; beside an outline the kerf is taken to be as narrow as it may be."""
    kerf = _kerf(walls.feature, grow=moved[0], narrow=True)
    feature = replace(wanted, regions=_moved(walls, to=moved), kerf=None if kerf is None else kerf - short)
    return Lap(feature=feature, pieces=clipper.pieces(_figure(feature, before=before)), width=width)


def _wanted(feature: Feature, *, walls: Walls, then: Next | None, deeper: Mm, history: History) -> Feature:
    """The feature as it is wanted now: skimmed regions as they shall be, the others as they were cut."""
    spec = feature.spec
    if not isinstance(spec, PocketSpec | OutlineSpec):
        raise TypeError(f"{spec.name} has no walls that give")
    regions: list[Region] = []
    for number, region in enumerate(feature.regions, start=1):
        stand = then if then is not None and number in walls.numbers else None
        last = stand or stands(feature, number=number, history=history)
        regions.extend(grown(region, by=last.grow, islands=last.islands))
    bottom = feature.bottom + deeper
    depth = spec.depth if spec.depth is None or deeper == 0.0 else bottom
    mine = [then] if then is not None else [stands(feature, number=1, history=history)]
    kerf = _kerf(feature, grow=mine[0].grow, narrow=False)
    return replace(
        feature, spec=replace(spec, allowance=0.0, depth=depth), regions=tuple(regions), bottom=bottom, kerf=kerf
    )


def _kerf(feature: Feature, *, grow: Sides, narrow: bool) -> Mm | None:
    """How wide an outline's kerf is beside walls that stand ``grow`` outside the drawn ones, where it is ``narrow``est
    or widest; None of other features."""
    if not isinstance(feature.spec, OutlineSpec) or feature.kerf is None:
        return feature.kerf
    far = feature.spec.allowance + feature.kerf
    rooms = [far - one if is_part(feature) else far + one for one in grow]
    return min(rooms) if narrow else max(rooms)


def _features(features: Sequence[Feature], *, wanted: Feature, history: History) -> list[Feature]:
    """The features of a face as they are wanted now: those that were skimmed as skims have left them.  What a hole may
    be besides, its cone or its way out, stays beside it."""
    skims = {skim.feature: skim for skim in history.skims}
    found: list[Feature] = []
    for one in features:
        name = one.spec.name
        if name not in skims and name != wanted.spec.name:
            found.append(one)
            continue
        if isinstance(one.spec, HoleSpec):
            found.append(one)
        if name == wanted.spec.name:
            found.append(wanted)
        else:
            own = as_pocket(one)
            walls = Walls(feature=own, numbers=(), grow=Sides(), islands=Sides(), deeper=0.0, skim=0)
            found.append(_wanted(own, walls=walls, then=None, deeper=skims[name].deeper, history=history))
    return found
