"""The report and the build log: whole, self-contained, legible by other programs, and harmless with any name.

Sources of what is expected: WHATWG HTML Living Standard, 13.1.2 (void elements) and 4.9 (tables), from memory;
CommonMark with tables as markdown-it-py reads it, an independent library.
"""

from __future__ import annotations

import dataclasses
import re
import shutil
import tomllib
from dataclasses import dataclass, field, replace
from functools import cached_property
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote
from xml.etree import ElementTree

import pytest

from conftest import Demo
from scaling.decide.verdicts import cautions, verdicts
from scaling.decide.whole import whole_study
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.brief import load_brief
from scaling.robot.design import load_design
from scaling.show.figures import absences, kinds, write_figures
from scaling.show.report.build_log import write_build_log
from scaling.show.report.content import content
from scaling.show.report.html import write_report
from scaling.show.tables.mass import closure_table, swaps_table
from scaling.show.tables.problems import problems_table, shared_problems
from scaling.show.tables.sizes import holes_table, stock_table
from scaling.study.results import Study
from scaling.study.run import run_study

if TYPE_CHECKING:
    from conftest import Demo

VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr",
        "mspace"}  # the last is MathML's, which the report writes as an empty element
FIGURES = tuple(kind.name for kind in kinds.KINDS)
SECTIONS = ("Answer", "Before anything is built or run", "Factor of each law", "What drifts most", "Problems",
            "What each law and rule means", "Mass", "Dimensionless groups", "How to read drift",
            "Formulas and sources", "Assumed where the design file says nothing", "Cautions")
STRANGE = "<script>alert('x')</script> | **b** _i_ `c` [d](http://e.example) <img src=x onerror=y> $m$ & @f"
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
    """Both reports of one study."""

    study: Study
    folder: Path
    html: str
    log: str

    @cached_property
    def page(self) -> Page:
        return Page(self.html)


def written(study: Study, folder: Path, names: tuple[str, ...] = FIGURES) -> Written:
    (folder / "figures").mkdir(parents=True)
    absent = absences(study)
    paths = {name: folder / "figures" / f"{name}.png" for name in names if name not in absent}
    for path in paths.values():
        path.write_bytes(PNG)
    report, log = write_report(study, folder, paths), write_build_log(study, folder, paths)
    assert (report, log) == (folder / "report.html", folder / "build_log.md")
    assert not [path for path in folder.iterdir() if path.name.startswith(".")]
    return Written(study, folder, report.read_text(encoding="utf-8"), log.read_text(encoding="utf-8"))


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
    return written(study, tmp_path_factory.mktemp("nowhere"), ())


@pytest.fixture(params=["main_report", "pusher_report", "partly", "nowhere"])
def each(request: pytest.FixtureRequest) -> Written:
    """The reports with a rotor, without one, with ports without factor, and with no other ports."""
    found = request.getfixturevalue(request.param)
    assert isinstance(found, Written)
    return found


def test_page_is_well_formed_and_its_ids_are_its_own(each: Written) -> None:
    page = each.page
    ids = [element.given["id"] for element in page.elements if "id" in element.given]
    assert len(ids) == len(set(ids))
    assert [element.given["lang"] for element in page.all("html")] == ["en"]
    assert len(page.all("title")) == len(page.all("h1")) == len(page.all("main")) == 1


def test_page_needs_nothing_beside_it(each: Written) -> None:
    page = each.page
    assert not page.all("script", "link", "iframe", "object", "embed", "base", "form", "video", "audio")
    ids = {element.given.get("id") for element in page.elements}
    for element in page.elements:
        for name, value in element.given.items():
            assert not name.startswith("on")
            if name in ("src", "srcset", "poster", "data", "action", "background"):
                assert value is not None and value.startswith("data:image/")
            if name in ("href", "xlink:href"):
                assert value is not None and value.startswith("#") and value[1:] in ids
    style = "".join(element.text for element in page.all("style"))
    assert "@media print" in style
    assert not re.search(r"url\(|@import|@font-face|https?:", style)


@pytest.mark.parametrize("kind", ["html", "log"])
def test_sections_stand_in_order(each: Written, kind: str) -> None:
    if kind == "html":
        found = [element.text for element in each.page.all("h2")]
    else:
        found = re.findall(r"^## (.*)$", each.log, re.MULTILINE)
    assert [title for title in found if title in SECTIONS] == list(SECTIONS)


