"""The report and the build log: whole, self-contained, legible by other programs, and harmless with any name.

Sources of what is expected: WHATWG HTML Living Standard, 13.1.2 (void elements) and 4.9 (tables), and W3C Content
Security Policy Level 3, 'hash-source', from memory; CommonMark with tables as markdown-it-py reads it, an independent
library; html5lib, whose strict parser raises for every parse error of that standard; sha256sum of the coreutils.
"""

from __future__ import annotations

import base64
import dataclasses
import hashlib
import re
import shutil
import subprocess
import tomllib
from dataclasses import dataclass, field, replace
from functools import cached_property
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote
from xml.etree import ElementTree

import html5lib
import pytest

from conftest import Demo
from scaling.decide.verdicts import cautions, verdicts
from scaling.decide.whole import whole_study
from scaling.files.errors import InputError
from scaling.files.version import VERSION
from scaling.formulas import book
from scaling.port.brief import load_brief
from scaling.robot.design import load_design
from scaling.show.figures import applying as applying_kinds
from scaling.show.figures import kinds, write_figure
from scaling.show.figures.look import DARK, LIGHT
from scaling.show.report.answer import Answer, answered
from scaling.show.report.build_log import write_build_log
from scaling.show.report.html import report_of, write_report
from scaling.show.report.pictures import by_scheme, picture_of, placed
from scaling.show.report.words import NUMBERS, NUMBERS_COMPARED, PAGE, PAGE_COMPARED
from scaling.show.tables.mass import closure_table, swaps_table
from scaling.show.tables.problems import problems_table, shared_problems
from scaling.show.tables.sizes import holes_table, stock_table
from scaling.study.as_drawn import compared
from scaling.study.results import Study
from scaling.study.run import run_study

if TYPE_CHECKING:
    from conftest import Demo

VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr",
        "mspace"}  # the last is MathML's, which the report writes as an empty element
FIGURES = tuple(kind.name for kind in kinds.KINDS if not kind.alone)
ALWAYS = ("ports", "doubts", "cautions", "repeat")
BEHIND = ("laws", "gives", "rules", "parts", "branches", "groups", "reading", "formulas", "inputs", "sources")
STRANGE = "<script>alert('x')</script> | **b** _i_ `c` [d](http://e.example) <img src=x onerror=y> $m$ & @f"
TURNED, SHOWN = f"{STRANGE}\u202e\u05d0 z", f"{STRANGE} \u05d0 z"
"""A name with a mark that turns the reading direction, and as it is shown."""

PNG = b"\x89PNG\r\n\x1a\n"
"""Stands for a figure: nothing here looks into it."""


@dataclass
class Element:
    """One element of a page, with the text inside it."""

    tag: str
    given: dict[str, str | None]
    path: tuple[str, ...]
    texts: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        return " ".join("".join(self.texts).split())


