"""Does a study work without a key that may be left out, and say which key would bring back what is lost?

    python tests/left_out.py                      every key of every demo's design in turn, with figures
    python tests/left_out.py --share 0.05 --seed 3

Each key is taken out of the file alone. Where the schema says that it must be there, the file is refused for that very
key. Else the study runs, and each quantity that the reference or a port has no more stands in its ``absent`` with the
key. A count of pieces is left in: without it the parts contradict the weighed mass. Exit status 1 where one fails.
"""

from __future__ import annotations

import argparse
import copy
import random
import sys
import time
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from scaling.files.errors import InputError
from scaling.files.reading import is_missing
from scaling.files.toml import quoted
from scaling.port.brief import Brief, load_brief
from scaling.robot.design import read_design
from scaling.robot.schema import DESIGN
from scaling.show.study_json import as_json
from scaling.study.run import run_study

ROOT = Path(__file__).parent.parent
BRIEFS = sorted(ROOT.glob("demo_designs/*/brief.toml"))

Place = tuple[str | int, ...]
"""Where a key stands in a file's tables."""


@dataclass(frozen=True)
class Case:
    """One key of one demo's design file: where it stands in the tables."""

    brief: Path
    place: Place

    @property
    def key(self) -> str:
        """The key as a message calls it."""
        return ".".join(str(part) if isinstance(part, int) else quoted(part) for part in self.place)

    def __str__(self) -> str:
        return f"{self.brief.parent.name} {self.key}"


@dataclass(frozen=True)
class Outcome:
    """What became of a file without a key: how many quantities it lost, and what is wrong, empty where nothing is."""

    case: Case
    refused: bool
    lost: int
    wrong: str = ""


@cache
def _whole(brief: Path) -> tuple[dict[str, Any], Brief, dict[str, set[str]]]:
    """A demo's design tables, its brief, and the quantities of its reference and ports by their letters."""
    asked = load_brief(brief)
    tables = tomllib.loads(asked.design_file.read_text(encoding="utf-8"))
    return tables, asked, {who: set(row["quantities"]) for who, row in _rows(tables, asked).items()}


def _rows(tables: dict[str, Any], brief: Brief) -> dict[str, dict[str, Any]]:
    design = read_design(copy.deepcopy(tables), brief.design_file)
    told = as_json(run_study(design, brief))
    return {"reference": told["reference"]} | {port["letter"]: port for port in told["ports"]}


def cases() -> list[Case]:
    """Every key of every demo's design file but the counts of pieces."""
    return [
        Case(brief, place)
        for brief in BRIEFS
        for place in _places(_whole(brief)[0], ())
        if not (place[0] == "parts" and place[-1] == "count")
    ]


def sample(share: float, seed: int) -> list[Case]:
    """A share of the cases, drawn with a seed."""
    every = cases()
    drawn = random.Random(seed).sample(every, max(1, round(share * len(every))))  # noqa: S311 - nothing is secret
    return sorted(drawn, key=str)


def _places(table: dict[str, Any], before: Place) -> Iterator[Place]:
    for name, value in table.items():
        if isinstance(value, dict):
            yield from _places(value, (*before, name))
        elif isinstance(value, list) and isinstance(value[0], dict):
            for number, row in enumerate(value):
                yield from _places(row, (*before, name, number))
        else:
            yield (*before, name)


def left_out(case: Case) -> Outcome:
    """Take the key out, and say what became of the file."""
    tables, brief, had = _whole(case.brief)
    rest, at = copy.deepcopy(tables), None
    at = rest
    for part in case.place[:-1]:
        at = at[part]  # type: ignore[index]
    del at[case.place[-1]]
    must = _must(case, at, rest)
    try:
        found = _rows(rest, brief)
    except InputError as error:
        text = str(error)
        said = must and "missing key" in text
        return Outcome(case, True, 0, "" if said else f"refused: {text}")
    if must:
        return Outcome(case, False, 0, "it must be there, and is not missed")
    wrong, lost = [], 0
    for who, names in had.items():
        needs = {row["quantity"]: row["needs"] for row in found[who]["absent"]}
        gone = names - set(found[who]["quantities"])
        lost += len(gone)
        silent = [name for name in sorted(gone) if case.key not in needs.get(name, ())]
        wrong += [f"{who} {name} needs {needs.get(name)}" for name in silent]
    return Outcome(case, False, lost, "; ".join(wrong))


def _must(case: Case, beside: dict[str, Any], rest: dict[str, Any]) -> bool:
    """Whether the schema says that the key must be there beside the others of its table."""
    *path, name = (part for part in case.place if isinstance(part, str))
    table = DESIGN.by_name.get(".".join(path))
    if table is None or table.shape == "map":
        return False
    key = table.by_name[name]
    if key.default is not None:
        return False
    stands_in = key.unless is not None and key.unless not in beside
    return stands_in or is_missing(key, {**rest, **beside} if not path else beside)


def main() -> int:
    """Run the cases that are asked for and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--share", type=float, default=1.0, help="share of the keys, drawn with the seed")
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    start, outcomes = time.time(), []
    for case in sample(asked.share, asked.seed) if asked.share < 1 else cases():
        outcomes.append(left_out(case))
        if outcomes[-1].wrong:
            print(f"{case}: {outcomes[-1].wrong}")
    refused = sum(outcome.refused for outcome in outcomes)
    losing = [outcome for outcome in outcomes if outcome.lost]
    wrong = sum(bool(outcome.wrong) for outcome in outcomes)
    print(
        f"{len(outcomes)} keys taken out in {time.time() - start:.0f} s: {refused} must be there, "
        f"{len(outcomes) - refused} may be left out, {len(losing)} of them lose something "
        f"({sum(outcome.lost for outcome in losing)} quantities of references and ports); {wrong} wrong"
    )
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
