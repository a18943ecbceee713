"""The picture of what cutters leave, read back as XML."""

import math
from xml.etree import ElementTree

import numpy as np

from camplan.planned import CutterRow, CutterTable, RegionRow
from camplan.report.cutter_picture import MARK, cutter_picture

SVG = "{http://www.w3.org/2000/svg}"
SQUARE = np.array([(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)])


def made(plans, plan) -> CutterTable:
    """A wide cutter leaves a square of 2 mm, a narrow one half of that."""
    feature = next(one for one in plan.features if one.regions)
    rows = tuple(
        CutterRow(
            feature=feature.spec.name,
            depth=2.0,
            smallest_inner_radius=0.0,
            smallest_inner_radius_at=(0.0, 0.0),
            narrowest_neck=4.0,
            narrowest_neck_at=(5.0, 5.0),
            cutter=plans.slot_drill(size),
            reaches_depth=True,
            area_left=4.0 * share,
            deepest_left=1.0,
            seconds=60.0,
            lost=(SQUARE * math.sqrt(share),),
        )
        for size, share in ((6.0, 1.0), (3.0, 0.5))
    )
    region = RegionRow(
        feature=feature.spec.name,
        number=1,
        radius=0.0,
        radius_at=(0.0, 0.0),
        neck=4.0,
        neck_at=(5.0, 5.0),
        neck_ends=((5.0, 3.0), (5.0, 7.0)),
    )
    return CutterTable(
        rows=rows,
        answer="slot-3 < slot-6 & so on",
        title="Disc",
        plate=plan.plate,
        features=(feature,),
        regions=(region,),
    )


def texts(root: ElementTree.Element) -> list[str]:
    return ["".join(item.itertext()) for item in root.iter(f"{SVG}text")]


def test_it_is_one_svg_that_asks_for_nothing_from_outside(plans, plan):
    said = cutter_picture(made(plans, plan))
    assert said.startswith(MARK)
    root = ElementTree.fromstring(said)
    assert root.tag == f"{SVG}svg"
    assert "href" not in said
    assert "url(" not in said


def test_the_colours_of_what_is_left_stand_in_the_legend(plans, plan):
    """What the wide cutter leaves has the narrow one's colour, what that leaves the colour of no cutter."""
    root = ElementTree.fromstring(cutter_picture(made(plans, plan)))
    legend = [item.get("fill") for item in root.iter(f"{SVG}rect")][1:]
    assert len(set(legend)) == len(legend) == 3
    left = [item.get("fill") for item in root.iter(f"{SVG}path") if item.get("fill") == item.get("stroke")]
    assert left == legend[1:]
    assert [text for text in texts(root) if "slot-" in text][:2] != []
    assert "no listed cutter" in texts(root)


def test_the_tight_places_are_marked_where_they_are(plans, plan):
    root = ElementTree.fromstring(cutter_picture(made(plans, plan)))
    rings = [item for item in root.iter(f"{SVG}circle") if item.get("fill") == "none" and item.get("cx") == "0"]
    assert [(item.get("cx"), item.get("cy")) for item in rings] == [("0", "0")]
    assert any(item.get("d") == "M5 -3L5 -7" for item in root.iter(f"{SVG}path"))
    assert any("inner radius 0 at X 0 Y 0; neck 4 at X 5 Y 5" in text for text in texts(root))


def test_the_answer_stands_below(plans, plan):
    assert "slot-3 < slot-6 & so on" in texts(ElementTree.fromstring(cutter_picture(made(plans, plan))))


def test_the_same_table_gives_the_same_picture(plans, plan):
    assert cutter_picture(made(plans, plan)) == cutter_picture(made(plans, plan))
