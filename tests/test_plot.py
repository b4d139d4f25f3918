"""The verb ``plot``: one picture alone, in the size and on the page that is asked, and what it refuses."""

from __future__ import annotations

import json
import shutil
import struct
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from scaling.command.cli import application
from scaling.files.errors import InputError
from scaling.show.figures.kinds import KINDS

DEMO = Path(__file__).parent.parent / "demo_designs" / "tarvindle"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("brief.toml", "design.toml", "rotor_motors.csv", "drive_motors.csv"):
        shutil.copy(DEMO / name, tmp_path / name)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def plot(*words: str) -> str:
    found = CliRunner().invoke(application(), ["plot", *words], standalone_mode=False)
    if found.exception is not None:
        raise found.exception
    return found.output


def png_size(path: Path) -> tuple[int, int, float]:
    """Dots across and down, and dots a metre: W3C, PNG Specification, 2nd ed., IHDR and pHYs; from memory."""
    data = path.read_bytes()
    wide, tall = struct.unpack(">II", data[16:24])
    return wide, tall, struct.unpack(">I", data[data.index(b"pHYs") + 4 :][:4])[0]


def test_a_png_has_the_size_that_is_asked(here: Path) -> None:
    said = plot("rush", "brief.toml", "-o", "rush.png", "--width", "6 in", "--height", "150 mm", "--dpi", "100")
    wide, tall, dots = png_size(here / "rush.png")
    assert (wide, tall) == (600, 590), "6 inches and 150 mm at 100 dots an inch"
    assert dots == pytest.approx(100 / 0.0254, abs=1)
    assert "before the opponent is there" in " ".join(said.split())
    assert "rush.png" in said


def test_a_dark_svg_keeps_its_words(here: Path) -> None:
    plot("outlines", "brief.toml", "-o", "out.svg", "--dark")
    text = (here / "out.svg").read_text(encoding="utf-8")
    assert ">Reference</text>" in text
    assert "#121821" in text.lower(), "the dark page"
    assert sorted(path.name for path in here.glob("*.svg*")) == ["out.svg"]


def test_json_tells_what_is_drawn_and_writes_nothing(here: Path) -> None:
    before = sorted(here.iterdir())
    told = json.loads(plot("turning", "brief.toml", "--json"))
    assert told["kind"] == "turning"
    assert "lift" in told["alt"]
    (panel,) = told["panels"]
    assert panel["x"] == "turn rate, rpm"
    lifting = next(line for line in panel["lines"] if line["name"] == "reference-lifting")
    assert lifting["y"][0] == pytest.approx(50)
    assert sorted(here.iterdir()) == before


@pytest.mark.parametrize(("words", "said"), [
    (("rushes", "brief.toml", "-o", "a.png"), "no such kind of picture.*did you mean"),
    (("rush", "brief.toml"), "needs a file to go to"),
    (("rush", "brief.toml", "-o", "a.pdf"), "ends in .png or .svg"),
    (("rush", "brief.toml", "-o", "there.png"), "the file is there already.*--force"),
    (("rush", "brief.toml", "-o", "a.png", "--width", "12 mm"), "a picture cannot be this wide"),
    (("rush", "brief.toml", "-o", "a.png", "--height", "12 mm"), "the picture has no room"),
    (("rush", "brief.toml", "-o", "a.png", "--width", "6 kg"), "--width"),
    (("rush", "brief.toml", "-o", "no/where/a.png"), "cannot be written"),
])  # fmt: skip
def test_what_cannot_be_is_refused(here: Path, words: tuple[str, ...], said: str) -> None:
    (here / "there.png").write_bytes(b"mine")
    with pytest.raises(InputError, match=said):
        plot(*words)
    assert (here / "there.png").read_bytes() == b"mine"
    assert not (here / "a.png").exists()


def test_force_replaces_a_file(here: Path) -> None:
    (here / "there.png").write_bytes(b"mine")
    plot("rush", "brief.toml", "-o", "there.png", "--force")
    assert (here / "there.png").read_bytes()[:4] == b"\x89PNG"


def test_help_lists_every_kind_and_loads_no_numbers() -> None:
    script = (
        "import sys\nsys.argv = ['scaling', 'plot', '--help']\nfrom scaling.command.cli import application\n"
        "try:\n    application()()\nexcept SystemExit:\n    pass\n"
        "assert not {'numpy', 'matplotlib', 'sympy', 'pandas'} & set(sys.modules)\n"
    )
    said = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True).stdout
    for kind in KINDS:
        assert f"{kind.name} " in said and kind.line in said
