"""Shelf files of a builder's own, look-ups by name, and snapping to the shelf."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaling.files.errors import InputError
from scaling.shop import stock

SHELVES: dict[str, Callable[[Path | None], tuple[object, ...]]] = {
    "bolts.csv": stock.bolts,
    "bolt_classes.csv": stock.bolt_classes,
    "sheets.csv": stock.sheets,
    "bearings.csv": stock.bearings,
    "cells.csv": stock.cells,
    "toothed_belts.csv": stock.toothed_belts,
    "round_belts.csv": stock.round_belts,
}
BEARING_HEADER = "designation,bore_mm,outside_mm,width_mm"
CELL_HEADER = "chemistry,nominal_V,full_V,cut_off_V"


@pytest.fixture
def write(tmp_path: Path) -> Callable[..., Path]:
    def written(*lines: str, encoding: str = "utf-8") -> Path:
        path = tmp_path / "own.csv"
        path.write_text("\n".join(lines) + "\n", encoding=encoding)
        return path

    return written


@pytest.mark.parametrize("name", SHELVES)
def test_built_in_file_reads_as_an_own_file(name: str) -> None:
    path = stock.FOLDER / name
    assert SHELVES[name](path) == SHELVES[name](None)


def test_own_row_replaces_the_same_key_and_adds_another(write: Callable[..., Path]) -> None:
    own = write(BEARING_HEADER, "608,8,22,7.5", "6802x7,15,24,7")
    found = {entry.designation: entry for entry in stock.bearings(own)}
    assert found["608"].width == 0.0075
    assert found["6802x7"].bore == 0.015
    assert len(found) == len(stock.bearings()) + 1
    bores = [entry.bore for entry in stock.bearings(own)]
    assert bores == sorted(bores)
    assert next(entry for entry in stock.bearings() if entry.designation == "608").width == 0.007


def test_a_key_counts_without_regard_to_capitals(write: Callable[..., Path]) -> None:
    own = write(CELL_HEADER, "Lithium Polymer,3.75,4.25,3.1")
    assert len(stock.cells(own)) == len(stock.cells())
    assert stock.thicknesses("Steel", stock.sheets(write("family,thickness_mm", "STEEL,3.2"))) == tuple(
        sorted([*stock.thicknesses("steel"), 0.0032])
    )


@pytest.mark.parametrize("mark", ["# replace", "#replace", "# Replace ", '"# replace",,,'])
def test_replace_on_the_first_line_is_the_whole_shelf(write: Callable[..., Path], mark: str) -> None:
    assert [cell.chemistry for cell in stock.cells(write(mark, CELL_HEADER, "other,3,4,2"))] == ["other"]


def test_other_comments_add_to_the_shelf(write: Callable[..., Path]) -> None:
    own = write("# replace the belts in spring", "diameter_mm", "", "# from the drawer", "4.5", ",")
    assert len(stock.round_belts(own)) == len(stock.round_belts()) + 1
    assert stock.RoundBelt(0.0045) in stock.round_belts(own)


def test_replace_further_down_is_refused(write: Callable[..., Path]) -> None:
    with pytest.raises(InputError) as caught:
        stock.round_belts(write("diameter_mm", "# replace", "4.5"))
    assert str(caught.value.file).endswith("own.csv, line 2")


def test_columns_in_any_order_with_byte_order_mark_and_blanks(write: Callable[..., Path]) -> None:
    own = write("# replace", "cut_off_V, full_V, nominal_V, chemistry", '2, 4, 3, "sodium, say"', encoding="utf-8-sig")
    assert stock.cells(own) == (stock.Cell("sodium, say", 3.0, 4.0, 2.0),)


@pytest.mark.parametrize(
    ("row", "key", "shown"),
    [
        ("608,8,22,seven", "width_mm", "seven"),
        ("608,8,22,", "width_mm", ""),
        ("608,8,22,nan", "width_mm", "nan"),
        ("608,8,22,inf", "width_mm", "inf"),
        ("608,8,22,-7", "width_mm", "-7"),
        ("608,8,22,0", "width_mm", "0"),
        ("608,8,22,7 mm", "width_mm", "7 mm"),
        ("608,8,22,1e999999999", "width_mm", "1e999999999"),
        ("608,0.008,22,7", "bore_mm", "0.008"),  # metres for millimetres
        ("608,8,2.2,7", "outside_mm", "2.2"),
        ("608,8,8,7", "outside_mm", "8"),
        ('"",8,22,7', "designation", ""),
        (f"{'x' * 61},8,22,7", "designation", "x" * 61),
        ("60\x1b8,8,22,7", "designation", "60\x1b8"),
    ],
)
def test_mistyped_row_names_line_column_and_value(write: Callable[..., Path], row: str, key: str, shown: str) -> None:
    with pytest.raises(InputError) as caught:
        stock.bearings(write("# mine", BEARING_HEADER, "623,3,10,4", row))
    assert str(caught.value.file).endswith("own.csv, line 4")
    assert caught.value.key == key
    assert caught.value.given == shown
    assert caught.value.allowed


@pytest.mark.parametrize(
    ("name", "row", "key"),
    [
        ("bolts.csv", "M3,3,0.5,5.5,3,2.5,3.2,34,3.6", "clearance_coarse_mm"),
        ("bolts.csv", "M3,3,5,5.5,3,2.5,3.2,3.4,3.6", "diameter_mm"),
        ("bolts.csv", "M3,3,0.5,2.5,3,2.5,3.2,3.4,3.6", "head_diameter_mm"),
        ("bolt_classes.csv", "8.8,640,800,0.6,580", "ultimate_MPa"),
        ("bolt_classes.csv", "8.8,800,640,6,580", "shear_share"),
        ("cells.csv", "mine,4.2,3.7,3.0", "full_V"),
        ("cells.csv", "mine,3.7,4.2,3.9", "nominal_V"),
        ("cells.csv", "mine,3.7,42,3", "full_V"),
    ],
)
def test_row_at_odds_with_itself(write: Callable[..., Path], name: str, row: str, key: str) -> None:
    header = {
        "bolts.csv": "size,diameter_mm,pitch_mm,head_diameter_mm,head_height_mm,hex_key_mm,clearance_fine_mm,"
        "clearance_medium_mm,clearance_coarse_mm",
        "bolt_classes.csv": "name,ultimate_MPa,yield_strength_MPa,shear_share,proof_MPa",
        "cells.csv": CELL_HEADER,
    }[name]
    with pytest.raises(InputError) as caught:
        SHELVES[name](write(header, row))
    assert caught.value.key == key


@pytest.mark.parametrize(
    ("header", "key", "hint"),
    [
        ("designation,bore_mm,outside_mm,widht_mm", "widht_mm", "width_mm"),
        ("designation,bore_mm,outside_mm,width_in", "width_in", "width_mm"),
        ("designation,bore_mm,outside_mm", "width_mm", None),
        ("designation,bore_mm,outside_mm,width_mm,bore_mm", "bore_mm", None),
        ("designation;bore_mm;outside_mm;width_mm", None, "commas"),
    ],
)
def test_header_errors(write: Callable[..., Path], header: str, key: str | None, hint: str | None) -> None:
    with pytest.raises(InputError) as caught:
        stock.bearings(write(header, "608,8,22,7"))
    assert str(caught.value.file).endswith("own.csv, line 1")
    assert caught.value.key == key
    assert hint is None or hint in str(caught.value.hint)


def test_decimal_comma_and_open_quote(write: Callable[..., Path]) -> None:
    with pytest.raises(InputError) as caught:
        stock.bearings(write(BEARING_HEADER, "608,8,22,7,5"))
    assert "decimal comma" in str(caught.value.hint)
    with pytest.raises(InputError) as caught:
        stock.bearings(write(BEARING_HEADER, '608,8,22,"7'))
    assert str(caught.value.file).endswith("own.csv, line 2")


def test_a_row_twice_in_one_file(write: Callable[..., Path]) -> None:
    with pytest.raises(InputError) as caught:
        stock.sheets(write("family,thickness_mm", "steel,3", "Steel,3.0"))
    assert str(caught.value.file).endswith("own.csv, line 3")
    assert caught.value.key == "family and thickness"


def test_files_that_are_no_shelf(tmp_path: Path) -> None:
    missing, empty, comments, header = (tmp_path / f"{name}.csv" for name in ("missing", "empty", "comments", "header"))
    empty.touch()
    comments.write_text("# replace\n", encoding="utf-8")
    header.write_text(BEARING_HEADER, encoding="utf-8")
    latin = tmp_path / "latin.csv"
    latin.write_bytes("designation,bore_mm\nfür,8\n".encode("latin-1"))
    picture = tmp_path / "picture.csv"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00")
    long = tmp_path / "long.csv"
    long.write_text("#" * (stock.LARGEST_FILE.most + 1), encoding="utf-8")
    for path in (missing, empty, comments, header, latin, picture, long, tmp_path, Path("nul\0")):
        with pytest.raises(InputError) as caught:
            stock.bearings(path)
        assert caught.value.file == path
        assert caught.value.allowed


@given(st.binary(max_size=60), st.text(alphabet='0123456789.,-+eE#"\n\r\t xM\0', max_size=60))
def test_whatever_follows_the_header_is_a_shelf_or_an_input_error(
    tmp_path_factory: pytest.TempPathFactory, noise: bytes, rows: str
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.csv"
    for content in (noise, f"{BEARING_HEADER}\n".encode() + noise, f"{BEARING_HEADER}\n608,8,22,{rows}".encode()):
        path.write_bytes(content)
        try:
            found = stock.bearings(path)
        except InputError:
            continue
        assert all(0 < entry.bore < entry.outside < 100 and 0 < entry.width < 100 for entry in found)


def test_unknown_names_have_a_hint_and_the_list() -> None:
    assert stock.bolt(" m3 ") == stock.bolt("M3")
    for call, hint in (
        (lambda: stock.bolt("M33"), "M3"),
        (lambda: stock.bolt_class("12,9"), "12.9"),
        (lambda: stock.thicknesses("aluminum"), "aluminium"),
    ):
        with pytest.raises(InputError) as caught:
            call()
        assert f'"{hint}"' in str(caught.value.hint)
        assert hint in str(caught.value.allowed)


def test_look_up_on_an_own_shelf(write: Callable[..., Path]) -> None:
    own = stock.bolt_classes(write("name,ultimate_MPa,yield_strength_MPa,shear_share", "A4-80,800,600,0.5"))
    assert stock.bolt_class("A4-80", own).proof is None
    with pytest.raises(InputError):
        stock.bolt_class("A4-80")
    with pytest.raises(InputError):
        stock.bolt("M3", [])


SIZES = (0.002, 0.003, 0.004, 0.006)


@pytest.mark.parametrize(
    ("value", "nearest", "up", "down"),
    [
        (0.003, 0.003, 0.003, 0.003),
        (0.003 * (1 + 1e-10), 0.003, 0.003, 0.003),
        (0.003 * (1 - 1e-10), 0.003, 0.003, 0.003),
        (0.003 * (1 + 1e-8), 0.003, 0.004, 0.003),
        (0.003 * (1 - 1e-8), 0.003, 0.003, 0.002),
        (0.0025, 0.003, 0.003, 0.002),  # a tie goes up
        (0.0035, 0.004, 0.004, 0.003),
        (0.005, 0.006, 0.006, 0.004),
        (0.0049, 0.004, 0.006, 0.004),
        (0.0051, 0.006, 0.006, 0.004),
        (0.001, 0.002, 0.002, np.nan),
        (0.0, 0.002, 0.002, np.nan),
        (-1.0, 0.002, 0.002, np.nan),
        (0.002 * (1 - 1e-10), 0.002, 0.002, 0.002),
        (0.006 * (1 + 1e-10), 0.006, 0.006, 0.006),
        (0.007, 0.006, np.nan, 0.006),
        (np.inf, 0.006, np.nan, 0.006),
        (-np.inf, 0.002, 0.002, np.nan),
        (np.nan, np.nan, np.nan, np.nan),
    ],
)
@pytest.mark.filterwarnings("error")
def test_snap(value: float, nearest: float, up: float, down: float) -> None:
    for how, expected in (("nearest", nearest), ("up", up), ("down", down)):
        found = stock.snap(value, SIZES, how)  # type: ignore[arg-type]
        assert found.shape == ()
        np.testing.assert_equal(float(found), expected)


def test_snap_keeps_the_shape() -> None:
    values = np.array([[0.001, 0.0025, 0.0031], [0.006, 0.0061, np.nan]])
    np.testing.assert_equal(stock.snap(values, SIZES, "up"), [[0.002, 0.003, 0.004], [0.006, np.nan, np.nan]])
    assert stock.snap(np.empty((0, 3)), SIZES, "down").shape == (0, 3)
    np.testing.assert_equal(stock.snap(values, [0.003], "nearest"), np.where(np.isnan(values), np.nan, 0.003))


@given(st.lists(st.integers(1, 10_000), min_size=1, max_size=30, unique=True), st.floats(0.0, 11_000.0))
def test_snap_agrees_with_a_search_one_by_one(sizes: list[int], value: float) -> None:
    """The definition itself, by brute force: least size >= value, greatest <= value, least distance."""
    shelf = sorted(map(float, sizes))
    above = [size for size in shelf if size >= value * (1 - 1e-9)]
    below = [size for size in shelf if size <= value * (1 + 1e-9)]
    np.testing.assert_equal(float(stock.snap(value, shelf, "up")), min(above, default=np.nan))
    np.testing.assert_equal(float(stock.snap(value, shelf, "down")), max(below, default=np.nan))
    distance = abs(float(stock.snap(value, shelf, "nearest")) - value)
    assert distance <= min(abs(size - value) for size in shelf) + 1e-9 * shelf[-1]


@pytest.mark.parametrize("sizes", [[], [0.003, 0.002], [0.002, 0.002], [0.0, 0.002], [0.002, np.nan], [[0.002]]])
def test_snap_refuses_a_shelf_that_does_not_rise(sizes: list[float]) -> None:
    with pytest.raises(ValueError, match="rise"):
        stock.snap(0.003, sizes, "up")


def test_snap_refuses_another_way() -> None:
    with pytest.raises(ValueError, match="nearest"):
        stock.snap(0.003, SIZES, "round")  # type: ignore[arg-type]


def test_no_heavy_import() -> None:
    code = "import sys, scaling.shop.stock as s; s.bolts(); print({'numpy', 'sympy', 'pandas'} & set(sys.modules))"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert shown.strip() == "set()"
