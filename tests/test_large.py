"""A design of thousands of parts costs what its parts cost: no step looks for each among all the others.

The main demo's cross members are cut to half their mass, and the rest of it is spread over as many brackets as asked,
every other one a sheet from the shelf; names and numbers invented. Ten times the parts may take ten times as long.
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from scaling.port.brief import load_brief
from scaling.port.inputs import inputs_at, port_parts
from scaling.robot.design import load_design
from scaling.robot.parts import mass_at
from scaling.show.tables.mass import mass_table
from scaling.study.absent import absent
from scaling.study.beside import reference_values
from scaling.study.run import agreed, run_study

FEW, MANY = 500, 5000
SLACK = 1.8
"""How much more than its share of parts a step may take: memory, and a machine that others use."""

BRACKET = '[[parts]]\nname = "bracket {}"\nkind = "{}"\ngroup = "frame"\nmaterial = "uhmwpe"\nmass = "{:.9f} g"\n{}'
SHEET = 'thickness = "10 mm"\nsnap = "nearest"\n'


def large(folder: Path, count: int, to: Path) -> Path:
    """Write a copy of a demo with so many more parts; returns the brief."""
    shutil.copytree(folder, to, ignore=shutil.ignore_patterns("*.png"))
    text = (to / "design.toml").read_text(encoding="utf-8")
    before, name, after = text.partition('[[parts]]\nname = "cross members"')
    assert name and 'mass = "19 g"' in after
    rows = [BRACKET.format(place, "sheet" if place % 2 else "solid", 19 / count, SHEET if place % 2 else "")
            for place in range(count)]  # fmt: skip
    text = before + "\n".join(rows) + "\n" + name + after.replace('mass = "19 g"', 'mass = "9.5 g"', 1)
    (to / "design.toml").write_text(text, encoding="utf-8")
    return to / "brief.toml"


@pytest.fixture(scope="module")
def briefs(main_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[int, Path]:
    home = tmp_path_factory.mktemp("large")
    return {count: large(main_folder, count, home / str(count)) for count in (FEW, MANY)}


def checked(path: Path) -> Any:
    design = load_design(path.with_name("design.toml"))
    absent(design, design.variables, reference_values(design))
    return agreed(design, load_brief(path))


def ported(path: Path) -> Any:
    brief = load_brief(path)
    design = load_design(brief.design_file)
    parts = port_parts(design, brief)
    return [inputs_at(design, brief, brief.requests[0], parts, np.asarray([factor])) for factor in (1.2, 1.4, 1.6)]


@pytest.mark.no_cover
@pytest.mark.parametrize("step", [checked, ported])
def test_ten_times_the_parts_take_ten_times_the_time(briefs: dict[int, Path], step: Callable[[Path], Any]) -> None:
    taken = {count: min(seconds(step, path) for _ in range(3)) for count, path in briefs.items()}
    assert taken[MANY] < 5
    assert taken[MANY] / taken[FEW] < SLACK * MANY / FEW


def seconds(step: Callable[[Path], Any], path: Path) -> float:
    start = time.process_time()
    step(path)
    return time.process_time() - start


def test_many_parts_weigh_what_they_weigh_one_by_one(briefs: dict[int, Path]) -> None:
    """Parts that go alike are summed first, which changes nothing: by the cube, and by what a shelf has of a sheet."""
    brief = load_brief(briefs[FEW])
    parts = port_parts(load_design(brief.design_file), brief)
    factors = np.geomspace(0.7, 2, 50)
    one_by_one = sum(part.at(factors) for part in parts)
    assert np.allclose(mass_at(parts, factors), one_by_one, rtol=1e-13, atol=0)
    assert mass_at(parts, 1.37) == pytest.approx(sum(part.at(1.37) for part in parts), rel=1e-13)


def test_the_mass_table_finds_each_part_by_name(briefs: dict[int, Path]) -> None:
    brief = load_brief(briefs[FEW])
    study = run_study(load_design(brief.design_file), brief)
    rows = {row[0]: row for row in mass_table(study).rows}
    assert len(rows) == len(study.design.parts) + 1
    line = study.ports[0].parts[-1]
    assert rows[line.name][3:5] == pytest.approx((1e3 * line.reference, 1e3 * line.ideal))
