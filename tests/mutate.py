"""Do the checks of the quantities notice a fault? Multiply one quantity by 1.07 and its module of checks must fail.

    python tests/mutate.py                     every quantity of every module's CHECKS
    python tests/mutate.py --sample 40 --seed 3
    python tests/mutate.py belt_span hit_force

Each mutant is a process of its own, forked from one that has imported everything: the entries of that name in the book
are replaced there, so that whatever reads the book reads the wrong number, and the tests of that one module run until
the first that fails, those first that speak of the quantity. A check that never asks the book for its quantity lets the
mutant live, and so does one that compares the quantity with itself. Exit status 1 where one lives.
"""

from __future__ import annotations

import argparse
import inspect
import os
import random
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest
import sympy
from unchecked import TESTS, checks_of

from scaling.book.entry import Model
from scaling.formulas import book

FAULT = 1.07
PROFILE = "mutate"


@dataclass(frozen=True)
class Mutant:
    """A quantity that is to be wrong, and the module that says it checks it."""

    module: Path
    name: str

    def __str__(self) -> str:
        return f"{self.module.relative_to(TESTS.parent)} does not notice {self.name}"


def mutants(names: Sequence[str] = ()) -> list[Mutant]:
    """Every quantity of every module's CHECKS, or those of these names."""
    found = [Mutant(path, name) for path, listed in checks_of().items() for name in listed]
    return [mutant for mutant in found if not names or mutant.name in names]


def spoil(name: str) -> None:
    """Multiply what the book gives for ``name`` by FAULT, in this process, whoever has the book already."""
    for entry in book.entries:
        if entry.name != name:
            continue
        formula = entry.formula
        if isinstance(formula, Model):
            wrong: Model | sympy.Expr = Model(_wrong_output(formula), formula.inputs, formula.output)
        else:
            wrong = sympy.Mul(sympy.Float(FAULT), formula, evaluate=False)
        inputs = entry.inputs  # in their old order, whatever SymPy makes of the product
        vars(entry).pop("numeric", None)
        object.__setattr__(entry, "formula", wrong)
        assert entry.inputs == inputs  # noqa: S101


def _wrong_output(model: Model) -> object:
    def function(*arguments: object) -> dict[str, object]:
        results = dict(model.function(*arguments))
        results[model.output] = FAULT * results[model.output]
        return results

    return function


class NamedFirst:
    """Runs first the tests whose module's functions speak of the quantity: they are the likeliest to fail."""

    def __init__(self, name: str) -> None:
        self.name = name

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Put the tests that name the quantity before the others, and keep the order otherwise."""
        items.sort(key=lambda item: self.name not in inspect.getsource(item.function))  # type: ignore[attr-defined]


def lives(mutant: Mutant) -> bool:
    """Run the module's tests with the quantity spoilt; for a process of its own."""
    spoil(mutant.name)
    status = pytest.main(
        ["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--tb=no", str(mutant.module)], [NamedFirst(mutant.name)]
    )
    if status not in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED):
        raise SystemExit(3)
    return status == pytest.ExitCode.OK


def run(waiting: list[Mutant], processes: int) -> Iterator[tuple[Mutant, int, float]]:
    """Each mutant with the exit status of its process (0: noticed, 1: lives, others: broken) and its seconds."""
    running: dict[int, tuple[Mutant, float]] = {}
    waiting = list(reversed(waiting))
    while waiting or running:
        while waiting and len(running) < processes:
            mutant, start = waiting.pop(), time.perf_counter()
            child = os.fork()
            if child == 0:
                _child(mutant)
            running[child] = (mutant, start)
        child, status = os.wait()
        mutant, start = running.pop(child)
        yield mutant, os.waitstatus_to_exitcode(status), time.perf_counter() - start


def _child(mutant: Mutant) -> None:
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    status = 3
    try:
        status = int(lives(mutant))
    finally:
        os._exit(status)


def prepare() -> None:
    """Import here, once, what the tests import, so that a forked process has it."""
    import hypothesis

    phases = (hypothesis.Phase.explicit, hypothesis.Phase.generate)  # that it fails is enough; no smaller case is sought
    hypothesis.settings.register_profile(PROFILE, deadline=None, derandomize=True, phases=phases, database=None)
    os.environ["HYPOTHESIS_PROFILE"] = PROFILE
    import mujoco  # noqa: F401
    import scipy.integrate
    import scipy.optimize  # noqa: F401
    import skfem  # noqa: F401
    import trimesh  # noqa: F401

    import scaling.study.run  # noqa: F401


def main() -> int:
    """Spoil what is asked for and print what nobody noticed."""
    parser = argparse.ArgumentParser(description="Multiply quantities by 1.07; their modules of checks must fail.")
    parser.add_argument("names", nargs="*", metavar="NAME", help="only these quantities")
    parser.add_argument("--all", action="store_true", help="every one (so also without names and --sample)")
    parser.add_argument("--sample", type=int, help="only so many, drawn with --seed")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--slow", action="store_true", help="print the slowest too")
    asked = parser.parse_args()
    chosen = mutants(asked.names)
    unknown = set(asked.names) - {mutant.name for mutant in chosen}
    if unknown:
        parser.error(f"no module checks {', '.join(sorted(unknown))}")
    if asked.sample is not None and not asked.all:
        chosen = random.Random(asked.seed).sample(chosen, min(asked.sample, len(chosen)))  # noqa: S311
    start = time.perf_counter()
    prepare()
    living, broken, times = [], [], []
    for mutant, status, seconds in run(chosen, asked.processes):
        times.append((seconds, mutant))
        if status == 1:
            living.append(mutant)
        elif status:
            broken.append(mutant)
    for mutant in living:
        print(mutant)
    for mutant in broken:
        print(f"{mutant.module.name} could not be run with {mutant.name} spoilt")
    if asked.slow:
        for seconds, mutant in sorted(times, key=lambda pair: -pair[0])[:20]:
            print(f"{seconds:6.1f} s {mutant.module.name} {mutant.name}")
    print(f"{len(chosen)} spoilt quantities, {len(living)} not noticed, {time.perf_counter() - start:.0f} s")
    return int(bool(living or broken))


if __name__ == "__main__":
    sys.exit(main())
