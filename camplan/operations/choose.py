"""Every feature's operations: the tasks of all, the cutters that do them together in the least time, and why."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.catalogue.records import CutterKind
from camplan.cutting.records import CutKind
from camplan.errors import InputError, Problem
from camplan.features.records import Feature, Plate
from camplan.features.specs import EdgeSpec, GrooveSpec, HoleSpec, OutlineSpec, PocketSpec
from camplan.findings import Finding, Severity
from camplan.operations.alternatives import Choice
from camplan.operations.candidates import Task, tasks
from camplan.operations.chamfers import unchamfered
from camplan.operations.choice import choice_of, with_reasons
from camplan.operations.drafted import drafted_operations
from camplan.operations.edged import edge_operations
from camplan.operations.holes import unmade
from camplan.operations.inclined import inclined_operations
from camplan.operations.leaning import leaning_operations
from camplan.operations.outlines import refusal, tip_bottom
from camplan.operations.records import Operation
from camplan.operations.selection import operations_of, selected
from camplan.operations.sequence import rank
from camplan.operations.shop import FLATS, Shop, why
from camplan.operations.sloped import groove_problem
from camplan.operations.ties import ties

_FLAT_SHARE = 0.9
"""Step-over of a bull nose over the radius of its flat."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chosen:
    """Features with what their cutters add to them, operations in order, features that nothing can cut, what of others
    nothing cuts, and what was chosen from (None where nothing can cut a feature)."""

    features: tuple[Feature, ...]
    operations: tuple[Operation, ...]
    problems: tuple[Problem, ...]
    findings: tuple[Finding, ...] = ()
    choice: Choice | None = None


def chosen(
    features: tuple[Feature, ...], *, plate: Plate, shop: Shop, settings: Sequence[Sequence[str]] = ()
) -> Chosen:
    """The operations of all features, cut in ``settings``, each the names of its features; left out: in one."""
    problems: list[Problem] = []
    work: list[Task] = []
    edges = [feature for feature in features if isinstance(feature.spec, EdgeSpec)]
    cut = [feature for feature in features if not isinstance(feature.spec, EdgeSpec)]
    for feature in sorted(cut, key=lambda one: (rank(one), one.top, one.bottom)):
        found = tasks(feature, plate=plate, shop=shop)
        work.extend(found)
        problems.extend([] if found else _nothing_fits(feature, plate=plate, shop=shop))
    if problems:
        return Chosen(features=features, operations=(), problems=tuple(problems))
    named = settings or [[feature.spec.name for feature in features]]
    picked = selected(work, settings=named, known=ties(features), shop=shop)
    choice = choice_of(picked, tasks=work, shop=shop)
    shaped = {feature.spec.name: feature for feature in features}
    operations: list[Operation] = []
    for task, way in zip(work, picked.best.ways, strict=True):
        made = operations_of(task, way=way, shop=shop)
        if made:
            shaped[task.feature.spec.name] = made[0].feature
        operations.extend(_on_their_flats(made))
    operations = list(with_reasons(operations, choice=choice))
    for feature in sorted(edges, key=lambda one: (one.top, one.bottom)):
        edged = edge_operations(feature, features=tuple(shaped.values()), plate=plate, before=operations, shop=shop)
        problems.extend(edged.problems)
        operations.extend(edged.operations)
    return Chosen(
        features=tuple(shaped[feature.spec.name] for feature in features),
        operations=tuple(operations),
        problems=tuple(problems),
        findings=(
            *(finding for feature in features for finding in _unmade(feature, shop=shop)),
            *(finding for feature in features for finding in unchamfered(shaped[feature.spec.name])),
        ),
        choice=choice,
    )


def _unmade(feature: Feature, *, shop: Shop) -> list[Finding]:
    """The sizes of holes that no cutter makes."""
    if not isinstance(feature.spec, HoleSpec):
        return []
    return [
        Finding(
            severity=Severity.UNMET,
            code="hole-without-cutter",
            message=f"{size.message}; what would be accepted: {size.accepted}",
            where=feature.spec.name,
        )
        for size in unmade(feature, spec=feature.spec, shop=shop)
    ]


def _on_their_flats(operations: Sequence[Operation]) -> tuple[Operation, ...]:
    """The operations of bull noses with no wider steps than their flat clears of every floor and corner."""
    found = []
    for one in operations:
        flat = one.cutter.tip_diameter / 2.0
        pocket = isinstance(one.feature.spec, PocketSpec)
        if pocket and one.cutter.kind is CutterKind.BULL_NOSE and one.data.step_over > _FLAT_SHARE * flat:
            step = _FLAT_SHARE * flat
            reason = why("step_over", f"{step:.2f} mm: its flat is only {one.cutter.tip_diameter:g} mm wide")
            data = replace(one.data, step_over=step)
            found.append(replace(one, data=data, reasons=(*one.reasons, reason)))
        else:
            found.append(one)
    return tuple(found)


def _nothing_fits(feature: Feature, *, plate: Plate, shop: Shop) -> list[Problem]:
    if isinstance(feature.spec, PocketSpec) and feature.incline is not None:
        return list(inclined_operations(feature, spec=feature.spec, incline=feature.incline, shop=shop).problems)
    if isinstance(feature.spec, PocketSpec) and feature.spec.draft > 0.0:
        return list(drafted_operations(feature, spec=feature.spec, plate=plate, shop=shop).problems)
    if isinstance(feature.spec, OutlineSpec) and feature.spec.draft > 0.0:
        return list(leaning_operations(feature, spec=feature.spec, shop=shop).problems)
    if (refused := refusal(feature, shop=shop)) is not None:
        return [refused]
    if isinstance(feature.spec, GrooveSpec) and (asked := groove_problem(feature, spec=feature.spec, shop=shop)):
        return [asked]
    if isinstance(feature.spec, HoleSpec):
        key = f"feature {feature.spec.name!r}"
        sizes = unmade(feature, spec=feature.spec, shop=shop)
        return [Problem(message=size.message, key=key, accepted=size.accepted) for size in sizes]
    names = getattr(feature.spec, "cutters", ()) or tuple(cutter.name for cutter in shop.cutters)
    depth = -tip_bottom(feature)
    for cutter in shop.cutters:
        if cutter.kind in FLATS and cutter.name in names:
            try:
                shop.data_for(cutter, CutKind.ROUGH, depth, None)
            except InputError as error:
                return [replace(error.problems[0], key=f"feature {feature.spec.name!r}")]
    return [
        Problem(
            message=f"no cutter on the shelf can cut it: each of {', '.join(names[:12])} is too wide for it, "
            f"too short for {depth:.2f} mm, or of another kind",
            key=f"feature {feature.spec.name!r}",
            accepted="a narrower or longer cutter in `cutters`, or another depth or layer",
        )
    ]
