"""How long the command takes beside the bare imports that a run needs, and a design beside a second.

    python tests/benchmark.py [--rounds 7] [--only check] [--profile check]

Each round runs every command once, one after the other, so that a machine that is slow for a while is slow for all of
them; the figures are medians over the rounds, and a ratio is one of medians. ``--profile`` prints where a run of one
verb spends its time, by stage and on one core. Run it on an idle machine.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent
DEMO = ROOT / "demo_designs" / "tarvindle"
DESIGN, BRIEF = str(DEMO / "design.toml"), str(DEMO / "brief.toml")
A_FIGURE = 0.12
"""Seconds that one figure file may take."""

OTHERS = ["book", "million", "memory", "growth"]
"""Figures that are no command's."""

CHUNK, CHUNKS = 8000, 5
"""Designs at once, and how often, where the whole book is read."""


@dataclass(frozen=True)
class Row:
    """A command beside imports: its arguments, what it is compared with, and the ratio that it should keep to."""

    name: str
    arguments: Sequence[str]
    imports: str
    goal: float


NUMBERS = "import typer, numpy"
FILES = f"{NUMBERS}, jinja2; from matplotlib import figure; from matplotlib.backends import backend_agg, backend_svg"
ROWS = (
    Row("help", ["--help"], "import typer", 1.3),
    Row("check", ["check", DESIGN], NUMBERS, 3.0),
    Row("study", ["study", BRIEF], NUMBERS, 15.0),
    Row("options", ["options", BRIEF], NUMBERS, 6.0),
    Row("window", ["window", BRIEF], NUMBERS, 6.0),
    Row("files", ["study", BRIEF, "--force", "-o"], FILES, 2.0),
)


class Clock:
    """Runs Python with its own cache of compiled modules, whatever the shell says of writing them."""

    def __init__(self, folder: Path) -> None:
        own = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        paths = [str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]
        self.out = folder / "out"
        self.env = own | {"PYTHONPYCACHEPREFIX": str(folder / "compiled"), "PYTHONPATH": os.pathsep.join(paths)}

    def seconds(self, *arguments: str) -> float:
        """Wall time of one run of the interpreter."""
        start = time.perf_counter()
        subprocess.run([sys.executable, *arguments], check=True, cwd=ROOT, env=self.env, stdout=subprocess.DEVNULL)
        return time.perf_counter() - start

    def of(self, row: Row) -> Callable[[], float]:
        """A run of a row's command."""
        last = [str(self.out)] if row.arguments[-1] == "-o" else []
        return lambda: self.seconds("-m", "scaling", *row.arguments, *last)


def main() -> None:
    """Print each figure, what it should be, and the seconds behind it."""
    parser = argparse.ArgumentParser(description="Time the command beside its imports, and the book beside a second.")
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--only", action="append", choices=[row.name for row in ROWS] + OTHERS)
    parser.add_argument("--profile", choices=[row.name for row in ROWS])
    asked = parser.parse_args()
    rows = [row for row in ROWS if not asked.only or row.name in asked.only]
    with tempfile.TemporaryDirectory() as folder:
        clock = Clock(Path(folder))
        if asked.profile:
            print(profile(clock, next(row for row in ROWS if row.name == asked.profile)))
            return
        taken = interleaved(clock, rows, asked.rounds)
        files = len([each for each in (clock.out / "figures").glob("*") if each.suffix in (".png", ".svg")])
    print(f"{'figure':<10} {'goal':>6} {'found':>6}   seconds, and of the imports beside it")
    for row in rows:
        own, bare = (statistics.median(taken[name]) for name in (row.name, row.imports))
        less = A_FIGURE * files if row.name == "files" else 0.0
        said = f" less {less:.2f} for {files} figure files" if less else ""
        print(f"{row.name:<10} {row.goal:6.1f} {(own - less) / bare:6.1f}   {own:.3f}{said}, {bare:.3f}: {row.imports}")
    if not asked.only or "book" in asked.only:
        words = f"microseconds a design in chunks of {CHUNK}, models too"
        print(f"{'book':<10} {30.0:6.1f} {microseconds():6.1f}   {words}")
    sys.path.insert(0, str(ROOT))
    if not asked.only or "million" in asked.only:
        from bench_costs import beside_hand

        own, hand, count = beside_hand(Path(DESIGN))
        words = f"one million designs, all {count} closed forms beside 30 by hand, by formula; s: {own:.4f}, {hand:.4f}"
        print(f"{'million':<10} {1.5:6.1f} {own / hand:6.2f}   {words}")
    if not asked.only or "memory" in asked.only:
        from bench_costs import peak_memory

        print(f"{'memory':<10} {1000:6.0f} {peak_memory(Path(DESIGN)):6.0f}   megabytes at most, one million designs")
    if not asked.only or "growth" in asked.only:
        from bench_costs import print_growth

        print_growth(Path(BRIEF))


