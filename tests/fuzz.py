"""Spoilt files by the thousand: what a stranger's file may do to the command, and what it must never do.

    python tests/fuzz.py --count 20000 --jobs 2
    python tests/fuzz.py --only mesh --count 500 --seed 7
    python tests/fuzz.py --number 1234

An input follows from the seed and its number alone. The command must end with status 0 or 2 within five seconds of
processor time, with whole and finite JSON, with short sentences where it refuses, and with nothing written where it
fails. What breaks that is kept in a folder, with a script that shows it again.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import math
import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from fuzz_inputs import KINDS, Files, Input, made  # noqa: E402

from scaling.command.cli import main  # noqa: E402

SEED = 20260711
LIMIT = 5.0
"""Seconds of processor time that an input may take; LONGEST is by the clock, for what waits takes no processor."""
LONGEST = 60.0
LONGEST_LINE = 300
A_BATCH = 250
"""Inputs of one process, so that what is remembered of files does not fill the memory."""
MEMORY = 3 << 30
"""Bytes that the process of a batch may take."""

NO_NUMBER = re.compile(r"(?<![\w.'-])[-+]?(nan|inf|infinity)(?![\w'])", re.IGNORECASE)
NAMED = re.compile(rb"(nan|inf)[^\n]*\"?\s*$", re.IGNORECASE | re.MULTILINE)


class TookTooLong(BaseException):
    """The command was stopped; nothing but the fuzzer catches this."""


@dataclass(frozen=True)
class Outcome:
    """How a run ended, what it printed, what of its folder changed, and the seconds of processor time it took."""

    status: int | None
    out: str
    err: str
    written: tuple[str, ...]
    seconds: float
    where: str = ""


@contextlib.contextmanager
def watched() -> Iterator[None]:
    """Stop what is within after LIMIT seconds of processor time or LONGEST by the clock."""

    def stop(number: int, frame: object) -> None:
        raise TookTooLong(signal.Signals(number).name)

    before = {each: signal.signal(each, stop) for each in (signal.SIGPROF, signal.SIGALRM)}
    signal.setitimer(signal.ITIMER_PROF, LIMIT)
    signal.setitimer(signal.ITIMER_REAL, LONGEST)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.setitimer(signal.ITIMER_REAL, 0)
        for each, handler in before.items():
            signal.signal(each, handler)


def _contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def _within(folder: Path, arguments: tuple[str, ...], files: Files) -> list[str]:
    """The arguments with the paths of the folder's files: relative ones would be remembered from input to input."""
    return [str(folder / each) if each in files or each.startswith("OUT") else each for each in arguments]


def run(given: Input, folder: Path) -> Outcome:
    """Write the input's files into ``folder`` and run the command on them in this process."""
    for name, data in given.files.items():
        (folder / name).write_bytes(data)
    out, err, argv, where = io.StringIO(), io.StringIO(), sys.argv, ""
    sys.argv = ["scaling", *_within(folder, given.arguments, given.files)]
    start = time.process_time()
    status: int | None = 0
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), watched():
            main()
    except SystemExit as end:
        status = 0 if end.code is None else int(str(end.code))
    except TookTooLong as stopped:
        status, where = None, _place(stopped)
    except BaseException as error:
        traceback.print_exception(error, file=err)
        status, where = 1, _place(error)
    finally:
        sys.argv = argv
    seconds = time.process_time() - start
    after = _contents(folder)
    return Outcome(
        status,
        out.getvalue(),
        err.getvalue(),
        tuple(name for name in after if after[name] != given.files.get(name))
        + tuple(name for name in given.files if name not in after),
        seconds,
        where,
    )


def _place(error: BaseException) -> str:
    """Where in the package an error arose, and by what else."""
    frames = [frame for frame in traceback.extract_tb(error.__traceback__) if frame.filename != __file__]
    ours = [frame for frame in frames if f"{os.sep}scaling{os.sep}" in frame.filename]
    last = f"{frames[-1].filename.rpartition('/')[2]}:{frames[-1].lineno}" if frames else ""
    if not ours:
        return last
    return f"{ours[-1].filename.partition(f'{os.sep}scaling{os.sep}')[2]}:{ours[-1].lineno} {last}"


