"""The verb ``plot``: one picture of a study, alone, as PNG or SVG."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scaling.command.console import ForceFlag, JsonFlag, print_json, progress, say, wrapped
from scaling.command.flags import check_within, check_writing
from scaling.files.errors import InputError
from scaling.files.write import check_file
from scaling.show.figures.kinds import KINDS, kind_named

if TYPE_CHECKING:
    from scaling.show.figures.look import Look

ORDER = 35
EXAMPLE = "plot drift brief.toml -o picture.png"
SUFFIXES = (".png", ".svg")
USUAL_DPI = 150


def plot(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="Which picture; the kinds stand above.")],
    path: Annotated[Path, typer.Argument(metavar="BRIEF", help="The brief.")],
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="PICTURE", help="File to write: NAME.png or NAME.svg.")
    ] = None,
    width: Annotated[
        str | None, typer.Option(metavar="LENGTH", help='Width, such as "160 mm" or "6 in". Default 183 mm.')
    ] = None,
    height: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Height; without it as high as the picture needs.")
    ] = None,
    dpi: Annotated[
        int | None, typer.Option(metavar="DOTS", help="Dots an inch of a PNG, 50 to 1200. Default 150.")
    ] = None,
    dark: Annotated[bool, typer.Option("--dark", help="Light on a dark page.")] = False,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Draw one picture of a study."""
    from scaling.decide.whole import whole_study
    from scaling.port.brief import load_brief
    from scaling.robot.design import load_design
    from scaling.show.figures.saving import save_as

    chosen = kind_named(kind, "KIND")
    check_writing(out, force, as_json)
    if not as_json:
        out = _checked(out, force)
    if dpi is not None:
        check_within("--dpi", dpi, 50, 1200)
        if out is None or out.suffix.lower() != ".png":
            raise InputError("only a PNG has dots", None, "--dpi", dpi, hint="leave it out")
    look = _look(width, height, dark)
    brief = load_brief(path)
    found = whole_study(load_design(brief.design_file), brief, progress())
    made, words = chosen.figure(found, look), chosen.words(found)
    if (show := progress()) is not None:
        show("")
    if as_json:
        print_json({"kind": chosen.name, "title": chosen.title, "alt": words, "panels": _panels(made)})
        return
    assert out is not None  # noqa: S101 - checked above
    save_as(made, out, USUAL_DPI if dpi is None else dpi, force, "--out")
    wrapped(words, "")
    say(f"Written to {out}")


_KINDS = "\n".join(f"{kind.name:<14} {kind.line}" for kind in KINDS)
plot.__doc__ = f"""{plot.__doc__}

The kinds:

\b
{_KINDS}
"""


def _checked(out: Path | None, force: bool) -> Path:
    """The file to write; raises InputError for none, another kind of file, and one that is there already."""
    allowed = f"a file that ends in {' or '.join(SUFFIXES)}"
    if out is None:
        raise InputError("a picture needs a file to go to", None, "--out", allowed=allowed)
    if out.suffix.lower() not in SUFFIXES:
        raise InputError("a picture cannot be written as this", None, "--out", str(out), allowed)
    check_file(out, force, "--out")
    return out


def _look(width: str | None, height: str | None, dark: bool) -> Look:
    from scaling.robot.parts import positive
    from scaling.show.figures.look import DARK, INCH, LIGHT

    sizes = [None if text is None else positive(text, "m", None, flag) / INCH
             for flag, text in (("--width", width), ("--height", height))]  # fmt: skip
    return (DARK if dark else LIGHT).sized(*sizes)


def _panels(made: Any) -> list[dict[str, Any]]:
    """What is drawn, panel by panel: the words of the axes, and every named line's points."""
    return [
        {
            "title": axes.get_title(loc="left"),
            "x": axes.get_xlabel(),
            "y": axes.get_ylabel(),
            "lines": [
                {"name": line.get_gid(), "x": _numbers(line.get_xdata()), "y": _numbers(line.get_ydata())}
                for line in axes.lines if line.get_gid()
            ],
        }
        for axes in made.axes
    ]  # fmt: skip


def _numbers(values: Any) -> list[float | None]:
    from math import isfinite

    return [float(value) if isfinite(value) else None for value in values]
