"""Posts by name, and lines read in mm."""

from collections.abc import Callable
from pathlib import Path

import pytest

from camplan.rs274.posts import load_post
from camplan.rs274.read import read
from camplan.rs274.records import Post, ReadProgram

Run = Callable[..., ReadProgram]


@pytest.fixture(scope="session")
def posts() -> dict[str, Post]:
    return {name: load_post(name, beside=Path("/nowhere")).post for name in ("rs274ngc", "grbl", "iso6983")}


@pytest.fixture(scope="session")
def run() -> Run:
    """Lines read in mm from a known place, with an end."""

    def lines_run(
        *lines: str, start: tuple[float, float, float] | None = (0.0, 0.0, 5.0), post: Post | None = None
    ) -> ReadProgram:
        return read("\n".join(("G21", *lines, "M2")), file="test", start=start, post=post)

    return lines_run
