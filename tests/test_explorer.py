"""The explorer: what is read between the nodes of its grid is what the engine gives, in Python and in a browser.

What is expected are the engine's own numbers at the same factor and speed, worked out one port at a time; the packing
is undone by code of the test's own. Where steps of a shelf lie is worked out from the shelf's sizes: halfway between
two for the nearest, at the size itself upwards and downwards.
"""

from __future__ import annotations

import base64
import hashlib
import json
import math
import os
import re
import zlib
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from conftest import Demo
from scaling.book.similarity import similarity_ratio
from scaling.decide.verdict import decided
from scaling.decide.words import label_in_words
from scaling.files.units import to_shown
from scaling.formulas import book
from scaling.port.asked import LawRequest
from scaling.port.inputs import inputs_at
from scaling.port.shelf_steps import shelf_steps
from scaling.show import report
from scaling.show.explorer.grid import BELOW, Grid, grid_of
from scaling.show.explorer.packed import packed
from scaling.show.explorer.page import Explorer, explorer_of
from scaling.study.run import run_study

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

TRUE = 0.005
"""How far what is read may be off, as a share of what the engine gives."""

POINTS = int(os.environ.get("EXPLORER_POINTS", "8"))
"""Random points at which each demo's grid is held to the engine; more are tried on request."""

MOST_BYTES = 150_000
"""Of a page that must stay under 600 kB, markup, data, style and script of the explorer."""


_GRIDS: dict[Path, Grid] = {}
_OWN: dict[Path, Explorer] = {}


def _grid(demo: Demo) -> Grid:
    if demo.folder not in _GRIDS:
        found = grid_of(demo.study)
        assert found is not None
        _GRIDS[demo.folder] = found
    return _GRIDS[demo.folder]


def _explorer(demo: Demo) -> Explorer:
    if demo.folder not in _OWN:
        _OWN[demo.folder] = explorer_of(demo.study)
    return _OWN[demo.folder]


def engine(demo: Demo, case: dict[str, Any], factor: float, speed: float | None) -> dict[str, float]:
    """Every quantity and size of one port at a factor, and at a speed (rad/s) of its rotor."""
    own = next(port for _, port, machine in _grid(demo).ports if machine == case["machine"])
    rule = None if speed is None else "hold-rpm"
    request = LawRequest("mass", rule, case["drive"])
    given = {key: float(value) for key, value in inputs_at(
        demo.design, demo.brief, request, own.carried, factor, own.variation).variables.items()}  # fmt: skip
    given |= {} if speed is None else {"rotor.speed": speed}
    found = book.evaluate(given, demo.design.traits)
    return given | {name: float(value) for name, value in found.items()}


def unpacked(data: dict[str, Any]) -> list[np.ndarray]:
    """Every table of the packed data, a row a factor; logarithms where it is not plain."""
    bytes_ = np.frombuffer(zlib.decompress(base64.b64decode(data["packed"])), np.uint8).astype(int).reshape(2, -1)
    steps, found, start = bytes_[0] + 256 * bytes_[1], [], 0
    for table in data["tables"]:
        shape = max(1, len(table["u"])), len(data["factors"])
        places = np.cumsum(steps[start : (start := start + math.prod(shape))].reshape(shape), axis=1) % 65536
        found.append(np.where(places == 65535, np.nan, table["low"] + places * table["step"]).T)
    return found


def read(data: dict[str, Any], place: int, factor: float, share: float) -> float:
    """Bilinear in logarithms, or between plain numbers along logarithms of factor and share."""
    table, values = data["tables"][place], data["values"][place]
    after = int(np.clip(np.searchsorted(data["factors"], factor), 1, len(data["factors"]) - 1))
    rows = values[after - 1 : after + 1]
    pair = [_line(table["u"], row, share) for row in rows] if table["u"] else rows[:, 0]
    found = _line(data["factors"][after - 1 : after + 1], np.asarray(pair), factor)
    return found if table["plain"] else math.exp(found)


def told(demo: Demo) -> dict[str, Any]:
    """The packed data as a page would read it, with the tables unpacked beside."""
    data = json.loads(json.dumps(packed(_grid(demo)), allow_nan=False))
    return data | {"values": unpacked(data)}


def _line(nodes: list[float], values: np.ndarray, at: float) -> float:
    return float(np.interp(math.log(at), np.log(nodes), values))


def off(got: float, true: float) -> float:
    return abs(got / true - 1) if true else abs(got)


