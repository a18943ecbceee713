"""Hole patterns that several plates share: the same centres, as the plates lie over each other."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from camplan import tolerance
from camplan.features.records import Feature
from camplan.findings import Finding, Severity
from camplan.geometry.places import listed, place
from camplan.job.project import Axis, Common, Named, PatternSpec
from camplan.pairing.laying import Lie, laid_as
from camplan.pairing.records import Centre, Held, Pair, PatternFound, Placed
from camplan.units import UM_PER_MM, Mm

FARTHEST: Mm = 2.0
"""Holes farther apart than this are never taken for the same one out of place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Other:
    """Another way for a plate to lie, as said to the user."""

    lie: Lie
    said: str


def pattern_found(spec: PatternSpec, *, plates: Sequence[Placed], common: Common) -> PatternFound:
    """Every feature of a pattern against the first.  The names must be those of holes of the plates."""
    homes = {plate.spec.name: plate for plate in plates}
    first, *others = spec.features
    wanted = centres_of(homes[first.plate], name=first.feature)
    held, findings = [], []
    for other in others:
        home = homes[other.plate]
        there = centres_of(home, name=other.feature)
        found = held_against(wanted, there, first=first, other=other, within=spec.within)
        held.append(found)
        if faults(found, within=spec.within):
            hint = _hint(wanted, home=home, name=other, spec=spec, common=common, found=found)
            findings.extend(_said(found, spec=spec, homes=homes, hint=hint))
    fits = tuple(_fit(feature_named(homes[name.plate], name=name.feature)) for name in spec.features)
    return PatternFound(spec=spec, held=tuple(held), fits=fits, findings=tuple(findings))


def feature_named(plate: Placed, *, name: str) -> Feature:
    """The plate's feature of that name."""
    return next(feature for feature in plate.features if feature.spec.name == name)


def centres_of(plate: Placed, *, name: str, lie: Lie | None = None) -> tuple[Centre, ...]:
    """The centres of a feature's holes; holes on one centre are one."""
    lie = lie or plate.lie
    grouped: dict[tuple[Mm, Mm], list[Mm]] = {}
    for x, y, diameter in feature_named(plate, name=name).circles:
        grouped.setdefault((x, y), []).append(diameter)
    return tuple(Centre(at=lie.common(own), own=own, diameters=tuple(sorted(grouped[own]))) for own in sorted(grouped))


def held_against(wanted: Sequence[Centre], there: Sequence[Centre], *, first: Named, other: Named, within: Mm) -> Held:
    """Each wanted centre with the nearest one that is there, so that the pairs are together as near as they can be.

    No pair is farther apart than half the pattern's closest spacing or `FARTHEST`: what has no partner so near is
    missing, or is there without being wanted.
    """
    pairs: list[Pair] = []
    if wanted and there:
        # projects alone ask for it, and it takes a tenth of a second to load
        from scipy.optimize import linear_sum_assignment  # noqa: PLC0415

        a, b = np.array([one.at for one in wanted]), np.array([one.at for one in there])
        limit = max(within + tolerance.SAME_POINT, min(FARTHEST, _spacing(a) / 2.0, _spacing(b) / 2.0))
        away = np.hypot(*(b[None, :, :] - a[:, None, :]).transpose(2, 0, 1))
        for i, j in zip(*linear_sum_assignment(np.minimum(away, limit)), strict=True):
            if away[i, j] <= limit:
                off = (float(b[j, 0] - a[i, 0]), float(b[j, 1] - a[i, 1]))
                pairs.append(Pair(first=wanted[i], other=there[j], off=off))
    met = {id(pair.first) for pair in pairs} | {id(pair.other) for pair in pairs}
    return Held(
        first=first,
        other=other,
        pairs=tuple(pairs),
        missing=tuple(one for one in wanted if id(one) not in met),
        extra=tuple(one for one in there if id(one) not in met),
    )


def off_centre(pair: Pair, *, within: Mm) -> bool:
    """Whether a pair is farther apart than asked."""
    return math.hypot(*pair.off) > within + tolerance.SAME_POINT


def faults(held: Held, *, within: Mm) -> int:
    """How many holes are off, missing or too many."""
    off = sum(off_centre(pair, within=within) for pair in held.pairs)
    return off + len(held.missing) + len(held.extra)


def _spacing(places: np.ndarray) -> Mm:
    """The smallest distance between two of (n, 2) places; infinite for one."""
    if len(places) < 2:
        return math.inf
    away, _ = cKDTree(places).query(places, k=2)
    return float(away[:, 1].min())


