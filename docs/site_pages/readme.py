"""A section of the README on a page of the site, so that its words stand once."""

from __future__ import annotations

from docutils import nodes
from docutils.parsers.rst import Directive
from markdown_it import MarkdownIt

from site_pages.parts import ROOT, html


class ReadmeDirective(Directive):
    """``.. readme:: HEADING``: what stands under a second heading of the README."""

    required_arguments = 1
    final_argument_whitespace = True

    def run(self) -> list[nodes.Node]:
        """Return the section's text as HTML, its tables in a frame that scrolls."""
        path = ROOT / "README.md"
        self.state.document.settings.record_dependencies.add(str(path))
        _, found, rest = path.read_text(encoding="utf-8").partition(f"\n## {self.arguments[0]}\n")
        if not found:
            raise self.error(f"README.md has no section {self.arguments[0]!r}")
        text = MarkdownIt("commonmark").enable("table").render(rest.partition("\n## ")[0])
        return [html(text.replace("<table>", '<div class="wide"><table>').replace("</table>", "</table></div>"))]
