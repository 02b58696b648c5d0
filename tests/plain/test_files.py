"""Files are written whole or not at all: full disks, killed programs, two runs at once, files of the user's."""

import os
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from timing.plain.errors import OutputError
from timing.plain.files import RECORD, write_outputs

ROOT = Path(__file__).parent.parent.parent
needs_posix = pytest.mark.skipif(os.name == "nt", reason="limits and signals of POSIX")


def run_python(code, *arguments, check=True):
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code), *map(str, arguments)],
        env=environment, capture_output=True, text=True, check=check,
    )  # fmt: skip


def contents(folder):
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file() and p.name[0] != "."
    }


def test_writes_and_replaces_its_own_files(tmp_path):
    write_outputs(tmp_path / "out", {"a.txt": b"1", "pages/b.txt": b"2"})
    write_outputs(tmp_path / "out", {"a.txt": b"3", "pages/b.txt": b"4"})
    assert contents(tmp_path / "out") == {"a.txt": b"3", "pages/b.txt": b"4"}


@pytest.mark.parametrize("changed", [False, True])
def test_a_file_of_the_users_is_kept_and_nothing_else_is_written(tmp_path, changed):
    if changed:
        write_outputs(tmp_path, {"b.csv": b"ours"})
    (tmp_path / "b.csv").write_bytes(b"mine")
    with pytest.raises(OutputError, match="--force"):
        write_outputs(tmp_path, {"a.csv": b"1", "b.csv": b"2"})
    assert contents(tmp_path) == {"b.csv": b"mine"}
    write_outputs(tmp_path, {"a.csv": b"1", "b.csv": b"2"}, force=True)
    assert contents(tmp_path) == {"a.csv": b"1", "b.csv": b"2"}


def test_a_folder_in_the_way_is_named(tmp_path):
    (tmp_path / "a.csv").mkdir()
    with pytest.raises(OutputError, match="is a folder"):
        write_outputs(tmp_path, {"a.csv": b"1"})


def test_a_file_where_the_folder_should_be(tmp_path):
    (tmp_path / "out").write_text("I am a file")
    with pytest.raises(OutputError, match="cannot be written"):
        write_outputs(tmp_path / "out", {"a.csv": b"1"})


@needs_posix
def test_a_full_disk_leaves_everything_as_it_was(tmp_path):
    # a limit on the size of files stands in for the full disk: the system refuses the write in the same way
    write_outputs(tmp_path, {"a.bin": b"old a", "b.bin": b"old b"})
    done = run_python(
        """
        import resource, signal, sys
        from pathlib import Path
        from timing.plain.errors import OutputError
        from timing.plain.files import write_outputs
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))
        try:
            write_outputs(Path(sys.argv[1]), {"a.bin": b"new a", "b.bin": b"x" * 100_000})
        except OutputError as error:
            print(error)
        """,
        tmp_path,
    )
    assert "cannot be written" in done.stdout
    assert contents(tmp_path) == {"a.bin": b"old a", "b.bin": b"old b"}
    assert not list(tmp_path.glob(".part-*"))


@needs_posix
@pytest.mark.parametrize("after", range(5))
def test_killed_between_two_files_every_file_is_whole_and_a_rerun_mends_it(tmp_path, after):
    old, new = {"a.bin": b"old a", "b.bin": b"old b"}, {"a.bin": b"new a", "b.bin": b"new b"}
    write_outputs(tmp_path, old)
    run_python(
        """
        import os, signal, sys
        from pathlib import Path
        from timing.plain import files
        real, left = os.replace, int(sys.argv[2])
        def replace(a, b):
            global left
            if left == 0:
                os.kill(os.getpid(), signal.SIGKILL)
            left -= 1
            real(a, b)
        files.os.replace = replace
        files.write_outputs(Path(sys.argv[1]), {"a.bin": b"new a", "b.bin": b"new b"})
        """,
        tmp_path, after, check=False,
    )  # fmt: skip
    for name, content in contents(tmp_path).items():
        assert content in (old[name], new[name])
    write_outputs(tmp_path, new)
    assert contents(tmp_path) == new


@needs_posix
def test_two_runs_at_once_do_not_mix_their_files(tmp_path):
    code = """
        import sys
        from pathlib import Path
        from timing.plain.files import write_outputs
        for _ in range(30):
            write_outputs(Path(sys.argv[1]), {f"{n}.bin": sys.argv[2].encode() * 2000 for n in range(8)})
        """
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    runs = [
        subprocess.Popen([sys.executable, "-c", textwrap.dedent(code), str(tmp_path), letter], env=environment)
        for letter in "ab"
    ]
    assert [r.wait() for r in runs] == [0, 0]
    found = contents(tmp_path)
    assert len(found) == 8
    assert len(set(found.values())) == 1
    assert (tmp_path / RECORD).exists()


def test_requests_of_clips_that_are_gone_go_too_but_not_what_somebody_changed(tmp_path):
    old = {"requests/C01.txt": b"one", "requests/C02.txt": b"two", "requests/C03.txt": b"three", "plan.json": b"{}"}
    write_outputs(tmp_path, old, prune=("requests/",))
    (tmp_path / "requests" / "C02.txt").write_bytes(b"two, with a note of mine")
    (tmp_path / "requests" / "mine.txt").write_bytes(b"mine")
    write_outputs(tmp_path, {"requests/C03.txt": b"three"}, prune=("requests/",))
    assert contents(tmp_path) == {
        "requests/C02.txt": b"two, with a note of mine",
        "requests/C03.txt": b"three",
        "requests/mine.txt": b"mine",
        "plan.json": b"{}",
    }


def test_what_a_killed_run_had_staged_is_taken_away_by_the_next(tmp_path):
    write_outputs(tmp_path, {"pages/a.txt": b"1"})
    left = [tmp_path / ".part-x1.tmp", tmp_path / "pages" / ".part-y2.tmp"]
    for path in left:
        path.write_bytes(b"half")
    write_outputs(tmp_path, {"pages/a.txt": b"2"})
    assert not any(path.exists() for path in left)
    assert contents(tmp_path) == {"pages/a.txt": b"2"}


def test_a_file_that_cannot_be_replaced_is_told_with_what_is_new_already(tmp_path, monkeypatch):
    write_outputs(tmp_path, {"a.txt": b"1", "b.txt": b"1"})
    replace = os.replace

    def held(source, target):
        if Path(target).name == "b.txt":
            raise PermissionError(13, "it is open in another program")
        replace(source, target)

    monkeypatch.setattr("os.replace", held)
    with pytest.raises(OutputError, match="1 files before it") as caught:
        write_outputs(tmp_path, {"a.txt": b"2", "b.txt": b"2"})
    assert "nothing was changed" not in str(caught.value)
    assert contents(tmp_path) == {"a.txt": b"2", "b.txt": b"1"}


@needs_posix
def test_without_a_path_and_without_standard_error_it_still_works():
    code = (
        "import os, sys; os.environ.pop('PATH', None); sys.stderr = None\n"
        "from timing.commands.progress import busy\n"
        "import timing.sound.container\n"
        "with busy('working') as bar: assert bar is None"
    )
    assert run_python(code).returncode == 0
