"""Cutting data: printed sentences, sane figures for a small mill, and laws that hold for any cutter and mill."""

import math
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.catalogue.records import Cutter, CutterKind, Machine, Material
from camplan.cutting import CutKind, CuttingData, cutting_data, speeds, table_text
from camplan.cutting.bending import BEARABLE, ELASTICITY, beam, compliance, highest_stress
from camplan.cutting.chip import table_chip
from camplan.cutting.custom import working_diameter
from camplan.cutting.limits import power_at
from camplan.errors import InputError
from camplan.findings import Severity

MILLED = [kind for kind in CutKind if kind is not CutKind.DRILL]
HOLES = (CutterKind.DRILL, CutterKind.SPOT_DRILL, CutterKind.REAMER)

WITHIN_GAIN = 1.1
"""Below a gain of a twentieth the table's chip is kept; step and feed are rounded down."""

OnBench = Callable[..., CuttingData]


@pytest.fixture
def on_bench(shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]) -> OnBench:
    def found(name: str, kind: CutKind, *, material: str = "aluminium-6082", depth: float = 6.5) -> CuttingData:
        return cutting_data(
            shelf[name], material=materials[material], machine=machines["bench-mill"], kind=kind, depth=depth
        )

    return found


def reason(data: CuttingData, figure: str) -> str:
    return next(reason.sentence for reason in data.reasons if reason.figure == figure)


def test_a_3_mm_cutter_turns_at_the_highest_speed_of_the_spindle(on_bench: OnBench) -> None:
    data = on_bench("slot-3", CutKind.ROUGH)
    assert reason(data, "rpm") == "18,000 rpm: the spindle's highest; 259 m/min would ask 27,500"


@pytest.mark.parametrize(
    ("name", "least", "most"), [("slot-6", 1.0, 3.0), ("slot-3", 0.5, 1.5), ("slot-2", 0.3, 1.0), ("slot-1", 0.1, 0.5)]
)
def test_roughing_6082_on_a_bench_mill_is_as_deep_as_is_usual(
    on_bench: OnBench,
    name: str,
    least: float,
    most: float,
) -> None:
    """0.15 to 0.5 D in a slot in aluminium (common practice, no source)."""
    data = on_bench(name, CutKind.ROUGH)
    assert least <= data.step_down <= most
    assert data.findings == ()


def test_a_wall_is_finished_in_one_where_the_skim_is_thin_enough(on_bench: OnBench) -> None:
    data = on_bench("slot-6", CutKind.WALL)
    assert data.step_down == 6.5
    assert data.bending is not None
    assert data.bending <= 0.01


def test_the_way_down_to_a_wall_is_ramped_at_a_feed_that_cuts(on_bench: OnBench) -> None:
    """A skim's step down is no depth for a slot: the ramp's feed is for the pitch of the helix."""
    data = on_bench("slot-2", CutKind.WALL)
    assert data.helix_pitch < data.step_down / 3.0
    assert data.ramp_feed > 5.0 * data.slot_feed


@pytest.mark.parametrize("material", ["aluminium-6082", "aluminium-7075", "brass", "mild-steel"])
@pytest.mark.parametrize("kind", [CutKind.WALL, CutKind.SIDE, CutKind.ROUGH, CutKind.CORNERS, CutKind.FLOOR])
def test_no_feed_in_a_slot_rubs_unless_that_is_said(library: Any, material: str, kind: CutKind) -> None:
    """The least mean chip is 0.3 of the edge's radius (Wojciechowski, from memory) and 3 um (common practice, no
    source); in a full slot the mean of fz sin(phi) over the half turn is 2 fz / pi."""
    said = []
    for cutter in library.shelf.values():
        if cutter.kind not in (CutterKind.SLOT_DRILL, CutterKind.END_MILL, CutterKind.TAPER):
            continue
        data = cutting_data(
            cutter,
            material=library.materials[material],
            machine=library.machines["bench-mill"],
            kind=kind,
            depth=min(2.0, cutter.flute_length),
        )
        mean = 2.0 / math.pi * data.slot_feed / (cutter.teeth * data.rpm)
        least = max(0.3 * cutter.edge_radius, 0.003)
        told = {"chip-too-thin", "cutter-too-weak"} & {finding.code for finding in data.findings}
        assert mean >= 0.95 * least or told or data.slot_finding is not None, cutter.name
        if data.slot_finding is not None:
            assert mean < 1.01 * least, cutter.name
            assert any("where the edge rubs" in reason.sentence for reason in data.reasons), cutter.name
            said.append(cutter.name)
    assert bool(said) <= (kind in (CutKind.WALL, CutKind.SIDE))


