"""The folder of plans: names that lead nowhere else, files that are never rewritten."""

from __future__ import annotations

from pathlib import Path

import pytest

from supervisor.core.errors import InputError, PeerError
from supervisor.service.plans.files import PlanFiles, PlanIsThereError, stem_of
from web.plans import UnknownPlanError

TEXT = 'name = "x"\n[[step]]\nto = 600\n'


def test_a_new_file_is_named_after_the_plan_and_holds_what_was_given(tmp_path: Path) -> None:
    files = PlanFiles(tmp_path / "data" / "plans")
    assert files.names() == []
    assert files.add("Weiße Glasur, Kegel 6½", TEXT) == "weisse-glasur-kegel-61-2.toml"
    assert files.names() == ["weisse-glasur-kegel-61-2.toml"]
    assert files.read("weisse-glasur-kegel-61-2.toml") == TEXT
    assert [path.name for path in files.folder.iterdir()] == files.names(), "nothing is left over"


@pytest.mark.parametrize(
    "title", ["../../x", "/etc/passwd", "a\0b", "..", ".hidden", "con\n", "釉"]
)
def test_no_title_leads_out_of_the_folder(tmp_path: Path, title: str) -> None:
    files = PlanFiles(tmp_path / "plans")
    name = files.add(title, TEXT)
    assert (tmp_path / "plans" / name).read_text() == TEXT
    assert [path.name for path in tmp_path.iterdir()] == ["plans"]
    assert files.names() == [name]


@pytest.mark.parametrize("name", ["../secret.toml", "secret", "", ".", "plans/../../secret.toml"])
def test_only_what_lies_in_the_folder_is_read(tmp_path: Path, name: str) -> None:
    (tmp_path / "secret.toml").write_text(TEXT)
    (tmp_path / "plans").mkdir()
    with pytest.raises(UnknownPlanError, match="There is no plan"):
        PlanFiles(tmp_path / "plans").read(name)


def test_what_is_there_is_never_replaced_not_even_by_a_race(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    files = PlanFiles(tmp_path)
    files.add("Mine", TEXT)
    with pytest.raises(PlanIsThereError, match=r"a plan in mine\.toml already"):
        files.add("mine!", "other")
    with pytest.raises(PlanIsThereError, match="starter “bisque” has this name"):
        files.add("Bisque", TEXT)
    # Somebody else's file appears between the look and the writing.
    monkeypatch.setattr("os.path.lexists", lambda _path: False)
    with pytest.raises(PlanIsThereError):
        files.add("Mine", "other")
    assert (tmp_path / "mine.toml").read_text() == TEXT
    assert [path.name for path in tmp_path.iterdir()] == ["mine.toml"]


def test_a_disk_that_refuses_is_told_and_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "plans").write_text("a file is in the way")
    with pytest.raises(PeerError, match="no plan can be kept here"):
        PlanFiles(tmp_path / "plans").add("Mine", TEXT)


def test_what_can_be_no_plan_is_told_by_its_name(tmp_path: Path) -> None:
    (tmp_path / "latin.toml").write_bytes(b"name = '\xe9'")
    (tmp_path / "large.toml").write_bytes(b"#" * 1_000_001)
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "notes.txt").write_text("no plan")
    (tmp_path / ".spyhole-1.part.toml").write_text("half")
    files = PlanFiles(tmp_path)
    assert files.names() == ["large.toml", "latin.toml"]
    with pytest.raises(InputError, match=r"latin\.toml: this is not UTF-8"):
        files.read("latin.toml")
    with pytest.raises(InputError, match=r"large\.toml: this file is too large"):
        files.read("large.toml")


def test_a_long_title_keeps_a_name_that_every_file_system_takes() -> None:
    assert len(stem_of("glaze " * 100)) <= 60
    assert not stem_of("glaze " * 100).endswith("-")
