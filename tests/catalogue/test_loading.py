"""Loading from a folder beside the job: names, hiding, and files with something wrong."""

from pathlib import Path

import pytest

from camplan import resources
from camplan.catalogue import load_machine, load_material, load_shelf, load_sources
from camplan.errors import InputError
from camplan.findings import Severity


def shipped_text(folder: str, name: str) -> str:
    return (resources.shipped() / folder / f"{name}.toml").read_text(encoding="utf-8")


def put(beside: Path, *, folder: str, name: str, text: str) -> None:
    place = beside / folder
    place.mkdir(parents=True, exist_ok=True)
    (place / f"{name}.toml").write_text(text, encoding="utf-8")


def edited(text: str, edits: dict[str, str]) -> str:
    for old, new in edits.items():
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    return text


def test_a_cutter_beside_the_job_wins_and_the_hidden_one_is_reported(tmp_path: Path) -> None:
    text = edited(shipped_text("tooling/cutters", "slot-6"), {"stick_out_mm = 20.0": "stick_out_mm = 25.0"})
    put(tmp_path, folder="tooling/cutters", name="slot-6", text=text)
    shelf = load_shelf(("slot-6", "slot-2"), beside=tmp_path)
    assert shelf.cutters["slot-6"].stick_out == 25.0
    assert [finding.code for finding in shelf.findings] == ["hidden-name"]
    assert shelf.findings[0].severity is Severity.NOTE
    assert "slot-6" in shelf.findings[0].message


def test_cutters_come_in_the_order_of_their_names_once_each(tmp_path: Path) -> None:
    assert list(load_shelf(("slot-6", "drill-4.2", "slot-6"), beside=tmp_path).cutters) == ["drill-4.2", "slot-6"]