class Page(HTMLParser):
    """Reads a page and holds it to the rule that what is opened is closed, innermost first."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[Element] = []
        self.elements: list[Element] = []
        self.feed(text)
        self.close()
        assert not self.open, [element.tag for element in self.open]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = Element(tag, dict(attrs), tuple(other.tag for other in self.open))
        assert len(element.given) == len(attrs)
        self.elements.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag in VOID
        self.handle_starttag(tag, attrs)

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1].tag == tag, (tag, [element.tag for element in self.open])
        self.open.pop()

    def handle_data(self, data: str) -> None:
        for element in self.open:
            element.texts.append(data)

    def all(self, *tags: str) -> list[Element]:
        return [element for element in self.elements if element.tag in tags]


@dataclass
class Written:
    """The page of one study, the file behind it, and its build log."""

    answer: Answer
    folder: Path
    html: str
    numbers: str
    log: str

    @property
    def study(self) -> Study:
        return self.answer.study

    @cached_property
    def page(self) -> Page:
        return Page(self.html)

    @cached_property
    def behind(self) -> Page:
        return Page(self.numbers)


def applying(study: Study) -> tuple[str, ...]:
    """Names of the pictures that there are of a study."""
    return tuple(kind.name for kind in kinds.KINDS if kind.why_absent(study) is None)


def written(study: Study | Answer, folder: Path, names: tuple[str, ...] | None = None, picture: bytes = PNG) -> Written:
    answer = study if isinstance(study, Answer) else answered(study)
    (folder / "figures").mkdir(parents=True)
    paths = {name: folder / "figures" / f"{name}.png" for name in (applying(answer.study) if names is None else names)}
    for path in paths.values():
        path.write_bytes(picture)
    found = placed(picture_of(answer.study, kinds.kind_named(name), path) for name, path in paths.items())
    page, log = write_report(report_of(answer), folder, found), write_build_log(answer, folder, found)
    files = [page, folder / "formulas.html", log]
    assert (files[0], files[2]) == (folder / "report.html", folder / "build_log.md")
    assert not [path for path in folder.iterdir() if path.name.startswith(".")]
    return Written(answer, folder, *(path.read_text(encoding="utf-8") for path in files))


@pytest.fixture(scope="module")
def reports(demo: Demo, tmp_path_factory: pytest.TempPathFactory) -> Written:
    return written(demo.study, tmp_path_factory.mktemp("report"))


@pytest.fixture(scope="module")
def main_report(main_demo: Demo, tmp_path_factory: pytest.TempPathFactory) -> Written:
    return written(main_demo.study, tmp_path_factory.mktemp("main"))


@pytest.fixture(scope="module")
def pusher_report(pusher_demo: Demo, tmp_path_factory: pytest.TempPathFactory) -> Written:
    return written(pusher_demo.study, tmp_path_factory.mktemp("pusher"))


@pytest.fixture(scope="module")
def partly(main_demo: Demo, tmp_path_factory: pytest.TempPathFactory) -> Written:
    """A study in which the mass law has no factor: its limit is a gram above its margin."""
    brief = replace(main_demo.brief, mass_margin=main_demo.brief.mass_limit - 1e-3)
    study = run_study(main_demo.design, brief)
    assert {port.factor is None for port in study.ports} == {True, False}
    return written(study, tmp_path_factory.mktemp("partly"))


@pytest.fixture(scope="module")
def nowhere(main_demo: Demo, tmp_path_factory: pytest.TempPathFactory) -> Written:
    """A study in which no port has a factor, and which has no figures."""
    requests = tuple(request for request in main_demo.brief.requests if request.law == "mass")
    brief = replace(main_demo.brief, mass_margin=main_demo.brief.mass_limit - 1e-3, requests=requests)
    study = run_study(main_demo.design, brief)
    assert all(port.factor is None for port in study.ports)
    return written(study, tmp_path_factory.mktemp("nowhere"))


@pytest.fixture(scope="module")
def beside(demos: tuple[Demo, ...], tmp_path_factory: pytest.TempPathFactory) -> Written:
    """Machines that have files of their own beside a reference: there is no port to build."""
    first, *others = sorted(demos, key=lambda demo: not demo.design.has_rotor)
    study = compared(first.design, [demo.design for demo in others])
    return written(study, tmp_path_factory.mktemp("beside"))


@pytest.fixture(params=["main_report", "pusher_report", "partly", "nowhere", "beside"])
def each(request: pytest.FixtureRequest) -> Written:
    """With a rotor, without one, with ports without factor, with no other ports, and of machines that are there."""
    found = request.getfixturevalue(request.param)
    assert isinstance(found, Written)
    return found


def test_pages_are_well_formed_and_their_ids_are_their_own(each: Written) -> None:
    for page in (each.page, each.behind):
        ids = [element.given["id"] for element in page.elements if "id" in element.given]
        assert len(ids) == len(set(ids))
        assert [element.given["lang"] for element in page.all("html")] == ["en"]
        assert len(page.all("title")) == len(page.all("h1")) == len(page.all("main")) == 1


def test_pages_parse_without_an_error(each: Written) -> None:
    html5lib.HTMLParser(strict=True).parse(each.html)


def test_pages_of_any_name_parse_without_an_error(strange: Written) -> None:
    for text in (strange.html, strange.numbers):
        html5lib.HTMLParser(strict=True).parse(text)


def test_headings_stand_in_order(each: Written) -> None:
    for page in (each.page, each.behind):
        levels = [int(element.tag[1]) for element in page.all("h1", "h2", "h3", "h4")]
        assert levels[0] == 1
        assert all(after <= before + 1 for before, after in pairwise(levels))


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def test_pages_need_nothing_beside_them_and_run_only_what_is_hashed(each: Written) -> None:
    ids = {
        "report.html": {element.given.get("id") for element in each.page.elements},
        "formulas.html": {element.given.get("id") for element in each.behind.elements},
    }
    for own, page, text in (("report.html", each.page, each.html), ("formulas.html", each.behind, each.numbers)):
        assert not page.all("iframe", "object", "embed", "base", "form", "video", "audio", "svg")
        for element in page.elements:
            for name, value in element.given.items():
                assert not name.startswith("on") and name != "style"
                if name in ("src", "srcset", "poster", "data", "action", "background"):
                    assert value is not None and value.startswith("data:image/")
                if name in ("href", "xlink:href"):
                    assert value is not None
                    file, _, place = value.partition("#")
                    assert value == "data:," or (file or own) in ids
                    assert not place or place in ids[file or own]
        meta = next(each for each in page.all("meta") if each.given.get("http-equiv") == "Content-Security-Policy")
        allowed = dict(part.split(" ", 1) for part in str(meta.given["content"]).split("; "))
        assert (allowed["default-src"], allowed["img-src"]) == ("'none'", "data:")
        for tag in ("style", "script"):
            (inside,) = re.findall(rf"<{tag}>(.*?)</{tag}>", text, re.DOTALL)
            assert allowed[f"{tag}-src"] == f"'sha256-{_digest(inside)}'"
            assert not re.search(r"url\(|@import|@font-face|https?:|fetch|XMLHttp", inside)


def test_sections_stand_in_order_and_are_linked(each: Written) -> None:
    other = PAGE_COMPARED | NUMBERS_COMPARED if each.study.compares else {}
    for page, usual, always in ((each.page, PAGE, ALWAYS), (each.behind, NUMBERS, BEHIND)):
        ids = [str(element.given.get("id")) for element in page.all("section")]
        titles = usual | other
        found = [name for name in ids if name in titles]
        assert found == [name for name in titles if name in found]
        assert set(always) <= set(found)
        heads = [element.text for element in page.all("h2")]
        links = {element.given["href"]: element.text for element in page.all("a") if "nav" in element.path}
        for name in found:
            assert heads.count(titles[name]) == 1
            assert links[f"#{name}"] == titles[name]


def test_every_table_has_headings_with_scope_and_full_rows(each: Written) -> None:
    for page, text in ((each.page, each.html), (each.behind, each.numbers)):
        tables = len(page.all("table"))
        assert tables >= 2
        assert len(page.all("thead")) == len(page.all("tbody")) == tables
        for head in page.all("th"):
            assert head.given["scope"] in ("col", "colgroup", "row")
            assert head.text or "tbody" in head.path
        for table in re.findall(r"<table>.*?</table>", text, re.DOTALL):
            tree = _tree(table)
            assert _widths(tree)[0] > 1
            assert len(set(_widths(tree))) == 1
            columns = [int(head.get("data-column", "")) for head in tree.iter("th") if head.get("scope") == "col"]
            assert sorted(columns) == list(range(_widths(tree)[0]))


def _tree(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)  # noqa: S314 - our own page


def _widths(table: ElementTree.Element) -> list[int]:
    """Columns of each row, counting cells that reach down from the rows above (HTML 4.9.12)."""
    widths: list[int] = []
    reaching: list[tuple[int, int]] = []
    for row in table.iter("tr"):
        cells = [(int(cell.get("colspan", "1")), int(cell.get("rowspan", "1"))) for cell in row]
        widths.append(sum(width for width, _ in cells) + sum(width for width, _ in reaching))
        reaching = [(width, left - 1) for width, left in [*reaching, *cells] if left > 1]
    return widths


def test_the_first_screen_says_which_port_and_its_numbers(main_report: Written, pusher_report: Written) -> None:
    for each in (main_report, pusher_report):
        start = each.html.index('<section id="verdict"')
        block = Page(each.html[start : each.html.index("</section>", start) + len("</section>")])
        letter = each.answer.decision.verdict.port
        assert letter is not None
        assert [element.text for element in block.all("h2")] == [f"Build port {letter}"]
        port = each.answer.letters[letter]
        told = dict(zip((e.text for e in block.all("dt")), (e.text for e in block.all("b")), strict=True))
        assert float(told["Factor"]) == pytest.approx(port.factor, rel=5e-4)
        assert told["Mass"] == f"{1e3 * port.variables['mass']:.0f}\u00a0g".replace("\u00a0", " ")
        assert len(told) == 8
        assert each.page.all("main")[0].text.startswith(block.all("span")[0].text)


def test_where_nothing_fits_the_nearest_is_told_and_nothing_is_built(nowhere: Written, partly: Written) -> None:
    assert "No port fits" in [element.text for element in nowhere.page.all("h2")]
    for each in (nowhere, partly):
        if each.answer.decision.verdict.port is None:
            assert "Build port" not in each.page.all("main")[0].text
            assert each.answer.decision.verdict.text in each.page.all("main")[0].text


def test_machines_that_are_there_are_not_to_be_built(beside: Written) -> None:
    text = beside.page.all("body")[0].text
    assert "Build port" not in text and "Build port" not in beside.log
    assert all(port.machine is not None and port.machine.name in text for port in beside.study.ports)


def test_every_risk_that_stands_is_told_with_its_mend(each: Written) -> None:
    text = each.page.all("main")[0].text
    for risk in each.answer.risks:
        if risk.stands:
            assert risk.says[0].upper() + risk.says[1:] in text
        if risk.mend is not None:
            assert risk.mend.text[1:] in text
            assert all(f'{key} = "{value}"' in text for key, value in risk.mend.changes.items())


def test_figures_have_words_and_are_whole(reports: Written) -> None:
    images = [*reports.page.all("img"), *reports.behind.all("img")]
    assert len(images) == len(applying(reports.study))
    assert all(len(str(image.given["alt"])) > 20 for image in images)
    links = re.findall(r"!\[([^\]]+)\]\(([^)]+)\)", reports.log)
    assert len(links) == 3
    assert {unquote(link) for _, link in links} <= {f"figures/{name}.png" for name in FIGURES}
    assert all(alt and (reports.folder / unquote(link)).is_file() for alt, link in links)


def test_missing_figures_are_left_out(nowhere: Written, tmp_path: Path) -> None:
    assert len(nowhere.page.all("img")) == len(applying(nowhere.study)) < len(FIGURES)
    bare = written(nowhere.answer, tmp_path, ())
    assert not bare.page.all("img", "figure") and not bare.behind.all("img", "figure")
    assert "![" not in bare.log
    assert 'id="pictures"' not in bare.html


def test_outlines_margins_and_rush_stand_under_the_numbers(main_report: Written, pusher_report: Written) -> None:
    """Whatever section the table of pictures names; they are the first of the build log, too."""
    for each, names in ((main_report, ["outlines", "margins", "rush"]), (pusher_report, ["outlines", "margins"])):
        titles = [kinds.kind_named(name).title for name in names]
        start = each.html.index('<div class="figures">')
        top = Page(each.html[start : each.html.index("<nav", start)])
        assert [element.text for element in top.all("figcaption")] == titles
        assert re.findall(r"figures/(\w+)\.png", each.log)[: len(names)] == names


def test_a_drawing_has_the_colours_of_the_dark_look_where_the_screen_is_dark() -> None:
    """Every colour of the light look that a drawing has gets a rule with that of the dark look in its place."""
    ink, green = LIGHT.ink.lower(), LIGHT.colours[2].lower()
    svg = f'<svg><path style="fill: {ink}; stroke: {green}"/><g style="fill: none"/></svg>'
    style = by_scheme(svg).partition("<style>@media screen and (prefers-color-scheme:dark){")[2]
    assert f'[style*="fill: {ink}"]{{fill:{DARK.ink.lower()}!important}}' in style
    assert f'[style*="stroke: {green}"]{{stroke:{DARK.colours[2].lower()}!important}}' in style
    assert style.count("!important") == 2


def test_pictures_that_the_page_has_no_room_for_stand_behind_it(main_report: Written, tmp_path: Path) -> None:
    large = PNG + b"0" * 200_000
    each = written(main_report.answer, tmp_path, ("drift", "mass"), large)
    assert (len(each.page.all("img")), len(each.behind.all("img"))) == (1, 1)
    assert len(each.html) < 600_000


GUIDE = (Path(__file__).parent.parent / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Add a figure")[2]
ADDED, ROW = (part.partition("```")[0] for part in GUIDE.split("```python\n")[1:3])
"""The worked change of DEVELOPERS.md."""


@pytest.mark.parametrize(
    ("change", "section"),
    [
        ({}, "worst"),
        ({'"worst"': '"mass"'}, "mass"),
        ({'"worst"': '"no_such_section"'}, "pictures"),
    ],
    ids=["guide", "another", "unknown"],
)
def test_a_new_figure_is_a_module_and_a_row(
    main_demo: Demo,
    main_report: Written,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    change: dict[str, str],
    section: str,
) -> None:
    """The guide's picture is drawn, written, told in words and shown on the page, by itself."""
    name = f"added_{tmp_path.name.split('[')[0]}"
    (tmp_path / "modules").mkdir()
    (tmp_path / "modules" / f"{name}.py").write_text(ADDED, encoding="utf-8")
    monkeypatch.syspath_prepend(str(tmp_path / "modules"))
    row = ROW
    for old, new in change.items():
        assert old in row
        row = row.replace(old, new)
    (kind,) = eval(row, {"Kind": kinds.Kind})  # noqa: S307 - the guide's own row
    monkeypatch.setattr(kinds, "KINDS", (*kinds.KINDS, dataclasses.replace(kind, module=name)))
    (tmp_path / "figures").mkdir()
    assert [kind.name for kind in applying_kinds(main_demo.study)] == [*FIGURES, "rotor_energy"]
    path = write_figure(main_demo.study, kinds.kind_named("rotor_energy"), tmp_path / "figures")[0]
    added = placed([picture_of(main_demo.study, kinds.kind_named("rotor_energy"), path)])
    html = write_report(report_of(main_report.answer), tmp_path, added).read_text(encoding="utf-8")
    energies = [port.quantities["rotor_energy"].value for port in main_demo.study.ports]
    most = main_demo.study.letters[energies.index(max(energies))]
    words = f"Port {most} of {main_demo.study.design.name} holds most energy in its rotor"
    heading = html.index(f'<section id="{section}">')
    shown = Page(html[heading : html.index("</section>", heading) + len("</section>")])
    image = next(element for element in shown.all("img") if str(element.given["alt"]).startswith(words))
    assert str(image.given["src"]).startswith("data:image/")
    assert "Rotor energy of each port" in [element.text for element in shown.all("figcaption")]


