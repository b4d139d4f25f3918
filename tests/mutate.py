"""Do the checks notice a fault? Multiply one quantity by 1.07, and the module that claims to check it must fail.

    python tests/mutate.py                     every quantity of every module's CHECKS, as with --all
    python tests/mutate.py --sample 40 --seed 3
    python tests/mutate.py belt_span test_belts.py

Each module's tests are collected once; each mutant is a process forked from there, in which the entries of that name
in the book give a wrong number to whoever asks the book. The tests run until the first that fails, those first that
speak of the quantity. A check that never asks the book for its quantity lets the mutant live, and so does one that
compares the quantity with itself. Where a name has several entries, for different designs, each is spoilt alone too,
as name#0, name#1 ... The tests that failed must pass when nothing is spoilt. Exit status 1 where a mutant lives.
"""

from __future__ import annotations

import argparse
import inspect
import json
import os
import random
import sys
import tempfile
import time
import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from unchecked import checks_of

from scaling import formulas
from scaling.book.entry import Array, Model, Quantity
from scaling.formulas import book

FAULT = 1.07
PROFILE = "mutate"


@dataclass(frozen=True)
class Outcome:
    """What became of a mutant: the first test that failed, None where it lives; nothing spoilt has no name."""

    module: str
    name: str | None
    failed: str | None
    seconds: float


def entries_of(name: str) -> list[Quantity]:
    """The book's entries of a quantity, in their order."""
    return [entry for entry in book.entries if entry.name == name]


def spoil(mutant: str) -> None:
    """Multiply what the book gives for a quantity by FAULT, in this process, whoever has the book already."""
    name, _, place = mutant.partition("#")
    for entry in [entries_of(name)[int(place)]] if place else entries_of(name):
        inputs, formula = entry.inputs, entry.formula
        wrong = _wrong(formula) if isinstance(formula, Model) else FAULT * formula
        vars(entry).pop("numeric", None)  # what the entry worked out from its formula before
        object.__setattr__(entry, "formula", wrong)
        assert entry.inputs == inputs


def _wrong(model: Model) -> Model:
    def function(*arguments: Array) -> Mapping[str, Array]:
        results = model.function(*arguments)
        return {**results, model.output: FAULT * results[model.output]}

    return Model(function, model.inputs, model.output)


@dataclass
class Spoiler:
    """A pytest plugin that runs the collected tests once for each mutant, each time in a process of its own."""

    module: Path
    names: Sequence[str]
    results: Path
    failed: str | None = field(default=None, init=False)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Fork a process for each mutant, and one in which nothing is spoilt for the tests that noticed."""
        assert not session.testsfailed, "the module cannot be collected"
        for name in self.names:
            self._fork(name, _named_first(session.items, name))
        noticed = {outcome.failed for outcome in outcomes(self.results) if outcome.module == self.module.name}
        self._fork(None, [item for item in session.items if item.nodeid in noticed])
        return True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Remember the first failure."""
        if report.failed and self.failed is None:
            self.failed = report.nodeid

    def _fork(self, name: str | None, items: list[pytest.Item]) -> None:
        start, child = time.perf_counter(), os.fork()
        if child == 0:
            try:
                self._run(name, items)
                self._write(Outcome(self.module.name, name, self.failed, time.perf_counter() - start))
            finally:
                os._exit(0)
        os.waitpid(child, 0)

    def _run(self, name: str | None, items: list[pytest.Item]) -> None:
        if name is not None:
            spoil(name)
        for item, following in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if self.failed is not None:
                return

    def _write(self, outcome: Outcome) -> None:
        with self.results.open("a", encoding="utf-8") as stream:
            stream.write(json.dumps(vars(outcome)) + "\n")


def _named_first(items: Sequence[pytest.Item], mutant: str) -> list[pytest.Item]:
    name = mutant.partition("#")[0]

    def speaks(item: pytest.Item) -> bool:
        function = getattr(item, "function", None)
        return function is not None and name in inspect.getsource(function)

    return sorted(items, key=lambda item: not speaks(item))


def outcomes(results: Path) -> list[Outcome]:
    """What the processes have written so far."""
    return [Outcome(**json.loads(line)) for line in results.read_text(encoding="utf-8").splitlines()]


def run(chosen: Mapping[Path, Sequence[str]], processes: int) -> list[Outcome]:
    """Every mutant's outcome, ``processes`` modules at a time, those with the most mutants first."""
    with tempfile.TemporaryDirectory() as folder:
        results = Path(folder) / "outcomes"
        results.touch()
        waiting = sorted(chosen.items(), key=lambda pair: len(pair[1]))
        running = 0
        while waiting or running:
            while waiting and running < processes:
                module, names = waiting.pop()
                _detach(lambda module=module, names=names: _run_module(module, names, results))
                running += 1
            os.wait()
            running -= 1
        return outcomes(results)


