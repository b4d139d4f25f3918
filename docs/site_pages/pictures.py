"""Pictures of the demos, drawn while the site is built by the table of kinds, each with the command that makes it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from docutils import nodes
from docutils.parsers.rst import Directive

from scaling.decide.whole import whole_study
from scaling.port.brief import load_brief
from scaling.robot.design import load_design
from scaling.show.figures.kinds import KINDS, Kind
from scaling.show.figures.look import DARK, LIGHT
from scaling.show.figures.saving import DOTS_PER_INCH, save_as
from site_pages.parts import ROOT, block, html, paragraph, section

if TYPE_CHECKING:
    from sphinx.application import Sphinx

    from scaling.study.results import Study

MAIN = "tarvindle"
"""The demo by which pictures are explained."""

HOW = Path(__file__).with_name("reading.toml")
"""How to read each kind, in words."""


@dataclass(frozen=True)
class Picture:
    """One drawn picture: its kind and demo, its words, its file's name and its size in dots."""

    kind: Kind
    demo: str
    words: str
    width: int
    height: int

    @property
    def command(self) -> str:
        """The line that draws it."""
        return f"scaling plot {self.kind.name} demo_designs/{self.demo}/brief.toml -o {self.kind.name}.png"

    def shown(self, folder: str) -> nodes.raw:
        """Return the picture as the page shows it, by the reader's own setting where there is a dark one."""
        light, dark = (f"{folder}{_file(self.demo, self.kind.name, look)}" for look in (False, True))
        other = f'<source srcset="{dark}" media="(prefers-color-scheme: dark)">' if self.demo == MAIN else ""
        return html(
            f'<a class="picture" href="{light}"><picture>{other}'
            f'<img src="{light}" width="{self.width}" height="{self.height}" loading="lazy" alt="{escape(self.words)}">'
            "</picture></a>"
        )


def _file(demo: str, kind: str, dark: bool) -> str:
    return f"{demo}-{kind}{'-dark' if dark else ''}.png"


@cache
def _study(demo: str) -> Study:
    brief = load_brief(ROOT / "demo_designs" / demo / "brief.toml")
    return whole_study(load_design(brief.design_file), brief)


def demos() -> list[str]:
    """Return the names of the demos, the one by which pictures are explained first."""
    names = sorted(path.parent.name for path in ROOT.glob("demo_designs/*/brief.toml"))
    return sorted(names, key=lambda name: name != MAIN)


def draw(app: Sphinx) -> None:
    """Draw every kind of every demo that has it beside the pages, the main demo's for dark pages too."""
    folder = Path(app.outdir) / "pictures"
    folder.mkdir(parents=True, exist_ok=True)
    drawn: dict[str, list[Picture]] = {}
    for demo in demos():
        study = _study(demo)
        for kind in KINDS:
            if kind.why_absent(study) is not None:
                continue
            for look in (LIGHT, DARK) if demo == MAIN else (LIGHT,):
                made = kind.figure(study, look)
                save_as(made, folder / _file(demo, kind.name, look.dark))
            width, height = (round(inches * DOTS_PER_INCH) for inches in made.get_size_inches())
            drawn.setdefault(kind.name, []).append(Picture(kind, demo, kind.words(study), width, height))
    app.config.add("drawn_pictures", None, "", ())
    app.config["drawn_pictures"] = drawn


class _Pictures(Directive):
    """What both pages of pictures share."""

    def drawn(self) -> dict[str, list[Picture]]:
        """Return the drawn pictures of each kind."""
        found: dict[str, list[Picture]] = self.state.document.settings.env.config["drawn_pictures"]
        return found


class ReadingDirective(_Pictures):
    """``.. pictures::``: each kind by the main demo, what it answers, what is to be seen, and how to read it."""

    def run(self) -> list[nodes.Node]:
        """Return a section a kind."""
        how = tomllib.loads(HOW.read_text(encoding="utf-8"))
        found: list[nodes.Node] = []
        for name, pictures in self.drawn().items():
            first, kind = pictures[0], pictures[0].kind
            texts = [paragraph(" ".join(text.split())) for text in how.get(name, "").split("\n\n") if text.strip()]
            found.append(section(kind.title, f"picture-{name.replace('_', '-')}", first.shown("pictures/"),
                                 paragraph(first.words, classes=["caption"]), *texts, block(first.command)))
        return found


class PictureDirective(_Pictures):
    """``.. picture::``: the first kind of the table, of the main demo, with its command."""

    def run(self) -> list[nodes.Node]:
        """Return the picture over the line that draws it."""
        first = next(iter(self.drawn().values()))[0]
        return [first.shown("pictures/"), paragraph(first.words, classes=["caption"]), block(first.command)]


class GalleryDirective(_Pictures):
    """``.. gallery::``: all that was drawn, each with its command."""

    def run(self) -> list[nodes.Node]:
        """Return a section a demo."""
        found: list[nodes.Node] = []
        for demo in demos():
            inside: list[nodes.Node] = []
            for pictures in self.drawn().values():
                for each in pictures:
                    if each.demo == demo:
                        inside += [nodes.rubric("", each.kind.title), each.shown("pictures/"), block(each.command)]
            found.append(section(_study(demo).design.name, f"gallery-{demo}", *inside))
        return found