def faults(given: Input, outcome: Outcome) -> list[str]:
    """Return what is wrong with how a run ended, each a sentence; nothing where it may end so."""
    if outcome.status is None:
        return [f"no end within {LIMIT:g} s: {outcome.where}"]
    found = []
    if outcome.status not in (0, 2):
        found.append(f"status {outcome.status}: {outcome.err.strip()[-200:]}")
    if outcome.seconds > LIMIT:
        found.append(f"it took {outcome.seconds:.1f} s")
    found += [f"standard error: {line[:120]!r}" for line in outcome.err.splitlines() if _is_no_sentence(line)]
    if "Traceback" in outcome.err + outcome.out:
        found.append("a traceback")
    if outcome.status == 2 and not outcome.err:
        found.append("refused without a word")
    if outcome.status == 2 and outcome.out:
        found.append(f"refused and printed: {outcome.out[:80]!r}")
    asked = outcome.status == 0 and "-o" in given.arguments
    if outcome.written and not (asked and all(name.startswith("OUT") for name in outcome.written)):
        found.append(f"written: {', '.join(outcome.written)}")
    if outcome.status == 0 and "--json" in given.arguments:
        found += _faults_of_json(outcome.out)
    elif (word := NO_NUMBER.search(outcome.out)) and not any(map(NAMED.search, given.files.values())):
        found.append(f"printed {word[0]}")
    return found


def _is_no_sentence(line: str) -> bool:
    return not line.startswith("scaling: ") or line[-1] not in ".?" or len(line) > LONGEST_LINE


def _faults_of_json(text: str) -> list[str]:
    def refuse(word: str) -> float:
        raise ValueError(f"{word} is no number of JSON")

    def finite(word: str) -> float:
        return float(word) if math.isfinite(float(word)) else refuse(word)

    try:
        json.loads(text, parse_constant=refuse, parse_float=finite)
    except ValueError as error:
        return [f"standard output is no JSON: {error}"]
    return []


def tried(seed: int, number: int, only: str | None = None, verb: str | None = None) -> tuple[Input, Outcome, list[str]]:
    """Make input ``number``, run it in a folder of its own and return it, its outcome and its faults."""
    given = made(seed, number, only, verb)
    with tempfile.TemporaryDirectory(prefix="fuzz") as folder:
        outcome = run(given, Path(folder))
    return given, outcome, faults(given, outcome)


def _traced(given: Input) -> str:
    """The last lines of the traceback that the command shows where it is asked to."""
    with tempfile.TemporaryDirectory(prefix="fuzz") as folder:
        os.environ["SCALING_TRACEBACK"] = "1"
        try:
            outcome = run(given, Path(folder))
        finally:
            del os.environ["SCALING_TRACEBACK"]
    return outcome.where


