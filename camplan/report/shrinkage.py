"""Each size as drawn, as cut and as expected in the moulding."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Any, Literal, assert_never

from camplan.features.records import Feature
from camplan.features.sections import may, must
from camplan.features.specs import EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.geometry.chains import Chain, bounds
from camplan.moulding.shrinkage import Along
from camplan.planned import Plan, Shrunk
from camplan.report.sheet_parts import Column, table
from camplan.report.words import features_by_name, figure, place
from camplan.units import PERCENT, Mm

Axis = Literal["X", "Y", "mean"]
Box = tuple[Mm, Mm]
_PLACES = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class ShrunkSize:
    """One size of one feature; the moulding's lies ``between`` two where the share's range is known, else None.

    ``cut`` is with the allowance that is left on the wall.
    """

    feature: str
    what: str
    axis: Axis
    drawn: Mm
    cut: Mm
    moulded: Mm
    between: tuple[Mm, Mm] | None

    @property
    def spread(self) -> Mm:
        """Half the range that the moulding's size is known to lie in; 0 where no range is known."""
        return (self.between[1] - self.between[0]) / 2.0 if self.between is not None else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawer:
    """Makes the sizes of one feature."""

    name: str
    shrunk: Shrunk

    def size(self, what: str, *, axis: Axis, drawn: Mm, cut: Mm) -> ShrunkSize:
        share, span = _shares(self.shrunk, axis=axis)
        return ShrunkSize(
            feature=self.name,
            what=what,
            axis=axis,
            drawn=drawn,
            cut=cut,
            moulded=cut * (1.0 - share),
            between=(cut * (1.0 - span[1]), cut * (1.0 - span[0])) if span is not None else None,
        )

    def across(
        self, what: str, box: Box, *, grow: Mm = 0.0, left: Mm = 0.0, where: str = ""
    ) -> tuple[ShrunkSize, ShrunkSize]:
        """A scaled contour ``box`` wide and high, its wall ``grow`` outside it and cut ``left`` less."""
        found = []
        axes: tuple[Axis, Axis] = ("X", "Y")
        for axis, size, factor in zip(axes, box, self.shrunk.factors, strict=False):
            drawn, cut = size / factor + 2.0 * grow, size + 2.0 * (grow - left)
            found.append(self.size(f"{what} {axis}{where}", axis=axis, drawn=drawn, cut=cut))
        return found[0], found[1]


def shrunk_sizes(features: Sequence[Feature], *, shrunk: Shrunk) -> tuple[ShrunkSize, ...]:
    """The sizes of every feature that is scaled, each once."""
    return tuple(
        size
        for feature in features
        if feature.spec.name in shrunk.shrinkage.features
        for size in _sizes(feature, shrunk=shrunk)
    )


def _sizes(feature: Feature, *, shrunk: Shrunk) -> tuple[ShrunkSize, ...]:
    drawer = _Drawer(name=feature.spec.name, shrunk=shrunk)
    spec = feature.spec
    found: list[ShrunkSize] = []
    match spec:
        case PocketSpec():
            heights = [(" at the top", feature.top), (" at the floor", feature.bottom)]
            for where, depth in heights if spec.draft else [("", feature.top)]:
                grow = may(feature, z=-depth).grow
                left = grow - must(feature, z=-depth).grow
                for region in feature.regions:
                    found += drawer.across("across", _box(region.outer), grow=grow, left=left, where=where)
                for island in (island for region in feature.regions for island in region.islands):
                    found += drawer.across("island across", _box(island), grow=-grow, left=-left, where=where)
        case OutlineSpec(side=side, allowance=allowance):
            left = -allowance if side == "outside" else allowance
            what = "part across" if side == "outside" else "opening across"
            for region in feature.regions:
                found += drawer.across(what, _box(region.outer), left=left)
        case HoleSpec():
            found += [
                drawer.size("diameter", axis="X", drawn=diameter / shrunk.factors[0], cut=diameter)
                for _, _, diameter in feature.circles
            ]
        case GrooveSpec(width=width):
            found += [size for path in feature.lines for size in drawer.across("line along", _box(path))]
            found.append(drawer.size("width, not scaled", axis="mean", drawn=width, cut=width))
        case MarkSpec():
            found += [size for path in feature.lines for size in drawer.across("line along", _box(path))]
        case FaceSpec() | EdgeSpec():
            pass
        case _:
            assert_never(spec)
    if not feature.through and not isinstance(spec, FaceSpec):
        drawn = feature.bottom / shrunk.factors[2]
        scaled = "" if shrunk.shrinkage.depths else ", not scaled"
        found.append(drawer.size(f"depth{scaled}", axis="mean", drawn=drawn, cut=feature.bottom))
    return tuple(dict.fromkeys(size for size in found if size.drawn > 0.0))


def _box(path: Chain) -> Box:
    x0, y0, x1, y1 = bounds(path)
    return round(x1 - x0, 6), round(y1 - y0, 6)


