"""A job file is read whole, or every problem of it is told."""

import json
import math
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from camplan.errors import InputError
from camplan.features.specs import (
    Clamp,
    FaceSpec,
    GrooveSpec,
    HoleSpec,
    MarkSpec,
    OutlineSpec,
    PlateSpec,
    PocketSpec,
    SettingSpec,
)
from camplan.job import Job, read_job

Read = Callable[[str], Job]
Said = Callable[..., list[str]]

EVERY_KIND = """
[[feature]]
name = "part"
kind = "outline"
layer = "PART"
depth = "through"

[[feature]]
name = "guide pins"
kind = "hole"
layer = "PINS"
depth = "through"
diameter_mm = 4.2
spot = false
cutters = ["drill-4.2"]

[[feature]]
name = "runner"
kind = "groove"
layer = "RUNNER"
width_mm = 4.0
section = "round"
depth_mm = 2.5
tolerance_um = 30

[[feature]]
name = "marks"
kind = "mark"
layer = "MARKS"

[[feature]]
name = "top"
kind = "face"
depth_mm = 0.3

[[setting]]
name = "clamps at the ends"
features = ["runner", "disc"]
clamps = [{ x_mm = 0, y_mm = -20, width_mm = 12, length_mm = 40, height_mm = 15 }]

[[setting]]
name = "clamps at the sides"
features = ["disc", "part", "guide pins", "marks", "top"]
"""


def test_a_job_is_read_with_its_defaults(read: Read, cavity: str) -> None:
    job = read(cavity + EVERY_KIND)
    assert (job.title, job.machine, job.material, job.post) == (
        "Hive entrance disc, cavity plate",
        "bench-mill",
        "aluminium-6082",
        "rs274ngc",
    )
    assert job.cutters == ("slot-6", "slot-2", "drill-4.2", "engrave-60-0.2")
    assert job.drawing == job.folder / "cavity.dxf"
    assert job.file == job.folder / "cavity.toml"
    assert job.unit is None
    assert job.plate == PlateSpec(thickness=10.0, outline="PLATE", zero="front-left", break_through=0.3)
    disc, part, pins, runner, marks, top = job.features
    assert disc == PocketSpec(
        name="disc", layer="DISC", top=0.0, depth=6.5, draft=0.0, nominal="top", allowance=0.0, finish=None,
        corner=None, tolerance=0.02, cutters=(),
    )  # fmt: skip
    assert part == OutlineSpec(
        name="part", layer="PART", top=0.0, depth=None, side="outside", hold="bridges", bridges=4, bridge_width=3.0,
        bridge_height=1.5, skin=0.2, allowance=0.0, finish=None, corner=None, tolerance=0.02, cutters=(),
    )  # fmt: skip
    assert pins == HoleSpec(
        name="guide pins", layer="PINS", top=0.0, depth=None, diameter=4.2, spot=False, tolerance=0.02,
        cutters=("drill-4.2",),
    )  # fmt: skip
    assert runner == GrooveSpec(
        name="runner", layer="RUNNER", top=0.0, depth=2.5, width=4.0, section="round", tolerance=0.03, cutters=()
    )
    assert marks == MarkSpec(name="marks", layer="MARKS", top=0.0, depth=0.2, width=None, cross=4.0, cutters=())
    assert top == FaceSpec(name="top", layer=None, depth=0.3, cutters=())
    ends = Clamp(x=0.0, y=-20.0, width=12.0, length=40.0, height=15.0)
    assert job.settings[0] == SettingSpec(name="clamps at the ends", features=("runner", "disc"), clamps=(ends,))
    assert [setting.name for setting in job.settings] == ["clamps at the ends", "clamps at the sides"]


def test_without_settings_everything_is_cut_in_one_clamping(read: Read, cavity: str) -> None:
    assert read(cavity).settings == (SettingSpec(name="one clamping", features=("disc",), clamps=()),)


