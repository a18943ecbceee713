"""What is customary for one cut before any limit is asked: its diameter, depth, width and chip."""

import math
from dataclasses import dataclass

from camplan.catalogue.records import Cutter, CutterKind, CuttingRow, Machine, Material
from camplan.catalogue.shape import cone_top, radius
from camplan.cutting.chip import ChipRange, engagement, least_chip, thinned, width_of
from camplan.cutting.entry import step_for_scallop
from camplan.cutting.limits import CUSTOM, Bound, customary, overhang_share
from camplan.cutting.records import CutKind
from camplan.cutting.speed import SLOT_SPEED
from camplan.units import Mm, Rad

PASS_WIDTH = 0.45
"""Widest pass over the diameter: under half, so that no ridge stays between passes (common practice, no source)."""

FINISH_RIDGE: Mm = 0.005
"""Ridge that a ball may leave on a finished floor (common practice, no source)."""

ROUGH_RIDGE: Mm = 0.05
"""Ridge that a ball may leave when roughing (common practice, no source)."""

ONLY_SLOT = (CutKind.SLOT, CutKind.ENGRAVE)
WITH_SLOT = (*ONLY_SLOT, CutKind.ROUGH, CutKind.CORNERS, CutKind.FLOOR)


EVEN_USUAL: Rad = math.radians(5.0)
EVEN_PEAK: Rad = math.radians(25.0)
"""So much more than the arc of its step over a cut by fronts may be engaged: usually, and in single moments, such as
where a cut begins at a wall (measured on the tests' pockets).  By the one it bends, by the other it must not break: a
roughing cut that bends a little more for a millimetre leaves nothing that its allowance does not cover."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One cut to find figures for; ``deepest`` is the caller's own cap on the step down, ``tolerance`` how far a wall
    may be off (None: not asked)."""

    cutter: Cutter
    material: Material
    machine: Machine
    row: CuttingRow
    kind: CutKind
    depth: Mm
    width: Mm | None
    deepest: Mm | None = None
    tolerance: Mm | None = None


def working_diameter(cutter: Cutter, *, kind: CutKind, depth: Mm) -> Mm:
    """The diameter that stands for the cutter: a taper's at its tip, an engraver's at its depth, else the widest."""
    if cutter.kind is CutterKind.TAPER:
        corner = (cutter.corner_radius or 0.0) * (1.0 - math.sin(cutter.half_angle or 0.0))
        return 2.0 * float(radius(cutter, height=corner))
    if kind is CutKind.ENGRAVE and cone_top(cutter) is not None:
        return 2.0 * float(radius(cutter, height=min(depth, cutter.flute_length)))
    return cutter.diameter


def depth_caps(cut: Cut, *, diameter: Mm, slenderness: float) -> tuple[Bound, ...]:
    """What is customary for the step down, whatever the forces; skims to size may be as deep as the flutes."""
    cutter, material, stiffness = cut.cutter, cut.material, cut.machine.stiffness
    share = overhang_share(slenderness)
    caps = [
        Bound(most=cutter.flute_length, what=f"the flutes are {cutter.flute_length:g} mm long", source=cutter.source)
    ]
    match cut.kind:
        case CutKind.ENGRAVE:
            caps.append(Bound(most=cut.depth, what=f"the whole {cut.depth:g} mm in one", source="the job"))
        case CutKind.WALL:
            caps.append(Bound(most=cut.depth, what=f"the whole {cut.depth:g} mm in one", source="the job"))
            if material.kc11 is None:
                most = (
                    customary(material.side_depth_ratio_min, high=material.side_depth_ratio, stiffness=stiffness)
                    * diameter
                    * share
                )
                caps.append(Bound(most=most, what="customary beside a free side", source=CUSTOM))
        case CutKind.FLOOR:
            most = max(material.finish_floor, 0.5 * material.slot_depth_ratio_min * diameter)
            caps.append(Bound(most=most * share, what="customary for a skim of the floor", source=CUSTOM))
        case CutKind.SIDE:
            ratio = customary(material.side_depth_ratio_min, high=material.side_depth_ratio, stiffness=stiffness)
            caps.append(_ratio_cap(ratio, share=share, diameter=diameter, what="beside a free side"))
        case CutKind.EVEN:
            ratio = customary(material.side_depth_ratio_min, high=material.side_depth_ratio, stiffness=stiffness)
            side = customary(material.side_width_ratio_min, high=material.side_width_ratio, stiffness=stiffness)
            deeper = ratio * max(side * diameter / (cut.width or diameter), 1.0)
            caps.append(_ratio_cap(deeper, share=share, diameter=diameter, what="beside a free side so narrow"))
        case CutKind.SLOT | CutKind.ROUGH | CutKind.CORNERS | CutKind.DRILL:
            ratio = customary(material.slot_depth_ratio_min, high=material.slot_depth_ratio, stiffness=stiffness)
            caps.append(_ratio_cap(ratio, share=share, diameter=diameter, what="in a slot"))
    if cut.deepest is not None:
        caps.append(Bound(most=cut.deepest, what=f"{cut.deepest:g} mm was asked", source="asked"))
    return tuple(caps)


def _ratio_cap(ratio: float, *, share: float, diameter: Mm, what: str) -> Bound:
    long = "" if share == 1.0 else f", {share:.2f} of it for the overhang"
    return Bound(most=ratio * share * diameter, what=f"{ratio:.2f} D is customary {what}{long}", source=CUSTOM)