def _detach(work: Callable[[], object]) -> None:
    if os.fork() == 0:
        silence = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silence, 1)
        os.dup2(silence, 2)
        try:
            work()
        finally:
            os._exit(0)


def _run_module(module: Path, names: Sequence[str], results: Path) -> None:
    options = ["-p", "no:cacheprovider", "-p", "no:xdist", "--tb=no", str(module)]
    pytest.main(options, plugins=[Spoiler(module, names, results)])


def prepare() -> None:
    """Set up, once and for all processes, what the tests import and how hypothesis looks for a failure."""
    import hypothesis
    import mujoco  # noqa: F401
    import scipy.integrate
    import scipy.optimize  # noqa: F401
    import trimesh  # noqa: F401

    import scaling.study.run  # noqa: F401

    phases = (hypothesis.Phase.explicit, hypothesis.Phase.generate)  # that it fails is enough, without a smaller case
    hypothesis.settings.register_profile(PROFILE, deadline=None, derandomize=True, phases=phases, database=None)
    os.environ["HYPOTHESIS_PROFILE"] = PROFILE


def mutants_of(name: str) -> list[str]:
    """The quantity as a whole, and each of its entries where it has several."""
    count = len(entries_of(name))
    return [name, *(f"{name}#{place}" for place in range(count) if count > 1)]


def own_seed() -> int:
    """A number that is the same as long as checks and formulas are, so that the gate says the same of the same code."""
    texts = [path.read_bytes() for path in (*checks_of(), *sorted(Path(formulas.__path__[0]).rglob("*.py")))]
    return zlib.crc32(b"".join(texts))


def choose(names: Sequence[str], sample: int | None, seed: int) -> dict[Path, list[str]]:
    """The mutants, by the module that checks them; ``names`` are quantities or files of modules."""
    pairs = [(path, name) for path, listed in checks_of().items() for name in listed]
    unknown = set(names) - {name for _, name in pairs} - {path.name for path, _ in pairs}
    if unknown:
        raise SystemExit(f"no module checks {', '.join(sorted(unknown))}")
    pairs = [(path, mutant) for path, name in pairs if not names or {path.name, name} & set(names)
             for mutant in mutants_of(name)]
    if sample is not None:
        pairs = random.Random(seed).sample(pairs, min(sample, len(pairs)))  # noqa: S311
    found: dict[Path, list[str]] = {}
    for path, name in sorted(pairs):
        found.setdefault(path, []).append(name)
    return found


def main() -> int:
    """Spoil what is asked for and print what nobody noticed."""
    parser = argparse.ArgumentParser(description="Multiply quantities by 1.07; the modules that check them must fail.")
    parser.add_argument("names", nargs="*", metavar="NAME", help="only these quantities, or a module's by its file")
    parser.add_argument("--all", action="store_true", help="every quantity of every module")
    parser.add_argument("--sample", type=int, help="only so many of them, drawn with --seed")
    parser.add_argument("--seed", type=int, help="by itself one that follows from the checks and the formulas")
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--slow", type=int, default=0, metavar="N", help="print the N slowest too")
    asked = parser.parse_args()
    start = time.perf_counter()
    prepare()
    seed = own_seed() if asked.seed is None else asked.seed
    chosen = choose(asked.names, None if asked.all else asked.sample, seed)
    found = run(chosen, asked.processes)
    spoilt = [outcome for outcome in found if outcome.name is not None]
    living = [outcome for outcome in spoilt if outcome.failed is None]
    faults = [f"{outcome.module} does not notice {outcome.name}" for outcome in living]
    faults += [f"{outcome.failed} fails as it is" for outcome in found if outcome.name is None and outcome.failed]
    total = sum(map(len, chosen.values()))
    if len(found) != total + len(chosen):
        faults.append(f"{total + len(chosen) - len(found)} processes ended before their time")
    print(*sorted(faults), sep="\n", end="\n" if faults else "")
    for outcome in sorted(found, key=lambda outcome: -outcome.seconds)[: asked.slow]:
        print(f"{outcome.seconds:6.1f} s {outcome.module} {outcome.name or '(nothing spoilt)'}")
    seconds = time.perf_counter() - start
    drawn = "" if asked.sample is None or asked.all else f" (seed {seed})"
    print(f"{total} quantities and entries spoilt{drawn}, {len(living)} not noticed, {seconds:.0f} s")
    return int(bool(faults))


if __name__ == "__main__":
    sys.exit(main())