def test_without_cutters_the_whole_library_is_meant(read: Read, cavity: str) -> None:
    assert read(cavity.replace("cutters", "#", 1)).cutters is None


def test_without_a_title_the_files_name_is_taken(read: Read, cavity: str) -> None:
    assert read(cavity.replace("title", "#", 1)).title == "cavity"


def test_a_pocket_keeps_all_that_is_asked_of_it(read: Read, cavity: str) -> None:
    more = 'top_mm = 1\ndraft_deg = 2\nnominal = "floor"\nallowance_mm = 0.15\nfinish_mm = 0.2\ncorner_mm = 1.2\n'
    disc = read(cavity + more).features[0]
    assert isinstance(disc, PocketSpec)
    assert disc.draft == pytest.approx(math.pi / 90.0)
    assert (disc.top, disc.nominal, disc.allowance, disc.finish, disc.corner) == (1.0, "floor", 0.15, 0.2, 1.2)


def test_inches_are_converted_and_tolerances_are_not(read: Read, cavity: str) -> None:
    text = cavity.replace("thickness_mm = 10.0", "thickness_mm = 0.5").replace("6.5", "0.25\ntolerance_um = 25")
    job = read('units = "inch"\n' + text)
    disc = job.features[0]
    assert isinstance(disc, PocketSpec)
    # the inch is 25.4 mm exactly (international yard and pound agreement, 1959)
    assert (job.plate.thickness, disc.depth) == pytest.approx((12.7, 6.35))
    assert (job.plate.break_through, disc.tolerance) == (0.3, 0.025)
    assert job.unit == "inch"
    assert read('units = "inch"\ndrawing_units = "mm"\n' + text).unit == "mm"


def test_hold_and_bridges_follow_the_plate(read: Read, cavity: str) -> None:
    part = EVERY_KIND.partition("[[setting]]")[0]
    thin = read(cavity.replace("10.0", "2.0").replace("6.5", "1.5") + part.replace("2.5", "1.5")).features[1]
    assert isinstance(thin, OutlineSpec)
    assert (thin.bridge_height, thin.skin) == (1.0, 0.2)
    shallow = read(cavity + part.replace('depth = "through"', "depth_mm = 3", 1)).features[1]
    assert isinstance(shallow, OutlineSpec)
    assert (shallow.hold, shallow.bridges, shallow.depth) == ("none", 0, 3.0)


