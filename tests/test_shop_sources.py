"""What the shop's numbers cite: each work is known, each has a status, and no page of a trader is among them."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from scaling.files.errors import InputError
from scaling.shop import stock
from scaling.shop.materials import materials
from scaling.shop.materials import sources as of_materials
from scaling.shop.sources import FILE, STATED, STATUSES, Citation, bibliography, citation, of_shelves, stated

SHELVES = tuple(sorted(path.stem for path in stock.FOLDER.glob("*.csv")))
TRADERS = ("http", "www", ".com", ".tools", ".net", ".org", "dealer", "supplier", "shop's", "service", "merchant")

# Designations as the bodies write them: ISO 4762, EN 1993-1-8, ASTM A240/A240M, MIL-HDBK-5J; from memory.
STANDARD = re.compile(r"(ISO|EN|DIN|ASTM|NEMA|MIL|GB/T)[ -][A-Z0-9][A-Z0-9 /-]*")


def all_citations() -> Iterator[Citation]:
    """Every citation of the materials and the shelves, as often as it is made."""
    for entry in materials().values():
        yield from itertools.chain(*entry.sources.values())
    for shelf in SHELVES:
        yield from of_shelves([shelf])


@pytest.mark.parametrize("path", sorted(FILE.parent.rglob("*.*")), ids=lambda path: path.name)
def test_no_text_names_a_page_of_a_trader(path: Path) -> None:
    text = path.read_text(encoding="utf-8").casefold()
    assert [word for word in TRADERS if word in text] == []


def test_every_work_is_cited_and_has_the_best_status_of_its_citations() -> None:
    best: dict[str, str] = {}
    order = list(STATUSES)
    for cited in all_citations():
        best[cited.key] = min(best.get(cited.key, cited.status), cited.status, key=order.index)
    assert {key: work.status for key, work in bibliography().items()} == best


def test_a_standard_carries_its_number_and_a_book_its_author_or_a_note() -> None:
    for key, work in bibliography().items():
        if re.match(r"(iso|en|din|astm|nema|mil|gb)-", key):
            assert STANDARD.fullmatch(work.number), key
            assert re.sub(r"[^a-z0-9]+", "-", work.number.casefold()).startswith(key), key
        elif work.year is not None:
            assert work.author or work.note or "Handbook" in work.title, key


@pytest.mark.parametrize("shelf", SHELVES)
def test_every_shelf_cites_something(shelf: str) -> None:
    found = of_shelves([shelf])
    assert found
    assert all(uses == (shelf,) for uses in found.values())


def test_a_remembered_number_says_that_it_is_remembered() -> None:
    for cited in all_citations():
        if cited.key in {"memory", "common-practice"}:
            assert cited.status == "unverified"


def test_citations_of_some_materials_say_what_they_were_used_for() -> None:
    found = of_materials(["hdpe", "abs"])
    assert found[Citation("dowling4", "table 5.2", "checked")] == ("hdpe poisson", "abs poisson")
    assert set(itertools.chain(*found.values())) == {
        f"{name} {key}" for name in ("hdpe", "abs") for key in materials()[name].sources
    }
    assert set(of_materials(["hdpe"])) < set(found)
    with pytest.raises(InputError):
        of_materials(["cheese"])


def test_parts_of_a_citation() -> None:
    assert citation("iso-4762 table 1; secondary; head; height") == Citation(
        "iso-4762", "table 1", "secondary", "head; height"
    )
    assert citation("memory; unverified") == Citation("memory", "", "unverified")


@pytest.mark.parametrize(
    ("text", "given", "hint"),
    [
        ("iso-4726; secondary", "iso-4726", "iso-4762"),
        ("iso-4762; secondry", "secondry", "secondary"),
        ("iso-4762", "iso-4762", None),
        ("; secondary", "; secondary", None),
        ("iso-4762 ; secondary", "iso-4762 ; secondary", None),
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
    assert [cited for cited in found if cited.status == STATED] == [stated(words) for words in own]
    assert [cited for cited in found if cited.status != STATED] == (list(of_shelves(["round_belts"])) if ours else [])
