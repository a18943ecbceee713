"""Open ends are told by layer, both their places, and the gap to the nearest other end."""

from camplan.drawing.ends import open_ends


def test_each_open_contour_tells_its_ends_and_the_gap(drawn):
    def draw(document):
        for a, b in (((0, 0), (30, 0)), ((30, 0.05), (30, 20)), ((100, 100), (140, 100))):
            document.modelspace().add_line(a, b, dxfattribs={"layer": "POCKET"})

    one, two, three = open_ends(drawn(draw).layers["POCKET"])
    assert one.code == "open-contour" and one.where == "POCKET"
    for sign in ('"POCKET"', "(0.000, 0.000)", "(30.000, 0.000)", "0.050 mm", "(30.000, 0.050)", "nearest other end"):
        assert sign in one.message
    assert "(30.000, 20.000)" in two.message
    assert "its own other end is 40.000 mm" in three.message


def test_a_layer_of_closed_contours_has_no_open_ends(drawn):
    assert open_ends(drawn(lambda document: document.modelspace().add_circle((0, 0), 5)).layers["0"]) == ()
