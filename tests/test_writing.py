"""What is written is there whole or not at all, replaces only what a run wrote, and leaves nothing beside it."""

from __future__ import annotations

import errno
import json
import os
import signal
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scaling.files.beside import LOCK, OLD, PART, beside, locked
from scaling.files.errors import InputError
from scaling.files.folder import check_folder, restore, write_folder
from scaling.files.manifest import MANIFEST, foreign, named
from scaling.files.stopping import Stopped, watched
from scaling.files.write import write_text

ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
"""SHA-256 of the three letters abc: FIPS 180-4's example (NIST), from memory."""

TWENTY = 20
"""The share of the kills and faults that every run of the tests tries."""


def filled(text: str) -> Callable[[Path], None]:
    """Fill a folder with two files of that text."""

    def fill(folder: Path) -> None:
        (folder / "tables").mkdir()
        for name in ("study.json", "tables/mass.csv"):
            (folder / name).write_text(text, encoding="utf-8")

    return fill


def texts(folder: Path) -> dict[str, str]:
    """Every file under a folder less the manifests."""
    return {
        str(path.relative_to(folder)): path.read_text(encoding="utf-8")
        for path in folder.rglob("*") if path.is_file() and path.name != MANIFEST
    }  # fmt: skip


def both(text: str) -> dict[str, str]:
    return {"study.json": text, "tables/mass.csv": text}


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """A folder that a run wrote, alone in its own."""
    (tmp_path / "box").mkdir()
    write_folder(tmp_path / "box" / "OUT", False, filled("old"))
    return tmp_path / "box" / "OUT"


def alone(out: Path) -> bool:
    """Whether nothing stands beside."""
    return [path.name for path in out.parent.iterdir()] == [out.name]


# Folders.


def test_a_manifest_lists_what_was_written(out: Path) -> None:
    assert write_folder(out, True, filled("abc")) == [MANIFEST, "study.json", "tables/"]
    assert json.loads((out / MANIFEST).read_text(encoding="utf-8"))["files"] == dict.fromkeys(both(""), ABC)
    assert alone(out) and foreign(out) == []


def test_only_with_force_and_only_whole_a_folder_is_replaced(out: Path) -> None:
    with pytest.raises(InputError, match=r"the folder holds files; .*--force"):
        write_folder(out, False, filled("new"))
    assert texts(out) == both("old") and alone(out)
    (out / "study.json").unlink()  # one that is gone keeps nobody from replacing the rest
    write_folder(out, True, filled("new"))
    assert texts(out) == both("new") and alone(out)


def change(path: Path) -> None:
    path.write_text("old and more", encoding="utf-8")


FOREIGN: dict[str, Callable[[Path], object]] = {
    "notes.txt": Path.touch,
    "tables/own.csv": Path.touch,
    "plans/": Path.mkdir,
    ".hidden": Path.touch,
    "study.json": change,
    "link": lambda path: path.symlink_to("study.json"),
    "pipe": os.mkfifo if hasattr(os, "mkfifo") else Path.touch,
}


@pytest.mark.parametrize("name", FOREIGN)
def test_what_no_run_wrote_is_named_and_kept(out: Path, name: str) -> None:
    FOREIGN[name](out / name.rstrip("/"))
    before = sorted(out.rglob("*"))
    for act in (check_folder, lambda folder, force: write_folder(folder, force, filled("new"))):
        with pytest.raises(InputError, match=f"no run wrote or that were changed since: {name}; choose another"):
            act(out, True)
    assert sorted(out.rglob("*")) == before and alone(out)


def test_a_link_s_target_is_never_touched(out: Path, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "notes").write_text("mine", encoding="utf-8")
    (out / "tables" / "mass.csv").unlink()
    (out / "tables").rmdir()
    (out / "tables").symlink_to(tmp_path / "mine")
    with pytest.raises(InputError, match="tables"):
        write_folder(out, True, filled("new"))
    assert texts(tmp_path / "mine") == {"notes": "mine"}


@pytest.mark.parametrize("text", [
    "", "{", "[]", "{}", '{"files": []}', '{"files": {"study.json": 1}}', '{"files": {"../../x": "y"}}', "[" * 100_000,
    '{"files": {}}', "\x00", '{"files": {"study.json": NaN}}',
])  # fmt: skip
def test_a_manifest_that_says_nothing_makes_nothing_ours(out: Path, text: str) -> None:
    (out / MANIFEST).write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"no run wrote.*study.json"):
        write_folder(out, True, filled("new"))
    assert texts(out) == both("old") and alone(out)


