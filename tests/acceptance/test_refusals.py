"""Input that cannot be used: exit code 2, a message that says what and where, no file, no traceback."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest


def refused(job: Path, *words: str, run: Callable[..., Any]) -> Any:
    """Plan a job that cannot be; every word of ``words`` must be said."""
    before = sorted(path.name for path in job.parent.iterdir())
    ran = run("plan", job)
    assert ran.code == 2, (ran.out, ran.err)
    assert ran.out == ""
    assert ran.err
    assert all(line.startswith("camplan: ") for line in ran.err.splitlines()), ran.err
    assert "Traceback" not in ran.err
    for word in words:
        assert word in ran.err, ran.err
    assert sorted(path.name for path in job.parent.iterdir()) == before, "a file was written"
    return ran


def test_the_plate_that_the_others_spoil_can_be_planned(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    ran = run("plan", plates.plain(tmp_path))
    assert (ran.code, ran.err) == (0, ""), ran.out


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"", "empty"),
        (b"   \r\n \n", "empty"),
        (b"a shopping list: honey, wax\n", "DXF"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + bytes(range(256)), "DXF"),
        (b"AC1032\x00\x00\x00\x00" + bytes(300), "DXF"),
        (b"  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n 10\nnot a number\n", ""),
    ],
    ids=["nothing", "blanks", "words", "a picture", "a database", "half an entity"],
)
def test_a_file_that_is_no_drawing(
    tmp_path: Path, plates: Any, run: Callable[..., Any], content: bytes, word: str
) -> None:
    job = plates.plain(tmp_path)
    (tmp_path / "plate.dxf").write_bytes(content)
    refused(job, "plate.dxf", word, run=run)


def test_a_drawing_that_is_cut_in_half_loses_its_layers(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    job = plates.plain(tmp_path)
    content = (tmp_path / "plate.dxf").read_bytes()
    (tmp_path / "plate.dxf").write_bytes(content[: content.index(b"ENTITIES") + 60])
    refused(job, "plate.dxf", run=run)


@pytest.mark.parametrize("factor", [1e9, 1e300])
def test_coordinates_that_are_huge(tmp_path: Path, plates: Any, run: Callable[..., Any], factor: float) -> None:
    job = plates.plain(tmp_path)
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (60 * factor, 0), (60 * factor, 40 * factor), (0, 40 * factor)]),
            ("POCKET", [(1, 1), (30 * factor, 1), (30 * factor, 30 * factor)]),
        ],
    )
    refused(job, run=run)


def test_a_plate_larger_than_the_mill_travels(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    """bench-mill travels 320 x 200 mm."""
    job = plates.plain(tmp_path)
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (600, 0), (600, 400), (0, 400)]),
            ("POCKET", [(20, 20), (60, 20), (60, 60), (20, 60)]),
            ("POCKET", [(520, 320), (560, 320), (560, 360), (520, 360)]),
        ],
    )
    ran = run("plan", job)
    assert ran.code in (2, 3)
    assert not list(tmp_path.rglob("*.ngc"))
    assert "travel" in ran.out + ran.err


def test_a_layer_that_is_not_there(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    plates.plain(tmp_path)
    refused(plates.job(tmp_path, plates.HEAD + plates.POCKET.replace("POCKET", "POKET")), "POKET", "POCKET", run=run)


def test_a_pocket_that_is_not_closed(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    job = plates.plain(tmp_path)
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[("PLATE", [(0, 0), (60, 0), (60, 40), (0, 40)])],
        open_=[("POCKET", [(15, 8), (45, 8), (45, 32), (15, 32), (15, 9)])],
    )
    refused(job, "POCKET", "(15.000, 9.000)", run=run)


def test_a_pocket_that_crosses_itself(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    job = plates.plain(tmp_path)
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (60, 0), (60, 40), (0, 40)]),
            ("POCKET", [(15, 8), (45, 32), (45, 8), (15, 32)]),
        ],
    )
    refused(job, "POCKET", "(30.000, 20.000)", run=run)


def test_a_plate_whose_edge_is_missing(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    job = plates.plain(tmp_path)
    plates.drawn(tmp_path / "plate.dxf", closed=[("POCKET", [(15, 8), (45, 8), (45, 32), (15, 32)])])
    refused(job, "PLATE", run=run)


def test_a_pocket_outside_the_plate(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    job = plates.plain(tmp_path)
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (60, 0), (60, 40), (0, 40)]),
            ("POCKET", [(115, 8), (145, 8), (145, 32), (115, 32)]),
        ],
    )
    refused(job, "pocket", "outside", run=run)


def test_cutters_that_are_too_big_for_every_neck(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    """A slot 4 mm wide, and nothing below 6 mm on the shelf."""
    job = plates.plain(tmp_path)
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[("PLATE", [(0, 0), (60, 0), (60, 40), (0, 40)]), ("POCKET", [(10, 18), (50, 18), (50, 22), (10, 22)])],
    )
    ran = refused(job, "pocket", "slot-6", run=run)
    assert "4" in ran.err


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("depth_mm = 3", "depth_mm = 9", ("depth_mm", "8")),
        ("depth_mm = 3", "depth_mm = 0", ("depth_mm", "above 0")),
        ("depth_mm = 3", "depth_mm = -3", ("depth_mm", "above 0")),
        ("depth_mm = 3", "depth_mm = nan", ("depth_mm",)),
        ("depth_mm = 3", "depth_mm = inf", ("depth_mm",)),
        ("depth_mm = 3", "depth_mm = true", ("depth_mm", "number")),
        ("depth_mm = 3", 'depth_mm = "3"', ("depth_mm", "number")),
        ("depth_mm = 3", "", ("depth_mm", "missing")),
        ("depth_mm = 3", "dept_mm = 3", ("dept_mm", "depth_mm")),
        ("depth_mm = 3", "depth_mm = 3\ndepth_mm = 4", ("TOML",)),
        ("thickness_mm = 8", "thickness_mm = 0", ("thickness_mm", "above 0")),
        ("thickness_mm = 8", "thickness_mm = nan", ("thickness_mm",)),
        ("thickness_mm = 8", "thickness_mm = 1e308", ("thickness_mm",)),
        ('"slot-6"', '"slot-7"', ("slot-7",)),
        ('"slot-6"', '"../slot-6"', ("../slot-6",)),
        ('"bench-mill"', '"bench"', ("bench",)),
        ('"aluminium-6082"', '"aluminum"', ("aluminum",)),
        ('"aluminium-6082"', '"magnesium"', ("magnesium",)),
        ('"plate.dxf"', '"../plate.dxf"', ("plate.dxf", "folder")),
        ('"plate.dxf"', '"/etc/passwd"', ("/etc/passwd", "folder")),
        ('"plate.dxf"', '"C:\\\\plate.dxf"', ("folder",)),
        ('"plate.dxf"', '"lost.dxf"', ("lost.dxf",)),
        ('kind = "pocket"', 'kind = "pokket"', ("pokket", "pocket")),
        ('outline = "PLATE"', "outline = 7", ("outline", "text")),
        ("[plate]", "colour = 3\n[plate]", ("colour",)),
        ("[plate]", "[[plate]]", ("plate",)),
        ("[plate]", "[plate", ("TOML",)),
    ],
)
def test_a_job_that_cannot_be(
    tmp_path: Path, plates: Any, run: Callable[..., Any], old: str, new: str, words: tuple[str, ...]
) -> None:
    plates.plain(tmp_path)
    text = plates.HEAD + plates.POCKET
    assert old in text
    refused(plates.job(tmp_path, text.replace(old, new)), *words, run=run)


def test_all_faults_of_a_job_are_told_in_one_run(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    plates.plain(tmp_path)
    text = (plates.HEAD + plates.POCKET).replace("thickness_mm = 8", "thickness_mm = 0")
    text = text.replace("depth_mm = 3", "depth_mm = nan\ncolour = 1").replace('"bench-mill"', "7")
    ran = refused(plates.job(tmp_path, text), "thickness_mm", "depth_mm", "colour", "machine", run=run)
    assert len(ran.err.splitlines()) >= 4


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"title = [[[["], ids=["empty", "no text", "no TOML"])
def test_a_file_that_is_no_job(tmp_path: Path, run: Callable[..., Any], content: bytes) -> None:
    job = tmp_path / "plate.toml"
    job.write_bytes(content)
    refused(job, "plate.toml", run=run)


def test_a_job_that_is_not_there(tmp_path: Path, run: Callable[..., Any]) -> None:
    refused(tmp_path / "lost.toml", "lost.toml", run=run)


def test_a_folder_in_place_of_a_job(tmp_path: Path, run: Callable[..., Any]) -> None:
    folder = tmp_path / "plate.toml"
    folder.mkdir()
    refused(folder, "plate.toml", run=run)


@pytest.mark.parametrize(
    "arguments",
    [(), ("plan",), ("mill", "plate.toml"), ("plan", "plate.toml", "--fast"), ("speeds", "--depth", "deep")],
)
def test_arguments_that_say_nothing(run: Callable[..., Any], arguments: tuple[str, ...]) -> None:
    ran = run(*arguments)
    assert ran.code == 2
    assert "usage: camplan" in ran.err
    assert "Traceback" not in ran.err


def test_a_program_that_is_not_there(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    ran = run("check", tmp_path / "lost.ngc", "--job", plates.plain(tmp_path))
    assert ran.code == 2
    assert "lost.ngc" in ran.err
