"""What many designs, ports, parts and options cost: beside formulas written by hand, in memory, and as they grow."""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from by_hand import by_hand
from test_large import checked, large

from scaling.book.entry import Model
from scaling.formulas import book
from scaling.robot.design import Design, load_design

CHUNK = 8000
"""Designs at once."""

MILLION = 1_000_000

WHOLE = ("count", "share", "fraction")
VARIED = ("rotor.width", "rotor.tooth_height", "wheel.friction", "battery.resistance", "rotor.motor.resistance")
"""Keys of the main demo's file that differ from design to design where the file is worked out anew."""


def closed_forms(design: Design) -> list[str]:
    """Names of a design's quantities that rest on no numeric model, at however many removes."""
    models: set[str] = set()
    for name, entry in book.counted(design.traits, design.variables).items():
        if isinstance(entry.formula, Model) or models.intersection(entry.inputs):
            models.add(name)
    return [name for name in book.counted(design.traits, design.variables) if name not in models]


def chunks(design: Design, count: int) -> Iterator[dict[str, Any]]:
    """Give so many chunks of designs about one, every number of which differs."""
    random = np.random.default_rng(3)
    whole = {key for key, variable in book.variables.items() if variable.allowed in WHOLE}
    for _ in range(count):
        yield {
            key: np.full(CHUNK, value) if key in whole else value * random.lognormal(0, 0.03, CHUNK)
            for key, value in design.variables.items()
        }


def beside_hand(path: Path, designs: int = MILLION) -> tuple[float, float, int]:
    """Processor seconds a formula of that many designs, by the book and by hand, and how many the book worked out."""
    design = load_design(path)
    names = closed_forms(design)
    taken: dict[str, list[float]] = {"book": [], "hand": []}
    for given in chunks(design, designs // CHUNK):
        for name, run in (("book", lambda rows: book.evaluate(rows, design.traits, names)), ("hand", by_hand)):
            start = time.process_time()
            count = len(run(given))
            taken[name].append((time.process_time() - start) / count)
    own, hand = (designs / CHUNK * statistics.median(each) for each in taken.values())
    return own, hand, len(names)


PEAK = """
import resource, sys
import numpy as np
import scaling as sc
path, count, keys, names = sys.argv[1], int(sys.argv[2]), sys.argv[3].split(), sys.argv[4].split()
robot, random = sc.Design.load(path), np.random.default_rng(5)
rows = {key: float(robot[key]) * random.lognormal(0, 0.02, count) for key in keys}
seen = sum(len(part) for part in sc.evaluate_chunks(robot, rows, names))
assert seen == count
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1 << 20 if sys.platform == "darwin" else 1 << 10))
"""


def peak_memory(path: Path, designs: int = MILLION) -> float:
    """Most megabytes that a process holds while it works out all closed forms of so many designs, chunk by chunk."""
    words = [str(path), str(designs), " ".join(VARIED), " ".join(closed_forms(load_design(path)))]
    found = subprocess.run([sys.executable, "-c", PEAK, *words], check=True, capture_output=True, text=True)
    return float(found.stdout)


def growth(steps: dict[int, Callable[[], object]]) -> tuple[float, float, dict[int, float]]:
    """The power of the count that the time follows, by least squares over the upper half of ``steps`` in logarithms,
    and the worst share by which a straight line misses a time; the times too."""
    taken: dict[int, float] = {}
    for count, step in steps.items():
        start = time.process_time()
        step()
        taken[count] = time.process_time() - start
    counts, times = np.asarray(list(taken)), np.asarray(list(taken.values()))
    upper = slice(len(counts) // 2 - 1, None)
    power = float(np.polyfit(np.log(counts[upper]), np.log(times[upper]), 1)[0])
    line = np.polyfit(counts, times, 1, w=1 / times)
    return power, float(np.abs(np.polyval(line, counts) / times - 1).max()), taken


def in_designs(path: Path) -> dict[int, Callable[[], object]]:
    """Every quantity of more and more designs, models too."""
    import scaling as sc

    robot, random = sc.Design.load(path), np.random.default_rng(7)

    def run(count: int) -> int:
        rows = {key: float(robot[key]) * random.lognormal(0, 0.02, count) for key in VARIED}
        return sum(len(part) for part in sc.evaluate_chunks(robot, rows))

    run(CHUNK)
    return {count: lambda count=count: run(count) for count in (8000, 24_000, 72_000, 216_000)}


def in_ports(brief: Path) -> dict[int, Callable[[], object]]:
    """Studies of 1 to 32 ports."""
    from scaling.port.brief import load_brief
    from scaling.study.run import run_study

    asked = load_brief(brief)
    design = load_design(asked.design_file)
    first = asked.requests[:1]
    return {count: lambda count=count: run_study(design, replace(asked, requests=first * count))
            for count in (1, 2, 4, 8, 16, 32)}  # fmt: skip


def in_parts(folder: Path, home: Path) -> dict[int, Callable[[], object]]:
    """Checks of designs with 10 to 5000 more parts."""
    made = {count: large(folder, count, home / str(count)) for count in (10, 50, 250, 1250, 5000)}
    return {count: lambda path=path: checked(path) for count, path in made.items()}


def in_options(brief: Path) -> dict[int, Callable[[], object]]:
    """Rankings of a thousand to a million combinations, each tried by two laws."""
    from scaling.decide.option_judge import judge_of
    from scaling.decide.options import rank_options, space_of
    from scaling.port.brief import load_brief

    asked = load_brief(brief)
    design = load_design(asked.design_file)
    space = space_of(asked, design)
    space = replace(space, rotor_motors=space.rotor_motors[:1], drive_motors=space.drive_motors[:1],
                    cells=space.cells[:1], materials={})  # fmt: skip

    def run(side: int) -> object:
        ratios = {"rotor_ratios": np.linspace(1, 2, side), "drive_ratios": np.linspace(15, 30, side)}
        tried = replace(space, **{axis: tuple(map(float, values)) for axis, values in ratios.items()})
        return rank_options(design, asked, tried, 12, None, judge_of(design, asked))

    return {side**2: lambda side=side: run(side) for side in (32, 100, 316, 1000)}


def print_growth(brief: Path) -> None:
    """Print how each cost grows: the power, how far off a straight line is, and the seconds."""
    design = brief.with_name("design.toml")
    home = Path(tempfile.mkdtemp())
    try:
        for what, steps in (
            ("designs", in_designs(design)),
            ("ports", in_ports(brief)),
            ("parts", in_parts(brief.parent, home)),
            ("options", in_options(brief)),
        ):
            power, off, taken = growth(steps)
            told = ", ".join(f"{count:,}: {seconds:.3g}" for count, seconds in taken.items())
            words = f"power of {what}; a line is {100 * off:.0f} % off at most; s: {told}"
            print(f"{what:<10} {1.0:6.1f} {power:6.2f}   {words}")
    finally:
        shutil.rmtree(home)
