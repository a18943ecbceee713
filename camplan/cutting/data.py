"""The door of the room: cutting data for one cut, or a refusal that names all that stands in the way."""

from camplan.catalogue.records import Cutter, CutterKind, CuttingRow, Machine, Material
from camplan.catalogue.shape import can_plunge
from camplan.cutting.custom import Cut
from camplan.cutting.drilling import drilled
from camplan.cutting.hole_data import hole_data
from camplan.cutting.milling import milled
from camplan.cutting.milling_data import milling_data
from camplan.cutting.records import CutKind, CuttingData
from camplan.errors import InputError, Problem
from camplan.units import Mm

LEAST: Mm = 0.001
DEEPEST: Mm = 1000.0
"""Depths and widths outside these mean a slip of the pen (common practice, no source)."""

HOLE_KINDS = (CutterKind.DRILL, CutterKind.SPOT_DRILL, CutterKind.REAMER)


def cutting_data(
    cutter: Cutter,
    *,
    material: Material,
    machine: Machine,
    kind: CutKind,
    depth: Mm,
    width: Mm | None = None,
    tolerance: Mm | None = None,
) -> CuttingData:
    """How ``cutter`` makes a cut of ``kind`` in a feature ``depth`` deep, ``width`` wide if that is fixed.

    ``tolerance`` is how far a finished wall may be off: bending and the mill's own error stay within it, by spring
    passes or less depth where need be (None: the customary bending).

    The overhang that bends is the stick-out, or the depth where that is more.  Raises InputError where no answer
    means anything: a cutter that cannot make such a cut, a material that has no figures for its cutting material, a
    mill too soft for the material.  Where figures exist but do not suit, the data carries findings.
    """
    return _data(
        cutter,
        material=material,
        machine=machine,
        kind=kind,
        depth=depth,
        width=width,
        deepest=None,
        tolerance=tolerance,
    )


def capped_data(
    cutter: Cutter, *, material: Material, machine: Machine, kind: CutKind, depth: Mm, width: Mm | None, deepest: Mm
) -> CuttingData:
    """`cutting_data` with the step down held to ``deepest``."""
    return _data(
        cutter,
        material=material,
        machine=machine,
        kind=kind,
        depth=depth,
        width=width,
        deepest=deepest,
        tolerance=None,
    )


def _data(
    cutter: Cutter,
    *,
    material: Material,
    machine: Machine,
    kind: CutKind,
    depth: Mm,
    width: Mm | None,
    deepest: Mm | None,
    tolerance: Mm | None,
) -> CuttingData:
    row = _row(cutter, material=material, machine=machine, kind=kind, depth=depth, width=width)
    if kind is CutKind.DRILL:
        found = drilled(cutter, material=material, machine=machine, row=row, depth=depth)
        return hole_data(found, cutter=cutter, material=material, depth=depth)
    cut = Cut(
        cutter=cutter,
        material=material,
        machine=machine,
        row=row,
        kind=kind,
        depth=depth,
        width=width,
        deepest=deepest,
        tolerance=tolerance,
    )
    return milling_data(milled(cut))


def _row(
    cutter: Cutter, *, material: Material, machine: Machine, kind: CutKind, depth: Mm, width: Mm | None
) -> CuttingRow:
    problems: list[Problem] = []

    def refuse(message: str, *, accepted: str = "") -> None:
        problems.append(Problem(message=message, file=cutter.file, key=cutter.name, accepted=accepted))

    if not LEAST <= depth <= DEEPEST:
        refuse(f"a cut {depth:g} mm deep is impossible", accepted=f"{LEAST:g} to {DEEPEST:g} mm")
    if width is not None and not LEAST <= width <= cutter.diameter:
        refuse(f"a cut {width:g} mm wide is impossible", accepted=f"{LEAST:g} to {cutter.diameter:g} mm")
    if kind is CutKind.DRILL and not (can_plunge(cutter) or cutter.kind is CutterKind.REAMER):
        refuse("does not cut to its centre and cannot go straight down", accepted="a drill or slot drill")
    if kind is not CutKind.DRILL and cutter.kind in HOLE_KINDS:
        fits = kind is CutKind.ENGRAVE and cutter.kind is CutterKind.SPOT_DRILL
        if not fits:
            refuse(f"a {cutter.kind} makes holes and cannot make a cut of kind {kind}", accepted="a milling cutter")
    if material.stiffness_min is not None and machine.stiffness < material.stiffness_min:
        refuse(
            f"{machine.name} is too soft for {material.name}: {machine.stiffness:g} N/um",
            accepted=f"a mill of {material.stiffness_min:g} N/um or more",
        )
    rows = [row for row in material.rows if row.tool_material == cutter.tool_material]
    if not rows:
        known = ", ".join(row.tool_material for row in material.rows)
        refuse(f"{material.name} has no figures for {cutter.tool_material}", accepted=f"cutters of {known}")
    if problems:
        raise InputError(tuple(problems))
    return rows[0]
