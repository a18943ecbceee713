"""From the job's shrinkage to features made larger, and what is to be said of it."""

import math
from collections.abc import Sequence

from camplan.catalogue.plastics import LoadedPlastic, load_plastic
from camplan.errors import InputError, Problem
from camplan.features.records import Built, Feature
from camplan.features.scaled import Scaling
from camplan.features.specs import FaceSpec, MarkSpec
from camplan.findings import Finding, Severity
from camplan.job import Job
from camplan.moulding.shrinkage import MEASURED, Shrinkage, cavity_factor
from camplan.planned import Shrunk
from camplan.report.shrinkage import percent, shrunk_sizes
from camplan.report.words import figure
from camplan.units import PERCENT, Mm

_ALIKE = 1e-9


def named_plastic(job: Job) -> LoadedPlastic | None:
    """The plastic that the job names in its shrinkage, or else in its moulding; None where it names none.

    InputError for one that is unknown, and for two.
    """
    said = [table.plastic for table in (job.shrinkage, job.moulding) if table is not None and table.plastic is not None]
    if len({name.casefold() for name in said}) > 1:
        message = f"moulding.plastic says {said[1]!r}"
        raise InputError(Problem(message=message, file=str(job.file), key="shrinkage.plastic", accepted="one of them"))
    return load_plastic(said[0], beside=job.folder) if said else None


def scaling_of(shrinkage: Shrinkage) -> Scaling:
    """The factors of the features that the shrinkage names."""
    return Scaling(
        features=shrinkage.features,
        x=shrinkage.x.factor,
        y=shrinkage.y.factor,
        depth=cavity_factor(shrinkage.mean) if shrinkage.depths else 1.0,
        about=shrinkage.about,
    )


def placed(shrinkage: Shrinkage, *, built: Built) -> Shrunk:
    """The shrinkage with the place that stayed put, from the plate's zero."""
    scaling = scaling_of(shrinkage)
    if built.scaled_about is None:
        raise ValueError("these features were built as drawn")
    return Shrunk(shrinkage=shrinkage, about=built.scaled_about, factors=(scaling.x, scaling.y, scaling.depth))


def shrinkage_findings(shrunk: Shrunk, *, features: Sequence[Feature]) -> tuple[Finding, ...]:
    """What is scaled, how sure that is, and whether the plastic is known to shrink so much."""
    shrinkage = shrunk.shrinkage
    names = ", ".join(shrinkage.features)
    factors = f"{shrunk.factors[0]:.5f}"
    if shrinkage.x != shrinkage.y:
        factors = f"{shrunk.factors[0]:.5f} along X and {shrunk.factors[1]:.5f} along Y"
    depths = f"depths by {shrunk.factors[2]:.5f}" if shrinkage.depths else "depths stay as drawn"
    found = [
        Finding(
            severity=Severity.NOTE,
            code="cut-larger",
            message=f"{names}: cut larger by {factors}, the drawn size over 1 - S; {depths}. Dowels, screws and pins "
            "belong to the plate, not to the moulding: leave them unnamed",
            where="shrinkage",
        )
    ]
    found += _outside(shrinkage)
    found += _unsure(shrunk, features=features)
    if not all(along.source == MEASURED for along in (shrinkage.x, shrinkage.y)):
        message = (
            "shrinkage moves with gate, packing, wall, mould heat and colour: cut the first cavity so that metal can "
            "still be taken away (cavities small, cores large, gates and vents shallow), mould, measure, and give the "
            "sizes as sizes_mm"
        )
        found.append(_caution("shrinkage-not-measured", message))
    return tuple(found)


def _outside(shrinkage: Shrinkage) -> list[Finding]:
    plastic = shrinkage.plastic
    if plastic is None:
        return []
    span = plastic.shrinkage
    ways = {"": shrinkage.x} if shrinkage.x == shrinkage.y else {" along X": shrinkage.x, " along Y": shrinkage.y}
    return [
        _caution(
            "shrinkage-outside-range",
            f"{percent(along)}{way} lies outside what is printed for {plastic.title}, "
            f"{figure(PERCENT * span.least)} to {figure(PERCENT * span.most)} % "
            f"({plastic.shrinkage_source}): measure again",
        )
        for way, along in ways.items()
        if not span.least - _ALIKE <= along.share <= span.most + _ALIKE
    ]


def _unsure(shrunk: Shrunk, *, features: Sequence[Feature]) -> list[Finding]:
    """What the range of the share means for the largest size, held against the finest tolerance of what is scaled."""
    found = []
    for along in dict.fromkeys((shrunk.shrinkage.x, shrunk.shrinkage.y)):
        if along.source == MEASURED and along.span is None:
            message = f"{percent(along)} rests on {along.sentence}: measure more sizes, large ones first"
            found.append(_caution("shrinkage-uncertain", message))
    sizes = shrunk_sizes(features, shrunk=shrunk)
    widest = max(sizes, key=lambda size: size.spread, default=None)
    if widest is None or widest.between is None:
        return found
    low, high = (figure(one, places=3) for one in widest.between)
    message = (
        f"as far as the shrinkage is known, {widest.feature}, {widest.what}, cut {figure(widest.cut, places=3)} mm, is "
        f"expected between {low} and {high} mm: ± {figure(widest.spread, places=3)} mm"
    )
    severity = Severity.CAUTION if widest.spread > _finest(shrunk, features=features) else Severity.NOTE
    return [*found, Finding(severity=severity, code="shrinkage-uncertain", message=message, where="shrinkage")]


def _finest(shrunk: Shrunk, *, features: Sequence[Feature]) -> Mm:
    """The finest tolerance of what is scaled; marks have none."""
    scaled = (feature.spec for feature in features if feature.spec.name in shrunk.shrinkage.features)
    return min((spec.tolerance for spec in scaled if not isinstance(spec, FaceSpec | MarkSpec)), default=math.inf)


def _caution(code: str, message: str) -> Finding:
    return Finding(severity=Severity.CAUTION, code=code, message=message, where="shrinkage")
