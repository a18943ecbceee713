"""The story of a plate, written down and read again."""

from dataclasses import replace
from pathlib import Path

import pytest

from camplan.recut.history import (
    MADE,
    MEASURED,
    NOT_RUN,
    SKIM,
    Reading,
    Skimmed,
    SkimProgram,
    history_of,
    last_cut,
    last_skim,
    observations,
    reading_said,
    skim_said,
)
from camplan.recut.journal import add_to_journal, read_journal
from camplan.recut.sides import Side, Sides, both

SKIMMED = Skimmed(
    number=1,
    feature="disc",
    regions=(1, 2),
    grow=Sides(left=-0.02, right=0.05, front=0.01, back=0.01),
    islands=both(x=-0.02),
    deeper=0.0,
    bends=0.002,
    programs=(SkimProgram(folder="out-skim-1", file="a.ngc", check_sum="00", setting="one", cutter="slot-6"),),
    walls=(Side.RIGHT,),
    island_walls=(),
)
READ = Reading(
    line=0,
    plan="p",
    feature="disc",
    regions=(1, 2),
    along="x",
    at=(3.0, 4.5),
    at_depth=None,
    skim=1,
    mean=61.46,
    half_width=0.004,
    wanted=61.5,
    programmed=61.5,
    cutter="slot-6",
    material="brass",
    short=0.02,
    error=0.001,
    bends=0.002,
    cut=1,
    walls=(Side.LEFT, Side.RIGHT),
)


def written(file: Path) -> Path:
    add_to_journal(file, kind=MADE, said={"plan": "p"})
    add_to_journal(file, kind=SKIM, said=skim_said(SKIMMED, plan_sum="p", aims={"x": 61.5}))
    add_to_journal(file, kind=MEASURED, said=reading_said(READ, readings=[61.46]))
    return file


def test_what_was_written_is_read_again(tmp_path: Path) -> None:
    found = history_of(read_journal(written(tmp_path / "a.journal")), plan_sum="p")
    assert found.known_plan
    assert found.skims == (SKIMMED,)
    assert [replace(one, line=0) for one in found.readings] == [READ]
    assert last_skim(found, feature="disc", region=2) == SKIMMED
    assert last_skim(found, feature="disc", region=3) is None
    assert found.findings == ()


def test_skims_teach_across_plans_and_readings_before_any_skim_do_not(tmp_path: Path) -> None:
    file = written(tmp_path / "a.journal")
    add_to_journal(file, kind=MEASURED, said=reading_said(replace(READ, skim=0, cut=0, short=0.09), readings=[61.0]))
    found = history_of(read_journal(file), plan_sum="another")
    assert found.skims == () and not found.known_plan
    (one,) = observations(found, cutter="slot-6", material="brass", along="x")
    assert one.short == pytest.approx(0.018)  # 2 um of 20 may be bending
    assert observations(found, cutter="slot-6", material="brass", along="y") == []
    assert observations(found, cutter="slot-4", material="brass", along="x") == []


def test_a_size_that_is_measured_again_teaches_once(tmp_path: Path) -> None:
    found = history_of(read_journal(written(tmp_path / "a.journal")), plan_sum="p")
    now = replace(READ, short=0.03)
    (one,) = observations(found, cutter="slot-6", material="brass", along="x", now=[now])
    assert one.short == pytest.approx(0.028)


def test_a_skim_that_was_not_run_counts_for_nothing(tmp_path: Path) -> None:
    file = written(tmp_path / "a.journal")
    add_to_journal(file, kind=NOT_RUN, said={"plan": "p", "skim": 1})
    assert history_of(read_journal(file), plan_sum="p").skims == ()


def test_entries_that_lack_figures_are_said_and_left_out(tmp_path: Path) -> None:
    file = tmp_path / "a.journal"
    add_to_journal(file, kind=SKIM, said={"plan": "p", "skim": 1})
    add_to_journal(file, kind=MEASURED, said={"plan": "p", "mean_mm": "61"})
    found = history_of(read_journal(file), plan_sum="p")
    assert [finding.code for finding in found.findings] == ["journal-entry-incomplete"] * 2
    assert found.skims == () and found.readings == ()


def test_what_was_written_before_walls_were_told_apart_is_read_as_of_both(tmp_path: Path) -> None:
    """Lines as they were then, word for word."""
    skim = {
        key: value for key, value in skim_said(SKIMMED, plan_sum="p", aims={"x": 61.5}).items() if "walls" not in key
    }
    del skim["grow_mm"], skim["islands_mm"]
    skim |= {"grow_x_mm": -0.02, "grow_y_mm": 0.01, "islands_x_mm": -0.03, "islands_y_mm": 0.0}
    reading = reading_said(READ, readings=[61.46])
    for key in ("cut_by_skim", "walls", "wall"):
        del reading[key]
    file = tmp_path / "a.journal"
    add_to_journal(file, kind=SKIM, said=skim)
    add_to_journal(file, kind=MEASURED, said=reading)
    found = history_of(read_journal(file), plan_sum="p")
    assert found.findings == ()
    (one,) = found.skims
    assert (one.grow, one.islands) == (both(x=-0.02, y=0.01), both(x=-0.03))
    assert one.walls == one.island_walls == tuple(Side)
    (read,) = found.readings
    assert (read.cut, read.walls, read.wall, read.direction) == (1, (Side.LEFT, Side.RIGHT), None, "x")
    assert len(observations(found, cutter="slot-6", material="brass", along="x")) == 1


def test_a_skim_without_a_figure_for_each_wall_is_not_believed(tmp_path: Path) -> None:
    said = skim_said(SKIMMED, plan_sum="p", aims={})
    said["grow_mm"] = {"left": 0.1, "right": 0.1, "front": "0"}
    file = tmp_path / "a.journal"
    add_to_journal(file, kind=SKIM, said=said)
    found = history_of(read_journal(file), plan_sum="p")
    assert [finding.code for finding in found.findings] == ["journal-entry-incomplete"]


def test_a_wall_by_itself_teaches_along_the_axis_that_it_faces(tmp_path: Path) -> None:
    file = tmp_path / "a.journal"
    alone = replace(READ, along="wall", wall=Side.BACK, walls=(Side.BACK,), short=0.012, cut=2, skim=2)
    add_to_journal(file, kind=MEASURED, said=reading_said(alone, readings=[-0.1]))
    found = history_of(read_journal(file), plan_sum="p")
    assert [replace(one, line=0) for one in found.readings] == [alone]
    (one,) = observations(found, cutter="slot-6", material="brass", along="y")
    assert one.short == pytest.approx(0.010)
    assert observations(found, cutter="slot-6", material="brass", along="x") == []


def test_the_last_skim_that_cut_a_wall_is_found(tmp_path: Path) -> None:
    file = written(tmp_path / "a.journal")
    later = replace(SKIMMED, number=2, walls=(Side.LEFT,), island_walls=(Side.RIGHT,))
    add_to_journal(file, kind=SKIM, said=skim_said(later, plan_sum="p", aims={}))
    found = history_of(read_journal(file), plan_sum="p")

    def number(side: Side, *, island: bool = False) -> int | None:
        one = last_cut(found, feature="disc", region=1, side=side, island=island)
        return None if one is None else one.number

    assert [number(side) for side in Side] == [2, 1, None, None]
    assert [number(side, island=True) for side in Side] == [None, 2, None, None]
