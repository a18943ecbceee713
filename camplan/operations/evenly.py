"""Deep and narrow against shallow and wide: an area cleared by fronts of even load, held against rings by time.

Rings are as deep as a full slot lets them be, for their first one is one and their corners come near it.  Fronts never
engage more than their step over asks: they may be deeper, as far as the flutes go, or as shallow and fed faster.
"""

from dataclasses import dataclass, replace

from camplan.cutting.records import CuttingData
from camplan.features.specs import PocketSpec
from camplan.operations import pace
from camplan.operations.fits import Fit
from camplan.operations.levels import even_levels
from camplan.operations.records import Operation, Way
from camplan.operations.shop import Shop, why
from camplan.units import Mm, Seconds

STEPS = (0.06, 0.1, 0.15, 0.22, 0.3, 0.4)
"""Steps over, as shares of the diameter, that are tried."""
MOST_LEVELS = 4
_ROUNDED: Mm = 0.011
"""Step downs are whole hundredths."""
WORTH: Seconds = 20.0
"""What takes rings less than this is not worth holding fronts against; nor are bores, grooves and faces."""
NEAR = 1.2
"""Fronts that are expected to take no more of the rings' time than this are laid out; their moves then decide."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fronts:
    data: CuttingData
    levels: tuple[Mm, ...]
    seconds: Seconds


def quicker(rings: Operation, *, one: Fit, top: Mm, seconds: Seconds, shop: Shop) -> Operation:
    """The clearing of an area from ``top`` by rings, which take ``seconds``, or by fronts where these may be quicker
    within the same limits, with the rings in their place; what both are expected to take is said in the reasons."""
    asked = seconds >= WORTH and isinstance(rings.feature.spec, PocketSpec)
    best = _best(rings, one=one, top=top, shop=shop) if asked else None
    if best is None:
        return replace(rings, expected=seconds)
    fronts = (
        f"fronts of {best.data.step_over:.2f} mm, {_said(top, best.levels)}, at {best.data.feed:,.0f} mm/min take "
        f"{best.seconds:.0f} s"
    )
    plain = (
        f"rings of {rings.data.step_over:.2f} mm, {_said(top, rings.levels)}, at {rings.data.feed:,.0f} mm/min take "
        f"{seconds:.0f} s"
    )
    if best.seconds > NEAR * seconds:
        return replace(rings, expected=seconds, reasons=(*rings.reasons, why("way", f"{plain}; {fronts}")))
    first, *_ = rings.reasons
    sentence = f"{rings.cutter.name}: clears it by fronts that engage it evenly, {_said(top, best.levels)}"
    return replace(
        rings,
        way=Way.FRONTS_BOTH_WAYS if shop.both_ways else Way.FRONTS,
        instead=replace(rings, expected=seconds),
        data=best.data,
        levels=best.levels,
        expected=best.seconds,
        reasons=(replace(first, sentence=sentence), why("way", f"{fronts}; {plain}"), *best.data.reasons),
    )


def _best(rings: Operation, *, one: Fit, top: Mm, shop: Shop) -> _Fronts | None:
    """The quickest of all steps over and numbers of levels; None if the cutter bears none, or there is no force data to
    hold one against the other by."""
    if shop.material.kc11 is None or not one.size:
        return None
    bottom = rings.levels[-1]
    found: list[_Fronts] = []
    for count in range(1, MOST_LEVELS + 1):
        deepest = (top - bottom) / count
        if deepest > one.cutter.flute_length + 1e-9:
            continue
        levels = even_levels(top, bottom=bottom, step_down=deepest + 1e-9)
        for share in STEPS:
            data = shop.even_data(one.cutter, -bottom, share * one.cutter.diameter, deepest)
            if data.findings or data.step_down < deepest - _ROUNDED:
                continue
            way = Way.FRONTS_BOTH_WAYS if shop.both_ways else Way.FRONTS
            seconds = pace.front_seconds(one, way=way, data=data, levels=levels, top=top, machine=shop.machine)
            found.append(_Fronts(data=data, levels=levels, seconds=seconds))
    return min(found, key=lambda each: each.seconds, default=None)


def _said(top: Mm, levels: tuple[Mm, ...]) -> str:
    each = (top - levels[-1]) / len(levels)
    return f"{each:.2f} mm deep in {len(levels)} {'level' if len(levels) == 1 else 'levels'}"
