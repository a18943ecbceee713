"""The setup sheet: one well-formed file that says everything and asks for nothing."""

import dataclasses
import re
from html.parser import HTMLParser

import pytest

from camplan.catalogue.sources import Source
from camplan.planned import Plan
from camplan.report.sheet import sheet
from camplan.report.style import STYLE

VOID = {"meta", "br", "hr", "img", "link", "input"}


class Page(HTMLParser):
    """Collects tags, ids and texts, and checks that every tag is closed where it should be."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.said = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.ids += [value or "" for name, value in attrs if name == "id"]
        self.links += [value or "" for name, value in attrs if name in ("href", "src")]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.said += data + " "


def said(plan: Plan) -> str:
    return " ".join(Page(sheet(plan)).said.split())


def test_every_tag_is_closed_and_every_id_is_its_own(plan: Plan):
    page = Page(sheet(plan))
    assert page.open == []
    assert len(set(page.ids)) == len(page.ids)


def test_it_is_one_file_without_scripts_or_requests(plan: Plan):
    text = sheet(plan)
    page = Page(text)
    assert not {"script", "link", "img", "iframe"} & set(page.tags)
    assert page.links
    assert all(link.startswith("#") and link[1:] in page.ids for link in page.links)
    assert "url(" not in text
    assert "@import" not in text


def test_texts_of_the_user_are_escaped(plan: Plan):
    text = sheet(plan)
    assert "<plate>" not in text
    assert "cavity &lt;plate&gt; &amp; runner" in text


def test_the_same_plan_gives_the_same_bytes(plan: Plan, plans):
    assert sheet(plan) == sheet(plans.sample_plan())


def test_it_says_what_a_person_needs_at_the_mill(plan: Plan):
    text = said(plan)
    for sentence in (
        "120 × 80 × 10 mm",
        "the front left corner",
        "Proof passed Deepest gouge 0.4 µm, finished walls within 3.1 µm",
        "The corner radius asked for is 1.2 mm; 1.5 mm stays.",
        "Clear the chips before they weld to the cutter.",
        "01-clamps-slot-6.ngc with slot-6, stick-out 20, about 5 min",
        "Rough: disc",
        "Spindle 12000 1/min",
        "Feed 480 mm/min",
        "Plunge 120 mm/min",
        "Step down 0.8 mm",
        "Step over 1.5 mm",
        "Levels, Z -2, -4, -6.5",
        "Spindle: The spindle's top speed of 12000 1/min binds. (bench-mill)",
        "a disc 6.5 deep X 60 Y 40 0.82 mm² 0.41 the smallest listed cutter leaves a corner radius of 1.5 mm",
    ):
        assert sentence in text


def test_cautions_defer_to_manual_data_sheet_and_local_rules(plan: Plan):
    text = said(plan)
    assert "The machine's manual, the material's data sheet and the rules of your place come first." in text
    for word in ("Eye protection", "No gloves", "stop button", "Clamp", "Air first", "magnesium", "estimates"):
        assert word in text


def test_each_feature_is_measured_after_the_last_setting_that_cuts_it(plan: Plan):
    twice = dataclasses.replace(plan.settings[1], features=("disc", "guide pins"))
    text = said(dataclasses.replace(plan, settings=(plan.settings[0], twice)))
    first, second = text.split("Setting 2:")
    assert "across X, widest" not in first
    assert "across X, widest 55.7" in second


def test_a_failed_proof_stands_at_the_top(plans):
    text = said(plans.failed_plan())
    assert "Proof failed: do not cut" in text
    assert text.index("do not cut") < text.index("Cautions")
    assert "Order of programs" not in text
    assert "none of these programs was written" in text


def test_a_trace_is_explained_and_comes_first(plan: Plan):
    trace = dataclasses.replace(plan.programs[1], file="00-trace.ngc", cutter=None, operations=())
    text = said(dataclasses.replace(plan, programs=(*plan.programs, trace)))
    assert "00-trace.ngc traces the work in the air, spindle at rest" in text
    assert text.index("00-trace.ngc") < text.index("01-clamps-slot-6.ngc with")


def test_nothing_left_and_nothing_found_are_said_too(plan: Plan):
    proof = dataclasses.replace(plan.proof, leftovers=(), left_area=0.0)
    text = said(dataclasses.replace(plan, proof=proof, findings=()))
    assert "Nothing that was asked for is left standing." in text
    assert "Nothing was noticed." in text


def test_publications_behind_the_reasons_are_named(plan: Plan):
    source = Source(code="bench-mill", publication="The mill's sheet", used_for="speed", status="invented", note="")
    other = dataclasses.replace(source, code="MEDH", publication="A handbook that nothing names")
    text = said(dataclasses.replace(plan, sources=(source, other)))
    assert "Sources of the figures bench-mill The mill's sheet (invented)" in text
    assert "A handbook that nothing names" not in text


def test_many_operations_still_fit(plan: Plan):
    program = plan.programs[0]
    many = dataclasses.replace(program, operations=program.operations * 120)
    text = sheet(dataclasses.replace(plan, programs=(many, *plan.programs[1:])))
    assert len(text.encode()) < 3_000_000


def luminance(colour: str) -> float:
    """Relative luminance by WCAG 2.1, definition "relative luminance"."""
    parts = [int(colour[index : index + 2], 16) / 255.0 for index in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("name", ["ink", "faint", "datum", "left", "good", "warn"])
def test_texts_stand_out_from_the_paper(name: str):
    """Contrast of at least 4.5 to 1 (WCAG 2.1, success criterion 1.4.3)."""
    colours = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", STYLE))
    light, dark = luminance(colours["paper"]), luminance(colours[name])
    assert (light + 0.05) / (dark + 0.05) >= 4.5


def test_the_machine_time_is_held_against_that_of_the_best_rates(plans):
    made = plans.bounded_plan()
    said = Page(sheet(made)).said
    assert "Held against" in said
    assert f"{made.seconds / 270.0:.1f} times the 4 min of its best rates alone" in said