def test_every_problem_and_verdict_is_told(each: Written) -> None:
    text = each.behind.all("main")[0].text
    for _, _, sentence, rest in problems_table(each.study).rows:
        assert str(sentence) in text
        assert all(label in text for label in str(rest).split("; "))
    for line in verdicts(each.study):
        assert line in text


def test_every_problem_of_every_port_is_in_the_table(each: Written) -> None:
    rows = [(row.ports, row.problem.code, row.problem.about) for row in shared_problems(each.study)]
    told = sorted((letter, code, str(about)) for letters, code, about in rows for letter in letters)
    ports = zip(each.study.letters, each.study.ports, strict=True)
    assert told == sorted((letter, each.code, str(each.about)) for letter, port in ports for each in port.problems)


def test_what_the_reference_has_as_well_stands_apart(main_report: Written) -> None:
    rows = shared_problems(main_report.study)
    behind = {
        "As on the reference": [r.text for r in rows if r.problem.code.endswith("_alike") and not r.problem.kind.range],
        "Outside the range of a formula": [row.text for row in rows if row.problem.kind.range],
    }
    behind = {title: texts for title, texts in behind.items() if texts}
    own = [row.text for row in rows if row.text not in [text for texts in behind.values() for text in texts]]
    assert behind and own
    section = main_report.numbers.split('<section id="problems">')[1].split("</section>")[0]
    shown = Page(section)
    for title, texts in behind.items():
        box = next(e for e in shown.all("div") if e.given["aria-label"] == f"Table: {title}")
        assert all(text in box.text for text in texts)
        assert not any(text in box.text for text in own)