@pytest.mark.parametrize(
    ("replace", "by", "message"),
    [
        ("title =", "titel =", "titel: is not a known key; did you mean 'title'?"),
        ('"Hive entrance disc, cavity plate"', "3", "title: must be text, not 3"),
        ('machine = "bench-mill"\n', "", "machine: is missing"),
        ("[plate]", 'units = "cm"\n[plate]', "units: 'cm' is unknown"),
        ('"slot-6", "slot-2"', '"slot-6", "slot-6"', "cutters: names 'slot-6' twice"),
        ('["slot-6", "slot-2", "drill-4.2", "engrave-60-0.2"]', "[]", "cutters: names nothing"),
        ('["slot-6", "slot-2", "drill-4.2", "engrave-60-0.2"]', '"slot-6"', "cutters: must be a list of texts"),
        ("thickness_mm = 10.0", "thickness_mm = 0", "plate.thickness_mm: 0 is impossible (accepted: above 0"),
        ("thickness_mm = 10.0", "thickness_mm = -3", "plate.thickness_mm: -3 is impossible"),
        ("thickness_mm = 10.0", "thickness_mm = nan", "plate.thickness_mm: nan is impossible"),
        ("thickness_mm = 10.0", "thickness_mm = inf", "plate.thickness_mm: inf is impossible"),
        ("thickness_mm = 10.0", "thickness_mm = 1e9", "plate.thickness_mm: 1000000000.0 is impossible"),
        ("thickness_mm = 10.0", "thickness_mm = true", "plate.thickness_mm: must be a number, not True"),
        ("thickness_mm = 10.0", "thickness_mm = 0x" + "f" * 5000, "plate.thickness_mm: "),
        ("thickness_mm = 10.0", "thicknes_mm = 10.0", "plate.thicknes_mm: is not a known key; did you mean"),
        ("[plate]", '[plate]\nzero = "front"', "plate.zero: 'front' is unknown"),
        ("[plate]", "[plate]\nbreak_through_mm = -1", "plate.break_through_mm: -1 is impossible"),
        ('kind = "pocket"', 'kind = "poket"', "feature[1].kind: 'poket' is unknown; did you mean 'pocket'?"),
        (
            'kind = "pocket"\n',
            "",
            "feature[1].kind: is missing (accepted: pocket, outline, hole, groove, mark, face, edge)",
        ),
        ('name = "disc"\n', "", "feature[1].name: is missing"),
        ('name = "disc"\n', 'name = "a\\nb"\n', "feature[1].name: 'a\\nb' holds characters that cannot be printed"),
        ('layer = "DISC"\n', "", "feature[1].layer: is missing"),
        ("depth_mm = 6.5", "depth_mm = 12", "feature[1].depth_mm: 12 is below the plate, which is 10 thick"),
        ("depth_mm = 6.5", "depth_mm = 0", "feature[1].depth_mm: 0 is impossible (accepted: above 0"),
        ("depth_mm = 6.5", "depth_mm = nan", "feature[1].depth_mm: nan is impossible"),
        ("depth_mm = 6.5", 'depth_mm = "through"', "feature[1].depth_mm: 'through' is no figure"),
        ("depth_mm = 6.5", "depth = 6.5", "feature[1].depth: 6.5 is no depth"),
        ("depth_mm = 6.5\n", "", 'feature[1].depth_mm: is missing (accepted: depth_mm, or depth = "through")'),
        ("depth_mm = 6.5", 'depth_mm = 6.5\ndepth = "through"', "feature[1].depth_mm: stands beside depth"),
        ("depth_mm = 6.5", "depth_mm = 2\ntop_mm = 3", "feature[1].depth_mm: 2 is not below the feature's top at 3"),
        ("depth_mm = 6.5", "depth_mm = 2\ntop_mm = 11", "feature[1].top_mm: 11 is not in the plate"),
        ("depth_mm = 6.5", "depth_mm = 6\ndraft_deg = 60", "feature[1].draft_deg: 60 is impossible"),
        ("depth_mm = 6.5", "depth_mm = 6\ntolerance_um = 0", "feature[1].tolerance_um: 0 is impossible"),
        ("depth_mm = 6.5", 'depth_mm = 6\ncutters = ["slot-3"]', "no cutter 'slot-3' in this job; did you mean"),
    ],
)
def test_what_cannot_be_is_told(said: Said, replace: str, by: str, message: str) -> None:
    assert any(message in one for one in said(replace, by)), said(replace, by)


@pytest.mark.parametrize(
    ("drawing", "message"),
    [
        ("../cavity.dxf", "'../cavity.dxf' leads out of the job's folder"),
        ("plates/../../cavity.dxf", "leads out of the job's folder"),
        ("..\\\\cavity.dxf", "leads out of the job's folder"),
        ("/home/cavity.dxf", "leads out of the job's folder"),
        ("C:/cavity.dxf", "leads out of the job's folder"),
        ("~/cavity.dxf", "leads out of the job's folder"),
        ("cavity.txt", "is not a DXF drawing"),
        ("cavity", "is not a DXF drawing"),
        ("cavity.svg", "an SVG drawing is not planned by this version"),
        ("other.dxf", "there is no file 'other.dxf'"),
        ("cavity\\u0000.dxf", "cannot be printed"),
        ("x" * 5000 + ".dxf", "drawing: "),
    ],
)
def test_a_drawing_lies_in_the_jobs_folder(said: Said, drawing: str, message: str) -> None:
    (only,) = said('"cavity.dxf"', f'"{drawing}"')
    assert message in only


