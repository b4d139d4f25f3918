"""Is a study on disk ever a mix, or lost, when a run that replaces it is killed, or meets an error at one of its calls?

    python tests/faults.py --count 200                200 kills and 200 faults of scaling study -o --force, with figures
    python tests/faults.py --count 10 --light --seed 3

Everything is worked out once; each run of the command is a copy of this process, made by fork, that writes a new study
over an old one. A kill comes after a random time, or at a random call. A fault is an error of the system at a random
call, once or from there on, or a signal that ends a run there. Calls are what Python's audit hooks tell of (opening,
renaming, making, listing and removing in the folder, locking), fsync, and every write to a file. ``--light`` fills the
study with small files, ``--every ROUNDS`` tries each call in turn. Exit status 1 where something was a mix, lost or
left behind.
"""

from __future__ import annotations

import argparse
import builtins
import errno
import gc
import io
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scaling.command import cli, study_text
from scaling.decide import whole
from scaling.files.beside import OLD, PART, beside, locked
from scaling.files.errors import InputError
from scaling.files.folder import check_folder, restore
from scaling.files.write import write_text
from scaling.show import output

ROOT = Path(__file__).parent.parent
DEMOS = ROOT / "demo_designs"
ERRORS = ("ENOSPC", "EROFS", "EACCES", "EXDEV", "EISDIR", "EIO", "EDQUOT", "EPERM", "EMFILE")
SIGNALS = {"SIGTERM": 143, "SIGINT": 130, "SIGHUP": 129}
"""Each with the status that a shell tells of what it ended: 128 and its number (common practice, no source)."""

TOLD = {
    "open", "os.rename", "os.mkdir", "os.remove", "os.rmdir", "os.scandir", "os.listdir", "os.chmod", "shutil.rmtree",
}  # fmt: skip
"""Events of Python's table of audit events whose first argument is a path."""

Tree = dict[str, bytes]


@dataclass(frozen=True)
class Blow:
    """What happens to a run: at the call of that number, or after so many seconds."""

    what: str
    call: int | None = None
    seconds: float = 0.0
    lasting: bool = False

    def __str__(self) -> str:
        place = f"after {self.seconds:.3f} s" if self.call is None else f"at call {self.call}"
        return f"{self.what} {place}{' and from there on' if self.lasting else ''}"


class Calls:
    """Counts the calls that a run makes in a folder, and strikes at one of them."""

    def __init__(self, box: Path, blow: Blow | None) -> None:
        self.box, self.blow, self.made = str(box), blow, []  # type: ignore[var-annotated]
        self.opened, self.synced = builtins.open, os.fsync
        sys.addaudithook(self._audited)
        builtins.open = io.open = self._open
        os.fsync = self._fsync

    def step(self, name: str) -> None:
        """Take one more call, and strike if it is the one."""
        self.made.append(name)
        blow = self.blow
        if blow is None or blow.call is None:
            return
        if len(self.made) == blow.call or (blow.lasting and len(self.made) > blow.call):
            if blow.what.startswith("SIG"):
                os.kill(os.getpid(), signal.Signals[blow.what])
            else:
                number = getattr(errno, blow.what)
                raise OSError(number, os.strerror(number))

    def _audited(self, event: str, given: tuple[Any, ...]) -> None:
        if event == "fcntl.flock" or (event in TOLD and given and self._inside(given[0])):
            self.step(f"{event} {given[0]}")

    def _inside(self, path: object) -> bool:
        return isinstance(path, str | os.PathLike) and os.fspath(path).startswith(self.box)

    def _fsync(self, handle: int) -> None:
        self.step("fsync")
        self.synced(handle)

    def _open(self, file: Any, mode: str = "r", buffering: int = -1, encoding: str | None = None,
              errors: str | None = None, newline: str | None = None, *rest: Any, **more: Any) -> Any:  # fmt: skip
        if not self._inside(file) or not set(mode) & set("wxa+"):
            return self.opened(file, mode, buffering, encoding, errors, newline, *rest, **more)
        raw = _Writing(os.fspath(file), mode.replace("b", "").replace("t", ""))
        raw.step = self.step
        buffered = io.BufferedRandom(raw) if "+" in mode else io.BufferedWriter(raw)
        return buffered if "b" in mode else io.TextIOWrapper(buffered, encoding, errors, newline)


class _Writing(io.FileIO):
    """A file whose every write is a call like the others."""

    step: Callable[[str], None]

    def write(self, data: Any) -> int:
        self.step("write")
        return super().write(data)


@dataclass(frozen=True)
class Ended:
    """How a run of the command ended."""

    status: int
    said: str
    seconds: float
    calls: list[str]


