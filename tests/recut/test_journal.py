import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.errors import InputError
from camplan.findings import Severity
from camplan.recut.journal import add_to_journal, journal_beside, line_of, number_of, read_journal, text_of

SAID: list[dict[str, float | str]] = [
    {"feature": "disc", "across": "x", "mean_mm": 60.91},
    {"feature": "Ø disc\n\\", "across": "y", "mean_mm": 61.02},
    {"file": "skim-1.ngc"},
]


def filled(folder: Path) -> Path:
    file = folder / "cavity.journal"
    for said in SAID:
        add_to_journal(file, kind="measured", said=said)
    return file


def test_a_journal_stands_beside_its_job() -> None:
    assert journal_beside(Path("mould/cavity.toml")) == Path("mould/cavity.journal")


def test_what_was_written_is_read_in_order(tmp_path: Path) -> None:
    found = read_journal(filled(tmp_path))
    assert [entry.said for entry in found.entries] == SAID
    assert [entry.line for entry in found.entries] == [1, 2, 3]
    assert {entry.kind for entry in found.entries} == {"measured"}
    assert found.findings == ()
    assert number_of(found.entries[0], "mean_mm") == 60.91
    assert text_of(found.entries[2], "file") == "skim-1.ngc"


def test_an_absent_journal_is_empty(tmp_path: Path) -> None:
    found = read_journal(tmp_path / "none.journal")
    assert (found.entries, found.findings) == ((), ())


def test_a_line_can_be_read_by_eye(tmp_path: Path) -> None:
    _, _, body = filled(tmp_path).read_text(encoding="utf-8").splitlines()[0].partition(" ")
    assert json.loads(body) == {"kind": "measured", **SAID[0]}


@given(cut=st.integers(min_value=0, max_value=len("".join(line_of("measured", said=one) for one in SAID).encode())))
@settings(max_examples=60, deadline=None)
def test_a_crash_at_any_byte_loses_the_torn_line_and_nothing_else(
    cut: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    file = filled(tmp_path_factory.mktemp("torn"))
    whole = file.read_bytes()
    file.write_bytes(whole[:cut])
    lines = whole.split(b"\n")
    kept = sum(len(b"\n".join(lines[: number + 1])) <= cut for number in range(len(SAID)))
    found = read_journal(file)
    assert [entry.said for entry in found.entries] == SAID[:kept]
    torn = cut > len(b"\n".join(lines[:kept])) + (1 if kept else 0)
    assert [finding.code for finding in found.findings] == (["journal-torn"] if torn else [])
    add_to_journal(file, kind="skimmed", said={"file": "skim-2.ngc"})
    after = read_journal(file)
    assert [entry.said for entry in after.entries] == [*SAID[:kept], {"file": "skim-2.ngc"}]
    assert file.read_bytes()[:cut] == whole[:cut]


def test_a_line_that_was_changed_by_hand_is_not_believed(tmp_path: Path) -> None:
    file = filled(tmp_path)
    file.write_text(file.read_text(encoding="utf-8").replace("60.91", "60.19"), encoding="utf-8")
    found = read_journal(file)
    assert [entry.line for entry in found.entries] == [2, 3]
    assert [(finding.severity, finding.code) for finding in found.findings] == [
        (Severity.CAUTION, "journal-line-spoilt")
    ]


@given(data=st.binary(max_size=200))
@settings(max_examples=60, deadline=None)
def test_no_file_however_strange_stops_the_reading(data: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    file = tmp_path_factory.mktemp("strange") / "a.journal"
    file.write_bytes(data)
    found = read_journal(file)
    assert len(found.entries) + len(found.findings) <= data.count(b"\n") + 1


def test_a_journal_that_is_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be used"):
        read_journal(tmp_path)
    with pytest.raises(InputError, match="cannot be used"):
        add_to_journal(tmp_path, kind="made", said={})


def test_a_figure_that_is_none_is_never_written(tmp_path: Path) -> None:
    file = tmp_path / "a.journal"
    with pytest.raises(ValueError, match="JSON"):
        add_to_journal(file, kind="made", said={"size_mm": float("nan")})
    assert not file.exists()
