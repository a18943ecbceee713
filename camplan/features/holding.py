"""Holes that hold things, made of drawn circles: their sizes, the bores of heads, what to gauge and what is left to
the hand."""

from dataclasses import replace
from typing import assert_never

from camplan import tolerance
from camplan.features.holds import Fit, Magnet, Refused, Screw, Sized, Thread, pin_limits, sized
from camplan.features.layers import Wanted
from camplan.features.records import Feature
from camplan.features.specs import HoleSpec
from camplan.findings import Finding, Severity
from camplan.units import UM_PER_MM, Mm

WALL_SHARE = 0.25
"""A wall's share of a fit's tolerance: half of it to each side of the middle, and half of that to each wall (plane
geometry)."""

UNDER_HEAD = 0.5
"""Least share of a screw's diameter that stays of the plate under its head (common practice, no source)."""

_SIZE_PLACES = 6


def held(feature: Feature, *, spec: HoleSpec, wanted: Wanted) -> Feature:
    """The feature with its drawn circles made the holes that hold what the spec asks for; circles that cannot be are
    refused."""
    if spec.holds is None:
        return feature
    sizes: dict[Mm, Sized] = {}
    for drawn in sorted({diameter for _, _, diameter in feature.circles}):
        found = sized(spec.holds, drawn=drawn)
        if isinstance(found, Refused):
            wanted.refuse(found.message, accepted=found.accepted)
        else:
            sizes[drawn] = found
    circles: list[tuple[Mm, Mm, Mm]] = []
    for x, y, drawn in feature.circles:
        if drawn in sizes:
            circles.append((x, y, round(sizes[drawn].diameter, _SIZE_PLACES)))
            bore = sizes[drawn].bore
            circles.extend([(x, y, bore)] if bore is not None else [])
    gauges = tuple(size.gauge for size in sizes.values() if size.gauge is not None)
    limits = [WALL_SHARE * (gauge.most - gauge.least) for gauge in gauges]
    bound = replace(spec, tolerance=min(limits, default=spec.tolerance))
    head = spec.holds.head if isinstance(spec.holds, Screw) else None
    bores = sorted({size.bore for size in sizes.values() if size.bore is not None})
    return replace(
        feature,
        spec=bound,
        circles=tuple(sorted(set(circles))),
        sunk=tuple((bore, head) for bore in bores) if head is not None else (),
        gauges=gauges,
    )


def kept_by(feature: Feature) -> str:
    """What a hole holds, in a few words: "H7", "M5 thread", "M5 cap screw"; empty where it holds nothing."""
    holds = feature.spec.holds if isinstance(feature.spec, HoleSpec) else None
    match holds:
        case None:
            return ""
        case Fit(pin=None):
            return ", ".join(gauge.name for gauge in feature.gauges)
        case Fit(way=way):
            return f"{way} fit of dowel pins, {', '.join(gauge.name for gauge in feature.gauges)}"
        case Thread(size=size):
            return f"{size.name} thread"
        case Screw(size=size, head=None, series=series):
            return f"{size.name} screw, {series} clearance"
        case Screw(size=size):
            return f"{size.name} cap screw, head sunk"
        case Magnet(way=way):
            return f"magnet, {'pressed in' if way == 'press' else 'glued in'}"
        case _:
            assert_never(holds)


def by_hand(feature: Feature) -> tuple[str, ...]:
    """What is left to the hand or to be watched, a sentence each."""
    holds = feature.spec.holds if isinstance(feature.spec, HoleSpec) else None
    match holds:
        case Thread():
            return (_tap(feature, holds=holds),)
        case Fit():
            return tuple(
                sentence
                for gauge in feature.gauges
                if (sentence := _pin(holds, nominal=gauge.nominal, feature=feature))
            )
        case Magnet(gap=gap, way=way):
            said = f"{abs(gap) * UM_PER_MM:g} um {'wider' if gap > 0.0 else 'narrower'} than the magnet"
            done = "glue it in" if way == "glue" else "press it in squarely with a vice and soft jaws: it is brittle"
            return (f"the sockets are {said} (common practice, no source): try one magnet first, then {done}",)
        case Screw() | None:
            return ()
        case _:
            assert_never(holds)


def holding_findings(features: tuple[Feature, ...]) -> tuple[Finding, ...]:
    """What is left to the hand, as notes, and heads with too little of the plate under them."""
    taps = tuple(
        Finding(severity=Severity.NOTE, code="tap-by-hand", message=sentence, where=feature.spec.name)
        for feature in features
        if isinstance(feature.spec, HoleSpec) and isinstance(feature.spec.holds, Thread)
        for sentence in by_hand(feature)
    )
    return (*taps, *(finding for feature in features for finding in _thin(feature)))


def _thin(feature: Feature) -> tuple[Finding, ...]:
    holds = feature.spec.holds if isinstance(feature.spec, HoleSpec) else None
    if not isinstance(holds, Screw) or holds.head is None:
        return ()
    under = feature.bottom - holds.head
    if under >= UNDER_HEAD * holds.size.nominal - tolerance.SAME_POINT:
        return ()
    message = (
        f"only {under:g} mm of the plate stay under the head of {holds.size.name}, less than {UNDER_HEAD:g} of its "
        "diameter (common practice, no source): it may pull through when the screw is tightened"
    )
    return (Finding(severity=Severity.CAUTION, code="thin-under-head", message=message, where=feature.spec.name),)


def _tap(feature: Feature, *, holds: Thread) -> str:
    size, count = holds.size, len(feature.circles)
    holes = "one hole" if count == 1 else f"{count} holes"
    thread = "through" if holds.depth is None else f"{holds.depth - feature.top:g} mm deep, full thread"
    drill = "through" if feature.through else f"{feature.bottom - feature.top:g} mm deep"
    return (
        f"tap {holes} {size.name} x {size.pitch:g} by hand, {thread}; the holes are {size.drill:g} mm, {drill} "
        f"(DIN 336; between {size.least:g} and {size.most:g} for 6H); nothing is tapped by the machine"
    )


def _pin(holds: Fit, *, nominal: Mm, feature: Feature) -> str:
    """How a dowel pin sits between its limits and the hole's."""
    pin = pin_limits(holds, nominal=nominal)
    limits = holds.fit.limits(nominal)
    if pin is None or limits is None or holds.pin is None:
        return ""
    tight, loose = round((pin.upper - limits.lower) * UM_PER_MM, 1), round((limits.upper - pin.lower) * UM_PER_MM, 1)
    return (
        f"pin {nominal:g} {holds.pin.name} (ISO 8734), {nominal + pin.lower:.3f} to {nominal + pin.upper:.3f}: sits "
        f"from {tight:g} um tight to {loose:g} um loose in {nominal:g} {holds.fit.name}; try the pin "
        "before the hole counts as done"
    )