def test_a_link_out_of_the_folder_is_refused(said: Said, tmp_path: Path) -> None:
    outside = tmp_path.parent / "elsewhere.dxf"
    outside.write_text("0\nEOF\n")
    (tmp_path / "linked.dxf").symlink_to(outside)
    (tmp_path / "round.dxf").symlink_to(tmp_path / "round.dxf")
    assert "is a link out of the job's folder" in said('"cavity.dxf"', '"linked.dxf"')[0]
    assert len(said('"cavity.dxf"', '"round.dxf"')) == 1


@pytest.mark.parametrize(
    ("table", "key", "accepted"),
    [
        ('kind = "hole"\nlayer = "P"\ndepth_mm = 3\ndraft_deg = 2', "draft_deg", "stand upright"),
    ],
)
def test_what_is_for_a_later_version_is_never_ignored(said: Said, table: str, key: str, accepted: str) -> None:
    (only,) = said(add=f'[[feature]]\nname = "later"\n{table}\n')
    assert only.startswith(f"feature[2].{key}: ")
    assert "not planned by this version" in only
    assert accepted in only.partition("(accepted: ")[2]


RUNNER = '[[feature]]\nname = "runner"\nkind = "groove"\nlayer = "RUNNER"\nwidth_mm = 3\ndepth_mm = 2\n'
BACK = (
    '[[setting]]\nname = "one"\nfeatures = {top}\n[[setting]]\nname = "two"\nfeatures = {back}\nface = "back"\n{more}'
)


def test_the_plate_may_be_turned_over_about_either_axis(read: Callable[[str], Job], cavity: str) -> None:
    add = RUNNER + BACK.format(top='["runner"]', back='["disc"]', more='about = "x"\nzero = "back-right"\n')
    top, back = read(cavity + add).settings
    assert (top.face, top.zero) == ("top", None)
    assert (back.face, back.about, back.zero) == ("back", "x", "back-right")
    add = RUNNER + BACK.format(top='["runner"]', back='["disc"]', more="")
    assert read(cavity + add).settings[1].about == "y"


def test_only_a_plate_that_is_turned_over_says_about_which_axis(said: Said) -> None:
    (only,) = said(add='[[setting]]\nname = "one"\nfeatures = ["disc"]\nabout = "x"\n')
    assert only == (
        'setting[1].about: is for a plate that is turned over (accepted: face = "back" beside it, or leave it out)'
    )


def test_all_back_settings_are_turned_alike(said: Said) -> None:
    add = RUNNER + BACK.format(top='["runner"]', back='["disc"]', more='about = "x"\n')
    (only,) = said(add=add + '[[setting]]\nname = "three"\nfeatures = ["disc"]\nface = "back"\n')
    assert only.startswith("setting[3].about: is turned otherwise than 'two'")


def test_a_feature_with_a_floor_is_cut_from_one_face(said: Said) -> None:
    (only,) = said(add=RUNNER + BACK.format(top='["runner", "disc"]', back='["disc"]', more=""))
    assert "'disc' is named in a top and in a back setting, and it has a floor" in only
    assert "features that go through with straight walls" in only


