"""A job file that is right, and what becomes of it when it is not."""

from collections.abc import Callable
from pathlib import Path

import pytest

from camplan.errors import InputError
from camplan.job import Job, read_job

CAVITY = """\
title = "Hive entrance disc, cavity plate"
drawing = "cavity.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-2", "drill-4.2", "engrave-60-0.2"]

[plate]
thickness_mm = 10.0
outline = "PLATE"

[[feature]]
name = "disc"
kind = "pocket"
layer = "DISC"
depth_mm = 6.5
"""


@pytest.fixture
def read(tmp_path: Path) -> Callable[[str], Job]:
    """The job of a text that stands beside a drawing named cavity.dxf."""
    (tmp_path / "cavity.dxf").write_text("0\nEOF\n")

    def reader(text: str) -> Job:
        file = tmp_path / "cavity.toml"
        file.write_text(text, encoding="utf-8")
        return read_job(file)

    return reader


@pytest.fixture
def said(read: Callable[[str], Job]) -> Callable[..., list[str]]:
    """The problems of the cavity's job with some of its text replaced and some added."""

    def collected(replace: str = "", by: str = "", *, add: str = "") -> list[str]:
        assert replace in CAVITY
        with pytest.raises(InputError) as raised:
            read(CAVITY.replace(replace, by, 1) + add)
        return [str(problem).partition("cavity.toml: ")[2] for problem in raised.value.problems]

    return collected


@pytest.fixture
def cavity() -> str:
    return CAVITY
