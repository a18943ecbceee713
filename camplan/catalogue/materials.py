"""Work materials read from ``tooling/materials/NAME.toml``."""

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from camplan.catalogue.cutters import TOOL_MATERIALS
from camplan.catalogue.reading import looked_up, numbers, opened, optional
from camplan.catalogue.records import ChipRow, CuttingRow, ForceCoefficients, Material
from camplan.errors import InputError, Problem
from camplan.fields import Fields
from camplan.findings import Finding, Severity
from camplan.units import rad_from_deg

FOLDER = "tooling/materials"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedMaterial:
    """A material, and what was noticed: hidden names, and its cautions."""

    material: Material
    findings: tuple[Finding, ...]


def load_material(name: str, *, beside: Path) -> LoadedMaterial:
    """The material ``name``.

    Raises InputError for an unknown name (naming near ones), for a file with anything wrong (all of it), and for a
    material that is refused, with the reason that its file gives.
    """
    looked = looked_up(name, folder=FOLDER, beside=beside)
    problems: list[Problem] = []
    fields = opened(looked.path, problems=problems)
    if fields is None:
        raise InputError(tuple(problems))
    if fields.has("refused"):
        reason = fields.text("refused")
        fields.text("title")
        fields.text("source")
        fields.finish()
        refusal = Problem(message=f"{name} is refused: {reason}", file=str(looked.path), key="refused")
        raise InputError((refusal, *problems))
    material = read_material(fields, name=name, file=str(looked.path))
    if problems:
        raise InputError(tuple(problems))
    cautions = tuple(
        Finding(severity=Severity.CAUTION, code="material-caution", message=caution, where=f"{FOLDER}/{name}")
        for caution in material.cautions
    )
    return LoadedMaterial(material=material, findings=(*looked.findings, *cautions))


def read_material(fields: Fields, *, name: str, file: str) -> Material:
    """One material; problems go into ``fields.problems``, and then it must not be used."""
    slot = numbers(fields, "slot_depth_ratio", count=2, at_least=0.001, at_most=10.0, rising=True)
    side_depth = numbers(fields, "side_depth_ratio", count=2, at_least=0.001, at_most=10.0, rising=True)
    side_width = numbers(fields, "side_width_ratio", count=2, at_least=0.001, at_most=10.0, rising=True)
    if side_width[1] > 1.0:
        fields.refuse("side_width_ratio", f"{side_width[1]:g} is wider than the cutter", accepted="at most 1")
    kc11 = optional(fields, "kc11_n_mm2", at_least=1.0, at_most=20_000.0)
    mc = fields.number("mc", at_least=0.01, at_most=0.9) if kc11 is not None or fields.has("mc") else None
    if mc is not None and kc11 is None:
        fields.refuse("kc11_n_mm2", "is missing beside mc", accepted="both, or neither where none is published")
    material = Material(
        name=name,
        title=fields.text("title"),
        group=fields.text("group"),
        kc11=kc11,
        mc=mc,
        kc_source=fields.text("kc_source"),
        slot_depth_ratio=slot[1],
        side_depth_ratio=side_depth[1],
        side_width_ratio=side_width[1],
        finish_wall=fields.number("finish_wall_mm", at_least=0.005, at_most=5.0),
        finish_floor=fields.number("finish_floor_mm", at_least=0.005, at_most=5.0),
        ramp_angle=rad_from_deg(fields.number("ramp_angle_deg", at_least=0.1, at_most=30.0)),
        helix_pitch_ratio=fields.number("helix_pitch_ratio", at_least=0.005, at_most=1.0),
        rows=_rows(fields),
        cautions=fields.texts("cautions", default=()),
        source=fields.text("source"),
        file=file,
        slot_depth_ratio_min=slot[0],
        side_depth_ratio_min=side_depth[0],
        side_width_ratio_min=side_width[0],
        drill_feed_ratio=fields.number("drill_feed_ratio", at_least=0.0005, at_most=0.1),
        coefficients=_coefficients(fields.table("force_coefficients")) if fields.has("force_coefficients") else None,
        stiffness_min=optional(fields, "stiffness_min_n_um", at_least=0.01, at_most=1000.0),
    )
    fields.finish(known=("kc11_n_mm2", "mc", "force_coefficients", "refused"))
    return material


def _rows(fields: Fields) -> tuple[CuttingRow, ...]:
    tables = fields.tables("row")
    if not tables:
        fields.refuse("row", "there is none", accepted="a [[row]] for each tool material, carbide or hss")
    rows = tuple(_row(table) for table in tables)
    kinds = [row.tool_material for row in rows]
    for kind in sorted({kind for kind in kinds if kinds.count(kind) > 1}):
        fields.refuse("row", f"there are {kinds.count(kind)} rows for {kind}", accepted="one")
    return rows


def _row(fields: Fields) -> CuttingRow:
    speeds = numbers(fields, "surface_speed_m_min", count=2, at_least=0.1, at_most=10_000.0, rising=True)
    chips: list[ChipRow] = []
    for table in fields.tables("chips"):
        diameter = table.number("diameter_mm", at_least=0.05, at_most=100.0)
        chip = numbers(table, "chip_mm", count=2, at_least=0.0001, at_most=5.0, rising=True)
        chips.append(ChipRow(diameter=diameter, chip_min=chip[0], chip_max=chip[1], source=table.text("source")))
        table.finish()
    if not chips:
        fields.refuse("chips", "there is no chip for any diameter", accepted="{ diameter_mm, chip_mm, source } rows")
    for place, (smaller, larger) in enumerate(pairwise(chips), start=2):
        if larger.diameter <= smaller.diameter:
            fields.refuse(f"chips[{place}].diameter_mm", f"{larger.diameter:g} does not rise from the row before")
        if larger.chip_min < smaller.chip_min or larger.chip_max < smaller.chip_max:
            fields.refuse(
                f"chips[{place}].chip_mm",
                "falls while the diameter rises",
                accepted=f"at least {smaller.chip_min:g} and {smaller.chip_max:g}",
            )
    row = CuttingRow(
        tool_material=fields.choice("tool_material", TOOL_MATERIALS),
        surface_speed_min=speeds[0],
        surface_speed_max=speeds[1],
        chips=tuple(chips),
        source=fields.text("source"),
    )
    fields.finish()
    return row


def _coefficients(fields: Fields) -> ForceCoefficients:
    coefficients = ForceCoefficients(
        ktc=fields.number("ktc_n_mm2", at_least=1.0, at_most=20_000.0),
        kte=fields.number("kte_n_mm", at_least=0.0, at_most=20_000.0),
        krc=fields.number("krc_n_mm2", at_least=0.0, at_most=20_000.0),
        kre=fields.number("kre_n_mm", at_least=0.0, at_most=20_000.0),
        kac=fields.number("kac_n_mm2", at_least=0.0, at_most=20_000.0),
        kae=fields.number("kae_n_mm", at_least=0.0, at_most=20_000.0),
        source=fields.text("source"),
    )
    fields.finish()
    return coefficients