def _shares(shrunk: Shrunk, *, axis: Axis) -> tuple[float, tuple[float, float] | None]:
    """The share along an axis, and the least and the most it may be."""
    x, y = shrunk.shrinkage.x, shrunk.shrinkage.y
    match axis:
        case "X":
            return x.share, x.span
        case "Y":
            return y.share, y.span
        case "mean":
            both = [span for span in (x.span, y.span) if span is not None]
            widest = (min(one[0] for one in both), max(one[1] for one in both)) if len(both) == 2 else None
            return shrunk.shrinkage.mean, widest
        case _:
            assert_never(axis)


def shrinkage_section(plan: Plan) -> str:
    """What is cut larger, by how much and why, as a part of the sheet; nothing if everything is cut as drawn."""
    shrunk = plan.shrinkage
    if shrunk is None:
        return ""
    rows = [
        (
            size.feature,
            size.what,
            figure(size.drawn, places=_PLACES),
            figure(size.cut, places=_PLACES),
            figure(size.moulded, places=_PLACES),
            _between(size),
        )
        for size in shrunk_sizes(tuple(features_by_name(plan).values()), shrunk=shrunk)
    ]
    columns = (
        Column(heading="Feature", lead=True),
        Column(heading="Size"),
        Column(heading="Drawn", figures=True),
        Column(heading="Cut", figures=True),
        Column(heading="Moulding", figures=True),
        Column(heading="Between", figures=True),
    )
    said = "".join(f"<p>{escape(sentence)}</p>" for sentence in shrinkage_sentences(shrunk))
    return f"<section><h2>Shrinkage</h2>{said}{table(columns, rows, long=True)}</section>"


def shrinkage_sentences(shrunk: Shrunk) -> tuple[str, ...]:
    """By how much, from what, about which place, and what is not scaled."""
    shrinkage = shrunk.shrinkage
    apart = shrinkage.x != shrinkage.y
    ways = [(" along X", shrinkage.x), (" along Y", shrinkage.y)] if apart else [("", shrinkage.x)]
    by = "; ".join(f"{percent(along)}{way}: {along.sentence}" for way, along in ways)
    depths = (
        f"depths by the mean of both, {shrunk.factors[2]:.5f}"
        if shrinkage.depths
        else "depths stay as drawn (depths = true scales them)"
    )
    factors = " and ".join(f"{along.factor:.5f}{way}" for way, along in ways)
    return (
        f"Cut larger by {factors}, for {', '.join(shrinkage.features)}: the plastic shrinks by {by}.",
        "The cavity is the drawn size over 1 - S, S being a share of the cavity (ISO 294-4), not the drawn size times "
        f"1 + S. It is scaled about {place(shrunk.about)}; {depths}. Widths of grooves and marks, allowances and "
        "corner radii asked for are not scaled; what is not named is cut as drawn.",
    )


def percent(along: Along) -> str:
    """A share as it is said: "1.62 %"."""
    return f"{figure(PERCENT * along.share, places=3)} %"


def _between(size: ShrunkSize) -> str:
    if size.between is None:
        return ""
    return f"{figure(size.between[0], places=_PLACES)} to {figure(size.between[1], places=_PLACES)}"


def shrinkage_json(plan: Plan) -> dict[str, Any] | None:
    """The key ``shrinkage`` of ``plan.json``; null where everything is cut as drawn."""
    shrunk = plan.shrinkage
    if shrunk is None:
        return None
    shrinkage = shrunk.shrinkage
    return {
        "features": list(shrinkage.features),
        "about_mm": [round(edge, 4) + 0.0 for edge in shrunk.about],
        "depths_scaled": shrinkage.depths,
        "plastic": shrinkage.plastic.name if shrinkage.plastic is not None else None,
        "x": _along_json(shrinkage.x),
        "y": _along_json(shrinkage.y),
        "depth_factor": round(shrunk.factors[2], 8),
        "sizes": [
            {
                "feature": size.feature,
                "what": size.what,
                "drawn_mm": round(size.drawn, 4),
                "cut_mm": round(size.cut, 4),
                "moulded_mm": round(size.moulded, 4),
                "between_mm": _rounded(size.between, 4),
            }
            for size in shrunk_sizes(tuple(features_by_name(plan).values()), shrunk=shrunk)
        ],
    }


def _along_json(along: Along) -> dict[str, Any]:
    return {
        "percent": round(PERCENT * along.share, 5),
        "between_percent": _rounded(_percent(along.span), 5),
        "factor": round(along.factor, 8),
        "sentence": along.sentence,
        "source": along.source,
    }


def _percent(span: tuple[float, float] | None) -> tuple[float, float] | None:
    return None if span is None else (PERCENT * span[0], PERCENT * span[1])


def _rounded(span: tuple[float, float] | None, places: int) -> list[float] | None:
    return None if span is None else [round(one, places) + 0.0 for one in span]