def test_every_table_has_headings_with_scope_and_full_rows(each: Written) -> None:
    page = each.page
    tables = len(page.all("table"))
    assert tables >= 3
    assert len(page.all("thead")) == len(page.all("tbody")) == tables
    for head in page.all("th"):
        assert head.given["scope"] in ("col", "colgroup", "row")
        assert head.text or "tbody" in head.path
    for table in re.findall(r"<table>.*?</table>", each.html, re.DOTALL):
        tree = _tree(table)
        assert _widths(tree)[0] > 1
        assert len(set(_widths(tree))) == 1


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


def test_wide_content_scrolls_in_a_box_of_its_own(reports: Written) -> None:
    tree = _tree(re.sub(r"<(meta|img)([^>]*)>", r"<\1\2/>", reports.html.partition("\n")[2]))
    boxed = [element for box in tree.iter("div") if "wide" in box.get("class", "").split() for element in box]
    assert {element.tag for element in boxed} == {"table", "img"}
    assert len(boxed) == len(list(tree.iter("table"))) + len(list(tree.iter("img")))


def test_figures_have_words_and_are_whole(reports: Written) -> None:
    images = reports.page.all("img")
    there = {f"figures/{name}.png" for name in FIGURES if name not in absences(reports.study)}
    assert len(images) == len(there)
    for image in images:
        assert image.given["alt"] and reports.study.design.name in image.given["alt"]
    links = re.findall(r"!\[([^\]]+)\]\(([^)]+)\)", reports.log)
    assert {unquote(link) for _, link in links} == there
    assert all(alt and (reports.folder / unquote(link)).is_file() for alt, link in links)


def test_missing_figures_are_left_out(nowhere: Written) -> None:
    assert not nowhere.page.all("img", "figure")
    assert "![" not in nowhere.log
    assert "#pictures" not in nowhere.html


def test_every_section_is_headed_and_linked(each: Written) -> None:
    sections = content(each.study, {}).sections
    assert {"laws", "worst", "problems", "mass", "formulas", "cautions"} <= set(sections)
    heads = [element.text for element in each.page.all("h2")]
    links = {element.given["href"]: element.text for element in each.page.all("a")}
    for section, title in sections.items():
        assert heads.count(title) == 1
        assert each.log.count(f"\n## {title}\n") == 1
        assert links[f"#{section}"] == title


