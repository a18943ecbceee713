"""The answer to one question at the bench: this cutter, this material, so deep, so wide."""

import textwrap

from camplan.catalogue.records import Cutter, CutterKind, Machine, Material
from camplan.cutting.data import HOLE_KINDS, capped_data, cutting_data
from camplan.cutting.records import CutKind, CuttingData
from camplan.units import UM_PER_MM, Mm, deg_from_rad

_WIDTH = 100


def speeds(
    cutter: Cutter,
    *,
    material: Material,
    machine: Machine,
    depth: Mm,
    width: Mm | None = None,
    kind: CutKind | None = None,
) -> CuttingData:
    """Cutting data for one cut ``depth`` deep and ``width`` wide (None: the customary width; a slot without one).

    ``kind`` None: a hole for drills and reamers, a mark for engravers, a slot at full width, else a cut beside a free
    side.  ``step_down`` is ``depth`` where that is borne, and what is borne where it is not.  Raises InputError as
    `cutting_data` does.
    """
    taken = kind if kind is not None else _kind(cutter, width=width)
    if taken is CutKind.DRILL:
        return cutting_data(cutter, material=material, machine=machine, kind=taken, depth=depth)
    return capped_data(cutter, material=material, machine=machine, kind=taken, depth=depth, width=width, deepest=depth)


def _kind(cutter: Cutter, *, width: Mm | None) -> CutKind:
    if cutter.kind in HOLE_KINDS:
        return CutKind.DRILL
    if cutter.kind is CutterKind.ENGRAVER:
        return CutKind.ENGRAVE
    return CutKind.SLOT if width is None or width >= 0.99 * cutter.diameter else CutKind.SIDE


def table_text(data: CuttingData) -> str:
    """The data as lines of text: figures with units, reasons with sources, then what does not suit."""
    rows = _rows(data)
    name_width = max(len(name) for name, _ in rows)
    lines = [f"{name:<{name_width}}  {figure}" for name, figure in rows]
    lines += ["", "Why"]
    for reason in data.reasons:
        said = f"{reason.figure.replace('_', ' ')}: {reason.sentence} [{reason.source}]"
        lines += textwrap.wrap(said, width=_WIDTH, initial_indent="  ", subsequent_indent="      ")
    for finding in data.findings:
        said = f"{finding.severity}: {finding.message} ({finding.code})"
        lines += textwrap.wrap(said, width=_WIDTH, subsequent_indent="    ")
    return "\n".join(lines) + "\n"


def _rows(data: CuttingData) -> list[tuple[str, str]]:
    rows = [
        ("speed", f"{data.rpm:,.0f} rpm"),
        ("chip a tooth", f"{data.chip:.4f} mm"),
        ("feed", f"{data.feed:,.0f} mm/min"),
    ]
    if data.helix_pitch:
        rows += [
            ("feed in a slot", f"{data.slot_feed:,.0f} mm/min"),
            ("feed straight down", f"{data.plunge_feed:,.0f} mm/min"),
            ("feed on a ramp", f"{data.ramp_feed:,.0f} mm/min"),
            ("ramp", f"{deg_from_rad(data.ramp_angle):.1f} degrees"),
            ("helix", f"{data.helix_pitch:.2f} mm a turn"),
            ("step down", f"{data.step_down:.2f} mm"),
            ("step over", f"{data.step_over:.2f} mm"),
        ]
    elif data.pecks:
        rows.append(("pecks", ", ".join(f"{peck:.2f}" for peck in data.pecks) + " mm"))
    if data.force is not None and data.power is not None:
        rows += [("force", f"{data.force:.0f} N"), ("power", f"{data.power:.0f} W")]
    if data.bending is not None:
        rows.append(("bending", f"{data.bending * UM_PER_MM:.1f} um"))
    return rows