def least_depth(cut: Cut, *, diameter: Mm, cap: Mm) -> Mm:
    """The depth for which the chip is made thinner rather than the cut shallower: a wall is wanted whole, anything
    else at half the smallest customary depth."""
    if cut.kind in (CutKind.WALL, CutKind.ENGRAVE):
        return cap
    return min(cap, 0.5 * cut.material.slot_depth_ratio_min * diameter)


def first_width(cut: Cut, *, diameter: Mm) -> Mm:
    """The widest pass that may come out: the one that the forces are worked out with."""
    if cut.kind in ONLY_SLOT:
        return diameter
    if cut.width is not None:
        return cut.width
    return min(bound.most for bound in width_bounds(cut, diameter=diameter, step_down=0.0))


def usual_width(cut: Cut, *, width: Mm, diameter: Mm) -> Mm:
    """The width by which the chip thins and forces are worked out: that of the pass, of fronts that of nearly all
    moments."""
    if cut.kind is not CutKind.EVEN:
        return width
    return width_of(engagement(diameter, width=width) + EVEN_USUAL, diameter=diameter)


def peak_width(cut: Cut, *, width: Mm, diameter: Mm) -> Mm | None:
    """The width of the highest moments of a cut by fronts, which must not break the cutter; None of all others."""
    if cut.kind is not CutKind.EVEN:
        return None
    return width_of(engagement(diameter, width=width) + EVEN_PEAK, diameter=diameter)


def width_bounds(cut: Cut, *, diameter: Mm, step_down: Mm) -> tuple[Bound, ...]:
    """What is customary for the step over at ``step_down``."""
    material, stiffness = cut.material, cut.machine.stiffness
    if cut.kind in ONLY_SLOT:
        return (Bound(most=diameter, what="the cutter's own width", source="geometry"),)
    if cut.width is not None:
        return (Bound(most=cut.width, what=f"{cut.width:g} mm was asked", source="asked"),)
    side = customary(material.side_width_ratio_min, high=material.side_width_ratio, stiffness=stiffness) * diameter
    by_side = Bound(most=side, what=f"{side / diameter:.2f} D is customary beside a free side", source=CUSTOM)
    by_pass = Bound(
        most=PASS_WIDTH * diameter, what=f"{PASS_WIDTH} D, so that no ridge stays between passes", source=CUSTOM
    )
    match cut.kind:
        case CutKind.WALL:
            return (
                Bound(
                    most=min(material.finish_wall, diameter / 2.0),
                    what="what is customarily left on a wall",
                    source=CUSTOM,
                ),
            )
        case CutKind.SIDE | CutKind.EVEN | CutKind.CORNERS:
            return (by_side,)
        case CutKind.FLOOR:
            return (by_pass, *_ridge(cut.cutter, height=FINISH_RIDGE))
        case _:
            bounds = [by_pass, *_ridge(cut.cutter, height=ROUGH_RIDGE)]
            if step_down > 0.0:
                depth = customary(material.side_depth_ratio_min, high=material.side_depth_ratio, stiffness=stiffness)
                same = max(depth * side * diameter / step_down, side)
                what = f"as much removed as {depth:.2f} D deep and {side / diameter:.2f} D wide"
                bounds.append(Bound(most=same, what=what, source=CUSTOM))
            return tuple(bounds)


def _ridge(cutter: Cutter, *, height: Mm) -> tuple[Bound, ...]:
    corner, flat = cutter.corner_radius or 0.0, cutter.tip_diameter
    if cutter.kind is CutterKind.BULL_NOSE:
        return (Bound(most=flat, what="the flat of the bull nose", source="geometry"),)
    if cutter.kind in (CutterKind.BALL, CutterKind.TAPER) and corner:
        most = flat + step_for_scallop(corner, height=min(height, corner))
        return (Bound(most=most, what=f"a ridge of {1000.0 * height:.0f} um between passes", source="geometry"),)
    if cutter.kind is CutterKind.ENGRAVER:
        return (Bound(most=max(flat, 0.02), what="the flat of the tip", source="geometry"),)
    return ()


def least_thickest(cut: Cut, *, diameter: Mm, width: Mm, table: ChipRange) -> Mm:
    """The thickest chip below which the edge rubs at the narrowest or in the slot; without force data (plastics,
    wood) what makes the table's least chip a tooth, as rubbing melts or burns them."""
    if cut.material.kc11 is None:
        return table.least / thinned(1.0, diameter=diameter, width=width)
    edge = cut.cutter.edge_radius
    side = least_chip(edge, diameter=diameter, width=width) / thinned(1.0, diameter=diameter, width=width)
    slot = least_chip(edge, diameter=diameter, width=diameter)
    match cut.kind:
        case CutKind.SLOT | CutKind.ENGRAVE:
            return slot
        case CutKind.ROUGH | CutKind.CORNERS | CutKind.FLOOR:
            return max(side, slot / SLOT_SPEED)
        case _:
            return side


def chip_bounds(cut: Cut, *, table: ChipRange, feed_most: float, feed_what: str, per_chip: float) -> tuple[Bound, ...]:
    """What limits the thickest chip: the table's middle (its low end for skims, its high end for the tips of
    engravers, which are stout cones), and the feed.

    ``per_chip`` is the feed at a thickest chip of 1 mm.
    """
    match cut.kind:
        case CutKind.WALL:
            most, which = table.least, "the low end"
        case CutKind.ENGRAVE:
            most, which = table.most, "the high end"
        case _:
            most, which = (table.least + table.most) / 2.0, "the middle"
    said = f"{which} of {table.least:.4f} to {table.most:.4f} mm a tooth"
    return (
        Bound(most=most, what=said, source=table.source),
        Bound(most=feed_most / per_chip, what=feed_what, source=cut.machine.source),
    )