GUIDE = (Path(__file__).parent.parent / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Add a figure")[2]
ADDED, ROW = (part.partition("```")[0] for part in GUIDE.split("```python\n")[1:3])
"""The worked change of DEVELOPERS.md."""


@pytest.mark.parametrize(
    ("change", "section"),
    [
        ({}, "What drifts most"),
        ({'"worst"': '"mass"'}, "Mass"),
        ({'"worst"': '"no_such_section"'}, "Further pictures"),
    ],
    ids=["guide", "another", "unknown"],
)
def test_a_new_figure_is_a_module_and_a_row(
    main_demo: Demo, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, change: dict[str, str], section: str
) -> None:
    """The guide's picture is drawn, written, told in words and shown in both reports, by itself."""
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
    paths = {path.stem: path for path in write_figures(main_demo.study, tmp_path / "figures") if path.suffix == ".png"}
    assert set(paths) == {*FIGURES, "rotor_energy"}
    html = write_report(main_demo.study, tmp_path, paths).read_text(encoding="utf-8")
    log = write_build_log(main_demo.study, tmp_path, paths).read_text(encoding="utf-8")
    energies = [port.quantities["rotor_energy"].value for port in main_demo.study.ports]
    most = main_demo.study.letters[energies.index(max(energies))]
    words = f"Port {most} of {main_demo.study.design.name} holds most energy in its rotor"
    parts = {text.split("\n")[0]: text for text in log.split("\n## ")}
    assert re.search(rf"!\[{words}[^]]*\]\(figures/rotor_energy.png\)", parts[section])
    heading = html.index(f"<h2>{section}</h2>")
    shown = Page(html[heading : html.index("</section>", heading)])
    image = next(element for element in shown.all("img") if str(element.given["alt"]).startswith(words))
    assert str(image.given["src"]).startswith("data:image/")
    assert "Rotor energy of each port" in [element.text for element in shown.all("figcaption")]


def test_every_problem_and_verdict_is_told(each: Written) -> None:
    page, log = each.page.all("main")[0].text, _plain(each.log)
    for text in (page, log):
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


def test_what_the_reference_has_as_well_stands_folded_behind_the_rest(main_report: Written) -> None:
    rows = shared_problems(main_report.study)
    behind = {
        "As on the reference": [r.text for r in rows if r.problem.code.endswith("_alike") and not r.problem.kind.range],
        "Outside the range of a formula": [row.text for row in rows if row.problem.kind.range],
    }
    behind = {title: texts for title, texts in behind.items() if texts}
    own = [row.text for row in rows if row.text not in [text for texts in behind.values() for text in texts]]
    assert behind and own
    section = main_report.html.split('<section id="problems">')[1].split("</section>")[0]
    log = _plain(main_report.log)
    before = log.split(f"### {next(iter(behind))}")[0]
    assert all(text in before for text in own)
    for title, texts in behind.items():
        folded = next(element for element in Page(section).all("details") if title in element.text)
        assert all(text in folded.text for text in texts)
        assert not any(text in folded.text for text in own)
        assert all(text in log.split(f"### {title}")[1].split("\n#")[0] for text in texts)


def test_tables_of_parts_stand_where_they_have_rows(main_demo: Demo, tmp_path: Path) -> None:
    brief = replace(main_demo.brief, swaps={"uhmwpe": "aluminium-6061-t6"})
    made = written(run_study(main_demo.design, brief), tmp_path)
    for table in (closure_table, swaps_table, holes_table, stock_table):
        found = table(made.study)
        assert found.rows, found.title
        assert found.title in made.page.all("main")[0].text
        assert f"{found.title}:" in made.log


def test_a_study_without_swaps_has_no_table_of_them(main_report: Written) -> None:
    table = swaps_table(main_report.study)
    assert not table.rows
    assert table.title not in main_report.html
    assert table.title not in main_report.log


def test_numbers_keep_to_their_units_at_the_end_of_a_line(main_report: Written) -> None:
    assert not re.search(r"\d %", main_report.html.split("</style>")[1])
    assert "\u00a0%" in main_report.html


def _plain(markdown: str) -> str:
    """Return the text that is left of Markdown when escapes and emphasis are taken away."""
    text = re.sub(r"\\([^\w\s])", r"\1", markdown.replace("**", ""))
    for entity, mark in (("&lt;", "<"), ("&gt;", ">"), ("&#64;", "@"), ("&#58;", ":"), ("&amp;", "&")):
        text = text.replace(entity, mark)
    return text


def test_cautions_stand_first_and_last(each: Written) -> None:
    for text in (each.page.all("main")[0].text, _plain(each.log)):
        results, formulas = text.index("Factor of each law"), text.rindex("Assumed where the design file")
        for line in cautions(each.study):
            assert text.count(line) == 2
            assert text.index(line) < results < formulas < text.rindex(line)


def test_nothing_is_called_safe(each: Written) -> None:
    for text in (each.page.all("body")[0].text, each.log):
        claims = text.replace("Brake Design and Safety", "")  # the title of a source
        assert not re.search(r"(?<!fail-)\bsafe\w*", claims, re.IGNORECASE)


def test_answer_says_which_law_meets_the_limit(main_report: Written, partly: Written, main_demo: Demo) -> None:
    answer = next(element.text for element in main_report.page.all("p"))
    assert f"leaves {1e3 * (main_demo.brief.mass_limit - main_demo.brief.mass_margin):.0f} g" in answer
    assert re.search(r"Law mass \(ports? [A-Z, ]+\) meets it at factor \d", answer)
    assert re.search(r"Law mass \(ports? [A-Z, ]+\) meets it at no factor", next(
        element.text for element in partly.page.all("p")))


@pytest.fixture(scope="module")
def strange(main_demo: Demo, tmp_path_factory: pytest.TempPathFactory) -> Written:
    """A design and a bought part whose names are made to break out of a page or a table."""
    folder = tmp_path_factory.mktemp("strange") / "design"
    shutil.copytree(main_demo.folder, folder)
    given = tomllib.loads((folder / "design.toml").read_text(encoding="utf-8"))
    quoted = f"{STRANGE} z"
    for file in (folder / "design.toml", folder / "brief.toml"):
        text = file.read_text(encoding="utf-8")
        text = text.replace(f'"{given["parts"][-1]["name"]}"', f'"part {quoted}"')
        text = text.replace(f'name = "{given["name"]}"', f'name = "1. {quoted}"')
        file.write_text(text, encoding="utf-8")
    loaded = load_brief(folder / "brief.toml")
    return written(whole_study(load_design(loaded.design_file), loaded), folder / "out")


def test_names_cannot_break_out_of_the_page(strange: Written, main_demo: Demo) -> None:
    page = strange.page
    assert not page.all("script")
    assert len(page.all("img")) == len(FIGURES)
    assert not [element for element in page.elements if any(name.startswith("on") for name in element.given)]
    assert page.all("h1")[0].text.startswith(f"1. {STRANGE} z: ")
    assert any(head.text == f"part {STRANGE} z" for head in page.all("th"))


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


def test_names_cannot_break_out_of_the_build_log(strange: Written, main_demo: Demo, tmp_path: Path) -> None:
    made, plain = _rendered(strange.log), _rendered(written(main_demo.study, tmp_path / "plain").log)
    kinds = {inner.type for token in made.tokens for inner in (token, *(token.children or ()))}
    assert not kinds & {"html_block", "html_inline", "link_open", "em_open"}
    assert [token.type for token in made.tokens] == [token.type for token in plain.tokens]
    assert made.texts("heading_open")[0].startswith(f"1. {STRANGE} z: ")
    assert f"part {STRANGE} z" in made.texts("td_open")
    # GitHub also makes links of bare addresses and calls people by name, and formulas between dollar signs.
    assert "http://" not in strange.log and "@f" not in strange.log
    assert not re.search(r"(?<!\\)\$", strange.log)


def test_build_log_reads_as_markdown(each: Written) -> None:
    made = _rendered(each.log)
    heads = [token for token in made.tokens if token.type == "thead_open"]
    assert len(heads) == len(re.findall(r"^\| ---", each.log, re.MULTILINE)) >= 3
    assert all(made.texts("th_open"))
    rows = [line for line in each.log.splitlines() if line.startswith("|")]
    assert len([token for token in made.tokens if token.type == "tr_open"]) == len(rows) - len(heads)
    assert not [child for token in made.tokens for child in token.children or () if child.type == "html_inline"]
    images = [child for token in made.tokens for child in token.children or () if child.type == "image"]
    assert all((each.folder / unquote(image.attrs["src"])).is_file() for image in images)


def test_every_quantity_is_given_with_its_formula_and_source(reports: Written) -> None:
    study, page = reports.study, reports.page
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
    values, drifts = (row for row in _cells(reports.page, label) if row[1] not in book.titles)
    own = float(values[2])
    for place, port in enumerate(reports.study.ports):
        ratio = float(values[3 + place]) / own
        mu = port.variables["mass"] / reports.study.design.variables["mass"]
        for clock, tau in enumerate((port.factor**0.5, 1.0)):
            expected = ratio / (mu**mass * port.factor**length * tau**time)
            assert float(drifts[2 + 2 * place + clock]) == pytest.approx(expected, rel=0.015)  # three digits each


def test_real_figures_keep_the_file_small(main_demo: Demo, tmp_path: Path) -> None:
    (tmp_path / "figures").mkdir()
    paths = {path.stem: path for path in write_figures(main_demo.study, tmp_path / "figures") if path.suffix == ".png"}
    report = write_report(main_demo.study, tmp_path, paths)
    assert report.stat().st_size < 2_400_000
    assert len(Page(report.read_text(encoding="utf-8")).all("img")) == len(paths) == len(FIGURES)


def test_same_study_gives_same_bytes(reports: Written, tmp_path: Path) -> None:
    again = written(reports.study, tmp_path / "again")
    assert (again.html, again.log) == (reports.html, reports.log)


def test_unwritable_folder_is_told(main_demo: Demo, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("kept", encoding="utf-8")
    for writer in (write_report, write_build_log):
        with pytest.raises(InputError) as caught:
            writer(main_demo.study, tmp_path / "file", {})
        assert caught.value.file is not None
    assert (tmp_path / "file").read_text(encoding="utf-8") == "kept"
