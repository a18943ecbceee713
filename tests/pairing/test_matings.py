"""A core in its cavity: the gap is as the walls are drawn, whatever their draft, at every depth."""

import math
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.features.records import Feature
from camplan.features.specs import OutlineSpec
from camplan.geometry.chains import backwards, chain
from camplan.pairing.matings import DEPTHS, mating_found
from camplan.pairing.records import MatingFound
from camplan.regions import Region

CLOSED = 4.0


def cavity_at(make: SimpleNamespace, *, draft: float = 0.0, depth: float = 5.2, **changes: object):
    wall = Region(outer=make.rounded(30, 25, 70, 55, radius=6))
    return make.placed("cavity", make.pocket("disc", wall, depth=depth, draft=draft, **changes))


def back_with(make: SimpleNamespace, *, inset: float, draft: float = 0.0, by: float = 0.0, **changes: object):
    """A core as the cavity's wall drawn in by ``inset``, in a pocket as large as the plate; ``by`` moves it in X."""
    core = make.rounded(30 + inset + by, 25 + inset, 70 - inset + by, 55 - inset, radius=6 - inset, clockwise=True)
    around = make.rounded(-3, -3, 103, 83, radius=2)
    region = Region(outer=around, islands=(core,))
    return make.placed("back", make.pocket("core", region, depth=CLOSED, draft=draft, **changes), about="y")


def held(make: SimpleNamespace, *plates: object, **changes: object) -> MatingFound:
    return mating_found(make.mating(**changes), plates=plates)


def codes(found: MatingFound) -> list[str]:
    return [finding.code for finding in found.findings]


@settings(max_examples=15, deadline=None)
@given(gap=st.floats(0.4, 2.5), draft_deg=st.floats(0.0, 4.0))
def test_walls_of_the_same_draft_keep_the_gap_at_every_depth(
    make: SimpleNamespace, gap: float, draft_deg: float
) -> None:
    """By hand: the core stands ``gap`` off at its foot, and both walls lean by the same angle."""
    draft = math.radians(draft_deg)
    core = back_with(make, inset=gap, draft=draft, nominal="floor")
    found = held(make, cavity_at(make, draft=draft), core, gap=gap)
    assert codes(found) == []
    assert len(found.gaps) >= DEPTHS
    assert [one.depth for one in found.gaps][:: len(found.gaps) - 1] == pytest.approx([0.0, CLOSED])
    assert all(one.least == pytest.approx(gap, abs=1e-3) == pytest.approx(one.most, abs=1e-3) for one in found.gaps)


def test_a_core_without_draft_in_a_leaning_wall_is_nearest_at_its_end(make: SimpleNamespace) -> None:
    draft = math.radians(3.0)
    found = held(make, cavity_at(make, draft=draft), back_with(make, inset=1.2))
    assert codes(found) == ["gap-too-narrow"]
    (finding,) = found.findings
    fall = CLOSED * math.tan(draft)
    assert found.gaps[-1].least == pytest.approx(1.2 - fall, abs=1e-3)
    assert f"only {1.2 - fall:.3f} mm" in finding.message
    assert "4.000 mm below its top" in finding.message


@settings(max_examples=15, deadline=None)
@given(by=st.floats(0.03, 1.0), left=st.booleans())
def test_a_core_out_of_its_middle_is_too_near_on_one_side_and_too_far_on_the_other(
    make: SimpleNamespace, by: float, left: bool
) -> None:
    found = held(make, cavity_at(make), back_with(make, inset=1.2, by=by if left else -by))
    assert codes(found) == ["gap-too-narrow", "gap-too-wide"]
    worst = found.gaps[0]
    assert worst.least == pytest.approx(1.2 - by, abs=1e-3)
    # back lies mirrored about y: what is moved to the right in its drawing stands to the left in the cavity
    assert worst.least_at[0] < 50.0 if left else worst.least_at[0] > 50.0


@given(by=st.floats(0.0, 0.019))
@settings(max_examples=10, deadline=None)
def test_a_gap_within_its_tolerance_is_never_named(make: SimpleNamespace, by: float) -> None:
    assert codes(held(make, cavity_at(make), back_with(make, inset=1.2, by=by))) == []


