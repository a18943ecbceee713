"""A job file read whole: every problem it has, or the record."""

import re
from pathlib import Path

from camplan.errors import InputError, Problem
from camplan.features.specs import FeatureSpec, PlateSpec
from camplan.fields import Fields, parsed_toml, quoted
from camplan.job.existing import read_existing
from camplan.job.faces import check_faces
from camplan.job.features import Ground, read_feature
from camplan.job.keys import ZEROS, length, line, names
from camplan.job.moulding import read_moulding
from camplan.job.records import Job, LengthUnit
from camplan.job.settings import read_settings
from camplan.job.shrinkage import read_shrinkage
from camplan.units import MM_PER_INCH, UM_PER_MM, Mm

_UNITS: tuple[LengthUnit, ...] = ("mm", "inch")
_DEEPEST: Mm = 10.0
_FLATNESS_UM = 20.0
"""How flat a plate's top is as it is clamped, if nothing is said (common practice, no source)."""
_BESIDE = "a .dxf file beside the job, or in a folder below it"


def read_job(path: Path) -> Job:
    """The job in a TOML file; InputError with everything that is wrong with it."""
    problems: list[Problem] = []
    fields = Fields(parsed_toml(path), file=str(path), problems=problems)
    units = fields.choice("units", _UNITS, default="mm")
    unit = MM_PER_INCH if units == "inch" else 1.0
    drawn_in = fields.choice("drawing_units", _UNITS, default=units)
    says_unit = fields.has("units") or fields.has("drawing_units")
    title = line(fields, "title", default=path.stem)
    drawing = _drawing(fields, folder=path.parent)
    machine, material = line(fields, "machine"), line(fields, "material")
    post = line(fields, "post", default="rs274ngc")
    cutters = names(fields, "cutters", among=None, what="cutter")
    both_ways = fields.flag("cut_both_ways", default=False)
    plate, thickness = _plate(fields, unit=unit, folder=path.parent)
    features = _features(fields, ground=Ground(unit=unit, thickness=thickness, cutters=cutters, folder=path.parent))
    settings = read_settings(fields, features=[spec.name for spec in features], unit=unit)
    shrinkage = read_shrinkage(fields, specs=features, unit=unit)
    moulding = read_moulding(fields, specs=features, unit=unit)
    check_faces(fields, settings=settings, features=features, plate=plate)
    fields.finish()
    if problems:
        raise InputError(tuple(problems))
    return Job(
        title=title,
        file=path,
        folder=path.parent,
        drawing=drawing,
        unit=drawn_in if says_unit else None,
        machine=machine,
        material=material,
        post=post,
        cutters=cutters,
        plate=plate,
        features=features,
        settings=settings,
        shrinkage=shrinkage,
        moulding=moulding,
        both_ways=both_ways,
    )


def _plate(fields: Fields, *, unit: Mm, folder: Path) -> tuple[PlateSpec, Mm | None]:
    """The plate, and its thickness once more if it can be relied on."""
    table = fields.table("plate")
    before = len(fields.problems)
    thickness = length(table, "thickness_mm", unit=unit, above=0.0)
    known = thickness if len(fields.problems) == before else None
    plate = PlateSpec(
        thickness=thickness,
        outline=line(table, "outline"),
        zero=table.choice("zero", ZEROS, default="front-left"),
        break_through=length(table, "break_through_mm", unit=unit, default=0.3, at_least=0.0, at_most=_DEEPEST),
        flatness=table.number("flatness_um", default=_FLATNESS_UM, at_least=0.0, at_most=1000.0) / UM_PER_MM,
        existing=read_existing(table, unit=unit, thickness=known, folder=folder),
    )
    table.finish()
    return plate, known


def _features(fields: Fields, *, ground: Ground) -> tuple[FeatureSpec, ...]:
    before = len(fields.problems)
    tables = fields.tables("feature")
    if not tables and len(fields.problems) == before:
        fields.refuse("feature", "is missing: there is nothing to cut", accepted="at least one [[feature]]")
    found: list[FeatureSpec] = []
    for table in tables:
        spec = read_feature(table, ground=ground)
        if spec is None:
            continue
        if spec.name and spec.name in [other.name for other in found]:
            table.refuse("name", f"{quoted(spec.name)} is the name of another feature", accepted="a name for each")
        found.append(spec)
    return tuple(found)


def _drawing(fields: Fields, *, folder: Path) -> Path:
    """The drawing's path, which may not lead out of the job's folder."""
    before = len(fields.problems)
    text = line(fields, "drawing")
    if len(fields.problems) > before:
        return folder
    if _leads_away(text):
        fields.refuse("drawing", f"{quoted(text)} leads out of the job's folder", accepted=_BESIDE)
        return folder
    path = folder / text
    try:
        inside = path.resolve().is_relative_to(folder.resolve())
        there = path.is_file()
    except (OSError, RuntimeError, ValueError):  # links in a circle, names that no system takes
        fields.refuse("drawing", f"{quoted(text)} is no path", accepted=_BESIDE)
        return folder
    if not inside:
        fields.refuse("drawing", f"{quoted(text)} is a link out of the job's folder", accepted=_BESIDE)
    elif path.suffix.lower() == ".svg":
        fields.refuse("drawing", "an SVG drawing is not planned by this version", accepted=_BESIDE)
    elif path.suffix.lower() != ".dxf":
        fields.refuse("drawing", f"{quoted(text)} is not a DXF drawing", accepted=_BESIDE)
    elif not there:
        fields.refuse("drawing", f"there is no file {quoted(text)}", accepted=_BESIDE)
    return path


def _leads_away(text: str) -> bool:
    """Whether a path is absolute or climbs, in the writing of any system."""
    parts = re.split(r"[/\\]", text)
    return parts[0] in ("", "~") or ".." in parts or ":" in parts[0]
