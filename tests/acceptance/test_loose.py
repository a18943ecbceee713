"""Pieces that come loose: held by a clamp in the setting that frees them, or told; and freed last."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-3"]

[plate]
thickness_mm = 5
outline = "PLATE"
"""
PART = '\n[[feature]]\nname = "part"\nkind = "outline"\nlayer = "PART"\ndepth = "through"\nhold = "none"\n'
RING = '\n[[feature]]\nname = "ring"\nkind = "pocket"\nlayer = "RING"\ndepth = "through"\n'
ON_IT = '\n[[feature]]\nname = "on it"\nkind = "pocket"\nlayer = "ON"\ndepth_mm = 2\n'
EDGE = [(0, 0), (120, 0), (120, 90), (0, 90)]


def planned(folder: Path, *, text: str, plates: Any, run: Callable[..., Any]) -> tuple[int, list[Any], Any]:
    plates.drawn(
        folder / "plate.dxf",
        closed=[
            ("PLATE", EDGE),
            ("PART", plates.rounded(20, 20, 100, 70, radius=6)),
            ("RING", plates.rounded(20, 20, 100, 70, radius=6)),
            ("RING", plates.rounded(40, 35, 80, 55, radius=6)),
            ("ON", plates.rounded(52, 40, 68, 50, radius=4)),
        ],
    )
    ran = run("plan", plates.job(folder, HEAD + text))
    document = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    return ran.code, [one for one in document["findings"] if one["code"] == "piece-comes-loose"], document


def setting(name: str, *, features: str, clamps: list[tuple[int, int, int, int]], face: str = "") -> str:
    each = ", ".join(
        f"{{ x_mm = {x}, y_mm = {y}, width_mm = {w}, length_mm = {d}, height_mm = 10 }}" for x, y, w, d in clamps
    )
    return f'\n[[setting]]\nname = "{name}"\nfeatures = [{features}]\nclamps = [{each}]\n{face}'


ON_THE_PART, ON_THE_FRAME = (50, 40, 20, 10), (0, 30, 5, 20)


def test_a_part_and_its_frame_that_clamps_hold_are_no_matter(tmp_path: Path, plates: Any, run: Any) -> None:
    text = PART + setting("one", features='"part"', clamps=[ON_THE_PART, ON_THE_FRAME])
    code, said, _ = planned(tmp_path, text=text, plates=plates, run=run)
    assert (code, said) == (0, [])


@pytest.mark.parametrize(
    ("clamp", "what"),
    [
        (ON_THE_FRAME, "the part free in setting 'one', from X20.000 Y20.000 to X100.000 Y70.000"),
        (ON_THE_PART, "the plate round the part free in setting 'one', from X0.000 Y0.000 to X120.000 Y90.000"),
    ],
)
def test_a_piece_without_a_clamp_is_not_met(clamp: Any, what: str, tmp_path: Path, plates: Any, run: Any) -> None:
    text = PART + setting("one", features='"part"', clamps=[clamp])
    code, said, _ = planned(tmp_path, text=text, plates=plates, run=run)
    assert code == 1
    assert [one["severity"] for one in said] == ["unmet"] and what in said[0]["message"]


def test_without_any_clamp_drawn_it_is_a_caution(tmp_path: Path, plates: Any, run: Any) -> None:
    code, said, _ = planned(tmp_path, text=PART, plates=plates, run=run)
    assert code == 0
    assert [one["severity"] for one in said] == ["caution"] and "and 1 more" in said[0]["message"]


def test_the_setting_that_frees_a_piece_is_the_one_that_has_to_hold_it(tmp_path: Path, plates: Any, run: Any) -> None:
    """In the first setting a clamp across the kerf still ties the part to its frame."""
    across = (10, 30, 30, 20)
    first = PART + setting("one", features='"part"', clamps=[across])
    held = first + setting("two", features='"part"', clamps=[ON_THE_PART, (110, 30, 10, 20)])
    code, said, _ = planned(tmp_path, text=held, plates=plates, run=run)
    assert (code, said) == (0, [])
    loose = first + setting("two", features='"part"', clamps=[(110, 30, 10, 20)])
    code, said, _ = planned(tmp_path, text=loose, plates=plates, run=run)
    assert code == 1 and "in setting 'two'" in said[0]["message"]


def test_what_lies_on_an_island_is_cut_before_it_falls_free(tmp_path: Path, plates: Any, run: Any) -> None:
    code, said, document = planned(tmp_path, text=RING + ON_IT, plates=plates, run=run)
    order = [work["feature"] for program in document["programs"] for work in program["operations"]]
    assert order.index("ring") > max(place for place, name in enumerate(order) if name == "on it")
    assert code == 0 and "an island free" in said[0]["message"]


def test_a_part_cut_half_from_either_face_comes_free_in_the_second(tmp_path: Path, plates: Any, run: Any) -> None:
    text = PART + setting("one", features='"part"', clamps=[ON_THE_FRAME])
    text += setting("two", features='"part"', clamps=[(-70, 40, 20, 10), (-5, 30, 5, 20)], face='face = "back"\n')
    code, said, _ = planned(tmp_path, text=text, plates=plates, run=run)
    assert (code, said) == (0, [])


def test_a_floor_that_gives_under_the_cutter_is_told_with_a_figure(tmp_path: Path, plates: Any, run: Any) -> None:
    """Half of the cutter's force on a clamped floor (Timoshenko & Woinowsky-Krieger, table 37), E of 70 GPa."""
    deep = '\n[[feature]]\nname = "deep"\nkind = "pocket"\nlayer = "PART"\ndepth_mm = {depth}\n'
    for depth, told in ((4.6, True), (2.0, False)):
        _, _, document = planned(tmp_path, text=deep.format(depth=depth), plates=plates, run=run)
        said = [one for one in document["findings"] if one["code"] == "floor-gives"]
        assert bool(said) is told
        if told:
            words = said[0]["message"]
            assert '"deep" leaves a floor 0.4 mm thick and 50 mm wide, near X' in words
            load = float(re.search(r"under (\d+) N", words)[1])  # type: ignore[index]
            gives = float(re.search(r"about ([0-9.]+) mm", words)[1])  # type: ignore[index]
            bent = 0.00725 * load * 50.0**2 / (70_000.0 * 0.4**3 / 12.0 / (1.0 - 0.33**2))
            assert gives == pytest.approx(bent, rel=0.05)


def test_a_part_that_is_free_before_a_later_setting_cuts_on_it_is_not_met(
    tmp_path: Path, plates: Any, run: Any
) -> None:
    """The pocket on the part comes from the back; the outline was cut from the top before."""
    both = [ON_THE_PART, ON_THE_FRAME]
    text = PART + ON_IT + setting("one", features='"part"', clamps=both)
    late = text + setting("two", features='"on it"', clamps=[], face='face = "back"\n')
    code, _, document = planned(tmp_path, text=late, plates=plates, run=run)
    (said,) = [one for one in document["findings"] if one["code"] == "freed-too-early"]
    assert code == 1 and said["where"] == "part"
    assert "'two' after it cuts on it on it" in said["message"]
    first = PART + ON_IT + setting("two", features='"on it"', clamps=[], face='face = "back"\n')
    code, _, document = planned(
        tmp_path, text=first + setting("one", features='"part"', clamps=both), plates=plates, run=run
    )
    assert code == 0 and not [one for one in document["findings"] if one["code"] == "freed-too-early"]