def test_tables_of_parts_stand_where_they_have_rows(main_demo: Demo, tmp_path: Path) -> None:
    brief = replace(main_demo.brief, swaps={"uhmwpe": "aluminium-6061-t6"})
    made = written(run_study(main_demo.design, brief), tmp_path)
    for table in (closure_table, swaps_table, holes_table, stock_table):
        found = table(made.study)
        assert found.rows, found.title
        assert found.title in made.behind.all("main")[0].text
    for table in (holes_table, stock_table):
        assert table(made.study).title in made.page.all("main")[0].text


def test_a_study_without_swaps_has_no_table_of_them(main_report: Written) -> None:
    table = swaps_table(main_report.study)
    assert not table.rows
    assert table.title not in main_report.numbers


def test_numbers_keep_to_their_units_at_the_end_of_a_line(main_report: Written) -> None:
    assert not re.search(r"\d %", main_report.html.split("</style>")[1])
    assert "\u00a0%" in main_report.html


def _plain(markdown: str) -> str:
    """Return the text that is left of Markdown when escapes and emphasis are taken away."""
    text = re.sub(r"\\([^\w\s])", r"\1", markdown.replace("**", ""))
    for entity, mark in (("&lt;", "<"), ("&gt;", ">"), ("&#64;", "@"), ("&#58;", ":"), ("&amp;", "&")):
        text = text.replace(entity, mark)
    return text


