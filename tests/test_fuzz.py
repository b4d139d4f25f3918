"""Three hundred spoilt inputs of a fixed seed, and that the fuzzer notices what it must; more by tests/fuzz.py."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path

import fuzz
import fuzz_inputs
import fuzz_tables
import pytest
from fuzz import Outcome, faults, keep, run, tried
from fuzz_inputs import KINDS, Input, made

pytestmark = [
    pytest.mark.skipif(not hasattr(fuzz.signal, "SIGPROF"), reason="this system has no such watchdog"),
    pytest.mark.no_cover,
]

COUNT = int(os.environ.get("FUZZ", "300"))
A_TEST = 30


@pytest.mark.parametrize("first", range(0, COUNT, A_TEST))
def test_no_spoilt_file_breaks_the_command(first: int) -> None:
    wrong = {}
    for number in range(first, first + A_TEST):
        given, _, found = tried(fuzz.SEED, number)
        if found:
            wrong[f"python tests/fuzz.py --number {number}"] = (given.arguments, given.changes, found)
    assert not wrong


def test_an_input_follows_from_its_seed_and_number() -> None:
    assert made(3, 14) == made(3, 14)
    assert made(3, 14) != made(3, 15)
    assert made(3, 14) != made(4, 14)


def test_every_kind_and_every_verb_comes_and_some_inputs_are_taken() -> None:
    inputs = [made(fuzz.SEED, number) for number in range(COUNT)]
    assert {each.kind for each in inputs} == set(KINDS)
    assert {each.arguments[0] for each in inputs} >= {"check", "study", "options", "window", "mesh", "outline"}
    assert {name for each in inputs for name in each.changes} >= set(fuzz_tables.CHANGES)


GOOD = Outcome(0, "{}", "", (), 0.1)
WRONG = {
    "status 1": {"status": 1, "err": "scaling: unforeseen ValueError: x.\n"},
    "no end": {"status": None},
    "it took": {"seconds": 6.0},
    "a traceback": {"status": 1, "err": "Traceback (most recent call last):\n"},
    "no JSON: NaN": {"out": '{"a": NaN}'},
    "no JSON: -Infinity": {"out": "[-Infinity]"},
    "no JSON: 1e999": {"out": "[1e999]"},
    "no JSON: Expecting": {"out": "{"},
    "without a word": {"status": 2, "out": ""},
    "refused and printed": {"status": 2, "err": "scaling: no.\n"},
    "standard error": {"err": "x.py:1: RuntimeWarning: divide by zero\n"},
    "written: a": {"written": ("a",)},
}


@pytest.mark.parametrize("word", WRONG)
def test_what_is_wrong_is_seen(word: str) -> None:
    given = Input("design", {"design.toml": b""}, ("check", "design.toml", "--json"), ())
    assert faults(given, GOOD) == []
    assert any(word in each for each in faults(given, replace(GOOD, **WRONG[word])))


def test_printed_words_that_are_no_numbers_are_seen() -> None:
    given = Input("design", {"design.toml": b'name = "a"'}, ("check", "design.toml"), ())
    assert faults(given, replace(GOOD, out="mass  nan kg")) == ["printed nan"]
    assert faults(given, replace(GOOD, out="mass -inf")) == ["printed -inf"]
    assert faults(given, replace(GOOD, out="banana, information")) == []


def test_a_run_that_never_ends_is_stopped(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def never() -> None:
        while True:
            pass

    monkeypatch.setattr(fuzz, "main", never)
    monkeypatch.setattr(fuzz, "LIMIT", 0.05)
    outcome = run(Input("design", {"design.toml": b""}, ("check", "design.toml"), ()), tmp_path)
    assert outcome.status is None


def test_what_is_written_is_seen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def writes() -> None:
        Path(sys.argv[2]).with_name("b").write_text("x", encoding="utf-8")
        Path(sys.argv[2]).write_text("x", encoding="utf-8")
        raise SystemExit(2)

    monkeypatch.setattr(fuzz, "main", writes)
    outcome = run(Input("design", {"design.toml": b""}, ("check", "design.toml"), ()), tmp_path)
    assert (outcome.status, sorted(outcome.written)) == (2, ["b", "design.toml"])


def test_what_fails_is_kept_with_what_shows_it_again(tmp_path: Path) -> None:
    given = made(fuzz.SEED, 0)
    keep(given, replace(GOOD, status=1, err="x"), ["status 1"], tmp_path / "kept", "again")
    assert {name: (tmp_path / "kept" / name).read_bytes() for name in given.files} == given.files
    assert given.arguments[0] in (tmp_path / "kept" / "again.sh").read_text(encoding="utf-8")
    assert "status 1" in (tmp_path / "kept" / "outcome.txt").read_text(encoding="utf-8")


def test_the_files_that_are_spoilt_are_good_before() -> None:
    """Tables written again say the same: what an unspoilt file gives is no fault of the writer here."""
    import tomllib

    for path in sorted(fuzz_inputs.DEMOS.glob("*/*.toml")):
        tables = tomllib.loads(path.read_text(encoding="utf-8"))
        assert tomllib.loads(fuzz_tables.toml(tables)) == tables