def test_a_part_whose_walls_lean_is_cut_from_one_face(said: Said) -> None:
    part = '[[feature]]\nname = "part"\nkind = "outline"\nlayer = "PART"\ndepth = "through"\ndraft_deg = 2\n'
    (only,) = said(add=part + BACK.format(top='["part", "disc"]', back='["part"]', more=""))
    assert "its wall leans, which cannot be cut from below" in only


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ("skin_mm = 0.3", 'skin_mm: has no use with hold = "bridges"'),
        ('hold = "skin"\nbridges = 3', 'bridges: has no use with hold = "skin"'),
        ('hold = "none"\nbridge_width_mm = 3', 'bridge_width_mm: has no use with hold = "none"'),
        ("bridges = 0", "bridges: must be a whole number, not 0"),
        ("bridges = 2.5", "bridges: must be a whole number, not 2.5"),
        ("bridges = 1000000", "bridges: 1000000 is impossible"),
        ("bridge_height_mm = 11", "bridge_height_mm: 11 is impossible (accepted: above 0, at most 10)"),
        ('side = "left"', "side: 'left' is unknown"),
        ('hold = "skin"\nskin_mm = 9', "skin_mm: 9 is impossible"),
    ],
)
def test_a_part_is_held_in_one_way(said: Said, more: str, message: str) -> None:
    part = f'[[feature]]\nname = "part"\nkind = "outline"\nlayer = "PART"\ndepth = "through"\n{more}\n'
    (only,) = said(add=part)
    assert message in only


def test_only_a_through_outline_is_held(said: Said) -> None:
    part = '[[feature]]\nname = "part"\nkind = "outline"\nlayer = "PART"\ndepth_mm = 3\nhold = "skin"\n'
    (only,) = said(add=part)
    assert "only an outline cut through the plate is held" in only


def test_features_have_names_of_their_own(said: Said) -> None:
    (only,) = said(add='[[feature]]\nname = "disc"\nkind = "mark"\nlayer = "MARKS"\n')
    assert only == "feature[2].name: 'disc' is the name of another feature (accepted: a name for each)"


def test_a_job_has_features(said: Said, cavity: str) -> None:
    (only,) = said(cavity[cavity.index("[[feature]]") :], "")
    assert only == "feature: is missing: there is nothing to cut (accepted: at least one [[feature]])"


def test_settings_name_features_that_are_there_and_leave_none_out(said: Said) -> None:
    other = '[[feature]]\nname = "marks"\nkind = "mark"\nlayer = "MARKS"\n'
    setting = '[[setting]]\nname = "one"\nfeatures = ["dsic", "disc", "disc"]\n'
    problems = said(add=other + setting + setting)
    assert "setting[1].features: there is no feature 'dsic' in this job; did you mean 'disc'?" in problems[0]
    assert "setting[1].features: names 'disc' twice" in problems[1]
    assert any("setting[2].name: 'one' is the name of another setting" in one for one in problems)
    assert any("feature 'marks' is in no setting" in one for one in problems)


@pytest.mark.parametrize("size", ["width_mm", "length_mm", "height_mm"])
def test_clamps_have_a_size(said: Said, size: str) -> None:
    sizes = {"width_mm": 12, "length_mm": 40, "height_mm": 15, size: 0}
    box = ", ".join(f"{key} = {value}" for key, value in {"x_mm": 0, "y_mm": 0, **sizes}.items())
    (only,) = said(add=f'[[setting]]\nname = "ends"\nfeatures = ["disc"]\nclamps = [{{ {box} }}]\n')
    assert f"setting[1].clamps[1].{size}: 0 is impossible (accepted: above 0" in only


def test_all_problems_are_told_in_one_run(read: Read) -> None:
    with pytest.raises(InputError) as raised:
        read('drawing = "../a.dxf"\n[plate]\nthickness_mm = "ten"\n[[feature]]\nkind = "pocket"\ncolour = "red"\n')
    keys = [problem.key for problem in raised.value.problems]
    assert keys == [
        "drawing",
        "machine",
        "material",
        "plate.thickness_mm",
        "plate.outline",
        "feature[1].name",
        "feature[1].layer",
        "feature[1].depth_mm",
        "feature[1].colour",
    ]
    assert all(problem.file.endswith("cavity.toml") for problem in raised.value.problems)