def test_cautions_stand_once_and_the_first_screen_points_to_them(each: Written) -> None:
    text = each.page.all("main")[0].text
    for line in cautions(each.study):
        assert text.count(line) == 1
    assert '<a href="#cautions">' in each.html[: each.html.index("<nav")].partition('class="figures"')[0]
    first, second, *_ = cautions(each.study)
    log = _plain(each.log)
    assert log.count(first) == 1
    assert log.count(second.split(". ")[0]) == 1


def test_nothing_is_called_safe(each: Written) -> None:
    for text in (each.page.all("body")[0].text, each.behind.all("body")[0].text, each.log):
        claims = text.replace("Brake Design and Safety", "")  # the title of a source
        assert not re.search(r"(?<!fail-)\bsafe\w*", claims, re.IGNORECASE)


def test_a_study_can_be_repeated(main_report: Written, main_demo: Demo) -> None:
    """Version and the hash of every file that was read, those that brief and design name among them."""
    text = main_report.page.all("main")[0].text
    names = ["brief.toml", "design.toml", "rotor_motors.csv", "drive_motors.csv"]
    sums = subprocess.run(["sha256sum", *names], cwd=main_demo.folder, capture_output=True, text=True, check=True)
    for line in sums.stdout.splitlines():
        digest, name = line.split()
        assert f"{name} sha256 {digest}" in text
    assert f"with version {VERSION} and these files" in text
    assert str(main_demo.folder) not in main_report.html


