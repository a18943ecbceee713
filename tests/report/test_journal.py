"""A journal as a table and a picture."""

import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from pathlib import Path

from camplan.recut.history import MADE, MEASURED, NOT_RUN, SKIM, Reading, Skimmed, SkimProgram, reading_said, skim_said
from camplan.recut.journal import add_to_journal, read_journal
from camplan.recut.sides import Side, Sides, facing
from camplan.recut.story import Story, story_of
from camplan.report.journal_picture import MARK, journal_picture
from camplan.report.journal_text import journal_text

SVG = "{http://www.w3.org/2000/svg}"


def reading(*, skim: int, mean: float, programmed: float, feature: str = "disc") -> Reading:
    return Reading(
        line=0,
        plan="p",
        feature=feature,
        regions=(1,),
        along="x",
        at=None,
        at_depth=2.0,
        skim=skim,
        mean=mean,
        half_width=0.004,
        wanted=61.5,
        programmed=programmed,
        cutter="slot-6",
        material="brass",
        short=(programmed - mean) / 2.0,
        error=0.001,
        bends=0.0,
        cut=skim,
        walls=facing(0),
    )


def told(folder: Path, *, feature: str = "disc") -> Story:
    file = folder / "plate.journal"
    program = SkimProgram(folder="out-skim-1", file="a.ngc", check_sum="00", setting="one", cutter="slot-6")
    skim = Skimmed(
        number=1,
        feature=feature,
        regions=(1,),
        grow=Sides(),
        islands=Sides(),
        deeper=0.0,
        bends=0.0,
        programs=(program,),
    )
    add_to_journal(file, kind=MADE, said={"plan": "p", "folder": "out"})
    first = reading(skim=0, mean=61.16, programmed=61.2, feature=feature)
    add_to_journal(file, kind=MEASURED, said=reading_said(first, readings=[61.16]))
    add_to_journal(file, kind=SKIM, said=skim_said(skim, plan_sum="p", aims={"x": 61.5}))
    second = reading(skim=1, mean=61.46, programmed=61.5, feature=feature)
    add_to_journal(file, kind=MEASURED, said=reading_said(second, readings=[61.46]))
    return story_of(read_journal(file))


def test_the_table_says_what_was_asked_and_what_came_out(tmp_path: Path) -> None:
    said = journal_text(told(tmp_path), file="plate.journal", width=100)
    assert "Cut by out:" in said
    rows = [line.split() for line in said.splitlines() if "across" in line]
    assert rows[0][-5:] == ["4", "61.500", "61.200", "20", "slot-6"]
    assert rows[1][:2] == ["skim", "1"]
    assert "to make x 61.500" in said
    assert "slot-6 in brass, along X: walls end 20 um (+/- 2) short of the program, by 1 skim; 18 um are sure." in said


def test_a_skim_that_was_not_run_says_so_and_an_empty_journal_what_fills_it(tmp_path: Path) -> None:
    told(tmp_path)
    add_to_journal(tmp_path / "plate.journal", kind=NOT_RUN, said={"plan": "p", "skim": 1})
    said = journal_text(story_of(read_journal(tmp_path / "plate.journal")), file="plate.journal", width=100)
    assert "skim 1, not run" in said
    empty = story_of(read_journal(tmp_path / "none.journal"))
    assert "nothing was measured yet" in journal_text(empty, file="none.journal", width=100)


def test_the_picture_shows_each_size_at_each_skim_and_asks_for_nothing_from_outside(tmp_path: Path) -> None:
    text = journal_picture(told(tmp_path, feature="<disc> & rim"), title="plate.journal")
    assert text.startswith(MARK)
    root = ElementTree.fromstring(text)
    dots = root.findall(f"{SVG}circle")
    # the first cut's 340 um stand farther from the wanted size than the skim's 40, both below it
    assert len(dots) == 2
    assert float(dots[0].get("cy", "0")) > float(dots[1].get("cy", "0"))
    said = [one.text or "" for one in root.iter(f"{SVG}text")]
    assert any("off by -340, -40 um" in one for one in said)
    assert "href" not in text and text.count("http") == 1


def test_the_table_names_the_wall_that_was_measured_or_that_gave_alone(tmp_path: Path) -> None:
    """A journal of before walls were told apart shows no wall (above); here each line names its own."""
    file = tmp_path / "plate.journal"
    program = SkimProgram(folder="out-skim-1", file="a.ngc", check_sum="00", setting="one", cutter="slot-6")
    skim = Skimmed(
        number=1,
        feature="disc",
        regions=(1,),
        grow=Sides(left=0.012),
        islands=Sides(),
        deeper=0.0,
        bends=0.0,
        programs=(program,),
        walls=(Side.LEFT,),
        island_walls=(),
    )
    alone = replace(
        reading(skim=0, mean=-0.12, programmed=0.0), along="wall", wall=Side.LEFT, walls=(Side.LEFT,), at=(20.0, 25.0)
    )
    add_to_journal(file, kind=MEASURED, said=reading_said(alone, readings=[-0.12]))
    add_to_journal(file, kind=SKIM, said=skim_said(skim, plan_sum="p", aims={"left": 0.012}))
    second = replace(skim, number=2, walls=(Side.RIGHT,))
    add_to_journal(file, kind=SKIM, said=skim_said(second, plan_sum="p", aims={"x": 61.5}))
    third = replace(skim, number=3, walls=facing(0))
    add_to_journal(file, kind=SKIM, said=skim_said(third, plan_sum="p", aims={"x": 61.7}))
    said = journal_text(story_of(read_journal(file)), file="plate.journal", width=100)
    assert "left wall at X 20 Y 25, beyond the drawn one" in said
    assert "to make left wall +0.012" in said
    assert "to make x 61.500 by the right wall" in said
    assert "to make x 61.700 " in said
    assert "61.700 by" not in said
    picture = journal_picture(story_of(read_journal(file)), title="Plate")
    assert "left wall at X 20 Y 25" in picture