class Runs:
    """A folder with the old study, and runs of the command over it."""

    def __init__(self, box: Path, light: bool) -> None:
        self.box, self.out = box / "box", box / "box" / "OUT"
        self.box.mkdir()
        self.log, self.kept, self.count = box / "said", box / "kept", box / "calls"
        self.brief = DEMOS / "plinthling" / "brief.toml"
        if light:
            output._fill = _light  # type: ignore[assignment]
        self.studies = {name: _study(name) for name in ("tarvindle", "plinthling")}
        self.once("tarvindle")
        self.old = tree(self.out)
        shutil.copytree(self.out, self.kept)
        first = self.once("plinthling")
        self.new, self.calls, self.seconds = tree(self.out), first.calls, first.seconds
        assert self.old != self.new

    def reset(self) -> None:
        """Put the old study back, alone."""
        shutil.rmtree(self.box)
        shutil.copytree(self.kept, self.out)

    def once(self, demo: str = "plinthling", blow: Blow | None = None) -> Ended:
        """Run the command in a copy of this process."""
        start = time.perf_counter()
        gc.freeze()  # else looking for cycles copies every page in the child
        child = os.fork()
        if child == 0:
            self._command(demo, blow)
        if blow is not None and blow.call is None:
            time.sleep(blow.seconds)
            os.kill(child, signal.Signals[blow.what])
        _, status = os.waitpid(child, 0)
        if blow is not None and blow.what == "SIGKILL" and blow.call is None:
            self._wait()
        seconds = time.perf_counter() - start
        calls = self.count.read_text(encoding="utf-8").splitlines()
        return Ended(os.waitstatus_to_exitcode(status), self.log.read_text(encoding="utf-8"), seconds, calls)

    def _wait(self) -> None:
        """Wait for what a killed run has left running: it holds the folder's lock until it ends too."""
        end = time.monotonic() + 60
        while time.monotonic() < end:
            try:
                with locked(self.out, self.out, None):
                    return
            except InputError:
                time.sleep(0.02)

    def _command(self, demo: str, blow: Blow | None) -> None:
        status = 99
        for log in (self.log, self.count):
            log.write_bytes(b"")
        try:
            with self.log.open("w", encoding="utf-8") as said, Path(os.devnull).open("w", encoding="utf-8") as unread:
                sys.stdout, sys.stderr = unread, said
                whole.whole_study = lambda *_: self.studies[demo]  # type: ignore[assignment]
                study_text.print_study = lambda *_: None
                sys.argv = ["scaling", "study", str(self.brief), "--force", "-o", str(self.out)]
                if blow is None or blow.call is not None:  # one process alone makes its calls in one order
                    os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
                calls = Calls(self.box, blow)
                try:
                    cli.main()
                    status = 0
                except SystemExit as end:
                    status = int(end.code or 0)
            if blow is None:
                self.count.write_text("\n".join(calls.made), encoding="utf-8")
        finally:
            os._exit(status)


def _study(demo: str) -> Any:
    from scaling.port.brief import load_both

    design, brief = load_both(DEMOS / demo / "brief.toml")
    assert brief is not None
    return whole.whole_study(design, brief)


def _light(study: Any, folder: Path, progress: object) -> None:
    """Fill a study's folder with little, by the same calls."""
    (folder / "tables").mkdir()
    for name in ("study.json", "tables/a.csv", "tables/b.csv"):
        (folder / name).write_text(f"{study.design.name} {name}\n" * 900, encoding="utf-8")
    write_text(folder / "report.html", f"{study.design.name}\n" * 9000)


def tree(folder: Path) -> Tree:
    """Every file under a folder, and every folder, whose name ends in a slash."""
    return {
        str(path.relative_to(folder)) + ("/" if path.is_dir() else ""): b"" if path.is_dir() else path.read_bytes()
        for path in folder.rglob("*")
    }


def after_kill(runs: Runs, ended: Ended, again: bool) -> Iterator[str]:
    """What is wrong on disk after a run was killed, before and after the next one."""
    if runs.out.exists():
        if tree(runs.out) not in (runs.old, runs.new):
            yield "a mix"
    elif not beside(runs.out, OLD).exists() or tree(beside(runs.out, OLD)) != runs.old:
        yield "lost"
    if again:
        restore(runs.out)
        if not runs.out.exists() or tree(runs.out) not in (runs.old, runs.new):
            yield "not put right for a reader"
        check_folder(runs.out, force=True)
        if tree(runs.out) not in (runs.old, runs.new):
            yield "not put right by the next run's first step"
    else:
        next_one = runs.once()
        if next_one.status or tree(runs.out) != runs.new:
            yield f"the next run: {next_one.status} {next_one.said}"
    yield from left(runs)


