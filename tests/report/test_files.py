"""Output files: whole or not at all, and never a file of the user's lost."""

from pathlib import Path

import pytest

from camplan.errors import InputError
from camplan.report import files
from camplan.report.files import LIST, write_folder, write_new

OLD = {"01-slot-6.ngc": "old program\n", "02-drill.ngc": "old drill\n", "plan.json": "old\n"}
NEW = {"01-slot-6.ngc": "new program\n", "03-mark.ngc": "new mark\n", "plan.json": "new\n"}


def held(folder: Path) -> dict[str, str]:
    return {
        path.name: path.read_text(encoding="utf-8")
        for path in sorted(folder.iterdir())
        if path.is_file() and path.name != LIST
    }


def neighbours(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.parent.iterdir())


def break_rename(monkeypatch: pytest.MonkeyPatch, *, at: int, error: BaseException) -> None:
    """Make the rename number ``at`` of a swap fail; undoing goes through."""
    real = Path.rename
    count = 0

    def rename(self: Path, target: Path) -> Path:
        nonlocal count
        count += 1
        if count == at:
            raise error
        return real(self, target)

    monkeypatch.setattr(Path, "rename", rename)


def test_a_new_folder_holds_the_files_and_nothing_else(tmp_path: Path):
    folder = tmp_path / "deep" / "cavity-out"
    write_folder(folder, OLD)
    assert held(folder) == OLD
    assert neighbours(folder) == ["cavity-out"]


def test_a_second_run_replaces_what_the_first_wrote(tmp_path: Path):
    folder = tmp_path / "cavity-out"
    write_folder(folder, OLD)
    write_folder(folder, NEW)
    assert held(folder) == NEW
    assert neighbours(folder) == ["cavity-out"]


def test_lines_end_alike_on_every_system(tmp_path: Path):
    write_folder(tmp_path / "out", {"a.ngc": "G21\nM2\n"})
    assert (tmp_path / "out" / "a.ngc").read_bytes() == b"G21\nM2\n"


def test_files_of_the_user_stay(tmp_path: Path):
    folder = tmp_path / "cavity-out"
    write_folder(folder, OLD)
    (folder / "my notes.txt").write_text("measured 55.71", encoding="utf-8")
    (folder / "photos").mkdir()
    write_folder(folder, NEW)
    assert held(folder) == {**NEW, "my notes.txt": "measured 55.71"}
    assert (folder / "photos").is_dir()
    assert sorted(path.name for path in folder.iterdir() if path.name.startswith(".")) == [LIST]


def test_a_file_of_the_user_with_a_wanted_name_is_refused_and_kept(tmp_path: Path):
    folder = tmp_path / "cavity-out"
    folder.mkdir()
    (folder / "plan.json").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="camplan did not write it"):
        write_folder(folder, NEW)
    assert held(folder) == {"plan.json": "mine"}


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
@pytest.mark.parametrize("at", [1, 2])
def test_an_interrupted_swap_of_folders_keeps_the_earlier_output(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: int, error: BaseException
):
    folder = tmp_path / "cavity-out"
    write_folder(folder, OLD)
    break_rename(monkeypatch, at=at, error=error)
    with pytest.raises(InputError if isinstance(error, OSError) else KeyboardInterrupt):
        write_folder(folder, NEW)
    assert held(folder) == OLD
    assert neighbours(folder) == ["cavity-out"]


@pytest.mark.parametrize("at", range(1, 9))
def test_an_interrupted_swap_of_files_keeps_the_earlier_output(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: int
):
    folder = tmp_path / "cavity-out"
    write_folder(folder, OLD)
    (folder / "my notes.txt").write_text("mine", encoding="utf-8")
    break_rename(monkeypatch, at=at, error=KeyboardInterrupt())
    with pytest.raises(KeyboardInterrupt):
        write_folder(folder, NEW)
    assert held(folder) == {**OLD, "my notes.txt": "mine"}
    monkeypatch.undo()
    write_folder(folder, NEW)
    assert held(folder) == {**NEW, "my notes.txt": "mine"}


class Killed(BaseException):
    """Stands for a run that ends without undoing anything."""


def kill(monkeypatch: pytest.MonkeyPatch, *, at: int) -> None:
    """End the run at rename ``at``: no later rename, no removal happens."""
    real = Path.rename
    count = 0

    def rename(self: Path, target: Path) -> Path:
        nonlocal count
        count += 1
        if count >= at:
            raise Killed
        return real(self, target)

    monkeypatch.setattr(Path, "rename", rename)
    monkeypatch.setattr(files.shutil, "rmtree", lambda *_, **__: None)


