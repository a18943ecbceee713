"""The command as a user meets it, and the examples planned once for all tests."""

import contextlib
import importlib.util
import io
import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from camplan.cli.main import main

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ("first", "cavity", "back", "nest", "scale")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """What a command said and how it ended."""

    code: int
    out: str
    err: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """An example in a folder of its own, and what planning it gave."""

    name: str
    job: Path
    folder: Path
    ran: Ran

    @property
    def document(self) -> dict[str, Any]:
        found: dict[str, Any] = json.loads((self.folder / "plan.json").read_text(encoding="utf-8"))
        return found

    @property
    def programs(self) -> list[Path]:
        return [self.folder / program["file"] for program in self.document["programs"]]


Run = Callable[..., Ran]


def _run(*arguments: object) -> Ran:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main([str(argument) for argument in arguments])
    return Ran(code=code, out=out.getvalue(), err=err.getvalue())


@pytest.fixture(scope="session")
def run() -> Run:
    """Run ``camplan`` with arguments, in this process."""
    return _run


@pytest.fixture(scope="session")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Planned]:
    """Plan an example by name; each is planned once."""

    @cache
    def plan(name: str) -> Planned:
        place = tmp_path_factory.mktemp(name)
        for file in sorted((ROOT / "examples" / name).glob(f"{name}.*")):
            shutil.copy(file, place / file.name)
        job = place / f"{name}.toml"
        return Planned(name=name, job=job, folder=place / f"{name}-out", ran=_run("plan", job))

    return plan


@pytest.fixture(params=EXAMPLES)
def example(request: pytest.FixtureRequest, planned: Callable[[str], Planned]) -> Planned:
    """Each example in turn."""
    return planned(request.param)


@pytest.fixture(scope="session")
def plates() -> ModuleType:
    """The module beside this file that draws small plates."""
    spec = importlib.util.spec_from_file_location("small_plates", Path(__file__).parent / "plates.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
