"""Files that were written before are taken as they are only while they are what would be written."""

from __future__ import annotations

import pytest

from timing.store import made_files as module
from timing.store.made_files import made_files, state_of
from timing.store.store import Store

FILES = {"a.txt": b"one", "below/b.bin": b"two"}


@pytest.fixture
def run(tmp_path):
    made = []

    def once(on=("plan",)):
        def make():
            made.append(on)
            return FILES, {"labels": [1, None]}

        files, facts = made_files(Store(tmp_path / "kept"), "pages", on, tmp_path, make)
        for name, content in files.items():
            (tmp_path / name).parent.mkdir(exist_ok=True)
            (tmp_path / name).write_bytes(content)
        assert (files, facts) == (FILES, {"labels": [1, None]})
        return len(made)

    return once


def test_files_that_are_still_true_are_not_made_again(run):
    assert [run(), run(), run(("other",)), run()] == [1, 1, 2, 2]


@pytest.mark.parametrize("harm", ["gone", "changed"])
def test_a_file_that_is_gone_or_changed_is_made_again(run, tmp_path, harm):
    run()
    path = tmp_path / "below" / "b.bin"
    path.unlink() if harm == "gone" else path.write_bytes(b"twx")
    assert run() == 2


def test_other_code_makes_its_own_files(run, monkeypatch):
    run()
    monkeypatch.setattr(module, "code_version", lambda: "another")
    assert run() == 2


def test_the_state_of_a_folder_changes_with_its_files_and_not_with_its_results(tmp_path):
    (tmp_path / "songs").mkdir()
    (tmp_path / "out").mkdir()
    states = [state_of(tmp_path, tmp_path / "out")]
    (tmp_path / "out" / "a").write_bytes(b"")
    (tmp_path / ".hidden").write_bytes(b"")
    (tmp_path / "clips.toml").write_bytes(b"")
    assert state_of(tmp_path, tmp_path / "out", ("clips.toml",)) == states[0]
    for name, content in (("songs/a", b""), ("songs/a", b"x"), ("b", b"")):
        (tmp_path / name).write_bytes(content)
        states.append(state_of(tmp_path, tmp_path / "out", ("clips.toml",)))
    assert len(set(states)) == 4