@pytest.mark.parametrize("notes", [False, True])
@pytest.mark.parametrize("at", range(1, 9))
def test_a_run_after_a_killed_one_finds_everything_in_order(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: int, notes: bool
):
    folder = tmp_path / "cavity-out"
    write_folder(folder, OLD)
    own = {"my notes.txt": "mine"} if notes else {}
    for name, text in own.items():
        (folder / name).write_text(text, encoding="utf-8")
    with monkeypatch.context() as patch:
        kill(patch, at=at)
        try:
            write_folder(folder, NEW)
        except Killed:
            files_before = [path for path in tmp_path.rglob("*.ngc") if path.read_text().startswith("old")]
            assert len(files_before) == 2, "the earlier programs are whole, in their folder or beside it"
    last = {"01-slot-6.ngc": "last\n"}
    write_folder(folder, last)
    assert held(folder) == {**last, **own}
    assert neighbours(folder) == ["cavity-out"]
    assert [path.name for path in folder.iterdir() if path.is_dir()] == []


def test_a_failure_while_writing_changes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    folder = tmp_path / "cavity-out"
    write_folder(folder, OLD)

    def full(path: Path, text: str) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files, "_write", full)
    with pytest.raises(InputError, match="No space left on device"):
        write_folder(folder, NEW)
    assert held(folder) == OLD
    assert neighbours(folder) == ["cavity-out"]


def test_a_file_in_place_of_the_folder_is_refused(tmp_path: Path):
    place = tmp_path / "out"
    place.write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="is a file, not a folder"):
        write_folder(place, NEW)
    assert place.read_text(encoding="utf-8") == "mine"


def test_a_folder_under_a_file_is_refused_kindly(tmp_path: Path):
    (tmp_path / "drawing.dxf").write_text("", encoding="utf-8")
    with pytest.raises(InputError, match="cannot be written"):
        write_folder(tmp_path / "drawing.dxf" / "out", NEW)


def test_the_folder_one_stands_in_is_kept_and_filled(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    folder = tmp_path / "here"
    write_folder(folder, OLD)
    monkeypatch.chdir(folder)
    inode = folder.stat().st_ino
    write_folder(Path(), NEW)
    assert held(folder) == NEW
    assert folder.stat().st_ino == inode


def test_a_link_to_a_folder_stays_a_link(tmp_path: Path):
    (tmp_path / "real").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "real", target_is_directory=True)
    write_folder(tmp_path / "out", NEW)
    assert (tmp_path / "out").is_symlink()
    assert held(tmp_path / "real") == NEW


def test_a_spoilt_list_makes_every_file_the_users(tmp_path: Path):
    folder = tmp_path / "out"
    write_folder(folder, OLD)
    (folder / LIST).write_text("{", encoding="utf-8")
    with pytest.raises(InputError, match="camplan did not write it"):
        write_folder(folder, NEW)
    assert held(folder) == OLD


def test_a_list_cannot_point_outside_its_folder(tmp_path: Path):
    folder = tmp_path / "out"
    write_folder(folder, OLD)
    precious = tmp_path / "precious.txt"
    precious.write_text("mine", encoding="utf-8")
    (folder / LIST).write_text('["../precious.txt", "01-slot-6.ngc", "02-drill.ngc", "plan.json"]', encoding="utf-8")
    write_folder(folder, NEW)
    assert precious.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["", "..", "a/b.ngc", "a\\b.ngc", LIST])
def test_only_plain_names_are_taken(tmp_path: Path, name: str):
    with pytest.raises(ValueError, match="no plain file name"):
        write_folder(tmp_path / "out", {name: ""})


def test_a_new_file_is_written_once_and_never_overwritten(tmp_path: Path):
    path = tmp_path / "cavity.toml"
    write_new(path, "title = 'Dose'\n")
    with pytest.raises(InputError, match="exists already"):
        write_new(path, "other")
    assert path.read_text(encoding="utf-8") == "title = 'Dose'\n"
    assert neighbours(path) == ["cavity.toml"]


def test_a_new_file_in_a_missing_folder_is_refused_kindly(tmp_path: Path):
    with pytest.raises(InputError, match="cannot be written"):
        write_new(tmp_path / "nowhere" / "cavity.toml", "text")
