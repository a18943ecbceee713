"""Files with odd figures are refused, or give figures that can be used: never a crash, never a NaN."""

import copy
import math
import tomllib
from dataclasses import astuple
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from camplan import resources
from camplan.catalogue.cutters import read_cutter
from camplan.catalogue.machines import read_machine
from camplan.catalogue.materials import read_material
from camplan.catalogue.records import Cutter, Machine, Material
from camplan.catalogue.shape import profile
from camplan.cutting import CutKind, cutting_data, table_text
from camplan.errors import InputError, Problem
from camplan.fields import Fields

DEPTH = st.one_of(st.just(3.0), st.floats(0.001, 1000.0))

ODD = st.one_of(
    st.integers(-(10**400), 10**400),
    st.floats(),
    st.floats(1e-6, 1e3),
    st.sampled_from(["", "text", True, [], [1.0], [1.0, 2.0], {}, {"x": 1}, None]),
)


def leaves(table: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Paths of everything in a parsed file that is not a text."""
    keys = list(table) if isinstance(table, dict) else range(len(table)) if isinstance(table, list) else []
    found = [path] if path and not isinstance(table, str) else []
    return found + [leaf for key in keys for leaf in leaves(table[key], (*path, key))]


def spoilt(folder: str, name: str, data: st.DataObject) -> dict[str, Any]:
    text = (resources.shipped() / "tooling" / folder / f"{name}.toml").read_text(encoding="utf-8")
    table = copy.deepcopy(tomllib.loads(text))
    *way, last = data.draw(st.sampled_from(leaves(table)))
    place: Any = table
    for key in way:
        place = place[key]
    place[last] = data.draw(ODD)
    return table


def planned(cutter: Cutter, *, material: Material, machine: Machine, kind: CutKind, depth: float) -> None:
    try:
        found = cutting_data(cutter, material=material, machine=machine, kind=kind, depth=depth)
    except InputError:
        return
    figures = [figure for figure in astuple(found) if isinstance(figure, float)]
    assert all(math.isfinite(figure) and figure >= 0.0 for figure in figures)
    assert found.feed > 0.0
    assert found.step_down > 0.0
    assert "nan" not in table_text(found).lower()


def only_texts(table: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in table.items() if value is not None}


@settings(max_examples=250, deadline=None)
@given(data=st.data())
def test_a_cutter_with_an_odd_figure(library: Any, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(["slot-6", "slot-2-long", "taper-2deg-3", "bull-6-r1", "engrave-60-0.1"]))
    problems: list[Problem] = []
    fields = Fields(only_texts(spoilt("cutters", name, data)), file="mine.toml", problems=problems)
    cutter = read_cutter(fields, name="mine", file="mine.toml")
    if problems:
        return
    assert all(math.isfinite(wide) for pair in profile(cutter, steps=4) for wide in pair)
    kind = data.draw(st.sampled_from([kind for kind in CutKind if kind is not CutKind.DRILL]))
    planned(
        cutter,
        material=library.materials["aluminium-6082"],
        machine=library.machines["bench-mill"],
        kind=kind,
        depth=data.draw(DEPTH),
    )


@settings(max_examples=250, deadline=None)
@given(data=st.data())
def test_a_material_with_an_odd_figure(library: Any, data: st.DataObject) -> None:
    problems: list[Problem] = []
    table = only_texts(spoilt("materials", data.draw(st.sampled_from(["aluminium-6082", "acrylic"])), data))
    material = read_material(Fields(table, file="mine.toml", problems=problems), name="mine", file="mine.toml")
    if problems:
        return
    kind = data.draw(st.sampled_from(list(CutKind)))
    cutter = library.shelf["drill-4.2" if kind is CutKind.DRILL else "slot-6"]
    planned(cutter, material=material, machine=library.machines["bench-mill"], kind=kind, depth=data.draw(DEPTH))


@settings(max_examples=250, deadline=None)
@given(data=st.data())
def test_a_mill_with_an_odd_figure(library: Any, data: st.DataObject) -> None:
    problems: list[Problem] = []
    table = only_texts(spoilt("machines", data.draw(st.sampled_from(["bench-mill", "rigid-mill"])), data))
    machine = read_machine(Fields(table, file="mine.toml", problems=problems), name="mine", file="mine.toml")
    if problems:
        return
    kind = data.draw(st.sampled_from(list(CutKind)))
    cutter = library.shelf["drill-4.2" if kind is CutKind.DRILL else "slot-3"]
    planned(cutter, material=library.materials["brass"], machine=machine, kind=kind, depth=data.draw(DEPTH))