@pytest.fixture(scope="module")
def strange(main_demo: Demo, tmp_path_factory: pytest.TempPathFactory) -> Written:
    """A design and a bought part whose names are made to break out of a page or a table."""
    folder = tmp_path_factory.mktemp("strange") / "design"
    shutil.copytree(main_demo.folder, folder)
    given = tomllib.loads((folder / "design.toml").read_text(encoding="utf-8"))
    quoted = SHOWN
    for file in (folder / "design.toml", folder / "brief.toml"):
        text = file.read_text(encoding="utf-8")
        text = text.replace(f'"{given["parts"][-1]["name"]}"', f'"part {quoted}"')
        text = text.replace(f'name = "{given["name"]}"', f'name = "1. {quoted}"')
        file.write_text(text, encoding="utf-8")
    loaded = load_brief(folder / "brief.toml")
    design = load_design(loaded.design_file)
    assert design.name == f"1. {SHOWN}"  # the reader takes no mark that turns the direction, but Python might
    return written(whole_study(replace(design, name=f"1. {TURNED}"), loaded), folder / "out")


def test_names_cannot_break_out_of_the_pages(strange: Written) -> None:
    for page in (strange.page, strange.behind):
        assert len(page.all("script")) == 1
        assert not [element for element in page.elements if any(name.startswith("on") for name in element.given)]
        assert f"1. {SHOWN}: " in page.all("h1")[0].text
        assert any(head.text == f"part {SHOWN}" for head in page.all("th"))
        assert "\u202e" not in page.all("html")[0].text
    assert len(strange.page.all("img")) + len(strange.behind.all("img")) == len(applying(strange.study))


