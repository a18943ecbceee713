"""Output is whole or not there, and always the same."""

import errno
import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from camplan.report import files

ROOT = Path(__file__).resolve().parents[2]


def bytes_of(folder: Path) -> dict[str, str]:
    """A digest of every file, by its name."""
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in sorted(folder.iterdir())}


def started(job: Path, *, out: Path, cwd: Path, seed: str = "0") -> "subprocess.Popen[bytes]":
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed}
    command = [sys.executable, "-m", "camplan", "plan", str(job), "-o", str(out)]
    return subprocess.Popen(command, cwd=cwd, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


@pytest.mark.parametrize("name", ["first", "back"])
def test_the_same_job_gives_the_same_bytes_in_any_process(
    planned: Callable[[str], Any], tmp_path: Path, name: str
) -> None:
    """Hash seeds, the working folder and the place of the job differ."""
    example = planned(name)
    elsewhere = tmp_path / "elsewhere"
    shutil.copytree(example.job.parent, elsewhere, ignore=shutil.ignore_patterns("*-out"))
    process = started(elsewhere / example.job.name, out=tmp_path / "out", cwd=tmp_path, seed="12345")
    assert process.wait() == example.ran.code
    assert bytes_of(tmp_path / "out") == bytes_of(example.folder)


def test_planning_again_replaces_what_was_there(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    job = plates.plain(tmp_path)
    assert run("plan", job).code == 0
    out = tmp_path / "plate-out"
    before = bytes_of(out)
    own = out / "my notes.txt"
    own.write_text("the second clamp is new", encoding="utf-8")
    text = (plates.HEAD + plates.POCKET).replace("depth_mm = 3", "depth_mm = 4")
    assert run("plan", plates.job(tmp_path, text)).code == 0
    after = bytes_of(out)
    assert own.read_text(encoding="utf-8") == "the second clamp is new"
    assert after["plan.json"] != before["plan.json"]
    assert json.loads((out / "plan.json").read_text(encoding="utf-8"))["features"][0]["depth_mm"] == 4.0


def test_a_job_that_is_refused_leaves_the_earlier_output(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    job = plates.plain(tmp_path)
    assert run("plan", job).code == 0
    before = bytes_of(tmp_path / "plate-out")
    plates.job(tmp_path, (plates.HEAD + plates.POCKET).replace("depth_mm = 3", "depth_mm = 30"))
    assert run("plan", job).code == 2
    assert bytes_of(tmp_path / "plate-out") == before


@pytest.mark.parametrize(
    ("error", "code"),
    [(KeyboardInterrupt(), 130), (OSError(errno.ENOSPC, "No space left on device"), 2)],
    ids=["stopped by hand", "disk full"],
)
@pytest.mark.parametrize("at", [0, 1, 3])
def test_a_run_that_breaks_off_while_writing_leaves_the_earlier_output_whole(
    tmp_path: Path,
    plates: Any,
    run: Callable[..., Any],
    monkeypatch: pytest.MonkeyPatch,
    error: BaseException,
    code: int,
    at: int,
) -> None:
    job = plates.plain(tmp_path)
    assert run("plan", job).code == 0
    before, names = bytes_of(tmp_path / "plate-out"), sorted(path.name for path in tmp_path.iterdir())
    real = Path.open
    count = 0

    def broken(self: Path, mode: str = "r", *rest: Any, **more: Any) -> Any:
        nonlocal count
        if "w" in mode:
            count += 1
            if count > at:
                raise error
        return real(self, mode, *rest, **more)

    plates.job(tmp_path, (plates.HEAD + plates.POCKET).replace("depth_mm = 3", "depth_mm = 4"))
    with monkeypatch.context() as patch:
        patch.setattr(files.Path, "open", broken)
        ran = run("plan", job)
    assert count > at
    assert ran.code == code, ran.err
    assert bytes_of(tmp_path / "plate-out") == before
    assert sorted(path.name for path in tmp_path.iterdir()) == names
    assert run("plan", job).code == 0


@pytest.mark.parametrize("delay_s", [0.3, 0.6, 0.9])
def test_a_run_that_is_killed_leaves_the_earlier_output_whole(
    tmp_path: Path, plates: Any, run: Callable[..., Any], delay_s: float
) -> None:
    """Whenever the blow falls: what is there is all of the earlier run or all of the new one."""
    job = plates.plain(tmp_path)
    assert run("plan", job).code == 0
    out = tmp_path / "plate-out"
    before = bytes_of(out)
    plates.job(tmp_path, (plates.HEAD + plates.POCKET).replace("depth_mm = 3", "depth_mm = 4"))
    process = started(job, out=out, cwd=tmp_path)
    time.sleep(delay_s)
    process.send_signal(signal.SIGKILL)
    process.wait()
    found = bytes_of(out) if out.exists() else {}
    assert run("plan", job).code == 0
    after = bytes_of(out)
    assert found in (before, after) or not found
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_a_folder_that_cannot_be_written_is_refused(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    job = plates.plain(tmp_path)
    (tmp_path / "taken").write_text("a file of the user's", encoding="utf-8")
    ran = run("plan", job, "-o", tmp_path / "taken")
    assert ran.code == 2
    assert "taken" in ran.err
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "a file of the user's"


def test_a_user_s_file_of_the_same_name_is_kept(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    job = plates.plain(tmp_path)
    out = tmp_path / "plate-out"
    out.mkdir()
    (out / "01-slot-6.ngc").write_text("(typed by hand)", encoding="utf-8")
    ran = run("plan", job)
    assert ran.code == 2
    assert "01-slot-6.ngc" in ran.err
    assert [path.name for path in out.iterdir()] == ["01-slot-6.ngc"]
    assert (out / "01-slot-6.ngc").read_text(encoding="utf-8") == "(typed by hand)"
