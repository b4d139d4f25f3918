"""Work in a second process: the same result, errors and Ctrl-C as in one, and nothing that is left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from functools import partial
from pathlib import Path

import pytest

from scaling.files import spare
from scaling.files.errors import InputError

ROOT = Path(__file__).parent.parent

needs_two = pytest.mark.skipif(sys.platform != "linux", reason="a process is copied on Linux only")


@pytest.fixture
def two(monkeypatch) -> None:
    """A core to spare, whatever the tests run on."""
    monkeypatch.setattr(spare, "can", lambda: True)


def children() -> list[str]:
    """Processes of which this one is the parent, ended ones that nobody asked about included: proc(5), field 4."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if fields[1] == str(os.getpid()):
            found.append(stat.parent.name)
    return found


@pytest.mark.usefixtures("two")
@needs_two
def test_work_is_done_in_another_process_and_its_result_comes_back() -> None:
    before, told = children(), []

    def work(tell):
        tell("one")
        tell("two")
        return os.getpid(), "x" * 1_000_000

    with spare.begun([work, work], told.append, worth=3) as ended:
        (found, long), again = ended()
    assert found == again[0] != os.getpid()
    assert len(long) == 1_000_000, "more than a pipe holds"
    assert told == ["one", "two"] * 2
    assert children() == before


@pytest.mark.usefixtures("two")
@needs_two
def test_who_waits_helps_and_each_job_is_done_once(tmp_path) -> None:
    """The second process is held up in its first job until this one has done a job as well."""
    jobs = 20

    def job(place: int, tell) -> tuple[int, int]:
        with (tmp_path / str(place)).open("x"):
            pass
        deadline = time.monotonic() + 30
        while place == 0 and len(list(tmp_path.iterdir())) < 2 and time.monotonic() < deadline:
            time.sleep(0.001)
        return place, os.getpid()

    with spare.begun([partial(job, place) for place in range(jobs)]) as ended:
        while not (tmp_path / "0").exists():
            time.sleep(0.001)
        found = ended()
    assert [place for place, _ in found] == list(range(jobs))
    assert len({process for _, process in found}) == 2
    assert found[0][1] != os.getpid()


@pytest.mark.usefixtures("two")
@needs_two
def test_who_found_it_worth_while_to_help_helps_to_the_end(tmp_path) -> None:
    """The second process is held up in its first job until all others are done, which needs one who does not stop."""
    jobs = 6

    def job(place: int, tell) -> int:
        with (tmp_path / str(place)).open("x"):
            pass
        deadline = time.monotonic() + 30
        while place == 0 and len(list(tmp_path.iterdir())) < jobs and time.monotonic() < deadline:
            time.sleep(0.001)
        return os.getpid()

    with spare.begun([partial(job, place) for place in range(jobs)], worth=4) as ended:
        while not (tmp_path / "0").exists():
            time.sleep(0.001)
        found = ended()
    assert found[0] != os.getpid()
    assert found[1:] == [os.getpid()] * (jobs - 1)


@pytest.mark.usefixtures("two")
@needs_two
@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), InputError("this is wrong", "a.toml", "b")])
def test_an_error_is_the_one_that_was_raised_and_tells_where(error: Exception) -> None:
    def work(tell):
        raise error

    with pytest.raises(type(error)) as caught, spare.begun([work], worth=2) as ended:
        ended()
    assert str(caught.value) == str(error)
    assert vars(caught.value).items() >= vars(error).items()
    assert "in work" in caught.value.__notes__[0]


@pytest.mark.usefixtures("two")
@needs_two
def test_an_error_that_cannot_be_handed_on_says_the_same() -> None:
    class OddError(Exception):
        def __init__(self, one, two) -> None:
            super().__init__(f"{one} and {two}")

    def work(tell):
        raise OddError("this", "that")

    with pytest.raises(RuntimeError, match="OddError: this and that"), spare.begun([work], worth=2) as ended:
        ended()


@pytest.mark.usefixtures("two")
@needs_two
@pytest.mark.parametrize(("sent", "raised"), [(signal.SIGINT, KeyboardInterrupt), (signal.SIGKILL, RuntimeError)])
def test_a_process_that_is_ended_is_told(sent: signal.Signals, raised: type[BaseException]) -> None:
    before = children()

    def work(tell):
        os.kill(os.getpid(), sent)
        time.sleep(60)

    with pytest.raises(raised), spare.begun([work], worth=2) as ended:
        ended()
    assert children() == before


@pytest.mark.usefixtures("two")
@needs_two
def test_work_that_nobody_waits_for_is_ended(tmp_path) -> None:
    before, start = children(), time.monotonic()

    def work(tell):
        time.sleep(60)
        (tmp_path / "late").touch()

    with pytest.raises(KeyboardInterrupt), spare.begun([work]):
        raise KeyboardInterrupt
    assert time.monotonic() - start < 30
    assert children() == before
    assert list(tmp_path.iterdir()) == []


def test_on_one_core_work_is_done_in_this_process_when_it_is_asked_for(monkeypatch) -> None:
    monkeypatch.setattr(spare, "can", lambda: False)
    told: list[str] = []

    def work(tell):
        tell("at work")
        return os.getpid()

    with spare.begun([work], told.append) as ended:
        assert told == []
        assert ended() == [os.getpid()]
    assert told == ["at work"]


@needs_two
def test_one_core_and_another_thread_leave_no_process_to_spare(monkeypatch) -> None:
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    assert spare.can()
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0})
    assert not spare.can()
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    monkeypatch.setattr(threading, "active_count", lambda: 2)
    assert not spare.can()


WRITE = """
import sys
from dataclasses import replace
from pathlib import Path
from scaling.files import spare
from scaling.decide.whole import whole_study
from scaling.port.brief import load_both
from scaling.show.output import write_study
design, brief = load_both(Path(sys.argv[1]))
found = whole_study(design, replace(brief, requests=brief.requests[:2]))
for can in (True, False):
    spare.can = lambda: can
    told = []
    write_study(found, Path(sys.argv[2]) / str(can), False, told.append)
    assert "drift.png" in told and told[-1] == "", told
    assert told.count("drift.png") == told.count("report") == 1
"""


@needs_two
def test_a_study_is_written_the_same_with_and_without_a_second_process(main_folder: Path, tmp_path: Path) -> None:
    subprocess.run([sys.executable, "-c", WRITE, str(main_folder / "brief.toml"), str(tmp_path)], check=True, cwd=ROOT)
    both, alone = tmp_path / "True", tmp_path / "False"
    names = sorted(path.relative_to(both) for path in both.rglob("*"))
    assert names == sorted(path.relative_to(alone) for path in alone.rglob("*"))
    assert Path("figures/drift.png") in names
    for name in names:
        assert (both / name).is_dir() or (both / name).read_bytes() == (alone / name).read_bytes(), name
