"""The site builds without a warning, every link in it leads somewhere, it loads nothing from afar, and lacks nothing.

Source: HTML Living Standard, which attributes load or link, and that an id stands once a page; from memory.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import pytest

from scaling.book.entry import Model
from scaling.formulas import book
from scaling.port.schema import BRIEF
from scaling.robot.schema import DESIGN
from scaling.show.figures.kinds import KINDS

ROOT = Path(__file__).parent.parent
LINKS = {"href", "src", "srcset", "action", "data", "poster", "cite"}
pytestmark = pytest.mark.no_cover


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site, built as the guide says, warnings as errors."""
    out = tmp_path_factory.mktemp("site")
    built = subprocess.run(
        [sys.executable, "-m", "sphinx", "-W", "--keep-going", "-q", "-b", "html", "docs", str(out)],
        cwd=ROOT, capture_output=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert (built.returncode, built.stderr) == (0, ""), built.stderr
    return out


class Page(HTMLParser):
    """What a page links to, the ids that it has, and its tags."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[tuple[str, str, str]] = []
        self.ids: Counter[str] = Counter()
        self.tags: Counter[str] = Counter()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        for name, value in attrs:
            if name == "id":
                self.ids[value or ""] += 1
            elif name in LINKS and value is not None:
                self.links.append((tag, name, value))


def _pages(folder: Path) -> dict[Path, Page]:
    return {path: Page(path.read_text(encoding="utf-8")) for path in folder.rglob("*.html")}


def faults(folder: Path) -> Iterator[str]:
    """Links of a folder's pages that lead nowhere or away, and ids that stand twice."""
    pages = _pages(folder)
    for path, page in pages.items():
        yield from (f"{path.name}: two of id {name}" for name, times in page.ids.items() if times > 1)
        for tag, name, value in page.links:
            parts = urlsplit(value)
            target = path if not parts.path else path.parent / unquote(parts.path)
            if parts.scheme or parts.netloc:
                yield f"{path.name}: {tag} {name} leads away: {value}"
            elif not target.is_file():
                yield f"{path.name}: no such file: {value}"
            elif parts.fragment and parts.fragment not in pages[target.resolve()].ids:
                yield f"{path.name}: no such place: {value}"
    for path in folder.rglob("*.css"):
        for found in re.findall(r"url\(([^)]*)\)|@import\s+([^;]*)", path.read_text(encoding="utf-8")):
            address = (found[0] or found[1]).strip("\"' ")
            if "//" in address or not (path.parent / urlsplit(address).path).is_file():
                yield f"{path.name}: {address}"


def test_every_link_leads_to_something_that_is_there(site: Path) -> None:
    assert list(faults(site.resolve())) == []
    assert sum(len(page.links) for page in _pages(site).values()) > 5000


@pytest.mark.parametrize(
    "body",
    [
        '<a href="gone.html">x</a>',
        '<a href="#nowhere">x</a>',
        '<a href="other.html#nowhere">x</a>',
        '<img src="https://example.org/x.png">',
        '<script src="//example.org/x.js"></script>',
        '<source srcset="gone.png">',
        '<p id="here"></p><p id="here"></p>',
    ],
)
def test_a_link_that_leads_nowhere_is_found(tmp_path: Path, body: str) -> None:
    (tmp_path / "other.html").write_text('<p id="there"></p><a href="page.html#here">x</a>', encoding="utf-8")
    page = tmp_path / "page.html"
    page.write_text('<p id="here"></p><a href="other.html#there">x</a>', encoding="utf-8")
    assert list(faults(tmp_path.resolve())) == []
    page.write_text((body if 'id="here"' in body else f'<p id="here"></p>{body}'), encoding="utf-8")
    assert len(list(faults(tmp_path.resolve()))) == 1


def test_a_style_that_loads_from_afar_is_found(tmp_path: Path) -> None:
    (tmp_path / "site.css").write_text("body { background: url(https://example.org/x.png) }", encoding="utf-8")
    assert len(list(faults(tmp_path))) == 1


def test_every_entry_of_the_book_stands_on_its_branch_s_page_with_its_formula(site: Path) -> None:
    for branch in book.branches:
        text = (site / "formulas" / f"{branch.name}.html").read_text(encoding="utf-8")
        page = Page(text)
        names = Counter(entry.name for entry in branch.quantities)
        anchors = {f"q-{name.replace('_', '-')}{f'-{place + 1}' if place else ''}"
                   for name, times in names.items() for place in range(times)}  # fmt: skip
        assert anchors <= page.ids.keys()
        closed = [entry for entry in branch.quantities
                  if not isinstance(entry.formula, Model) and entry.formula.kind != "symbol"]  # fmt: skip
        assert text.count('class="equation"><math display="block">') == len(closed)
        assert text.count("<dt>Source</dt>") == len(branch.quantities)
        assert text.count("<dt>Range</dt>") == sum(bool(entry.valid) for entry in branch.quantities)
    assert "mathjax" not in "".join(path.read_text(encoding="utf-8").lower() for path in site.rglob("*.html"))


def test_the_pages_own_equations_are_powers_and_quotients(site: Path) -> None:
    text = (site / "concepts.html").read_text(encoding="utf-8")
    ours = re.findall(r'class="equation">.*?</div>', text, flags=re.DOTALL)
    assert len(ours) == 2 and "λ" in ours[0]
    assert ours[0].count("<msup>") == 3 and ours[1].count("<mfrac>") == 1


def test_every_key_of_a_file_has_its_row(site: Path) -> None:
    for schema, least in ((DESIGN, 400), (BRIEF, 25)):
        page = Page((site / "files" / f"{schema.name}.html").read_text(encoding="utf-8"))
        rows = {name for name in page.ids if name.startswith("key-")}
        keys = [name for table in schema.tables if len(table.keys) <= 100 for key in table.keys
                if not ((name := table.dotted(key)).startswith("port.") and name[5:] in DESIGN.keys)]  # fmt: skip
        assert rows == {"key-" + key.replace(".", "-").replace("_", "-").replace(" ", "-").lower() for key in keys}
        assert len(rows) >= least


def test_every_kind_has_a_text_on_how_to_read_it_that_stands_under_its_picture(site: Path) -> None:
    texts = tomllib.loads((ROOT / "docs" / "site_pages" / "reading.toml").read_text(encoding="utf-8"))
    assert texts.keys() == {kind.name for kind in KINDS}
    assert min(len(text.split()) for text in texts.values()) > 40
    shown = " ".join(re.sub(r"<[^>]+>", "", (site / "pictures.html").read_text(encoding="utf-8")).split())
    assert all(" ".join(text.split("\n\n")[0].split()) in unescape(shown) for text in texts.values())


def test_every_public_name_is_told_of(site: Path) -> None:
    import scaling

    ids = Page((site / "api.html").read_text(encoding="utf-8")).ids
    assert {f"scaling.{name}" for name in scaling.__all__ if name != "__version__"} <= ids.keys()


def test_a_picture_of_the_gallery_is_what_its_command_draws(
    site: Path, command: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = re.sub(r"<[^>]+>", "", (site / "gallery.html").read_text(encoding="utf-8"))
    lines = re.findall(r"(?m)^scaling plot (\w+) demo_designs/(\w+)/brief\.toml -o \S+$", text)
    assert {kind for kind, _ in lines} == {kind.name for kind in KINDS}
    assert {demo for _, demo in lines} == {path.parent.name for path in ROOT.glob("demo_designs/*/brief.toml")}
    assert all((site / "pictures" / f"{demo}-{kind}.png").is_file() for kind, demo in lines)
    monkeypatch.chdir(ROOT)
    assert command("plot", "mass", "demo_designs/plinthling/brief.toml", "-o", tmp_path / "mass.png").status == 0
    assert (tmp_path / "mass.png").read_bytes() == (site / "pictures" / "plinthling-mass.png").read_bytes()