def test_a_core_in_the_wall_is_told_from_a_narrow_gap(make: SimpleNamespace) -> None:
    found = held(make, cavity_at(make), back_with(make, inset=1.2, by=2.0))
    assert codes(found)[0] == "core-meets-wall"
    assert "0.800 mm in the wall" in found.findings[0].message
    assert found.gaps[0].least == pytest.approx(-0.8, abs=1e-3)


def test_a_notch_in_the_wall_is_seen_from_the_wall(make: SimpleNamespace) -> None:
    """A notch 0.4 mm wide and 3 mm deep changes the distance from the core by less than the tolerance."""
    wall = chain([(30, 25), (70, 25), (70, 39.8), (73, 39.8), (73, 40.2), (70, 40.2), (70, 55), (30, 55)], closed=True)
    cavity = make.placed("cavity", make.pocket("disc", Region(outer=wall), depth=5.2))
    core = Region(
        outer=make.rounded(-3, -3, 103, 83, radius=2),
        islands=(make.rounded(31.2, 26.2, 68.8, 53.8, radius=0.001, clockwise=True),),
    )
    back = make.placed("back", make.pocket("core", core, depth=CLOSED), about="y")
    found = held(make, cavity, back)
    assert found.gaps[0].most == pytest.approx(4.2, abs=0.02)
    assert found.gaps[0].most_at[0] == pytest.approx(73.0, abs=1e-6)
    assert codes(found) == ["gap-too-wide"]


def test_the_gap_below_the_cores_end_is_said_and_judged_where_it_is_asked(make: SimpleNamespace) -> None:
    plates = (cavity_at(make), back_with(make, inset=1.2))
    assert held(make, *plates).floor == pytest.approx(1.2)
    assert codes(held(make, *plates, floor_gap=1.2)) == []
    assert codes(held(make, *plates, floor_gap=1.0)) == ["floor-gap-off"]
    assert codes(held(make, cavity_at(make, depth=3.5), back_with(make, inset=1.2))) == ["core-meets-floor"]


def test_a_core_that_does_not_enter_is_told(make: SimpleNamespace) -> None:
    found = held(make, cavity_at(make, depth=9.0, top=6.0), back_with(make, inset=1.2))
    assert codes(found)[0] == "core-outside-cavity"


def test_how_far_the_core_enters_may_be_given(make: SimpleNamespace) -> None:
    found = held(make, cavity_at(make), back_with(make, inset=1.2), closed=2.5)
    assert (found.closed, found.gaps[-1].depth) == (2.5, pytest.approx(2.5))
    assert found.floor == pytest.approx(2.7)


def test_the_part_of_an_outline_is_a_core_too(make: SimpleNamespace) -> None:
    island = back_with(make, inset=1.2).features[0].regions[0].islands[0]
    part = OutlineSpec(
        name="core",
        layer="core",
        top=0.0,
        depth=CLOSED,
        side="outside",
        hold="none",
        bridges=0,
        bridge_width=3.0,
        bridge_height=1.5,
        skin=0.2,
        allowance=0.1,
        finish=None,
        corner=None,
        tolerance=0.02,
        cutters=(),
    )
    region = Region(outer=backwards(island))
    outline = Feature(spec=part, top=0.0, bottom=CLOSED, through=False, break_through=0.0, regions=(region,))
    found = held(make, cavity_at(make), make.placed("back", outline, about="y"), closed=3.0)
    assert codes(found) == ["gap-with-allowance"]
    assert all(one.least == pytest.approx(1.2, abs=1e-3) == pytest.approx(one.most, abs=1e-3) for one in found.gaps)


def test_an_allowance_is_told_and_the_drawn_walls_are_measured(make: SimpleNamespace) -> None:
    found = held(make, cavity_at(make, allowance=0.15), back_with(make, inset=1.2))
    assert codes(found) == ["gap-with-allowance"]
    assert found.gaps[0].least == pytest.approx(1.2, abs=1e-3)


def test_a_rim_that_the_other_plate_would_meet_is_told(make: SimpleNamespace) -> None:
    core = make.rounded(31.2, 26.2, 68.8, 53.8, radius=4.8, clockwise=True)
    region = Region(outer=make.rounded(10, 10, 90, 70, radius=6), islands=(core,))
    back = make.placed("back", make.pocket("core", region, depth=CLOSED), about="y")
    assert codes(held(make, cavity_at(make), back)) == ["rim-in-the-way"]
    assert codes(held(make, cavity_at(make), back, closed=CLOSED)) == []