def test_without_a_manifest_everything_is_foreign(tmp_path: Path) -> None:
    for place in range(13):
        (tmp_path / f"{place:02}").touch()
    with pytest.raises(InputError, match=r"that no run wrote: 00, 01, .*, 09 and 3 more; choose") as caught:
        check_folder(tmp_path, True)
    assert "changed" not in str(caught.value)


def test_names_are_cut_where_they_are_many_or_long() -> None:
    assert named(["a", "b"]) == "a, b"
    assert named([str(place) for place in range(11)]).endswith("9 and 1 more")
    assert len(named(["x" * 250] * 40)) < 150 and named(["\n"] * 2) == "\\n, \\n"
    assert named(["x" * 50, "y" * 50, "z" * 50]).endswith("y and 1 more")


@pytest.mark.parametrize("force", [False, True])
def test_what_comes_while_a_run_works_is_seen_at_the_swap(tmp_path: Path, out: Path, force: bool) -> None:
    place = out if force else tmp_path / "box" / "other"

    def fill(folder: Path) -> None:
        filled("new")(folder)
        place.mkdir(exist_ok=True)
        (place / "late.txt").write_text("mine", encoding="utf-8")

    with pytest.raises(InputError, match=r"late.txt" if force else "another has written here"):
        write_folder(place, force, fill)
    assert texts(place) == (both("old") if force else {}) | {"late.txt": "mine"}
    assert {path.name for path in out.parent.iterdir()} == {"OUT", place.name}


def test_of_two_writers_one_is_told(out: Path) -> None:
    def fill(folder: Path) -> None:
        filled("new")(folder)
        with pytest.raises(InputError, match="OUT: --out: another run is writing this; wait"):
            write_folder(out, True, filled("other"))

    write_folder(out, True, fill)
    assert texts(out) == both("new") and alone(out)


def test_two_processes_at_once(out: Path) -> None:
    code = (
        "import sys, time\nfrom pathlib import Path\nfrom scaling.files.errors import InputError\n"
        "from scaling.files.folder import write_folder\n"
        "def fill(folder):\n    (folder / 'study.json').write_text(sys.argv[1])\n    time.sleep(1)\n"
        "try:\n    write_folder(Path(sys.argv[2]), True, fill)\nexcept InputError as error:\n    sys.exit(2)\n"
    )
    runs = [subprocess.Popen([sys.executable, "-c", code, name, str(out)]) for name in "ab"]
    ended = [run.wait(60) for run in runs]
    assert sorted(ended) == [0, 2]
    assert texts(out) == {"study.json": "ab"[ended.index(0)]} and alone(out)


def test_a_half_done_swap_is_put_right(out: Path) -> None:
    filled("unfinished")(Path(_made(beside(out, PART))))
    beside(out, LOCK).touch()
    out.rename(beside(out, OLD))  # where a run was killed between its two renamings
    with pytest.raises(InputError, match="holds files"):
        check_folder(out, False)
    assert texts(out) == both("old") and alone(out)


def _made(path: Path) -> Path:
    path.mkdir()
    return path


def test_the_old_one_goes_where_the_new_one_stands(out: Path) -> None:
    out.rename(beside(out, OLD))
    write_folder(out.with_name("new"), False, filled("new"))
    out.with_name("new").rename(out)
    check_folder(out, True)
    assert texts(out) == both("new") and alone(out)


