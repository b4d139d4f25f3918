"""The last net: a number that is not finite is never printed nor written, and never ends a run as unforeseen."""

from __future__ import annotations

import json
from math import inf, nan
from pathlib import Path

import pytest

from scaling.command.console import print_json
from scaling.files.errors import InputError
from scaling.files.json_text import json_text
from scaling.files.units import format_number, format_value
from scaling.show.table import Table, as_csv, as_text, columns

NONE = (nan, inf, -inf)


@pytest.mark.parametrize("number", NONE)
def test_json_names_the_number_that_is_not_finite(number: float) -> None:
    data = {"ports": [{"mass": 1.0}, {"quantities": {"bite": {"value": number}}}]}
    with pytest.raises(InputError, match=r"^ports\[2\]\.quantities\.bite\.value: .*not finite") as caught:
        json_text(data)
    assert len(str(caught.value)) <= 300
    with pytest.raises(InputError):
        print_json(data)


def test_json_of_finite_numbers_is_that_of_the_library() -> None:
    data = {"a": [1, 2.5, None, "é"], "b": {"c": True}}
    assert json.loads(json_text(data, indent=1)) == data


@pytest.mark.parametrize("number", NONE)
def test_no_table_says_a_number_that_is_not_finite(number: float) -> None:
    table = Table("t", "T", columns("name", "value"), (("mass", number),))
    assert as_csv(table) == "name,value\nmass,\n"
    assert as_text(table).split()[-2:] == ["mass", "-"]
    assert (format_number(number), format_value(number, "kg")) == ("-", "- g")


def test_a_study_whose_result_is_not_finite_ends_in_a_sentence(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from scaling.command import cli
    from scaling.show import study_json

    demo = Path(__file__).parent.parent / "demo_designs/plinthling/brief.toml"
    monkeypatch.setattr(study_json, "as_json", lambda _: {"reference": {"mass": nan}})
    for rest in (["--json"], ["-o", str(tmp_path / "out")]):
        monkeypatch.setattr("sys.argv", ["scaling", "study", str(demo), *rest])
        with pytest.raises(SystemExit) as ended:
            cli.main()
        said = capsys.readouterr().err
        assert ended.value.code == 2
        assert said.startswith("scaling: reference.mass: ")
        assert len(said) <= 300
    assert not list(tmp_path.iterdir())
