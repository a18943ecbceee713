"""Cutting data for one cut, without loading what only drawings need."""

from dataclasses import replace
from pathlib import Path

from camplan.catalogue.cutters import load_shelf
from camplan.catalogue.machines import load_machine
from camplan.catalogue.materials import load_material
from camplan.cutting import answer
from camplan.cutting.records import CutKind, CuttingData
from camplan.errors import InputError, Problem, kept
from camplan.units import Mm


def speeds(
    *, cutter: str, material: str, machine: str, depth: Mm, width: Mm | None, kind: str | None, beside: Path
) -> CuttingData:
    """Cutting data for one cut, its findings with what was noticed of the files: a user's own that hide others, and a
    material's cautions.  InputError with every name that is unknown."""
    problems: list[Problem] = []
    shelf = kept(lambda: load_shelf((cutter,), beside=beside), problems=problems)
    loaded = kept(lambda: load_material(material, beside=beside), problems=problems)
    mill = kept(lambda: load_machine(machine, beside=beside), problems=problems)
    if problems or not (shelf and loaded and mill):
        raise InputError(tuple(problems))
    data = answer.speeds(
        shelf.cutters[cutter],
        material=loaded.material,
        machine=mill.machine,
        depth=depth,
        width=width,
        kind=CutKind(kind) if kind else None,
    )
    own = data.findings if data.slot_finding is None else (*data.findings, data.slot_finding)
    return replace(data, findings=(*shelf.findings, *loaded.findings, *mill.findings, *own))