@pytest.mark.parametrize(
    "content",
    [b"", b"title = ", b"\xff\xfe", b"x = " + b"[" * 5000, b"x = " + b"9" * 5000, b"a = 1\na = 2"],
    ids=["empty", "half a line", "no text", "nested deep", "a huge number", "a key twice"],
)
def test_a_file_that_is_no_job_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "cavity.toml").write_bytes(content)
    with pytest.raises(InputError):
        read_job(tmp_path / "cavity.toml")


def test_a_job_that_is_not_there_is_refused(tmp_path: Path) -> None:
    for path in (tmp_path / "cavity.toml", tmp_path):
        with pytest.raises(InputError):
            read_job(path)


def toml(value: object) -> str:
    """A value as an inline TOML value."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return json.dumps(value, ensure_ascii=False)
        case float() if math.isnan(value):
            return "nan"
        case float() if math.isinf(value):
            return "inf" if value > 0.0 else "-inf"
        case int() | float():
            return repr(value)
        case list():
            return "[" + ", ".join(toml(item) for item in value) + "]"
        case dict():
            return "{" + ", ".join(f"{toml(key)} = {toml(item)}" for key, item in value.items()) + "}"
    raise TypeError(value)


TEXTS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=8)
SCALARS = st.one_of(
    st.booleans(), st.integers(), st.floats(), TEXTS, st.sampled_from(["disc", "through", "inch", "groove", "outline"])
)
VALUES = st.recursive(
    SCALARS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3), max_leaves=6
)
FEATURE_KEYS = st.sampled_from(
    ["name", "kind", "layer", "depth_mm", "depth", "top_mm", "draft_deg", "hold", "bridges", "section", "width_mm",
     "cutters", "bridge_height_mm", "diameter_mm", "cross_mm", "tolerance_um", "spot"]
)  # fmt: skip
SETTING_KEYS = st.sampled_from(["name", "features", "face", "clamps", "about"])
TOP_KEYS = st.sampled_from(
    ["title", "drawing", "units", "drawing_units", "machine", "material", "post", "cutters", "plate", "feature",
     "setting"]
)  # fmt: skip


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    kind=st.sampled_from(["pocket", "outline", "hole", "groove", "mark", "face", "edge"]),
    features=st.lists(st.dictionaries(FEATURE_KEYS | TEXTS, VALUES, max_size=4), max_size=2),
    setting=st.none() | st.dictionaries(SETTING_KEYS, VALUES, max_size=4),
    plate=st.dictionaries(st.sampled_from(["thickness_mm", "outline", "zero", "break_through_mm"]), VALUES),
    top=st.dictionaries(TOP_KEYS | TEXTS, VALUES, max_size=3),
)
def test_any_table_is_a_job_or_is_refused(
    kind: str,
    features: list[dict[str, object]],
    setting: dict[str, object] | None,
    plate: dict[str, object],
    top: dict[str, object],
) -> None:
    right = {"name": "disc", "kind": kind, "layer": "DISC", "depth_mm": 1.0, "width_mm": 2.0}
    table: dict[str, object] = {
        "drawing": "cavity.dxf",
        "machine": "bench-mill",
        "material": "brass",
        "plate": {"thickness_mm": 10.0, "outline": "PLATE", **plate},
        "feature": [{**right, **changes} for changes in features] or [{"name": "top", "kind": "face", "depth_mm": 1}],
        **({"setting": [setting]} if setting is not None else {}),
        **top,
    }
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "cavity.dxf").write_text("0\nEOF\n")
        file = Path(folder) / "cavity.toml"
        file.write_text("\n".join(f"{toml(key)} = {toml(value)}" for key, value in table.items()), encoding="utf-8")
        try:
            job = read_job(file)
        except InputError as refused:
            assert refused.problems
            assert all(problem.message and problem.file == str(file) for problem in refused.problems)
        else:
            assert job.plate.thickness > 0.0
            assert {name for one in job.settings for name in one.features} == {spec.name for spec in job.features}
            assert all(spec.depth is None or 0.0 < spec.depth <= job.plate.thickness + 1e-6 for spec in job.features)
