"""Standard output and error: every code page, closed, full, a reader who has gone; help in the terms of the trade."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import scaling
from scaling.command.cli import found_verbs
from scaling.command.streams import PLAINER, plainer

PAGES = ("ascii", "cp437", "cp850", "cp932", "cp1251", "cp1252", "latin-1", "utf-8")
"""Code pages of consoles, from the least to the most that they hold; each decodes what it encodes."""

shell = pytest.mark.skipif(os.name == "nt", reason="needs a POSIX shell")


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., subprocess.CompletedProcess[bytes]]:
    """Run a line of the shell in which $SCALING is the command, in an empty folder; the streams come as bytes."""
    path = str(Path(scaling.__file__).parent.parent)
    folder = tmp_path_factory.mktemp("run")

    def line(text: str, **changes: str) -> subprocess.CompletedProcess[bytes]:
        kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
        return subprocess.run(
            ["bash", "-c", text.replace("$SCALING", f'"{sys.executable}" -m scaling')],
            env=kept | {"PYTHONPATH": path} | changes, cwd=folder, capture_output=True, timeout=120, check=False,
        )  # fmt: skip

    return line


def test_signs_that_a_code_page_lacks_are_written_plainer() -> None:
    assert plainer("2 × 3 − 1 → 5 mm² …, 3 µm, 22 mΩ, 40°, m⁻¹, Ünï") == (
        "2 x 3 - 1 -> 5 mm^2 ..., 3 um, 22 mohm, 40deg, m^-1, Uni"
    )
    assert plainer("鋸") == "?"
    assert "12 mm², 鋸".encode("cp437", PLAINER).decode("cp437") == "12 mm², ?"


@pytest.mark.parametrize("changes", [{"PYTHONIOENCODING": page} for page in PAGES[:4]] + [{"LC_ALL": "C"}], ids=str)
@shell
def test_a_run_writes_in_any_code_page(run: Callable[..., Any], changes: dict[str, str]) -> None:
    page = changes.get("PYTHONIOENCODING", "utf-8")
    found = run("$SCALING materials && $SCALING study 'Ünklar鋸.toml'", **changes)
    assert found.returncode == 2
    said = found.stdout.decode(page)
    assert "density, kg/m" in said
    assert "?" not in said
    assert found.stderr.decode(page).count("\n") == 1
    assert "nklar" in found.stderr.decode(page)


@shell
def test_json_in_a_poor_code_page_says_the_same(run: Callable[..., Any]) -> None:
    import json

    wanted, found = (
        run("$SCALING keys rotor.motor --json", PYTHONIOENCODING=page).stdout for page in ("utf-8", "ascii")
    )
    assert json.loads(wanted.decode("utf-8")) == json.loads(found.decode("ascii"))


@pytest.mark.parametrize(
    ("line", "status"),
    [
        ("$SCALING keys --json | head -c 1 >/dev/null; exit ${PIPESTATUS[0]}", 0),
        ("$SCALING keys >&-", 0),
        ("$SCALING --help >&-", 0),
        ("$SCALING keys 2>&- >/dev/null", 0),
        ("$SCALING study none.toml >&- 2>&-", 2),
        ("$SCALING study none.toml 2>/dev/full", 2),
    ],
)
@shell
def test_a_closed_stream_ends_quietly(run: Callable[..., Any], line: str, status: int) -> None:
    found = run(line)
    assert (found.returncode, found.stderr) == (status, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
@pytest.mark.parametrize("words", ["keys", "--help"])
def test_a_full_disk_under_the_output_is_one_sentence(run: Callable[..., Any], words: str) -> None:
    found = run(f"$SCALING {words} >/dev/full")
    assert found.returncode == 2
    assert found.stderr.decode() == "scaling: standard output cannot be written (No space left on device).\n"


NOISY = """
import logging, sys, warnings
from scaling.files import version
from scaling.command import cli, streams
def loud(command=None):
    import numpy as np
    warnings.warn("an aside")
    np.log(np.asarray([0.0]))
    logging.getLogger("matplotlib.font_manager").warning("an aside")
    logging.getLogger("trimesh").error("an aside")
made = cli.application()
made.command(name="loud", cls=cli.Verb)(lambda: loud())
cli.application = lambda names: made
cli.main()
"""


def test_what_libraries_say_aside_stays_off_standard_error(process: Callable[..., Any]) -> None:
    quiet = process("loud", before=("-c", NOISY))
    assert (quiet.status, quiet.err) == (0, "")
    heard = process("loud", before=("-c", NOISY), SCALING_TRACEBACK="1")
    assert heard.err.count("an aside") >= 3  # else the check above could not fail
    assert "divide by zero" in heard.err


def test_help_speaks_of_the_trade_in_plain_signs(command: Callable[..., Any]) -> None:
    for verb in ["", *found_verbs()]:
        said = command(*verb.replace("_", "-").split(), "--help").out
        assert said.isascii()
        assert "\x1b" not in said
        for line in said.splitlines():
            assert not re.search(r"[{}<>]|\[\[|list\[|\bTEXT\b|\bINTEGER\b|\bPATH\b|int range|[a-z]\.\.\.$", line), line
        for flag, word in re.findall(r"(?m)^  (?:-\w, )?(--[\w-]+)(?: (\S+))?(?:  |$)", said):
            assert not word or word.replace("=", "").isupper(), flag


@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
@pytest.mark.parametrize("changes", [{"TERM": "dumb"}, {"NO_COLOR": "1", "TERM": "xterm"}, {"TERM": "xterm"}], ids=str)
def test_a_terminal_is_steered_only_where_it_can_be(changes: dict[str, str]) -> None:
    import pty

    kept = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "FORCE_COLOR")}
    master, slave = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "scaling", "laws"],
        stdout=slave, stderr=slave, stdin=subprocess.DEVNULL, env=kept | changes,
        cwd=Path(scaling.__file__).parent.parent,
    ):  # fmt: skip
        os.close(slave)
        said = b""
        try:
            while more := os.read(master, 65536):
                said += more
        except OSError:  # how Linux says that the other end has closed
            pass
    os.close(master)
    assert b"hold-tip-speed" in said
    assert (b"\x1b" in said) == (changes == {"TERM": "xterm"})