@dataclass
class Rendered:
    """What another program makes of the build log."""

    tokens: list[Any]

    def texts(self, kind: str) -> list[str]:
        return [_inline(self.tokens[place + 1]) for place, token in enumerate(self.tokens) if token.type == kind]


def _inline(token: Any) -> str:
    return "".join(child.content if child.type in ("text", "code_inline") else "" for child in token.children or ())


def _rendered(log: str) -> Rendered:
    import markdown_it

    parser = markdown_it.MarkdownIt("commonmark", {"html": True}).enable("table")
    return Rendered(parser.parse(log))


def test_names_cannot_break_out_of_the_build_log(strange: Written, main_report: Written, tmp_path: Path) -> None:
    made, plain = _rendered(strange.log), _rendered(written(main_report.answer, tmp_path / "plain").log)
    kinds = {inner.type for token in made.tokens for inner in (token, *(token.children or ()))}
    assert not kinds & {"html_block", "html_inline", "link_open", "em_open"}
    assert [token.type for token in made.tokens] == [token.type for token in plain.tokens]
    assert made.texts("heading_open")[0].startswith(f"1. {SHOWN}: ")
    # GitHub also makes links of bare addresses and calls people by name, and formulas between dollar signs.
    assert "http://" not in strange.log and "@f" not in strange.log
    assert not re.search(r"(?<!\\)\$", strange.log)