def after_fault(runs: Runs, ended: Ended, blow: Blow) -> Iterator[str]:
    """What is wrong after a run met an error, or a signal that ends it."""
    wanted = (SIGNALS[blow.what], 0) if blow.what in SIGNALS else (2, 0)
    if ended.status not in wanted:
        yield f"status {ended.status}"
    lines = ended.said.splitlines()
    if ended.status and (len(lines) != 1 or not lines[0].startswith("scaling: ") or not lines[0].endswith(".")):
        yield f"said {ended.said!r}"
    aside = beside(runs.out, OLD)
    if not runs.out.exists() and blow.lasting and aside.name in ended.said:
        if tree(aside) != runs.old:
            yield "lost aside"
        restore(runs.out)
    stands = tree(runs.out) if runs.out.exists() else {}
    good = (runs.old, runs.new) if blow.what in SIGNALS else (runs.old if ended.status else runs.new,)
    if stands not in good:
        yield "a mix, or lost"
    if blow.lasting:  # nothing can be removed any more: what is left has a name that the next run knows
        check_folder(runs.out, force=True)
    yield from left(runs)
    with locked(runs.out, runs.out, None):  # which a second process would hold as long as it lives
        return


def left(runs: Runs) -> Iterator[str]:
    """What stands beside the study."""
    beside_it = sorted(path.name for path in runs.box.iterdir() if path != runs.out)
    if beside_it:
        yield f"left behind {', '.join(beside_it)}"


def outer_calls(runs: Runs) -> list[int]:
    """Numbers of the calls that are not those of the filling."""
    calls = runs.calls
    part = str(beside(runs.out, PART))
    first = next(place for place, call in enumerate(calls) if call == f"os.mkdir {part}")
    last = next(place for place, call in enumerate(calls) if call.endswith("manifest.json"))
    return [*range(1, first + 2), *range(last, len(calls) + 1)]


def drawn_kills(runs: Runs, count: int, chance: random.Random) -> Iterator[Blow]:
    """Kills, half after a random time and half at a random call, of those every other one in the swap."""
    for place in range(count):
        if place % 2:
            yield Blow("SIGKILL", seconds=chance.uniform(0, runs.seconds))
        else:
            yield Blow("SIGKILL", chance.choice(outer_calls(runs) if place % 4 else range(1, len(runs.calls) + 1)))


def drawn_faults(runs: Runs, count: int, chance: random.Random) -> Iterator[Blow]:
    """Errors and signals at random calls, every other one outside the filling, and signals after a random time."""
    for place in range(count):
        what = chance.choice(tuple(SIGNALS) if place % 5 == 0 else ERRORS)
        call = chance.choice(outer_calls(runs) if place % 2 else range(1, len(runs.calls) + 1))
        if place % 10 == 0:
            yield Blow(what, seconds=chance.uniform(0, runs.seconds))
        else:
            yield Blow(what, call, lasting=what not in SIGNALS and chance.random() < 0.25)


def each_call(runs: Runs, rounds: int) -> Iterator[Blow]:
    """Blows at every call in turn: in the first round an error, then one that lasts, a signal, a kill, and again."""
    for turn in range(rounds):
        for call in range(1, len(runs.calls) + 1):
            error, ending = ERRORS[(call + turn) % len(ERRORS)], tuple(SIGNALS)[(call + turn) % len(SIGNALS)]
            yield Blow((error, error, ending, "SIGKILL")[turn % 4], call, lasting=turn % 4 == 1)


def main() -> int:
    """Strike, look, and say what came of it."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--count", type=int, default=200, help="kills, and as many faults")
    asked.add_argument("--seed", type=int, default=12)
    asked.add_argument("--light", action="store_true", help="small files in the study")
    asked.add_argument("--every", type=int, default=0, metavar="ROUNDS", help="rounds of blows at each call as well")
    told = asked.parse_args()
    chance = random.Random(told.seed)  # noqa: S311
    with tempfile.TemporaryDirectory() as folder:
        runs = Runs(Path(folder).resolve(), told.light)
        print(f"a run makes {len(runs.calls)} calls and takes {runs.seconds:.2f} s", flush=True)
        blows = [*drawn_kills(runs, told.count, chance), *drawn_faults(runs, told.count, chance)]
        blows += each_call(runs, told.every)
        return struck(runs, blows)


def struck(runs: Runs, blows: list[Blow]) -> int:
    """Let every blow fall, print what went wrong and how often what came out; returns the exit status."""
    came: Counter[str] = Counter()
    wrong = 0
    for place, blow in enumerate(blows):
        runs.reset()
        ended = runs.once(blow=blow)
        killed = blow.what == "SIGKILL"
        stood = "old aside" if not runs.out.exists() else "new" if tree(runs.out) == runs.new else "old"
        came[f"{'kill' if killed else blow.what}: status {ended.status}, {stood} stood"] += 1
        try:
            found = list(after_kill(runs, ended, bool(place % 3)) if killed else after_fault(runs, ended, blow))
        except (InputError, OSError) as error:
            found = [f"{type(error).__name__}: {error}"]
        for each in found:
            wrong += 1
            name = runs.calls[blow.call - 1] if blow.call is not None and blow.call <= len(runs.calls) else ""
            print(f"{blow} ({name}): {each}; said {ended.said!r}", flush=True)
    for name, times in sorted(came.items()):
        print(f"{times:5d} {name}")
    print(f"{len(blows)} runs, {wrong} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
