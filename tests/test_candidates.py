"""A builder's catalogue of motors: what is read, in SI, and how a mistyped row is named.

Factors of units are those of the International System (NIST Special Publication 811, 2008): a revolution is 2 pi rad.
The motors are invented for these tests.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from scaling.files.errors import InputError
from scaling.shop.motors import LARGEST_FILE, Motor, load_motors, total_price

HEADER = "name,kv_rpm_per_V,resistance_mohm,no_load_current_A,current_limit_A,diameter_mm,mass_g"
ROW = "A,1200,45,1.5,50,35,80"


@pytest.fixture
def catalogue(tmp_path: Path) -> Callable[..., Path]:
    def write(*lines: str, encoding: str = "utf-8", end: str = "\n") -> Path:
        path = tmp_path / "motors.csv"
        path.write_bytes(end.join(lines).encode(encoding))
        return path

    return write


def test_numbers_come_in_si(catalogue: Callable[..., Path]) -> None:
    (motor,) = load_motors(catalogue(HEADER, ROW))
    assert motor.name == "A"
    assert motor.numbers == pytest.approx(
        {
            "kv": 1200 * 2 * math.pi / 60,
            "resistance": 0.045,
            "no_load_current": 1.5,
            "current_limit": 50.0,
            "diameter": 0.035,
            "mass": 0.080,
        },
        rel=1e-12,
    )


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_comments_blanks_quotes_and_any_order_of_columns(
    catalogue: Callable[..., Path], encoding: str, end: str
) -> None:
    lines = (
        "# mine",
        "",
        "mass_g, name,kv_rpm_per_V,resistance_mohm,no_load_current_A,current_limit_A,diameter_mm",
        '80, "Z, wound by hand",1200,45,0,50,35',
        ",,,,,,",
        '"# more",,,,,,',
        "90,B,1000,50,1,40,36",
    )
    motors = load_motors(catalogue(*lines, encoding=encoding, end=end))
    assert [motor.name for motor in motors] == ["Z, wound by hand", "B"]
    assert [motor.numbers["mass"] for motor in motors] == pytest.approx([0.080, 0.090])
    assert motors[0].numbers["no_load_current"] == 0.0


@pytest.mark.parametrize(
    ("row", "key"),
    [
        ("B,12OO,45,1.5,50,35,80", "kv_rpm_per_V"),
        ("B,,45,1.5,50,35,80", "kv_rpm_per_V"),
        ("B,1200,0,1.5,50,35,80", "resistance_mohm"),
        ("B,1200,-45,1.5,50,35,80", "resistance_mohm"),
        ("B,1200,nan,1.5,50,35,80", "resistance_mohm"),
        ("B,1200,45,1e999,50,35,80", "no_load_current_A"),
        ("B,1200,45,1.5,50 A,35,80", "current_limit_A"),
        ("B,1200,45,1.5,50,inf,80", "diameter_mm"),
        ("B,1200,45,1.5,50,35,80 g", "mass_g"),
        (",1200,45,1.5,50,35,80", "name"),
        ("B\x1b[31m,1200,45,1.5,50,35,80", "name"),
        (f"{'x' * 61},1200,45,1.5,50,35,80", "name"),
        ("A,1200,45,1.5,50,35,80", "name"),
        ("B,1200,45,1,5,50,35,80", None),  # a decimal comma
        ("B,1200,45,1.5,50,35", None),
        ('B,1200,45,1.5,50,35,"80', None),
        ("B,1200,45,1.5,50,35,80\0", "mass_g"),
    ],
)
def test_a_mistyped_row_is_named_by_file_and_line(catalogue: Callable[..., Path], row: str, key: str | None) -> None:
    with pytest.raises(InputError) as refused:
        load_motors(catalogue("# mine", HEADER, ROW, row, "C,900,60,1.1,40,35,80"))
    assert str(refused.value.file).endswith("motors.csv, line 4")
    if key is not None:
        assert refused.value.key == key
    assert str(refused.value).isprintable()


@pytest.mark.parametrize(
    ("header", "key", "hint"),
    [
        (HEADER.replace("mass_g", "mas_g"), "mas_g", "mass_g"),
        (HEADER.replace("resistance_mohm", "resistance_ohm"), "resistance_ohm", "resistance_mohm"),
        (HEADER.replace(",mass_g", ""), "mass_g", None),
        (HEADER + ",mass_g", "mass_g", None),
        (HEADER.replace(",", ";"), None, "commas"),
    ],
)
def test_a_header_that_cannot_be(
    catalogue: Callable[..., Path], header: str, key: str | None, hint: str | None
) -> None:
    with pytest.raises(InputError) as refused:
        load_motors(catalogue("# mine", header, ROW))
    assert str(refused.value.file).endswith("motors.csv, line 2")
    assert refused.value.key == key
    assert hint is None or hint in str(refused.value.hint)


def test_files_that_are_no_catalogue(tmp_path: Path) -> None:
    contents = {
        "empty": b"",
        "comment": b"# nothing\n",
        "header": HEADER.encode(),
        "latin": b"name\n\xfc\n",
        "long": b"#" * (LARGEST_FILE.most + 1),
        "field": f"{HEADER}\n{'1' * 200_000},1,1,1,1,1,1".encode(),
    }
    for name, content in contents.items():
        (tmp_path / name).write_bytes(content)
    for path in (*(tmp_path / name for name in contents), tmp_path, tmp_path / "gone.csv", Path("nul\0")):
        with pytest.raises(InputError) as refused:
            load_motors(path)
        assert str(path) in str(refused.value.file)


@example(",".join(ROW.split(",")[1:]), b"")
@given(st.text(alphabet='0123456789.,-+eEnaif#"\n\r\t xM\0', max_size=80), st.binary(max_size=60))
def test_whatever_follows_the_header_is_motors_or_an_input_error(
    tmp_path_factory: pytest.TempPathFactory, rows: str, noise: bytes
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.csv"
    for content in (f"{HEADER}\n{ROW}\nB,{rows}".encode(), f"{HEADER}\n".encode() + noise, noise):
        path.write_bytes(content)
        try:
            found = load_motors(path)
        except InputError:
            continue
        for motor in found:
            assert all(math.isfinite(value) and value >= 0 for value in motor.numbers.values())


def test_the_main_demo_s_catalogues_are_read(main_folder: Path) -> None:
    paths = sorted(main_folder.glob("*_motors.csv"))
    assert len(paths) == 2
    for path in paths:
        rows = [line for line in path.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
        motors = load_motors(path)
        assert [motor.name for motor in motors] == [row.split(",")[0] for row in rows[1:]]
        assert len(motors) >= 5


def test_a_column_of_prices_may_stand_there(catalogue: Callable[..., Path]) -> None:
    motors = load_motors(catalogue(f"{HEADER},price", f"{ROW},38.50 EUR", "B,1200,45,1.5,50,35,80,"))
    assert [motor.price for motor in motors] == ["38.50 EUR", ""]
    assert [motor.price for motor in load_motors(catalogue(HEADER, ROW))] == [""]
    with pytest.raises(InputError, match="not a price"):
        load_motors(catalogue(f"{HEADER},price", f"{ROW},{'9' * 70}"))
    with pytest.raises(InputError) as refused:
        load_motors(catalogue(f"{HEADER},prize", f"{ROW},3"))
    assert "price" in str(refused.value)


@pytest.mark.parametrize(
    ("prices", "total"),
    [
        ([("12.25", 1), ("3.10", 2)], "18.45"),
        ([("12", 1)], "12"),
        ([("$5", 2), ("$2.50", 1)], "$12.50"),
        ([("5 EUR", 1), ("5 CHF", 1)], "5 EUR + 5 CHF"),
        ([("5 EUR", 1), ("", 2)], ""),
        ([], ""),
    ],
)
def test_prices_of_one_currency_are_added(prices: list[tuple[str, int]], total: str) -> None:
    assert total_price([(Motor("a", {}, price), count) for price, count in prices]) == total
