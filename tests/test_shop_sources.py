"""What the shop's numbers cite: each work is known, each has a status, and no page of a trader is among them."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from scaling.book.sources import STATED, STATUSES, Use
from scaling.files.errors import InputError
from scaling.shop import shelf_file, stock
from scaling.shop.materials import materials
from scaling.shop.materials import sources as of_materials
from scaling.shop.sources import FILE, Citation, bibliography, citation, of_shelves

SHELVES = tuple(sorted(path.stem for path in shelf_file.FOLDER.glob("*.csv")))
TRADERS = ("http", "www", ".com", ".tools", ".net", ".org", "dealer", "supplier", "shop's", "service", "merchant")

# Designations as the bodies write them: ISO 4762, EN 1993-1-8, ASTM A240/A240M, MIL-HDBK-5J; from memory.
STANDARD = re.compile(r"(ISO|EN|DIN|ASTM|NEMA|MIL|GB/T)[ -][A-Z0-9][A-Z0-9 /-]*")


def all_known() -> Iterator[tuple[str, str]]:
    """Key and status of every citation of the materials and the shelves, as often as it is made."""
    for entry in materials().values():
        for cited in itertools.chain(*entry.sources.values()):
            yield cited.key, cited.status
    for use in of_shelves(SHELVES):
        yield use.key, use.status


@pytest.mark.parametrize("path", sorted(FILE.parent.rglob("*.*")), ids=lambda path: path.name)
def test_no_text_names_a_page_of_a_trader(path: Path) -> None:
    text = path.read_text(encoding="utf-8").casefold()
    assert [word for word in TRADERS if word in text] == []


def test_every_work_is_cited_and_has_the_best_status_of_its_citations() -> None:
    best: dict[str, str] = {}
    order = list(STATUSES)
    for key, status in all_known():
        best[key] = max(best.get(key, status), status, key=order.index)
    assert {key: work.status for key, work in bibliography().items()} == best


def test_a_standard_carries_its_number_and_a_book_its_author_or_a_note() -> None:
    for key, work in bibliography().items():
        if re.match(r"(iso|en|din)\d|(astm|nema|mil|gb)-", key):
            assert STANDARD.fullmatch(work.number), key
            assert re.sub(r"[^a-z0-9]+", "", work.number.casefold()).startswith(key.replace("-", "")), key
        elif work.year:
            assert work.author or work.note or "Handbook" in work.title, key


@pytest.mark.parametrize("shelf", SHELVES)
def test_every_shelf_cites_something(shelf: str) -> None:
    found = of_shelves([shelf])
    assert found
    assert all(use.quantities == (shelf,) for use in found)


def test_a_remembered_number_says_that_it_is_remembered() -> None:
    assert {status for key, status in all_known() if key in {"memory", "common-practice"}} == {"unverified"}


def test_works_of_some_materials_say_what_rests_on_them() -> None:
    found = {(use.key, use.status): use for use in of_materials(["hdpe", "abs"])}
    work = found["dowling4", "checked"]
    assert work.text == "N. E. Dowling, Mechanical Behavior of Materials, 4th ed."
    assert work.places == ("table 5.2", "table 4.3", "table 8.2")
    assert work.quantities == (
        "hdpe poisson", "abs strength", "abs modulus", "abs elongation", "abs toughness", "abs poisson"
    )
    assert set(itertools.chain(*(use.quantities for use in found.values()))) == {
        f"{name} {key}" for name in ("hdpe", "abs") for key in materials()[name].sources
    }
    with pytest.raises(InputError):
        of_materials(["cheese"])


def test_a_builders_own_material_is_cited_in_its_own_words(tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(
        """[oak]
kind = "composite"
density = [600, 650, 700]
strength = [80e6, 100e6, 120e6]
strength_kind = "tensile-strength"
modulus = [10e9, 11e9, 12e9]
poisson = 0.35
shear_strength_ratio = 0.1
sources.density = "weighed"
sources.strength = "own bending tests"
sources.modulus = "own bending tests"
sources.poisson = ["memory; unverified"]
sources.shear_strength_ratio = ["memory; unverified"]
""",
        encoding="utf-8",
    )
    assert of_materials(["oak"], own) == (
        Use("", "weighed", STATED, (), ("oak density",)),
        Use("", "own bending tests", STATED, (), ("oak strength", "oak modulus")),
        Use("memory", "From memory: no work was opened", "unverified", (), ("oak poisson", "oak shear_strength_ratio")),
    )


def test_parts_of_a_citation() -> None:
    assert citation("iso4762 table 1; secondary; head; height") == Citation(
        "iso4762", "table 1", "secondary", "head; height"
    )
    assert citation("memory; unverified") == Citation("memory", "", "unverified")


@pytest.mark.parametrize(
    ("text", "given", "hint"),
    [
        ("iso4726; secondary", "iso4726", "iso4762"),
        ("iso4762; secondry", "secondry", "secondary"),
        ("iso4762", "iso4762", None),
        ("; secondary", "; secondary", None),
        ("iso4762 ; secondary", "iso4762 ; secondary", None),
    ],
)
def test_a_mistyped_citation_is_refused(text: str, given: str, hint: str | None) -> None:
    with pytest.raises(InputError) as caught:
        citation(text, "own.toml", "oak.sources")
    assert (caught.value.file, caught.value.key, caught.value.given) == ("own.toml", "oak.sources", given)
    assert caught.value.allowed
    assert hint is None or hint in (caught.value.hint or "")


@pytest.mark.parametrize(
    ("lines", "own", "ours"),
    [
        (["diameter_mm", "4.5"], ["own.csv"], True),
        (["# source: from the drawer; 1990", "diameter_mm", "4.5"], ["from the drawer; 1990"], True),
        (["# source: a \x1b[2Jdrawer", "diameter_mm", "4.5"], ["a  [2Jdrawer"], True),
        (["# replace", "#Source: the drawer", "diameter_mm", "4.5"], ["the drawer"], False),
        (['"# replace",,', '"# source: the drawer",,', "diameter_mm", "4.5"], ["the drawer"], False),
    ],
)
def test_a_builders_own_shelf_is_cited_in_its_own_words(
    tmp_path: Path, lines: list[str], own: list[str], ours: bool
) -> None:
    path = tmp_path / "own.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    stock.round_belts(path)  # reads without an error
    found = of_shelves(["round_belts"], {"round_belts": path, "bolts": path})
    assert [use for use in found if use.status == STATED] == [
        Use("", words, STATED, (), ("round_belts",)) for words in own
    ]
    assert tuple(use for use in found if use.status != STATED) == (of_shelves(["round_belts"]) if ours else ())
