"""The shipped library: it loads, it is what a small shop has, and its figures are those printed in their sources."""

import re
import tomllib
from pathlib import Path

import pytest

from camplan import resources
from camplan.catalogue import load_machine, load_sources
from camplan.catalogue.records import Cutter, CutterKind, Machine, Material
from camplan.cutting.chip import table_chip

FT_PER_M = 1.0 / 0.3048


def test_every_cutter_material_and_mill_loads(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    root = resources.shipped() / "tooling"
    assert set(shelf) == {path.stem for path in (root / "cutters").glob("*.toml")}
    assert set(machines) == {path.stem for path in (root / "machines").glob("*.toml")}
    every = {path.stem for path in (root / "materials").glob("*.toml")}
    assert every - set(materials) == {"magnesium", "hardened-steel"}


def test_the_shop_has_every_kind_of_cutter_in_carbide_and_hss_from_under_1_to_12_mm(shelf: dict[str, Cutter]) -> None:
    assert len(shelf) >= 36
    assert {cutter.kind for cutter in shelf.values()} == set(CutterKind)
    assert {cutter.tool_material for cutter in shelf.values()} == {"carbide", "hss"}
    assert min(cutter.diameter for cutter in shelf.values()) == 0.8
    assert max(cutter.diameter for cutter in shelf.values()) == 12.0


def test_the_shop_works_18_materials_and_has_4_mills(
    materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    assert len(materials) >= 18
    assert len(machines) >= 4
    assert any(machine.changes_cutters for machine in machines.values())


@pytest.mark.parametrize(
    ("thread", "drill"),
    [("M2", 1.6), ("M2.5", 2.05), ("M3", 2.5), ("M4", 3.3), ("M5", 4.2), ("M6", 5.0), ("M8", 6.8), ("M10", 8.5)],
)
def test_there_is_a_drill_for_every_thread(shelf: dict[str, Cutter], thread: str, drill: float) -> None:
    """Core hole sizes for coarse threads: DIN 336, by public reprints."""
    assert any(cutter.kind is CutterKind.DRILL and cutter.diameter == drill for cutter in shelf.values()), thread


@pytest.mark.parametrize(("nominal", "upper_um"), [(3, 10), (4, 12), (5, 12), (6, 12)])
def test_reamers_lie_within_h7(shelf: dict[str, Cutter], nominal: int, upper_um: int) -> None:
    """H7 limits: ISO 286-2, by public reprints."""
    reamer = shelf[f"ream-{nominal}-h7"]
    assert nominal < reamer.diameter < nominal + upper_um / 1000.0
    assert reamer.fit == "H7"


@pytest.mark.parametrize(
    ("material", "tool_material", "low_sfm", "high_sfm", "where"),
    [
        ("aluminium-6082", "hss", 250, 500, "MSF milling column"),
        ("aluminium-cast", "hss", 250, 500, "MSF milling column"),
        ("aluminium-6082", "carbide", 850, None, "CAT-B wrought aluminium"),
        ("brass", "carbide", 400, 700, "CAT-B soft brass and bronze"),
        ("brass", "hss", 150, 450, "MSF brass and bronze"),
        ("bronze", "carbide", 250, 400, "CAT-B high-tensile bronze"),
        ("copper", "carbide", 450, 850, "CAT-B copper alloys"),
        ("copper", "hss", 100, 200, "MSF copper"),
        ("mild-steel", "hss", 70, 120, "MSF mild steel"),
        ("prehardened-steel", "hss", 40, 70, "MSF tool steel"),
        ("stainless", "hss", 30, 60, "MSF stainless, row label lost in the copy"),
        ("titanium", "hss", 40, 60, "MSF titanium"),
        ("acetal", "carbide", 920, 1640, "PLAS acetal"),
        ("nylon", "carbide", 920, 1640, "PLAS nylon 6"),
        ("acrylic", "carbide", 800, 1600, "CAT-B plastics"),
        ("polycarbonate", "carbide", 200, 980, "CAT-F; PLAS"),
        ("polyethylene", "hss", 300, 1640, "HDPE-G; PLAS"),
    ],
)
def test_surface_speeds_are_those_printed_in_feet_a_minute(
    materials: dict[str, Material],
    material: str,
    tool_material: str,
    low_sfm: float,
    high_sfm: float | None,
    where: str,
) -> None:
    row = next(row for row in materials[material].rows if row.tool_material == tool_material)
    assert row.surface_speed_min * FT_PER_M == pytest.approx(low_sfm, abs=2.0), where
    if high_sfm is not None:
        assert row.surface_speed_max * FT_PER_M == pytest.approx(high_sfm, abs=3.0), where


@pytest.mark.parametrize(
    ("material", "kc11", "mc", "group"),
    [
        ("aluminium-5083", 700, 0.25, 21),
        ("aluminium-6082", 800, 0.25, 22),
        ("aluminium-cast", 700, 0.25, 23),
        ("brass", 700, 0.27, 26),
        ("mild-steel", 1350, 0.21, 1),
        ("carbon-steel", 1500, 0.22, 2),
        ("prehardened-steel", 1725, 0.24, 8),
        ("stainless", 2150, 0.20, 14),
        ("grey-iron", 1150, 0.20, 15),
        ("titanium", 2110, 0.22, 37),
    ],
)
def test_specific_forces_are_those_of_the_vdi_3323_groups(
    materials: dict[str, Material], material: str, kc11: float, mc: float, group: int
) -> None:
    """VDI3323 table, confirmed."""
    found = materials[material]
    assert (found.kc11, found.mc) == (kc11, mc)
    assert str(group) in found.kc_source


@pytest.mark.parametrize(
    ("material", "diameter", "least", "most", "where"),
    [
        ("aluminium-6082", 3.0, 0.010, None, "CAT-A 3 mm"),
        ("aluminium-6082", 10.0, 0.080, 0.080, "CAT-A 10 mm"),
        ("aluminium-6082", 12.0, None, 0.120, "CAT-A 12 mm"),
        ("brass", 6.35, None, 0.051, "CAT-B 1/4 in"),
        ("bronze", 3.175, None, 0.0254, "CAT-B 1/8 in"),
        ("mild-steel", 6.0, 0.030, 0.060, "CAT-C 0.005 to 0.010 D"),
        ("carbon-steel", 10.0, 0.050, 0.100, "CAT-C 0.005 to 0.010 D"),
        ("prehardened-steel", 8.0, 0.024, 0.064, "CAT-C 0.003 to 0.008 D"),
        ("stainless", 10.0, 0.020, 0.070, "CAT-C 0.002 to 0.007 D"),
        ("acrylic", 6.35, None, 0.076, "CAT-B plastics 1/4 in"),
        ("polyethylene", 6.35, 0.046, None, "HDPE-G 1/4 in"),
        ("mdf", 6.0, 0.090, 0.180, "0.015 to 0.030 D (common practice, no source)"),
    ],
)
def test_chips_are_those_printed(
    materials: dict[str, Material], material: str, diameter: float, least: float | None, most: float | None, where: str
) -> None:
    row = next(row for row in materials[material].rows if row.tool_material == "carbide")
    chip = table_chip(row, diameter=diameter)
    if least is not None:
        assert chip.least == pytest.approx(least, abs=0.0015), where
    if most is not None:
        assert chip.most == pytest.approx(most, abs=0.0015), where


def test_plastics_and_wood_have_no_specific_force_and_say_so(materials: dict[str, Material]) -> None:
    without = {name for name, material in materials.items() if material.kc11 is None}
    assert without == {
        "acetal",
        "acrylic",
        "hardwood",
        "mdf",
        "nylon",
        "polycarbonate",
        "polyethylene",
        "tooling-board",
    }
    assert all("none published" in materials[name].kc_source for name in without)


def test_every_source_is_a_known_code_or_common_practice() -> None:
    root = resources.shipped() / "tooling"
    codes = load_sources(beside=root).by_code
    found: list[str] = []

    def collect(value: object) -> None:
        if isinstance(value, dict):
            found.extend(text for key, text in value.items() if key.endswith("source") and isinstance(text, str))
            for inner in value.values():
                collect(inner)
        elif isinstance(value, list):
            for inner in value:
                collect(inner)

    for folder in ("cutters", "materials", "machines"):
        for path in sorted((root / folder).glob("*.toml")):
            collect(tomllib.loads(path.read_text(encoding="utf-8")))
    assert len(found) > 500
    for text in found:
        words = set(re.findall(r"[A-Z][A-Z0-9]*(?:-[A-Z0-9]+)*", text))
        assert words & set(codes) or "common practice" in text or "none published" in text, text


def test_every_source_cited_by_the_code_is_listed() -> None:
    codes = set(load_sources(beside=Path("nowhere")).by_code)
    package = Path(resources.__file__).parent / "cutting"
    cited: set[str] = set()
    for path in package.glob("*.py"):
        for text in re.findall(r'source=f?"([^"]*)"', path.read_text(encoding="utf-8")):
            cited |= set(re.findall(r"\b[A-Z]{2,}[A-Z0-9]*(?:-[A-Z0-9]+)*\b", re.sub(r"\{[^}]*\}", "", text)))
    assert cited
    assert cited <= codes


def test_the_bench_mill_shows_the_printed_example(machines: dict[str, Machine]) -> None:
    bench = machines["bench-mill"]
    assert bench.rpm_max == 18_000.0
    assert 5.0 <= bench.stiffness <= 10.0


def test_mills_have_room_for_their_longest_shipped_cutter(shelf: dict[str, Cutter], no_user_folder: Path) -> None:
    bench = load_machine("bench-mill", beside=no_user_folder).machine
    longest = max(cutter.stick_out for cutter in shelf.values())
    assert longest + bench.holder_length < bench.travel[2]