def test_a_slot_is_a_fifth_slower(on_bench: OnBench) -> None:
    """Slotting 20 % slower: cutter makers' catalogue notes, confirmed."""
    slot, side = on_bench("slot-6", CutKind.SLOT), on_bench("slot-6", CutKind.ROUGH)
    assert slot.rpm / side.rpm == pytest.approx(0.8, abs=0.01)
    assert side.slot_feed / side.feed == pytest.approx(0.8, abs=0.01)


def test_straight_down_is_a_quarter_of_the_side_feed(on_bench: OnBench) -> None:
    """University of Florida, speeds and feeds notes, confirmed."""
    data = on_bench("slot-6", CutKind.ROUGH)
    assert data.plunge_feed / data.feed == pytest.approx(0.25, abs=0.005)


def test_every_figure_has_a_reason_with_a_source(on_bench: OnBench) -> None:
    data = on_bench("slot-6", CutKind.ROUGH)
    figures = [reason.figure for reason in data.reasons]
    assert figures == [
        "rpm", "chip", "feed", "slot_feed", "feed_by_load", "plunge_feed", "ramp_feed", "ramp_angle", "helix_pitch",
        "step_down", "step_over", "force", "power", "bending",
    ]  # fmt: skip
    assert all(reason.source and reason.sentence for reason in data.reasons)
    assert all("; next, " in reason(data, figure) for figure in ("chip", "feed", "step_down", "step_over"))


def test_without_a_specific_force_the_figures_are_from_tables_and_say_so(on_bench: OnBench) -> None:
    data = on_bench("slot-6", CutKind.ROUGH, material="acrylic")
    assert (data.force, data.power, data.bending) == (None, None, None)
    assert "no specific force" in reason(data, "force")


