"""What a plate has already: every way to say so, and what is said of what is none."""

from collections.abc import Callable
from pathlib import Path

import pytest

from camplan.features.specs import ExistingLayer, ExistingPlan
from camplan.job import Job

Read = Callable[[str], Job]
Said = Callable[..., list[str]]

OUTLINE = 'outline = "PLATE"\n'


@pytest.fixture
def existing(read: Read, cavity: str) -> Callable[[str], tuple[object, ...]]:
    return lambda value: read(cavity.replace(OUTLINE, f"{OUTLINE}existing = {value}\n")).plate.existing


@pytest.fixture
def wrong(said: Said) -> Callable[[str], list[str]]:
    return lambda value: said(OUTLINE, f"{OUTLINE}existing = {value}\n")


def test_a_plate_is_whole_if_nothing_is_said(read: Read, cavity: str) -> None:
    assert read(cavity).plate.existing == ()


def test_a_layer_alone_is_cut_through(existing: Callable[[str], tuple[object, ...]]) -> None:
    assert existing('"OLD"') == (ExistingLayer(layer="OLD", depth=None, face="top"),)
    assert existing('{ layer = "OLD", depth = "through" }') == existing('"OLD"')


def test_a_layer_has_a_depth_and_a_face(existing: Callable[[str], tuple[object, ...]]) -> None:
    assert existing('{ layer = "OLD", depth_mm = 5 }') == (ExistingLayer(layer="OLD", depth=5.0, face="top"),)
    found = existing('{ layer = "OLD", depth_mm = 10, face = "back" }')
    assert found == (ExistingLayer(layer="OLD", depth=10.0, face="back"),)


def test_a_depth_is_in_the_jobs_unit(read: Read, cavity: str) -> None:
    text = (
        cavity.replace("= 6.5", "= 0.25").replace("= 10.0", "= 0.4").replace('title = "H', 'units = "inch"\ntitle = "H')
    )
    spec = read(text.replace(OUTLINE, OUTLINE + 'existing = { layer = "OLD", depth_mm = 0.2 }\n')).plate.existing[0]
    assert isinstance(spec, ExistingLayer)
    assert spec.depth == pytest.approx(5.08)


def test_the_name_of_a_folder_beside_the_job_is_an_earlier_plan(
    existing: Callable[[str], tuple[object, ...]], tmp_path: Path
) -> None:
    (tmp_path / "first-out").mkdir()
    assert existing('"first-out"') == (ExistingPlan(folder=tmp_path / "first-out"),)
    assert existing('{ plan = "first-out" }') == existing('"first-out"')
    assert existing('{ layer = "first-out", depth_mm = 2 }') == (
        ExistingLayer(layer="first-out", depth=2.0, face="top"),
    )


def test_a_list_keeps_its_order(existing: Callable[[str], tuple[object, ...]], tmp_path: Path) -> None:
    (tmp_path / "first-out").mkdir()
    found = existing('["PINS", { layer = "OLD", depth_mm = 3 }, { plan = "first-out" }]')
    assert found == (
        ExistingLayer(layer="PINS", depth=None, face="top"),
        ExistingLayer(layer="OLD", depth=3.0, face="top"),
        ExistingPlan(folder=tmp_path / "first-out"),
    )


@pytest.mark.parametrize(
    ("value", "key", "says", "accepted"),
    [
        ("3", "existing", "3 is neither a layer nor a plan", "a layer of the drawing or the folder of an earlier plan"),
        ('""', "existing", "is neither a layer nor a plan", "or a list of these"),
        ("[]", "existing", "names nothing", "or leave it out"),
        ('["OLD", 7]', "existing", "7 is neither a layer nor a plan", "or a list of these"),
        ('{ layer = "OLD" }', "existing.depth_mm", "is missing", 'depth = "through"'),
        ("{ depth_mm = 3 }", "existing.layer", "is missing", ""),
        ('{ layer = "OLD", depth_mm = 0 }', "existing.depth_mm", "0 is impossible", "above 0"),
        ('{ layer = "OLD", depth_mm = 10.5 }', "existing.depth_mm", "10.5 is below the plate", "up to 10"),
        ('{ layer = "OLD", depth = 3 }', "existing.depth", "3 is no depth", "a figure stands in depth_mm"),
        (
            '{ layer = "OLD", depth = "through", depth_mm = 3 }',
            "existing.depth_mm",
            "stands beside depth",
            "one of the two",
        ),
        ('{ layer = "OLD", depth_mm = 3, face = "left" }', "existing.face", "'left' is unknown", "back"),
        ('{ layer = "OLD", depth_mm = 3, faec = "top" }', "existing.faec", "is not a known key", "face"),
        (
            '{ plan = "first-out" }',
            "existing.plan",
            "there is no folder 'first-out' beside the job",
            "the folder of a plan",
        ),
        ('{ plan = "first-out", depth_mm = 2 }', "existing.depth_mm", "is not a known key", "plan"),
        ("{ plan = 3 }", "existing.plan", "must be", ""),
    ],
)
def test_what_is_none_is_refused_with_what_is_accepted(
    wrong: Callable[[str], list[str]], value: str, key: str, says: str, accepted: str
) -> None:
    problems = wrong(value)
    assert any(one.startswith(f"plate.{key}: ") and says in one and accepted in one for one in problems), problems


def test_all_that_is_wrong_is_said_in_one_run(wrong: Callable[[str], list[str]]) -> None:
    assert len(wrong('[3, { layer = "OLD" }, { plan = "nix" }]')) == 3