def test_build_log_is_short_and_reads_as_markdown(each: Written, strange: Written) -> None:
    for text in (each.log, strange.log):
        assert len(text.split()) < 600
    made = _rendered(each.log)
    assert made.texts("heading_open")[1:] == [
        "Why this factor", "The port's numbers", "What changed from the reference", "What is unproven",
    ]  # fmt: skip
    heads = [token for token in made.tokens if token.type == "thead_open"]
    assert len(heads) == (0 if each.answer.told is None else 1)
    rows = [line for line in each.log.splitlines() if line.startswith("|")]
    assert len([token for token in made.tokens if token.type == "tr_open"]) == len(rows) - len(heads)
    assert not [child for token in made.tokens for child in token.children or () if child.type == "html_inline"]
    images = [child for token in made.tokens for child in token.children or () if child.type == "image"]
    assert all((each.folder / unquote(image.attrs["src"])).is_file() for image in images)
    assert len(images) == 3 or each.answer.told is None
    assert all(re.fullmatch(r"[^.].*[^.\s]\.", image.content) for image in images), "each a whole sentence"


def test_a_picture_that_does_not_apply_is_told_of_with_its_reason(each: Written) -> None:
    drawn = applying(each.study)
    said = [item.text for item in each.page.all("li") if "there is no such picture, since" in item.text]
    missing = [kind.title for kind in kinds.KINDS if kind.name not in drawn and not kind.alone]
    assert len(said) == len(missing) and all(any(line.startswith(title) for line in said) for title in missing)


def test_every_quantity_is_given_with_its_formula_and_source(reports: Written) -> None:
    study, page = reports.study, reports.behind
    names = set(study.reference).union(*(port.quantities for port in study.ports))
    listed = [element.text for element in page.all("code") if element.path[-1] == "dt"]
    assert sorted(listed) == sorted(names)
    sources = [element.text for element in page.all("p") if element.text.startswith("Source: ")]
    assert len(sources) == len(names)
    assert all(len(source) > len("Source: .") for source in sources)


def _cells(page: Page, label: str) -> list[list[str]]:
    """Texts of each table row headed ``label``."""
    found: list[list[str]] = []
    for element in page.elements:
        if element.tag == "th" and "tbody" in element.path:
            found.append([element.text])
        elif element.tag == "td":
            found[-1].append(element.text)
    return [row for row in found if row[0] == label]


@pytest.mark.parametrize(("label", "dimension"), [("Top speed", (0, 1, -1)), ("Grip-limited push", (1, 1, -2))])
def test_drift_is_the_ratio_over_that_of_a_port_that_behaves_alike(
    reports: Written, label: str, dimension: tuple[int, int, int]
) -> None:
    # Dimensional analysis (P. W. Bridgman, Dimensional Analysis, 1922, from memory): M^a L^b T^c scales as
    # mu^a lambda^b tau^c; tau is sqrt(lambda) where gravity is kept and 1 where time is. Dimensions: SI Brochure,
    # 9th edition, table 4.
    mass, length, time = dimension
    values, drifts = (row for row in _cells(reports.behind, label) if row[1] not in book.titles)
    own = float(values[2])
    for place, port in enumerate(reports.study.ports):
        ratio = float(values[3 + place]) / own
        mu = port.variables["mass"] / reports.study.design.variables["mass"]
        for clock, tau in enumerate((port.factor**0.5, 1.0)):
            expected = ratio / (mu**mass * port.factor**length * tau**time)
            assert float(drifts[2 + 2 * place + clock]) == pytest.approx(expected, rel=0.015)  # three digits each


def test_same_study_gives_same_bytes(reports: Written, tmp_path: Path) -> None:
    again = written(reports.answer, tmp_path / "again")
    assert (again.html, again.numbers, again.log) == (reports.html, reports.numbers, reports.log)


def test_unwritable_folder_is_told(main_report: Written, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("kept", encoding="utf-8")
    for writer, said in ((write_report, report_of(main_report.answer)), (write_build_log, main_report.answer)):
        with pytest.raises(InputError) as caught:
            writer(said, tmp_path / "file", {})
        assert caught.value.file is not None
    assert (tmp_path / "file").read_text(encoding="utf-8") == "kept"