def _hint(
    wanted: Sequence[Centre], *, home: Placed, name: Named, spec: PatternSpec, common: Common, found: Held
) -> str:
    """How else the plate would have to lie for its holes to meet the others; nothing if no such way is found."""
    now = faults(found, within=spec.within)
    ways = _other_ways(home, common=common)
    for moved in (False, True):
        for way in ways:
            there = centres_of(home, name=name.feature, lie=way.lie)
            if not there or (moved and (now < 2 or len(there) != len(wanted))):  # one hole off is that hole's fault
                continue
            by = _between(there, wanted) if moved else (0.0, 0.0)
            shifted = [Centre(at=(c.at[0] + by[0], c.at[1] + by[1]), own=c.own, diameters=c.diameters) for c in there]
            left = faults(
                held_against(wanted, shifted, first=found.first, other=name, within=spec.within), within=spec.within
            )
            if left < now and left == abs(len(there) - len(wanted)) and left < len(wanted):
                return _way_said(way, by=by, home=home, left=left)
    return ""


def _way_said(way: _Other, *, by: tuple[Mm, Mm], home: Placed, left: int) -> str:
    moves = ""
    if by != (0.0, 0.0):
        x, y = home.spec.by[0] + by[0], home.spec.by[1] + by[1]
        moves = f"moved by {place(by)} mm (x_mm = {round(x, 4) + 0.0:g}, y_mm = {round(y, 4) + 0.0:g})"
    said = " and ".join(part for part in (way.said, moves) if part)
    all_but = f", all but {left} of its holes" if left else ""
    return f'it would match{all_but} if "{home.spec.name}" were {said}'


def _other_ways(home: Placed, *, common: Common) -> tuple[_Other, ...]:
    """Every way to lay the plate, as it lies now first."""
    kinds: tuple[tuple[Axis | None, bool, str], ...] = (
        (None, False, "not mirrored"),
        ("y", False, 'mirrored about y (mirrored = true, about = "y")'),
        ("x", False, 'mirrored about x (mirrored = true, about = "x")'),
        (None, True, "turned by half a turn in its plane (in its drawing) and not mirrored"),
    )
    found = []
    for about, half_turn, said in kinds:
        now = about == home.spec.about and not half_turn
        lie = home.lie if now else laid_as(home.plate, spec=home.spec, common=common, about=about, half_turn=half_turn)
        found.append(_Other(lie=lie, said="" if now else said))
    return tuple(sorted(found, key=lambda way: bool(way.said)))


def _between(there: Sequence[Centre], wanted: Sequence[Centre]) -> tuple[Mm, Mm]:
    """From the middle of some centres to that of others."""
    by = np.mean([one.at for one in wanted], axis=0) - np.mean([one.at for one in there], axis=0)
    return float(by[0]), float(by[1])


def _said(held: Held, *, spec: PatternSpec, homes: dict[str, Placed], hint: str) -> list[Finding]:
    """Every fault of one feature by itself, or, where the plate lies wrongly, all of them in one sentence."""
    lie = homes[held.other.plate].lie
    off = [pair for pair in held.pairs if off_centre(pair, within=spec.within)]
    if hint:
        parts = [
            f"without a partner in {held.other}: {listed(one.own for one in held.missing)} of {held.first.plate}"
            if held.missing
            else "",
            f"off: {listed(pair.other.own for pair in off)} of {held.other.plate}" if off else "",
            f"only in {held.other}: {listed(one.own for one in held.extra)} of {held.other.plate}"
            if held.extra
            else "",
        ]
        message = f"the holes of {held.other} do not lie on those of {held.first}; {hint}; "
        return [_unmet("pattern-lies-otherwise", message + "; ".join(part for part in parts if part), spec=spec)]
    found = []
    for pair in off:
        dx, dy = (value * UM_PER_MM for value in pair.off)
        away = math.hypot(dx, dy)
        own = (lie.x_sign * dx, lie.y_sign * dy)
        message = (
            f"the hole of {held.other} at {place(pair.other.own)} lies {away:.1f} um off that of {held.first} at "
            f"{place(pair.first.own)}, {spec.within * UM_PER_MM:g} um are allowed; in {held.other.plate}'s own drawing "
            f"it has to move by ({0.0 - own[0]:.1f}, {0.0 - own[1]:.1f}) um"
        )
        found.append(_unmet("hole-off-centre", message, spec=spec))
    for one in held.missing:
        message = (
            f"{held.first} has a hole at {place(one.own)}, and {held.other} has none there: in {held.other.plate}'s "
            f"own coordinates that is {place(lie.own(one.at))}"
        )
        found.append(_unmet("hole-missing", message, spec=spec))
    back = homes[held.first.plate].lie
    for one in held.extra:
        message = (
            f"{held.other} has a hole at {place(one.own)}, and {held.first} has none there: in {held.first.plate}'s "
            f"own coordinates that is {place(back.own(one.at))}"
        )
        found.append(_unmet("hole-extra", message, spec=spec))
    return found


def _unmet(code: str, message: str, *, spec: PatternSpec) -> Finding:
    return Finding(severity=Severity.UNMET, code=code, message=message, where=spec.name)


def _fit(feature: Feature) -> str:
    """The sizes to gauge that a job asks of holes, such as "6 H7"; nothing for plain ones."""
    return ", ".join(str(gauge.name) for gauge in feature.gauges)