def test_the_old_one_stays_aside_where_someone_has_taken_its_place(out: Path) -> None:
    out.rename(beside(out, OLD))
    (_made(out) / "notes.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match=r"no run wrote: notes.txt"):
        write_folder(out, True, filled("new"))
    assert texts(out) == {"notes.txt": "mine"} and texts(beside(out, OLD)) == both("old")
    (out / "notes.txt").unlink()
    check_folder(out, True)  # empty now: the old one comes back
    assert texts(out) == both("old") and alone(out)


def test_who_reads_a_study_puts_it_back(
    command: Callable[..., Any], refused: Callable[..., str], out: Path
) -> None:
    for asked in (out, out / "study.json"):
        out.rename(beside(out, OLD))
        refused(command("sources", asked), "study.json", "not JSON")  # the texts of these tests are none
        assert texts(out) == both("old") and alone(out)
    restore(out.with_name("none"))
    assert alone(out)


def test_a_reader_waits_for_a_run_no_longer_than_a_moment(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("scaling.files.folder.PATIENCE", 0.05)
    out.rename(beside(out, OLD))
    with locked(out, out, None):
        restore(out)
    assert not out.exists()
    restore(out)
    assert texts(out) == both("old")


def test_a_folder_keeps_its_link_and_its_mode(out: Path) -> None:
    out.chmod(0o700)
    link = out.with_name("link")
    link.symlink_to("OUT")
    write_folder(link, True, filled("new"))
    assert link.is_symlink() and texts(out) == both("new")
    assert stat.S_IMODE(out.stat().st_mode) == 0o700
    assert {path.name for path in out.parent.iterdir()} == {"OUT", "link"}


def test_places_where_no_folder_can_stand(
    tmp_path: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "dangling").symlink_to("nowhere")
    (tmp_path / "loop").symlink_to("loop")
    os.mkfifo(tmp_path / "pipe")
    for name, said in (("dangling", "leads nowhere"), ("loop", "leads nowhere"), ("pipe", "not a folder"),
                       ("x" * 256, "cannot be written"), ("a\0b", "cannot be written"), ("/", "begins")):  # fmt: skip
        for force in (False, True):
            with pytest.raises(InputError, match=said):
                write_folder(tmp_path / name, force, filled("new"))
    monkeypatch.chdir(out / "tables")
    with pytest.raises(InputError, match="the run stands in this folder"):
        write_folder(out, True, filled("new"))
    assert texts(out) == both("old") and alone(out)


def test_the_longest_name_there_is(tmp_path: Path) -> None:
    out = tmp_path / ("x" * 255)
    write_folder(out, False, filled("old"))
    write_folder(out, True, filled("new"))
    assert texts(out) == both("new") and alone(out)


def test_folders_made_for_nothing_go_again(tmp_path: Path) -> None:
    def fill(folder: Path) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with pytest.raises(InputError, match=r"new/OUT: --out: the folder cannot be written .No space left on device"):
        write_folder(tmp_path / "some" / "new" / "OUT", False, fill)
    assert not any(tmp_path.iterdir())


def test_a_mistake_of_the_filling_names_the_folder_that_was_asked_for(tmp_path: Path) -> None:
    def fill(folder: Path) -> None:
        (folder / "report.html").mkdir()
        write_text(folder / "report.html", "")

    with pytest.raises(InputError) as caught:
        write_folder(tmp_path / "OUT", False, fill)
    assert caught.value.file == tmp_path / "OUT" / "report.html"
    assert not any(tmp_path.iterdir())


# Signals.


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_ends_the_filling(out: Path, number: signal.Signals) -> None:
    def fill(folder: Path) -> None:
        filled("new")(folder)
        signal.raise_signal(number)

    with pytest.raises(Stopped), watched(held=False):
        write_folder(out, True, fill)
    assert texts(out) == both("old") and alone(out)
    if number == signal.SIGINT:  # where nobody has asked for more, Python's own word for it
        with pytest.raises(KeyboardInterrupt):
            write_folder(out, True, fill)
    assert texts(out) == both("old") and alone(out)


def test_a_signal_waits_for_the_swap(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rename = Path.rename

    def signalled(path: Path, target: Path) -> Path:
        signal.raise_signal(signal.SIGTERM)
        return rename(path, target)

    monkeypatch.setattr(Path, "rename", signalled)
    with pytest.raises(Stopped), watched(held=False):
        write_folder(out, True, filled("new"))
    assert texts(out) == both("new") and alone(out)


def test_a_signal_ends_the_command_with_its_status(
    command: Callable[..., Any], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for number, status in ((signal.SIGTERM, 143), (signal.SIGINT, 130)):
        monkeypatch.setattr("scaling.files.write.flush", lambda _, number=number: signal.raise_signal(number))
        folder = tmp_path / number.name
        assert command("init", folder).status == 0
        (folder / "design.toml").write_text("mine", encoding="utf-8")
        ended = command("init", folder, "--force")
        said = f"scaling: stopped by {number.name}; nothing is left half written.\n"
        assert (ended.status, ended.err) == (status, said)
        assert {path.name for path in folder.iterdir()} == {"design.toml", "brief.toml"}
        assert (folder / "design.toml").read_text(encoding="utf-8") != "mine"  # it was on its way, and is whole
    assert signal.getsignal(signal.SIGTERM) == signal.SIG_DFL


# Kills and faults.


@pytest.mark.no_cover
@pytest.mark.skipif(sys.platform != "linux", reason="the runs are copies made by fork, each on one core")
def test_neither_kills_nor_faults_leave_a_mix(process: Callable[..., Any]) -> None:
    """FAULTS=200 tries as many kills and as many faults over whole studies, else it is a twentieth over small files."""
    count = os.environ.get("FAULTS")
    size = ("--count", count) if count else ("--count", str(200 // TWENTY), "--light", "--every", "1")
    script = Path(__file__).with_name("faults.py")
    done = process(script, *size, before=(), timeout=600 + 30 * int(count or 0))
    assert done.status == 0, done.out + done.err
    assert done.out.endswith(" 0 wrong\n")
