"""Every feature's operations: the tasks of all, the cutters that do them together in the least time, and why."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.cutting.records import CutKind
from camplan.errors import InputError, Problem
from camplan.features.records import Feature, Plate
from camplan.features.specs import PocketSpec
from camplan.operations.candidates import Task, tasks
from camplan.operations.choice import Choice, choice_of, with_reasons
from camplan.operations.others import tip_bottom
from camplan.operations.records import Operation
from camplan.operations.selection import operations_of, selected
from camplan.operations.sequence import rank
from camplan.operations.shop import FLATS, Shop
from camplan.operations.ties import ties


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chosen:
    """Features with what their cutters add to them, operations in order, features that nothing can cut, and what was
    chosen from (None where there is such a feature)."""

    features: tuple[Feature, ...]
    operations: tuple[Operation, ...]
    problems: tuple[Problem, ...]
    choice: Choice | None = None


def chosen(
    features: tuple[Feature, ...], *, plate: Plate, shop: Shop, settings: Sequence[Sequence[str]] = ()
) -> Chosen:
    """The operations of all features, cut in ``settings``, each the names of its features; left out: in one."""
    problems: list[Problem] = []
    work: list[Task] = []
    for feature in sorted(features, key=lambda one: (rank(one), one.top, one.bottom)):
        found = tasks(feature, plate=plate, shop=shop)
        work.extend(found)
        if isinstance(feature.spec, PocketSpec) and feature.spec.draft != 0.0:
            problems.append(
                Problem(
                    message="walls with draft are not planned by this version",
                    key=f"feature {feature.spec.name!r}: draft_deg",
                    accepted="0",
                )
            )
        elif not found:
            problems.append(_nothing_fits(feature, shop=shop))
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
        operations.extend(made)
    return Chosen(
        features=tuple(shaped[feature.spec.name] for feature in features),
        operations=with_reasons(operations, choice=choice),
        problems=(),
        choice=choice,
    )


def _nothing_fits(feature: Feature, *, shop: Shop) -> Problem:
    names = getattr(feature.spec, "cutters", ()) or tuple(cutter.name for cutter in shop.cutters)
    depth = -tip_bottom(feature)
    for cutter in shop.cutters:
        if cutter.kind in FLATS and cutter.name in names:
            try:
                shop.data_for(cutter, CutKind.ROUGH, depth, None)
            except InputError as error:
                return replace(error.problems[0], key=f"feature {feature.spec.name!r}")
    return Problem(
        message=f"no cutter on the shelf can cut it: each of {', '.join(names[:12])} is too wide for it, "
        f"too short for {depth:.2f} mm, or of another kind",
        key=f"feature {feature.spec.name!r}",
        accepted="a narrower or longer cutter in `cutters`, or another depth or layer",
    )