def test_unknown_names_are_all_refused_with_near_ones(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        load_shelf(("slot-66", "slot-6", "bal-3"), beside=tmp_path)
    said = [str(problem) for problem in caught.value.problems]
    assert len(said) == 2
    assert "ball-3" in said[0]
    assert "slot-6" in said[1]


def test_an_unknown_material_and_an_unknown_mill_name_near_ones(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="aluminium-6082"):
        load_material("aluminum-6082", beside=tmp_path)
    with pytest.raises(InputError, match="bench-mill"):
        load_machine("benchmill", beside=tmp_path)


@pytest.mark.parametrize(("name", "word"), [("magnesium", "fire"), ("hardened-steel", "soft")])
def test_a_refused_material_says_why(tmp_path: Path, name: str, word: str) -> None:
    with pytest.raises(InputError) as caught:
        load_material(name, beside=tmp_path)
    assert caught.value.problems[0].key == "refused"
    assert word in caught.value.problems[0].message


def test_cautions_of_a_material_are_findings(tmp_path: Path) -> None:
    loaded = load_material("acrylic", beside=tmp_path)
    assert {finding.code for finding in loaded.findings} == {"material-caution"}
    assert len(loaded.findings) == len(loaded.material.cautions) > 0


def test_every_problem_of_every_file_comes_in_one_raise(tmp_path: Path) -> None:
    good = shipped_text("tooling/cutters", "slot-6")
    put(tmp_path, folder="tooling/cutters", name="first", text=edited(good, {"teeth = 2": "teeth = 0"}))
    both = {"stick_out_mm = 20.0": "stick_out_mm = -1", "shank_diameter_mm = 6.0": "shank_mm = 6.0"}
    put(tmp_path, folder="tooling/cutters", name="second", text=edited(good, both))
    with pytest.raises(InputError) as caught:
        load_shelf(("first", "second", "third"), beside=tmp_path)
    keys = [(Path(problem.file).stem, problem.key) for problem in caught.value.problems]
    assert ("first", "teeth") in keys
    assert {("second", "stick_out_mm"), ("second", "shank_diameter_mm"), ("second", "shank_mm")} <= set(keys)
    assert ("", "third") in keys


def test_lengths_that_do_not_go_together_are_told_beside_other_faults(tmp_path: Path) -> None:
    edits = {"flute_length_mm = 13.0": "flute_length_mm = 21.0", "teeth = 2": "teeth = 0", "source =": "sauce ="}
    put(tmp_path, folder="tooling/cutters", name="mine", text=edited(shipped_text("tooling/cutters", "slot-6"), edits))
    with pytest.raises(InputError) as caught:
        load_shelf(("mine",), beside=tmp_path)
    keys = [problem.key for problem in caught.value.problems]
    assert sorted(keys) == ["flute_length_mm", "sauce", "source", "teeth"]


def test_no_length_is_held_against_one_that_is_wrong_by_itself(tmp_path: Path) -> None:
    edits = {"flute_length_mm = 13.0": "flute_length_mm = -1.0"}
    put(tmp_path, folder="tooling/cutters", name="mine", text=edited(shipped_text("tooling/cutters", "slot-6"), edits))
    with pytest.raises(InputError) as caught:
        load_shelf(("mine",), beside=tmp_path)
    assert [problem.key for problem in caught.value.problems] == ["flute_length_mm"]


CUTTER_FAULTS = [
    ("slot-6", {"diameter_mm = 6.0": ""}, "diameter_mm"),
    ("slot-6", {"diameter_mm = 6.0": "diameter_mm = nan"}, "diameter_mm"),
    ("slot-6", {"diameter_mm = 6.0": "diameter_mm = -6"}, "diameter_mm"),
    ("slot-6", {"diameter_mm = 6.0": 'diameter_mm = "6"'}, "diameter_mm"),
    ("slot-6", {"diameter_mm": "diameter"}, "diameter"),
    ("slot-6", {'kind = "slot-drill"': 'kind = "slotdrill"'}, "kind"),
    ("slot-6", {'tool_material = "carbide"': 'tool_material = "wood"'}, "tool_material"),
    ("slot-6", {"flute_length_mm = 13.0": "flute_length_mm = 21.0"}, "flute_length_mm"),
    ("slot-2", {"reach_mm = 8.0": "reach_mm = 4.0"}, "reach_mm"),
    ("slot-2", {"reach_mm = 8.0": "reach_mm = 19.0"}, "reach_mm"),
    ("slot-2", {"neck_diameter_mm = 1.9": "neck_diameter_mm = 2.1"}, "neck_diameter_mm"),
    ("slot-6", {"edge_radius_um = 6.0": "edge_radius_um = 0"}, "edge_radius_um"),
    ("slot-6", {"source =": "sauce ="}, "source"),
    ("bull-6-r1", {"corner_radius_mm = 1.0": "corner_radius_mm = 3.0"}, "corner_radius_mm"),
    ("engrave-60-0.1", {"tip_diameter_mm = 0.1": "tip_diameter_mm = 3.5"}, "tip_diameter_mm"),
    ("engrave-60-0.1", {"flute_length_mm = 4.0": "flute_length_mm = 2.0"}, "flute_length_mm"),
    ("taper-2deg-3", {"half_angle_deg = 2.0": "half_angle_deg = 60.0"}, "half_angle_deg"),
    ("taper-2deg-3", {"half_angle_deg = 2.0": "half_angle_deg = 2.0\ndiameter_mm = 3.0"}, "diameter_mm"),
    ("taper-2deg-3", {"tip_diameter_mm = 3.0": "tip_diameter_mm = 0.0"}, "tip_diameter_mm"),
    ("slot-6", {"teeth = 2": "teeth = 2000"}, "teeth"),
    ("slot-6", {"diameter_mm = 6.0": "diameter_mm = 600.0"}, "diameter_mm"),
    ("drill-4.2", {"point_angle_deg = 118.0": "point_angle_deg = 190.0"}, "point_angle_deg"),
]


@pytest.mark.parametrize(("name", "edits", "key"), CUTTER_FAULTS)
def test_a_cutter_with_a_fault_is_refused_naming_file_and_key(
    tmp_path: Path, name: str, edits: dict[str, str], key: str
) -> None:
    put(tmp_path, folder="tooling/cutters", name="mine", text=edited(shipped_text("tooling/cutters", name), edits))
    with pytest.raises(InputError) as caught:
        load_shelf(("mine",), beside=tmp_path)
    assert key in {problem.key for problem in caught.value.problems}
    assert all(Path(problem.file).name == "mine.toml" for problem in caught.value.problems)


MATERIAL_FAULTS = [
    ({"chip_mm = [0.040, 0.048]": "chip_mm = [0.020, 0.030]"}, "row[1].chips[6].chip_mm"),
    ({"chip_mm = [0.040, 0.048]": "chip_mm = [0.048, 0.040]"}, "row[1].chips[6].chip_mm"),
    ({"diameter_mm = 6.0": "diameter_mm = 5.0"}, "row[1].chips[6].diameter_mm"),
    ({"chip_mm = [0.040, 0.048]": "chip_mm = [0.040]"}, "row[1].chips[6].chip_mm"),
    ({"surface_speed_m_min = [259.0, 440.0]": "surface_speed_m_min = [440.0, 259.0]"}, "row[1].surface_speed_m_min"),
    ({"surface_speed_m_min = [259.0, 440.0]": "surface_speed_m_min = [nan, 440.0]"}, "row[1].surface_speed_m_min"),
    ({"kc11_n_mm2 = 800.0": ""}, "kc11_n_mm2"),
    ({"mc = 0.25": ""}, "mc"),
    ({"mc = 0.25": "mc = 1.2"}, "mc"),
    ({"slot_depth_ratio = [0.15, 0.5]": "slot_depth_ratio = 0.5"}, "slot_depth_ratio"),
    ({"side_width_ratio = [0.1, 0.25]": "side_width_ratio = [0.1, 1.25]"}, "side_width_ratio"),
    ({"finish_wall_mm": "finish_wall"}, "finish_wall"),
    ({"ktc_n_mm2 = 631.0": "ktc_n_mm2 = -1.0"}, "force_coefficients.ktc_n_mm2"),
    ({'tool_material = "hss"': 'tool_material = "carbide"'}, "row"),
]


@pytest.mark.parametrize(("edits", "key"), MATERIAL_FAULTS)
def test_a_material_with_a_fault_is_refused_naming_file_and_key(
    tmp_path: Path, edits: dict[str, str], key: str
) -> None:
    text = edited(shipped_text("tooling/materials", "aluminium-6082"), edits)
    put(tmp_path, folder="tooling/materials", name="mine", text=text)
    with pytest.raises(InputError) as caught:
        load_material("mine", beside=tmp_path)
    assert key in {problem.key for problem in caught.value.problems}
    assert all(Path(problem.file).name == "mine.toml" for problem in caught.value.problems)


MACHINE_FAULTS = [
    ({"[6000.0, 560.0]": "[1000.0, 560.0]"}, "spindle.power_w"),
    ({"[18000.0, 700.0]": "[17000.0, 700.0]"}, "spindle.power_w"),
    ({"[18000.0, 700.0]": "[18000.0, nan]"}, "spindle.power_w"),
    ({"[18000.0, 700.0]": "[18000.0]"}, "spindle.power_w"),
    ({"rpm_max = 18000.0": "rpm_max = 100.0"}, "spindle.rpm_max"),
    ({"travel_mm = [320.0, 200.0, 160.0]": "travel_mm = [320.0, 200.0]"}, "travel_mm"),
    ({"stiffness_n_um = 6.0": "stiffness_n_um = inf"}, "stiffness_n_um"),
    ({"step_um = 1.25": "step_um = 1.25\njerk_mm_s3 = 0"}, "jerk_mm_s3"),
    ({"step_um = 1.25": "step_um = 1.25\njerk_mm_s3 = [4000, 4000]"}, "jerk_mm_s3"),
    ({"step_um = 1.25": 'step_um = 1.25\njerk_mm_s3 = "soft"'}, "jerk_mm_s3"),
    ({"[holder]": "[holders]"}, "holder"),
    ({"length_mm": "lenght_mm"}, "holder.lenght_mm"),
]


@pytest.mark.parametrize(("edits", "key"), MACHINE_FAULTS)
def test_a_mill_with_a_fault_is_refused_naming_file_and_key(tmp_path: Path, edits: dict[str, str], key: str) -> None:
    text = edited(shipped_text("tooling/machines", "bench-mill"), edits)
    put(tmp_path, folder="tooling/machines", name="mine", text=text)
    with pytest.raises(InputError) as caught:
        load_machine("mine", beside=tmp_path)
    assert key in {problem.key for problem in caught.value.problems}


@pytest.mark.parametrize(
    ("line", "jerk"),
    [
        ("", None),
        ("jerk_mm_s3 = 4000\n", (4000.0, 4000.0, 4000.0)),
        ("jerk_mm_s3 = [4000, 5000.0, 3e3]\n", (4000.0, 5000.0, 3000.0)),
    ],
)
def test_a_mill_may_say_its_jerk_for_all_axes_or_for_each(
    tmp_path: Path, line: str, jerk: tuple[float, float, float] | None
) -> None:
    text = edited(shipped_text("tooling/machines", "bench-mill"), {"step_um": f"{line}step_um"})
    put(tmp_path, folder="tooling/machines", name="mine", text=text)
    assert load_machine("mine", beside=tmp_path).machine.jerk == jerk


@pytest.mark.parametrize("text", ["kind = ", "\x00", "= 3"])
def test_a_file_that_is_no_toml_is_refused_by_name(tmp_path: Path, text: str) -> None:
    put(tmp_path, folder="tooling/cutters", name="mine", text=text)
    with pytest.raises(InputError, match=r"mine\.toml"):
        load_shelf(("mine",), beside=tmp_path)


def test_a_source_that_stands_twice_is_refused(tmp_path: Path) -> None:
    row = '[[source]]\ncode = "A"\npublication = "a"\nused_for = "a"\nstatus = "confirmed"\n'
    put(tmp_path, folder="tooling", name="sources", text=row * 2)
    with pytest.raises(InputError, match="stands twice"):
        load_sources(beside=tmp_path)