def interleaved(clock: Clock, rows: Sequence[Row], rounds: int) -> dict[str, list[float]]:
    """Seconds of every round by a row's name or the imports that it is beside; the first round only compiles."""
    runs = {row.name: clock.of(row) for row in rows}
    for imports in {row.imports: None for row in rows}:
        runs[imports] = lambda imports=imports: clock.seconds("-c", imports)
    taken: dict[str, list[float]] = {name: [] for name in runs}
    for _ in range(rounds + 1):
        for name, run in runs.items():
            taken[name].append(run())
    return {name: found[1:] for name, found in taken.items()}


def microseconds() -> float:
    """Processor time for the whole book of one design, in chunks about the main demo, in millionths of a second."""
    sys.path.insert(0, str(ROOT))
    import numpy as np

    from scaling.formulas import book
    from scaling.robot.design import load_design

    design = load_design(Path(DESIGN))
    random = np.random.default_rng(3)
    whole = {key for key, variable in book.variables.items() if variable.allowed in ("count", "share", "fraction")}
    taken = []
    for _ in range(CHUNKS + 1):
        given = {
            key: np.full(CHUNK, value) if key in whole else value * random.lognormal(0, 0.03, CHUNK)
            for key, value in design.variables.items()
        }
        start = time.process_time()
        book.evaluate(given, design.traits)
        taken.append(time.process_time() - start)
    return statistics.median(taken[1:]) / CHUNK * 1e6


STAGES = """
import os, sys, time
if hasattr(os, "sched_setaffinity"):  # on one core nothing is done in a second process, which nobody would watch
    os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
start = before = time.perf_counter()
def lap(name):
    global before
    now = time.perf_counter()
    print(f"{name:<24} {1e3 * (now - before):7.1f} ms", file=sys.stderr)
    before = now
import typer; lap("typer")
import numpy; lap("numpy")
import scaling.command.cli as cli; lap("the verbs")
import scaling.book.book; lap("what a book is")
import scaling.formulas; lap("the formulas")
import scaling.robot.design; lap("the robot's schema")
import scaling.port.brief; lap("the brief's schema")
import cProfile, pstats
watch = cProfile.Profile()
sys.argv = ["scaling", *sys.argv[1:]]
try:
    watch.runcall(cli.main)
except SystemExit:
    pass
lap("the run itself, watched")
pstats.Stats(watch, stream=sys.stderr).sort_stats("cumulative").print_stats("scaling/", 30)
"""


def profile(clock: Clock, row: Row) -> str:
    """Say where a run spends its time: the imports one after the other, and the run by function."""
    command = [sys.executable, "-c", STAGES, *row.arguments, *([str(clock.out)] if row.arguments[-1] == "-o" else [])]
    found = [subprocess.run(command, check=True, cwd=ROOT, env=clock.env, capture_output=True) for _ in range(2)]
    return found[-1].stderr.decode()  # the first one compiles


if __name__ == "__main__":
    main()
