"""What holes hold: the sizes to gauge and what is left to the hand, for the sheet and for ``plan.json``."""

from collections.abc import Iterable
from html import escape
from typing import Any

from camplan.features.holding import by_hand, kept_by
from camplan.features.records import Feature
from camplan.report.sheet_parts import Column, table
from camplan.report.words import figure

_NOTHING = "nothing"


def holding_json(feature: Feature) -> dict[str, Any] | None:
    """What a hole holds as ``plan.json`` says it; None for what holds nothing."""
    words = kept_by(feature)
    if not words:
        return None
    return {
        "what": words,
        "gauges": [
            {
                "says": gauge.words,
                "nominal_mm": round(gauge.nominal, 4),
                "least_mm": round(gauge.least, 4),
                "most_mm": round(gauge.most, 4),
                "aim_mm": round(gauge.aim, 4),
                "source": gauge.source,
            }
            for gauge in feature.gauges
        ],
        "heads": [{"diameter_mm": round(diameter, 4), "depth_mm": round(depth, 4)} for diameter, depth in feature.sunk],
        "chamfer_mm": round(feature.mouth.diameter, 4) if feature.mouth is not None else None,
        "by_hand": list(by_hand(feature)),
    }


def holding_section(features: Iterable[Feature]) -> str:
    """The sheet's section on holes that hold something; empty without any."""
    rows = [
        (feature.spec.name, kept_by(feature), _made(feature), "; ".join(by_hand(feature)) or _NOTHING)
        for feature in features
        if kept_by(feature)
    ]
    if not rows:
        return ""
    columns = (
        Column(heading="Feature", lead=True),
        Column(heading="For"),
        Column(heading="Made"),
        Column(heading="By hand"),
    )
    said = (
        "Sizes are as they are milled; gauge fits with plugs or a bore gauge, the plate cool, before it is unclamped."
    )
    return (
        f"<section><h2>Holes that hold something</h2><p>{escape(said)}</p>{table(columns, rows, long=True)}</section>"
    )


def _made(feature: Feature) -> str:
    """Sizes as they are made: fits with their limits, heads over holes, chamfers."""
    if feature.gauges:
        return "; ".join(gauge.words for gauge in feature.gauges)
    heads = {diameter for diameter, _ in feature.sunk}
    sizes = sorted({diameter for _, _, diameter in feature.circles if diameter not in heads})
    said = [", ".join(f"{figure(size, places=3)} mm" for size in sizes)]
    said += [f"head bore {figure(diameter, places=3)} mm, {figure(depth)} deep" for diameter, depth in feature.sunk]
    if feature.mouth is not None:
        said.append(f"chamfered to {figure(feature.mouth.diameter)} mm")
    return "; ".join(said)