def test_numbers_between_the_nodes_are_the_engines(demo: Demo) -> None:
    data, random = told(demo), np.random.default_rng(20260101)
    last, looked = data["factors"][-1], 0
    for _ in range(POINTS):
        case = data["cases"][random.integers(len(data["cases"]))]
        factor = float(np.exp(random.uniform(*np.log([data["factors"][0], last]))))
        share, speed = 1.0, None
        if data["span"]:
            share = float(np.exp(random.uniform(*np.log(data["span"]))))
            speed = share * read(data, case["base"], factor, 1)
        true = engine(demo, case, factor, speed)
        for name, place in zip(data["names"], case["tables"], strict=True):
            got = read(data, place, factor, share)
            if math.isnan(got):  # absent between two nodes of which the engine leaves one out
                reach = read(data, case["reach"], factor, 1)
                assert math.isnan(true[name]) and share > reach, (name, factor, share)
            else:
                assert off(got, true[name]) < TRUE, (name, factor, share, got, true[name])
                looked += 1
    assert looked > 15 * POINTS


def test_a_study_at_another_factor_reads_the_same(main_demo: Demo) -> None:
    factor = 1.3771
    request = LawRequest("length", "hold-tip-speed", "as-bought", "length",
                         factor * main_demo.design.variables["length"])  # fmt: skip
    study = run_study(main_demo.design, replace(main_demo.brief, requests=(request,), closure=()))
    data = told(main_demo)
    case = data["cases"][0]
    assert not data["ports"][0]["levers"]
    share = read(data, case["rules"]["hold-tip-speed"], factor, 1)
    (port,) = study.ports
    for name, place in zip(data["names"], case["tables"], strict=True):
        if name in port.quantities:
            got = read(data, place, factor, share)
            assert off(got, port.quantities[name].value) < TRUE, name
            powers = data["quantities"][data["names"].index(name)]["alike"].get("gravity")
            if powers is not None and (drift := port.quantities[name].drift.get("gravity")):
                mass = port.variables["mass"] / main_demo.design.variables["mass"]
                alike = math.exp(np.dot(powers, np.log([mass, factor, case["volts"]])))
                assert off(got / main_demo.study.reference[name] / alike, drift) < TRUE, name


def test_two_nodes_lie_hard_beside_every_step(main_demo: Demo) -> None:
    grid = _grid(main_demo)
    low, high = float(grid.factors[0]), float(grid.factors[-1])
    port = main_demo.study.ports[0]
    shelves = main_demo.design.shelves | main_demo.brief.shelves
    wanted: list[float] = []
    for own, sizes, how in [
        *((main_demo.design.variables[row.key], shelves.sizes(row.shelf, row.family), row.how)
          for row in main_demo.design.stock),
        *((part.thickness, part.sold[part.material or ""], str(part.snap)) for part in port.carried if part.sold),
    ]:  # fmt: skip
        edges = [(one + two) / 2 for one, two in pairwise(sizes)] if how == "nearest" else sizes
        wanted += [edge / own for edge in edges if low < edge / own < high]
    assert len(wanted) > 5
    found = shelf_steps(main_demo.design, main_demo.brief, port.request, port.carried, low, high)
    assert all(min(abs(before / step - 1) for step in wanted) < 1e-7 for before, _ in found)
    assert all(behind / before - 1 < 2e-9 for before, behind in found)
    for step in wanted:
        near = grid.factors[np.abs(grid.factors / step - 1) < 1e-8]
        assert near.min() <= step * (1 + 3e-9) and near.max() >= step * (1 - 3e-9) and near.size >= 2, step


def test_a_slope_and_a_sign_are_read_as_they_are() -> None:
    from scaling.show.explorer.shares import refined

    factors, start = np.geomspace(1, 2, 5)[:, None], np.geomspace(0.5, 2, 4)

    def columns(names: Any, shares: np.ndarray) -> dict[str, np.ndarray]:
        known = {"power": factors * shares**1.7, "sign": factors * (shares - 1), "ends": np.where(
            shares <= start[2], factors / shares, np.nan), "bend": factors * np.maximum(shares, 1.1)}  # fmt: skip
        return {name: np.broadcast_to(known[name], (5, len(shares))) for name in names}

    found = refined(columns, ["power", "sign", "ends", "bend"], start)
    assert len(found["power"].shares) == 2
    assert found["sign"].plain
    assert 2 < len(found["bend"].shares) < 20
    for name, own in found.items():
        for share in np.geomspace(0.5, 2, 60):
            at = np.interp(math.log(share), np.log(own.shares), own.values[0] if own.plain else np.log(own.values[0]))
            true = columns([name], np.array([share]))[name][0, 0]
            got = at if own.plain else math.exp(at)
            assert math.isnan(got) or abs(got - true) <= 0.005 * max(abs(true), 0.02), (name, share)


