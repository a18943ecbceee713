"""The picture of plates laid over each other, and the page around it."""

import xml.etree.ElementTree as ET
from pathlib import Path
from types import ModuleType

import pytest

from camplan.features.records import Feature
from camplan.features.specs import HoleSpec
from camplan.job.project import Named, PatternSpec, Project, ProjectPlate
from camplan.pairing.paired import paired
from camplan.pairing.records import Pairing
from camplan.planned import Plan, ProjectPlan
from camplan.report.project_page import project_page
from camplan.report.project_picture import fault_marks, overlay_key, overlay_picture
from camplan.report.project_text import project_findings, project_summary

PINS = ((20.0, 12.0), (20.0, 50.0), (70.0, 50.0))


def holes(places: tuple[tuple[float, float], ...]) -> Feature:
    spec = HoleSpec(name="pins", layer="P", top=0.0, depth=None, diameter=None, spot=True, tolerance=0.02, cutters=())
    circles = tuple((x, y, 4.0) for x, y in places)
    return Feature(spec=spec, top=0.0, bottom=8.0, through=True, break_through=0.3, circles=circles)


def together(plan: Plan, *, moved: float) -> Pairing:
    """Two plates of a plan's size, the last pin of the second ``moved`` along X."""
    project = Project(
        title="Hive <entrance> disc",
        file=Path("mould.toml"),
        common="centre",
        plates=tuple(
            ProjectPlate(name=name, job=Path(f"{name}.toml"), about=None, axis=None, by=(0.0, 0.0))
            for name in ("cavity", "back & front")
        ),
        patterns=(
            PatternSpec(
                name="pins",
                features=(Named(plate="cavity", feature="pins"), Named(plate="back & front", feature="pins")),
                within=0.005,
            ),
        ),
        matings=(),
    )
    there = (*PINS[:2], (PINS[2][0] + moved, PINS[2][1]))
    return paired(
        project,
        plates={"cavity": plan.plate, "back & front": plan.plate},
        features={"cavity": (holes(PINS),), "back & front": (holes(there),)},
    )


@pytest.fixture
def plan(plans: ModuleType) -> Plan:
    found: Plan = plans.sample_plan()
    return found


def test_a_fault_has_a_letter_in_the_picture_and_in_the_table(plan: Plan) -> None:
    pairing = together(plan, moved=0.5)
    (mark,) = fault_marks(pairing)
    assert mark.letter == "a"
    other = pairing.plates[1]
    assert other.lie.own(mark.at) == pytest.approx((70.5, 50.0))
    root = ET.fromstring(overlay_picture(pairing))
    assert [text.text for text in root.iter("{http://www.w3.org/2000/svg}text")] == ["a"]
    page = project_page(ProjectPlan(pairing=pairing, plans={"cavity": plan, "back & front": plan}))
    assert ">a</td>" in page
    assert "hole-off-centre" in page


def test_without_faults_there_are_no_letters(plan: Plan) -> None:
    pairing = together(plan, moved=0.0)
    assert fault_marks(pairing) == ()
    assert "<text" not in overlay_picture(pairing)


def test_texts_of_the_user_are_escaped(plan: Plan) -> None:
    pairing = together(plan, moved=0.0)
    project = ProjectPlan(pairing=pairing, plans={"cavity": plan, "back & front": plan})
    page = project_page(project)
    assert "Hive &lt;entrance&gt; disc" in page
    assert "back &amp; front" in page
    assert "back &amp; front" in overlay_key(pairing)
    assert 'href="back%20%26%20front/sheet.html"' in page


def test_findings_of_a_plate_carry_its_name_and_come_after_graver_ones(plan: Plan) -> None:
    project = ProjectPlan(pairing=together(plan, moved=0.5), plans={"cavity": plan, "back & front": plan})
    found = project_findings(project)
    order = [one.severity.value for one in found]
    ranks = [["unsafe", "unmet", "caution", "note"].index(one) for one in order]
    assert ranks == sorted(ranks)
    own = {one.where.split(":")[0] for one in found if one.code != "hole-off-centre"}
    assert own == {"cavity", "back & front"}
    said = project_summary(project, folder="mould-out", width=90)
    assert max(len(line) for line in said.splitlines()) <= 90
