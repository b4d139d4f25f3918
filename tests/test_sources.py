"""Sources as data: every entry cites works of the bibliography, each with an honest status, and a study lists them."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any, get_args

import pytest

from scaling.book.algebra import expression
from scaling.book.book import Book
from scaling.book.entry import Branch, Quantity, Validity
from scaling.book.sources import NO_WORK, QUALIFIERS, Citation, Source, Status, bibliography, citations
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.robot.estimates import RULES
from scaling.show.sources_listing import line, uses_of
from scaling.show.study_json import as_json
from scaling.study.used import design_entries, used_entries

WORDS_OF_STATUS = ("memory", "secondary", "copied", "no source", "quoted", "seen")
"""What says how well a source is known: it stands in the status or ends a place, and nowhere else."""


def named(entry: Quantity) -> str:
    return entry.name


@pytest.mark.parametrize("entry", book.entries, ids=named)
def test_every_entry_cites_what_there_is(entry: Quantity) -> None:
    assert entry.citations
    for citation in entry.citations:
        if citation.key == "as":
            assert citation.place in book.quantities
        else:
            assert citation.key in book.sources or citation.key in NO_WORK, citation
        if citation.key == "own-derivation":
            assert citation.says, "what it is derived from"
        assert not any(word in citation.says for word in WORDS_OF_STATUS), citation
        if any(word in citation.place for word in WORDS_OF_STATUS):
            assert citation.seen is not None, citation


def test_no_source_is_unused() -> None:
    cited = {citation.key for entry in book.entries for citation in entry.citations}
    cited |= {citation.key for rule in RULES for citation in citations(rule.source)}
    assert set(book.sources) - cited == set()


def test_works_stand_once_and_say_how_they_are_known() -> None:
    assert Counter(source.text for source in book.sources.values()).most_common(1)[0][1] == 1
    for key, source in bibliography().items():
        assert source.status in get_args(Status), key
        assert source.title, key
        assert key not in NO_WORK
    assert set(QUALIFIERS.values()) == set(get_args(Status))


def test_what_is_as_another_leads_to_an_end() -> None:
    def follow(name: str, seen: tuple[str, ...]) -> None:
        assert name not in seen, seen
        for citation in book.quantities[name].citations:
            if citation.key == "as":
                follow(citation.place, (*seen, name))

    for name in book.quantities:
        follow(name, ())


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("definition", [Citation("definition")]),
        ("as spin_up_time: to half of it", [Citation("as", "spin_up_time", "to half of it")]),
        ("roark7 table 11.4 case 1b, from memory; hoerner1965: p: q",
         [Citation("roark7", "table 11.4 case 1b, from memory"), Citation("hoerner1965", "", "p: q")]),
        ("en1993-1-8 table 3.4: 0.6 f_ub", [Citation("en1993-1-8", "table 3.4", "0.6 f_ub")]),
    ],
)
def test_citations_are_read(text: str, expected: list[Citation]) -> None:
    assert list(citations(text)) == expected


@pytest.mark.parametrize("text", ["", "; definition", "Newton's second law", "definition;", "roark7 "])
def test_what_is_no_citation_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="not a citation"):
        citations(text)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("roark7 table 11.4 case 1b: a square panel",
         "W. C. Young & R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed., table 11.4 case 1b, from "
         "memory: a square panel"),
        ("roark7 table 17.1, as quoted by a secondary page",
         "W. C. Young & R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed., table 17.1, as quoted by a "
         "secondary page"),
        ("nhtsa2000: T / (2 H)",
         "NHTSA, consumer information regulations on rollover resistance, 65 FR 34998, 2000: T / (2 H)"),
        ("own-derivation: springs in series; as bite; common-practice: 1 mm",
         "own derivation: springs in series; as bite; common practice, no source: 1 mm"),
    ],
)
def test_a_source_is_shown_whole(text: str, shown: str) -> None:
    assert book.cite(text) == shown


def test_a_range_is_shown_with_its_source() -> None:
    assert book.range_text(Validity("bite", "it holds")) == "it holds"
    assert book.range_text(Validity("bite", "it holds", source="iec60028")) == "it holds (IEC 60028, from memory)"


def small(*entries: Quantity) -> Book:
    return Book(Branch("common", "Shared"), (Branch("mass", "Mass", (), entries),))


def entry(name: str, source: str, **more: Any) -> Quantity:
    return Quantity(name, name.capitalize(), "x", "1", "mass", "same", expression(1), source, **more)


def test_an_entry_may_bring_a_work_of_its_own() -> None:
    own = Source("own1999", "A Work of Our Own", "checked", author="A. Name", year="1999")
    found = small(entry("one", "own1999 sec. 3: a constant", brings=(own,)), entry("two", "as one"))
    assert found.cite("own1999 sec. 3") == "A. Name, A Work of Our Own, 1999, sec. 3"
    use, = found.uses(found.entries)
    assert (use.key, use.status, use.places, use.quantities) == ("own1999", "checked", ("sec. 3",), ("one", "two"))


def test_the_least_known_comes_first_and_a_place_counts_as_it_was_seen() -> None:
    found = small(
        entry("checked", "nhtsa2000"),
        entry("secondary", "bickford4"),
        entry("both", "roark7; shigley9 sec. 7-4, from memory"),
        entry("seen", "shigley9 p. 458, as seen on a copied page"),
        entry("nothing", "definition; own-derivation: sum"),
        entry("ranged", "definition", valid=(Validity("checked", "it holds", source="iec60028"),)),
        entry("usual", "common-practice"),
    )
    uses = found.uses(found.entries)
    assert [use.status for use in uses] == ["unverified"] * 4 + ["secondary"] + ["checked"] * 2
    assert {(use.key, use.status) for use in uses} == {
        *((key, "unverified") for key in ("roark7", "shigley9", "iec60028", "common-practice")),
        ("bickford4", "secondary"), ("shigley9", "checked"), ("nhtsa2000", "checked"),
    }
    assert not any("nothing" in use.quantities for use in uses)


def rests(name: str, entries: dict[str, Quantity]) -> set[str]:
    """Keys that a quantity rests on, by own walk."""
    found: set[str] = set()
    for citation in entries[name].citations if name in entries else book.quantities[name].citations:
        found |= rests(citation.place, entries) if citation.key == "as" else {citation.key}
    return found


def test_a_study_lists_what_its_quantities_rest_on(demo: Any) -> None:
    study = demo.study
    entries = used_entries(study)
    names = {found.name for found in entries}
    assert names == set(study.reference).union(*(port.quantities for port in study.ports))
    listed = {(use.key, name) for use in book.uses(entries) for name in use.quantities}
    by_name = {found.name: found for found in entries}
    expected = {(key, name) for name in names for key in rests(name, by_name)}
    assert listed == {(key, name) for key, name in expected if key not in ("definition", "own-derivation")}


def test_a_design_without_a_rotor_rests_on_no_rotor_s_works(demos: tuple[Any, ...]) -> None:
    pusher = next(demo for demo in demos if not demo.design.has_rotor)
    keys = {use.key for use in book.uses(design_entries(pusher.design))}
    assert "wong" in keys
    assert not keys & {"schlichting7", "robinson1944", "hearn2", "beer-johnston"}


def test_brief_folder_and_file_list_the_same(main_demo: Any, tmp_path: Path) -> None:
    (tmp_path / "study.json").write_text(json.dumps(as_json(main_demo.study)), encoding="utf-8")
    found = uses_of(main_demo.folder / "brief.toml")
    assert uses_of(tmp_path) == uses_of(tmp_path / "study.json") == found
    reference = {name for use in uses_of(main_demo.folder / "design.toml") for name in use.quantities}
    assert reference <= {name for use in found for name in use.quantities}
    first = next(use for use in found if use.quantities[0] in book.quantities)
    assert line(first).startswith(first.text)
    assert book.quantities[first.quantities[0]].label in line(first)
    # What the machine is made of and what comes from a shelf rest on works too.
    resting = {name for use in found for name in use.quantities}
    assert {"tool-steel-s7 strength", "uhmwpe strength", "bolts", "sheets", "bearings"} <= resting


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("{", "not JSON"),
        ("[]", "does not say its sources"),
        ('{"schema": 1}', "does not say its sources"),
        ('{"sources": [1]}', "not a source"),
        ('{"sources": [{"key": "x", "text": "x", "status": "sure", "places": [], "quantities": []}]}', "not a source"),
        ('{"sources": [{"key": "x", "text": "x", "status": "checked", "places": "x", "quantities": []}]}',
         "not a source"),
        ('{"sources": [{"key": "x", "text": "\\u001b[2J", "status": "checked", "places": [], "quantities": []}]}',
         "not a source"),
    ],
)
def test_a_broken_study_is_refused(text: str, problem: str, tmp_path: Path) -> None:
    path = tmp_path / "study.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=problem) as caught:
        uses_of(path)
    assert caught.value.file == path


def test_the_verb_prints_and_hands_out_the_same(command: Any, main_demo: Any) -> None:
    path = main_demo.folder / "design.toml"
    found = uses_of(path)
    result = command("sources", path)
    assert (result.status, result.err) == (0, "")
    places = [result.out.index(f"{status.capitalize()}:") for status in ("unverified", "secondary", "checked")]
    assert places == sorted(places)
    rows = json.loads(command("sources", path, "--json").out)
    assert [(row["key"], row["status"], row["quantities"]) for row in rows] == [
        (use.key, use.status, list(use.quantities)) for use in found
    ]


@pytest.mark.parametrize("name", ["nothing.toml", "nothing.json", "."])
def test_the_verb_refuses_what_is_no_study(name: str, command: Any, tmp_path: Path) -> None:
    result = command("sources", tmp_path / name)
    assert (result.status, result.out) == (2, "")
    assert len(result.err.strip().splitlines()) == 1


def test_what_a_builder_feels_or_loses_rests_on_works_that_were_seen() -> None:
    """A work that was not seen may stand behind a step on the way, and common practice where there is no work."""
    entries = [found for found in book.entries if found.role in ("handling", "survival")]
    unseen = {use.key for use in book.uses(entries) if use.status == "unverified"}
    assert unseen <= {"common-practice"}
