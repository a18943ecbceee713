"""The shipped library, read once, with no folder of the user's own in the way."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from camplan import resources
from camplan.catalogue import load_machine, load_material, load_shelf
from camplan.catalogue.records import Cutter, Machine, Material
from camplan.errors import InputError


@pytest.fixture(scope="session", autouse=True)
def no_user_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    empty = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("CAMPLAN_HOME", str(empty))
        yield empty


@pytest.fixture(scope="session")
def shelf(no_user_folder: Path) -> dict[str, Cutter]:
    return load_shelf(None, beside=no_user_folder).cutters


@pytest.fixture(scope="session")
def materials(no_user_folder: Path) -> dict[str, Material]:
    found = {}
    for name in resources.named("tooling/materials", beside=no_user_folder):
        try:
            found[name] = load_material(name, beside=no_user_folder).material
        except InputError as error:
            assert "refused" in str(error)
    return found


@pytest.fixture(scope="session")
def machines(no_user_folder: Path) -> dict[str, Machine]:
    names = resources.named("tooling/machines", beside=no_user_folder)
    return {name: load_machine(name, beside=no_user_folder).machine for name in names}


class Library:
    """The shipped library as one fixture that prints briefly."""

    def __init__(
        self, *, shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
    ) -> None:
        self.shelf = shelf
        self.materials = materials
        self.machines = machines

    def __repr__(self) -> str:
        return "Library()"


@pytest.fixture(scope="session")
def library(shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]) -> Library:
    return Library(shelf=shelf, materials=materials, machines=machines)
