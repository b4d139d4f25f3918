"""The pictures of a study, each with its words, by the section in which they stand, as small as they may be."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from scaling.show.figures import kinds
from scaling.show.figures.kinds import Kind
from scaling.show.figures.look import DARK, LIGHT, NARROWEST, Look
from scaling.show.figures.saving import svg
from scaling.show.report.words import NUMBERS, PAGE
from scaling.study.results import Study

FIRST = ("outlines", "margins", "rush")
"""Names of the pictures that stand right under the port's numbers, in order: how big, what breaks, who is first."""

TOP = "first"
"""The section of those."""

OTHER, BEHIND = "pictures", "more"
"""Where a picture stands that belongs to no section: on the page, or behind it where the page is full."""

MOST_BYTES = 400_000
"""Of all pictures on the page, as they stand in it: the page is to be sent by mail and opened on a phone."""

LARGER = 3.0
"""How many times as large as its PNG an SVG may be: it is sharp at any size, and takes the colours of a dark page."""

COORDINATES = re.compile(r'(?<= )(d|x|y|transform|points)="([^"]*)"')
DECIMALS = re.compile(r"(\d+\.\d{2})\d+")
BETWEEN = re.compile(r">\s+<(?!/?tspan)")
NAMES = re.compile(r' id="([^"]*)"')
CALLED = re.compile(r"""(?:url\(|href=")#([^)"]+)""")
TWICE = re.compile(r"( L [\d.-]+ [\d.-]+)\1+(?= )")
FAMILY = "font-family: 'DejaVu Sans', sans-serif"
METADATA = re.compile(r"<metadata>.*?</metadata>|<!--.*?-->|<\?xml.*?\?>|<!DOCTYPE.*?>", re.DOTALL)


@dataclass(frozen=True)
class Picture:
    """A picture's name and heading, what it shows in words, its file, and its data as it stands in a page.

    ``narrow`` is the same drawn for a phone's width, empty where there is none.
    """

    name: str
    title: str
    alt: str
    path: Path
    data: str
    narrow: str = ""

    @property
    def size(self) -> int:
        """Bytes that it takes in a page."""
        return len(self.data) + len(self.narrow)


Placed = Mapping[str, tuple[Picture, ...]]
"""The pictures that stand in each section."""


def picture_of(study: Study, kind: Kind, path: Path) -> Picture:
    """Return a study's picture of a kind, whose PNG lies at ``path`` and an SVG may beside it."""
    top = _section(kind) == TOP and path.with_suffix(".svg").exists()
    narrow = narrow_uri(study, kind) if top else ""
    return Picture(kind.name, kind.title, kind.words(study), path, data_uri(path), narrow)


def placed(pictures: Iterable[Picture]) -> Placed:
    """Return pictures by section of the page or of the file behind it.

    None is left out for want of a section, and what is too large for the page stands behind it.
    """
    found: dict[str, list[Picture]] = {}
    room = MOST_BYTES
    for section, picture in _in_order(pictures):
        place = section
        if section not in NUMBERS:
            place = section if picture.size <= room else BEHIND
            room -= picture.size if place == section else 0
        found.setdefault(place, []).append(picture)
    return {section: tuple(pictures) for section, pictures in found.items()}


def _in_order(pictures: Iterable[Picture]) -> list[tuple[str, Picture]]:
    """Every picture with its section: those at the top, those of the page's sections, then the rest."""
    rows = {kind.name: (place, _section(kind)) for place, kind in enumerate(kinds.KINDS)}
    found = [(*rows[picture.name], picture) for picture in pictures]
    found.sort(key=lambda each: (ORDER.index(each[1]), _place(each[2].name), each[0]))
    return [(section, picture) for _, section, picture in found]


ORDER = (TOP, *(name for name in PAGE if name != OTHER), OTHER, *NUMBERS)
"""The sections in which a picture may stand, in the order in which they are filled."""


def _section(kind: Kind) -> str:
    """Where a kind of picture belongs; one whose section there is not stands with those of none."""
    if kind.name in FIRST:
        return TOP
    return kind.section if kind.section in ORDER else OTHER


def _place(name: str) -> int:
    return FIRST.index(name) if name in FIRST else len(FIRST)


def data_uri(figure: Path) -> str:
    """Return the SVG beside a figure's PNG as a data URI, the PNG where there is none or it is far too large.

    An image of its own keeps ids and scripts in it to itself.
    """
    dots = figure.read_bytes()
    if (drawn := figure.with_suffix(".svg")).exists():
        lines = _svg(drawn.read_text(encoding="utf-8"))
        if len(lines) <= LARGER * len(dots):
            return _uri("svg+xml", lines)
    return _uri("png", dots)


def narrow_uri(study: Study, kind: Kind) -> str:
    """Draw a picture for a phone's width, and return it as a data URI."""
    made = kind.figure(study, LIGHT.sized(NARROWEST, None))
    return _uri("svg+xml", _svg(svg(made).decode("utf-8")))


def _svg(text: str) -> bytes:
    return by_scheme(small_svg(text)).encode("utf-8")


def _uri(kind: str, content: bytes) -> str:
    return f"data:image/{kind};base64,{base64.b64encode(content).decode('ascii')}"


def small_svg(text: str) -> str:
    r"""Return an SVG without what no eye sees, and with what all its words share said once.

    Metadata, blanks between tags, names that nothing calls, digits beyond a hundredth of a point and points that fall
    together go.

    >>> small_svg('<svg><!-- two -->\n <path d="M 1.23456 2 L 3 4 L 3 4 z" id="a1.2345"/>\n</svg>')
    '<svg><path d="M 1.23 2 L 3 4 z"/></svg>'
    """
    text = METADATA.sub("", text)
    text = COORDINATES.sub(lambda found: f'{found[1]}="{DECIMALS.sub(_cut, " ".join(found[2].split()))}"', text)
    called = set(CALLED.findall(text))
    text = NAMES.sub(lambda found: found[0] if found[1] in called else "", TWICE.sub(r"\1", text))
    if "</style>" in text:
        text = text.replace(f"{FAMILY}; ", "").replace("</style>", f"text{{{FAMILY}}}</style>", 1)
    return BETWEEN.sub("><", text).strip()


def by_scheme(text: str) -> str:
    """Return an SVG in the light look that takes the dark look's colours where the reader's screen is dark."""
    pairs = _pairs(LIGHT, DARK)
    rules = [
        f'[style*="{what}: {light}"]{{{what}:{dark}!important}}'
        for light, dark in pairs.items()
        for what in ("fill", "stroke")
        if f"{what}: {light}" in text
    ]
    style = f"<style>@media screen and (prefers-color-scheme:dark){{{''.join(rules)}}}</style>"
    return text.replace("</svg>", f"{style}</svg>") if rules else text


def _pairs(light: Look, dark: Look) -> dict[str, str]:
    """Each colour of one look and the other's in its place; where one stands for several, the first."""
    found: dict[str, str] = {}
    for name, value in vars(light).items():
        other = getattr(dark, name)
        for one, two in zip(value, other, strict=True) if isinstance(value, tuple) else [(value, other)]:
            if isinstance(one, str):
                found.setdefault(one.lower(), two.lower())
    return found


def _cut(found: re.Match[str]) -> str:
    return found[1].rstrip("0").rstrip(".")