def test_it_is_small_and_cannot_be_broken_out_of(demo: Demo) -> None:
    own = _explorer(demo)
    size = sum(len(text.encode()) for text in (own.markup, own.style, own.script))
    assert 10_000 < size < MOST_BYTES
    strange = replace(demo.study, ports=demo.study.ports[:1])
    request = replace(strange.ports[0].request, law="</script><b>")
    text = explorer_of(replace(strange, ports=(replace(strange.ports[0], request=request),))).script
    assert "</script>" not in text and "\\u003c/script>" in text


def test_no_port_with_a_factor_leaves_the_page_as_it_is(main_demo: Demo) -> None:
    port = replace(main_demo.study.ports[0], factor=None)
    assert explorer_of(replace(main_demo.study, ports=(port,))).markup == ""


# In a browser --------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        found = Path("/usr/bin/chromium")
        path = found if found.exists() else None
        with driver.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-dev-shm-usage"]) as each:
            yield each


def opened(
    browser: Browser, demo: Demo, folder: Path, width: int = 360, scheme: Any = "light"
) -> tuple[Page, list[str]]:
    """A page that is the explorer alone, under a policy that allows its own style and script and nothing else."""
    own = _explorer(demo)
    style = (Path(report.__file__).parent / "style.css").read_text(encoding="utf-8") + own.style
    digests = [base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() for text in (style, own.script)]
    policy = "default-src 'none'; style-src 'sha256-{}'; script-src 'sha256-{}'".format(*digests)
    path = folder / "explorer.html"
    path.write_text(
        f'<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">'
        f'<meta name="viewport" content="width=device-width"><meta http-equiv="Content-Security-Policy" '
        f'content="{policy}"><title>x</title><style>{style}</style>'
        f"</head><body><main>{own.markup}</main><script>{own.script}</script></body></html>",
        encoding="utf-8",
    )
    page = browser.new_page(viewport={"width": width, "height": 800}, color_scheme=scheme, offline=True)
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(path.as_uri())
    page.wait_for_selector("#explorer:not([hidden])")
    return page, said


def shown(page: Page) -> dict[str, tuple[float, bool]]:
    """What stands in the port's table, as a number in the unit shown, and whether it is in brackets."""
    rows = page.eval_on_selector_all(
        "#explorer tbody tr", "rows => rows.map(row => [row.dataset.name, row.cells[2].textContent])"
    )
    found = {}
    for name, text in rows:
        number = re.match(r"\(?(-?[\d.]+(?:e[+-]?\d+)?)", text)
        found[name] = (float(number[1]) if number else math.nan, text.startswith("("))
    return found


def compare(page: Page, demo: Demo, case: dict[str, Any], factor: float, speed: float | None) -> int:
    """Hold every number in the table to the engine's; returns how many were there."""
    true, there = engine(demo, case, factor, speed), 0
    for name, (got, _) in shown(page).items():
        unit = book.quantities[name].unit if name in book.quantities else book.variables[name].unit
        if not math.isnan(got):
            assert off(got, to_shown(true[name], unit)) < TRUE, (name, factor, speed)
            there += 1
    return there


@pytest.mark.no_cover
def test_the_sliders_by_keyboard_show_the_engines_numbers(browser: Browser, demo: Demo, tmp_path: Path) -> None:
    page, said = opened(browser, demo, tmp_path)
    data = packed(_grid(demo))
    began = data["ports"][data["start"]]
    case = next(each for each in data["cases"] if all(each[key] == began[key] for key in ("machine", "drive")))
    page.locator("#ex-factor").focus()
    for key in ("ArrowLeft", "PageUp", "ArrowRight", "ArrowRight"):
        page.keyboard.press(key)
    factor = float(page.locator("#ex-factor").input_value())
    assert factor != pytest.approx(began["factor"], abs=2e-3)
    assert page.locator("#ex-factor").get_attribute("aria-valuetext", timeout=1000)
    speed = None
    if demo.design.has_rotor:
        page.locator("#ex-speed").focus()
        for key in ("PageUp", "ArrowLeft", "ArrowLeft"):
            page.keyboard.press(key)
        assert page.locator("#ex-rule").input_value() == ""
        speed = float(page.locator("#ex-speed").input_value()) * math.pi / 30
        assert shown(page)["rotor_speed"][0] == pytest.approx(speed * 30 / math.pi, rel=1e-3)
    assert compare(page, demo, case, factor, speed) >= 6
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert said == []
    page.close()