def keep(given: Input, outcome: Outcome, said: list[str], folder: Path, again: str) -> None:
    """Keep the input with what came of it and a script that shows it again."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for name, data in given.files.items():
        (folder / name).write_bytes(data)
    command = f"cd {shlex.quote(str(folder))} && PYTHONPATH={shlex.quote(str(ROOT))} SCALING_TRACEBACK=1 "
    command += f"{shlex.quote(sys.executable)} -m scaling {shlex.join(given.arguments)}\n"
    (folder / "again.sh").write_text(f"# {again}\n{command}", encoding="utf-8")
    told = [*said, "", f"changes: {', '.join(given.changes)}", f"status {outcome.status}", outcome.err[-5000:]]
    (folder / "outcome.txt").write_text("\n".join(told), encoding="utf-8", errors="backslashreplace")


def batch(asked: argparse.Namespace) -> int:
    """Run a batch of inputs in this process, a line of JSON each; the clock stops what no signal does."""
    import faulthandler
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    warnings.simplefilter("always")
    for number in range(asked.number, asked.number + asked.count):
        print(json.dumps({"number": number}), flush=True)
        faulthandler.dump_traceback_later(2 * LONGEST, exit=True)
        given, outcome, found = tried(asked.seed, number, asked.only, asked.verb)
        where = outcome.where
        if found:
            where = where or (_traced(given) if outcome.status == 1 else "")
            again = f"python tests/fuzz.py{_flags(asked)} --number {number}"
            keep(given, outcome, [f"{each} ({where})" for each in found], asked.keep / f"{given.kind}-{number}", again)
        row = {"number": number, "kind": given.kind, "verb": given.arguments[0], "status": outcome.status,
               "seconds": round(outcome.seconds, 3), "faults": found, "where": where}  # fmt: skip
        print(json.dumps(row), flush=True)
    faulthandler.cancel_dump_traceback_later()
    return 0


def _flags(asked: argparse.Namespace) -> str:
    flags = f" --seed {asked.seed}"
    return flags + "".join(f" --{name} {value}" for name in ("only", "verb") if (value := getattr(asked, name)))


def batches(asked: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Run all the batches, ``jobs`` at once; a process that dies is a fault of the input that it was at."""
    end = asked.number + asked.count
    waiting = [(start, min(start + A_BATCH, end)) for start in range(asked.number, end, A_BATCH)]
    running: list[tuple[subprocess.Popen[str], int, int]] = []
    while waiting or running:
        while waiting and len(running) < asked.jobs:
            start, end = waiting.pop(0)
            command = [sys.executable, __file__, "--batch", *_flags(asked).split(), "--number", str(start)]
            command += ["--count", str(end - start), "--keep", str(asked.keep)]
            running.append((subprocess.Popen(command, stdout=subprocess.PIPE, text=True), start, end))
        process, start, end = running.pop(0)
        assert process.stdout is not None
        rows = [json.loads(line) for line in process.stdout]
        yield from (row for row in rows if "kind" in row)
        if process.wait() != 0:
            last = rows[-1]["number"] if rows else start
            yield {"number": last, "kind": "?", "verb": "?", "status": None, "seconds": 0.0, "where": "",
                   "faults": [f"the process died with status {process.returncode}"]}  # fmt: skip
            waiting[:0] = [(last + 1, end)] if last + 1 < end else []


def report(asked: argparse.Namespace) -> int:
    """Run what was asked for and tell what came out; 1 where anything was wrong."""
    ended: Counter[str] = Counter()
    kinds: Counter[str] = Counter()
    wrong: dict[str, list[int]] = {}
    longest = (0.0, 0)
    start = time.monotonic()
    for row in batches(asked):
        ended[f"status {row['status']}"] += 1
        kinds[row["kind"]] += 1
        longest = max(longest, (row["seconds"], row["number"]))
        for fault in row["faults"]:
            said = re.sub(r"/\S*/fuzz\w*/", "", re.sub(r"\d+\.\d+ s", "long", fault))
            wrong.setdefault(f"{row['verb']} {row['where']} {said[:150]}", []).append(row["number"])
            print(f"{row['number']} {row['kind']} {row['verb']} {row['where']}: {said}", flush=True)
    print(f"\n{sum(ended.values())} inputs of seed {asked.seed} in {time.monotonic() - start:.0f} s:", dict(ended))
    print("by kind:", dict(kinds))
    print(f"longest {longest[0]:.2f} s of processor time, number {longest[1]}")
    for fault, numbers in sorted(wrong.items(), key=lambda each: -len(each[1])):
        print(f"{len(numbers)} x {fault}: {numbers[:5]}")
    print(f"{sum(map(len, wrong.values()))} faults" + (f", kept in {asked.keep}" if wrong else ""))
    return 1 if wrong else 0


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Spoil files by the thousand and see that the command bears it.")
    parser.add_argument("--count", type=int, help="how many inputs (default 300, or the one that --number names)")
    parser.add_argument("--number", type=int, help="the first one")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--only", choices=KINDS, help="one kind of file")
    parser.add_argument("--verb", help="one verb, for the kinds that it reads")
    parser.add_argument("--jobs", type=int, default=1, help="processes at once")
    parser.add_argument("--keep", type=Path, default=Path(tempfile.gettempdir()) / "fuzz_faults", help="for what fails")
    parser.add_argument("--batch", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    asked.count = asked.count or (300 if asked.number is None else 1)
    asked.number = asked.number or 0
    return asked


if __name__ == "__main__":
    wanted = _asked()
    sys.exit(batch(wanted) if wanted.batch else report(wanted))