def test_plastics_are_never_cut_thinner_than_the_table_even_where_the_feed_is_short(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    slow = replace(machines["bench-mill"], feed_max=200.0)
    for name in ("acetal", "acrylic", "polyethylene"):
        material = materials[name]
        row = next(row for row in material.rows if row.tool_material == "carbide")
        data = cutting_data(shelf["slot-6-single"], material=material, machine=slow, kind=CutKind.ROUGH, depth=5.0)
        assert data.feed <= 200.0
        if data.rpm > slow.rpm_min:
            assert data.chip >= table_chip(row, diameter=6.0).least * 0.98


def test_titanium_is_refused_on_a_light_mill_and_cut_on_a_stiff_one(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    with pytest.raises(InputError, match="too soft"):
        cutting_data(
            shelf["end-6"],
            material=materials["titanium"],
            machine=machines["belt-mill"],
            kind=CutKind.ROUGH,
            depth=3.0,
        )
    data = cutting_data(
        shelf["end-6"], material=materials["titanium"], machine=machines["rigid-mill"], kind=CutKind.ROUGH, depth=3.0
    )
    assert data.step_down > 0.0


def test_a_speed_that_burns_the_cutter_is_found(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    data = cutting_data(
        shelf["end-10-hss"],
        material=materials["stainless"],
        machine=machines["gantry-router"],
        kind=CutKind.ROUGH,
        depth=3.0,
    )
    assert [(f.severity, f.code) for f in data.findings if f.code == "speed-above-material"] == [
        (Severity.UNMET, "speed-above-material")
    ]


@pytest.mark.parametrize(
    ("name", "kind", "depth", "width", "said"),
    [
        ("drill-4.2", CutKind.ROUGH, 3.0, None, "makes holes"),
        ("slot-6", CutKind.ROUGH, 0.0, None, "deep is impossible"),
        ("slot-6", CutKind.ROUGH, math.nan, None, "deep is impossible"),
        ("slot-6", CutKind.ROUGH, 3.0, 7.0, "wide is impossible"),
        ("slot-6", CutKind.SIDE, 3.0, -1.0, "wide is impossible"),
    ],
)
def test_a_cut_that_means_nothing_is_refused(
    shelf: dict[str, Cutter],
    materials: dict[str, Material],
    machines: dict[str, Machine],
    name: str,
    kind: CutKind,
    depth: float,
    width: float | None,
    said: str,
) -> None:
    with pytest.raises(InputError, match=said):
        cutting_data(
            shelf[name],
            material=materials["brass"],
            machine=machines["bench-mill"],
            kind=kind,
            depth=depth,
            width=width,
        )


def heaviest(
    cutter: Cutter, *, material: Material, data: CuttingData, diameter: float, width: float, chip: float
) -> tuple[float, float]:
    """Highest force in the plane and square to the feed for a sharp edge, by slices; apart from the code under test."""
    assert material.kc11 is not None
    assert material.mc is not None
    slices, turns = 800, 120
    entry = math.pi - math.acos(max(1.0 - 2.0 * width / diameter, -1.0))
    z = (np.arange(slices) + 0.5) * data.step_down / slices
    places = np.arange(turns)[:, None, None] / turns
    teeth = np.arange(cutter.teeth)[None, :, None] / cutter.teeth
    phi = np.mod(2.0 * math.pi * (places + teeth) - 2.0 * z * math.tan(cutter.helix) / diameter, 2.0 * math.pi)
    h = np.where((phi >= entry) & (phi <= math.pi), chip * np.maximum(np.sin(phi), 0.0), 0.0)
    tangential = material.kc11 * h ** (1.0 - material.mc) * data.step_down / slices
    x = np.sum(tangential * (-np.cos(phi) - 0.4 * np.sin(phi)), axis=(1, 2))
    y = np.sum(tangential * (np.sin(phi) - 0.4 * np.cos(phi)), axis=(1, 2))
    return float(np.max(np.hypot(x, y))), float(np.max(np.abs(y)))


def drawn(data: st.DataObject, *, library: Any) -> tuple[Cutter, Material, Machine, CutKind]:
    names = [name for name in sorted(library.shelf) if library.shelf[name].kind not in HOLES]
    cutter = library.shelf[data.draw(st.sampled_from(names))]
    material = library.materials[data.draw(st.sampled_from(sorted(set(library.materials) - {"titanium"})))]
    machine = library.machines[data.draw(st.sampled_from(sorted(library.machines)))]
    return cutter, material, machine, data.draw(st.sampled_from(MILLED))


@settings(max_examples=150, deadline=None)
@given(data=st.data(), depth=st.floats(0.2, 20.0), longer=st.floats(0.0, 15.0))
def test_no_figure_exceeds_its_limit(
    library: Any,
    data: st.DataObject,
    depth: float,
    longer: float,
) -> None:
    cutter, material, machine, kind = drawn(data, library=library)
    cutter = replace(cutter, stick_out=cutter.stick_out + longer)
    found = cutting_data(cutter, material=material, machine=machine, kind=kind, depth=depth)
    diameter = working_diameter(cutter, kind=kind, depth=depth)
    highest = min(machine.rpm_max, cutter.rpm_max or math.inf)
    assert min(machine.rpm_min, highest) <= found.rpm <= highest
    for feed in (found.feed, found.slot_feed, found.plunge_feed, found.ramp_feed):
        assert 0.0 < feed <= machine.feed_max
    assert 0.0 < found.step_down <= cutter.flute_length
    assert 0.0 < found.step_over <= diameter + 1e-9
    assert found.helix_pitch <= found.step_down
    row = next(row for row in material.rows if row.tool_material == cutter.tool_material)
    widest = max(diameter, row.chips[0].diameter) if kind is CutKind.ENGRAVE else diameter
    raised = 2.0 if kind in (CutKind.SIDE, CutKind.EVEN) else 1.0
    assert found.chip <= raised * table_chip(row, diameter=widest).most + 1e-9
    if material.kc11 is None or found.power is None or found.bending is None:
        assert material.kc11 is None
        return
    assert found.power <= power_at(machine, rpm=found.rpm) * 1.001
    skim = kind in (CutKind.WALL, CutKind.FLOOR)
    limit = 0.01 if skim else min(0.05, material.finish_wall / 2.0)
    if found.spring_passes:
        limit = 0.03  # the first pass, which others follow
    assert found.bending <= limit * 1.001

    load = min(depth, cutter.flute_length) if cutter.kind is CutterKind.ENGRAVER else 0.0
    pieces = beam(cutter, overhang=max(cutter.stick_out, depth), load_height=load)
    gives = compliance(pieces, elasticity=ELASTICITY[cutter.tool_material]) + 1.0 / (1000.0 * machine.stiffness)
    resultant, normal = heaviest(
        cutter, material=material, data=found, diameter=diameter, width=found.step_over, chip=found.chip
    )
    moving = normal if kind is CutKind.WALL else resultant
    assert moving * (1.0 if skim else 1.3) * gives <= limit * 1.03
    assert resultant * 1.3 * highest_stress(pieces) <= BEARABLE[cutter.tool_material] * 1.03


def removed(found: CuttingData) -> float:
    """mm3 a minute."""
    return found.step_down * found.step_over * found.feed


@settings(max_examples=100, deadline=None)
@given(data=st.data(), depth=st.floats(0.2, 20.0), longer=st.floats(0.1, 30.0))
def test_a_longer_overhang_never_removes_more_nor_skims_deeper(
    library: Any,
    data: st.DataObject,
    depth: float,
    longer: float,
) -> None:
    cutter, material, machine, kind = drawn(data, library=library)
    near = cutting_data(cutter, material=material, machine=machine, kind=kind, depth=depth)
    far = cutting_data(
        replace(cutter, stick_out=cutter.stick_out + longer), material=material, machine=machine, kind=kind, depth=depth
    )
    if kind in (CutKind.SLOT, CutKind.SIDE, CutKind.ROUGH, CutKind.CORNERS):
        assert removed(far) <= removed(near) * WITHIN_GAIN
    else:
        # a thinner chip lets corners and marks be cut deeper, and takes as much longer
        assert (
            far.step_down <= near.step_down
            or far.step_down * far.chip <= near.step_down * near.chip * WITHIN_GAIN
            or far.spring_passes > near.spring_passes
        )


@settings(max_examples=60, deadline=None)
@given(data=st.data(), depth=st.floats(0.2, 20.0), stiffer=st.floats(1.01, 5.0))
def test_a_stiffer_mill_never_removes_less(
    library: Any,
    data: st.DataObject,
    depth: float,
    stiffer: float,
) -> None:
    cutter, material, machine, _ = drawn(data, library=library)
    soft = cutting_data(cutter, material=material, machine=machine, kind=CutKind.ROUGH, depth=depth)
    firm = replace(machine, stiffness=stiffer * machine.stiffness)
    stiff = cutting_data(cutter, material=material, machine=firm, kind=CutKind.ROUGH, depth=depth)
    assert removed(stiff) * WITHIN_GAIN >= removed(soft)


def test_the_answer_at_the_bench_holds_to_the_depth_asked_or_says_what_is_borne(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    material, machine = materials["aluminium-6082"], machines["bench-mill"]
    light = speeds(shelf["slot-6"], material=material, machine=machine, depth=1.0, width=1.0)
    assert (light.step_down, light.step_over) == (1.0, 1.0)
    heavy = speeds(shelf["slot-6"], material=material, machine=machine, depth=12.0, width=3.0)
    assert heavy.step_down < 12.0
    assert "12 mm was asked" not in reason(heavy, "step_down").split(";")[0]


def test_the_answer_chooses_the_kind_of_cut_from_the_cutter(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    material, machine = materials["brass"], machines["bench-mill"]
    hole = speeds(shelf["drill-3.3"], material=material, machine=machine, depth=20.0)
    assert len(hole.pecks) > 1
    slot = speeds(shelf["slot-3"], material=material, machine=machine, depth=0.5)
    assert slot.step_over == 3.0
    mark = speeds(shelf["engrave-60-0.1"], material=material, machine=machine, depth=0.2)
    assert mark.step_over == pytest.approx(0.331, abs=1e-3)


def test_the_answer_as_text_shows_figures_units_reasons_and_sources(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    data = speeds(
        shelf["slot-3"], material=materials["aluminium-6082"], machine=machines["bench-mill"], depth=1.0, width=0.5
    )
    text = table_text(data)
    assert "18,000 rpm" in text
    assert f"{data.feed:,.0f} mm/min" in text
    assert "would ask 27,500" in text
    assert "VDI3323" in text
    assert max(len(line) for line in text.splitlines()) <= 100
    assert text == table_text(
        speeds(
            shelf["slot-3"], material=materials["aluminium-6082"], machine=machines["bench-mill"], depth=1.0, width=0.5
        )
    )


def test_the_room_works_without_the_heavy_libraries() -> None:
    code = "import sys, camplan.cutting, camplan.catalogue; print(sorted({'scipy', 'shapely'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