@pytest.mark.no_cover
def test_every_port_of_the_study_is_a_place_to_start(browser: Browser, demo: Demo, tmp_path: Path) -> None:
    page, said = opened(browser, demo, tmp_path, 1280, "dark")
    told = decided(demo.study).told
    assert told is not None and told.port.factor is not None
    begins = page.eval_on_selector("#ex-start", "list => list.selectedOptions[0].textContent")
    assert begins == f"{told.letter}: {label_in_words(told.port)}, factor {told.port.factor:.4g}"
    assert page.locator('[data-ex="factor-out"]').inner_text() == f"{told.port.factor:.4g}"
    assert {port.request.law for port in demo.study.ports} == {port.request.law for _, port, _ in _grid(demo).ports}
    allowed = demo.brief.allowed_mass
    for place, (_, port, _) in enumerate(_grid(demo).ports):
        page.select_option("#ex-start", str(place))
        for name, (got, hollow) in shown(page).items():
            if name in port.quantities and not math.isnan(got):
                entry = port.quantities[name]
                assert off(got, to_shown(entry.value, entry.unit)) < TRUE, (name, port.label)
                assert hollow == entry.if_reached or name == "rotor_speed", (name, port.label)
        text = page.locator('[data-ex="verdict"]').inner_text()
        assert text.startswith("Misses" if port.misses else "Fits"), (port.label, text, port.misses)
        assert ("g over" in text) == (port.variables["mass"] > allowed * (1 + 1e-9))
        assert ("short" in text) == ("speed_unreachable" in port.misses)
    assert page.evaluate("document.documentElement.scrollWidth") <= 1280
    assert said == []
    page.close()


@pytest.mark.no_cover
def test_a_speed_out_of_reach_shows_as_such(browser: Browser, main_demo: Demo, tmp_path: Path) -> None:
    page, _ = opened(browser, main_demo, tmp_path)
    page.locator("#ex-speed").focus()
    page.keyboard.press("End")
    assert re.search(r"motor \d+\s% short", page.locator('[data-ex="verdict"]').inner_text())
    found = shown(page)
    assert found["rotor_energy"][1] and found["rotor_speed"][1] and math.isnan(found["spin_up_time"][0])
    assert not found["mass"][1] and not found["top_speed"][1]
    assert page.locator('[data-name="rush_margin"] .ex-number').inner_text() == "-"
    page.click('[data-ex="back"]')
    assert not shown(page)["rotor_energy"][1]
    page.close()


@pytest.mark.no_cover
def test_the_clock_changes_the_drift(browser: Browser, main_demo: Demo, tmp_path: Path) -> None:
    page, _ = opened(browser, main_demo, tmp_path)
    port, name = main_demo.study.ports[0], "top_yaw_rate"
    page.select_option("#ex-start", "0")
    for clock in ("gravity", "driver"):
        page.select_option("#ex-clock", clock)
        text = page.locator(f'[data-ex="handling"] [data-name="{name}"] .ex-number').inner_text()
        drift = 100 * (port.quantities[name].drift[clock] - 1)
        assert float(re.sub(r"[^-\d]", "", text)) == pytest.approx(drift, abs=0.6)
    page.close()


def test_data_is_json_of_plain_numbers(demo: Demo) -> None:
    data = told(demo)
    assert data["factors"] == sorted(data["factors"])
    factors = [port.factor for port in demo.study.ports if port.factor is not None]
    assert set(factors) <= set(data["factors"])
    assert data["factors"][0] == pytest.approx(BELOW * min(factors))
    for each in data["quantities"]:
        for clock, powers in each.get("alike", {}).items():
            name = data["names"][data["quantities"].index(each)]
            alike = similarity_ratio(book.quantities[name].dimension, 2.5, 1.4, clock, 1.3)
            assert alike is not None
            own = powers[0] * math.log(2.5) + powers[1] * math.log(1.4) + powers[2] * math.log(1.3)
            assert own == pytest.approx(math.log(alike), abs=1e-9)
