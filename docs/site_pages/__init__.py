"""Pages of the site that are made from the book, the schema and the pictures' table: directives, and their files."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from site_pages import branches, commands, equations, formats, limits, pictures, readme, shown

if TYPE_CHECKING:
    from sphinx.application import Sphinx


def setup(app: Sphinx) -> dict[str, bool]:
    """Add the directives, and write a page a branch before the sources are looked for."""
    app.add_directive("bounds", limits.BoundsDirective)
    app.add_directive("branch", branches.BranchDirective)
    app.add_directive("commands", commands.CommandsDirective)
    app.add_directive("equation", equations.EquationDirective)
    app.add_directive("file-format", formats.FormatDirective)
    app.add_directive("gallery", pictures.GalleryDirective)
    app.add_directive("picture", pictures.PictureDirective)
    app.add_directive("pictures", pictures.ReadingDirective)
    app.add_directive("readme", readme.ReadmeDirective)
    app.add_directive("sizes", limits.SizesDirective)
    app.add_directive("shown", shown.ShownDirective)
    app.connect("builder-inited", branches.write_pages)
    app.connect("builder-inited", pictures.draw)
    app.connect("html-page-context", reached_by_keys)
    return {"parallel_read_safe": False}


SCROLLS = ("<pre>", '<div class="wide', '<div class="equation"')
"""How what may be wider than a page begins."""


def reached_by_keys(app: Sphinx, page: str, template: str, context: dict[str, Any], tree: object) -> None:
    """Let what scrolls by itself take the focus, so that it can be scrolled without a mouse."""
    for start in SCROLLS:
        tag = start.removeprefix("<").partition(" ")[0].removesuffix(">")
        context["body"] = context.get("body", "").replace(start, start.replace(f"<{tag}", f'<{tag} tabindex="0"'))
