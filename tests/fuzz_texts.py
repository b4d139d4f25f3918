"""Spoiling files as lines and bytes: any text, the cells of a CSV file, a mesh, the pairs of a DXF drawing.

Each change is a small function of a random source and the file's bytes.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Callable
from itertools import pairwise
from random import Random

from fuzz_tables import EDGES, SIGNS

Change = Callable[[Random, bytes], bytes]

LARGEST = 8_000_000
"""Bytes that copies of a line may make: beyond any size that a text file may have here."""

NUMBER = re.compile(rb"-?\d+\.?\d*(?:[eE][-+]?\d+)?")


def _utf8(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


def _bounded(count: int, piece: bytes) -> int:
    """As many copies of a piece, or as many as make LARGEST bytes."""
    return min(count, LARGEST // (len(piece) + 1))


# Any file.


def cut(rng: Random, data: bytes) -> bytes:
    """The file ends too soon."""
    return data[: rng.randrange(len(data) + 1)]


def flip(rng: Random, data: bytes) -> bytes:
    """Some bytes are others."""
    spoilt = bytearray(data)
    for _ in range(rng.choice([1, 1, 2, 8]) if spoilt else 0):
        spoilt[rng.randrange(len(spoilt))] = rng.randrange(256)
    return bytes(spoilt)


def insert(rng: Random, data: bytes) -> bytes:
    """Something stands where nothing should."""
    at = rng.randrange(len(data) + 1)
    piece = rng.choice([_utf8(rng.choice(SIGNS)), rng.randbytes(rng.choice([1, 4, 40])), rng.choice(EDGES).encode()])
    return data[:at] + piece + data[at:]


def remove(rng: Random, data: bytes) -> bytes:
    """Some bytes are gone."""
    at = rng.randrange(len(data) + 1)
    return data[:at] + data[at + rng.choice([1, 1, 2, 20, 400]) :]


def lines(rng: Random, data: bytes) -> bytes:
    """Lines are lost, doubled, exchanged or in another's place."""
    rows = data.split(b"\n")
    a, b = rng.randrange(len(rows)), rng.randrange(len(rows))
    match rng.randrange(4):
        case 0:
            del rows[a]
        case 1:
            rows.insert(b, rows[a])
        case 2:
            rows[a], rows[b] = rows[b], rows[a]
        case _:
            del rows[min(a, b) : max(a, b)]
    return b"\n".join(rows)


def repeat(rng: Random, data: bytes) -> bytes:
    """A line is there very often."""
    rows = data.split(b"\n")
    at = rng.randrange(len(rows))
    count = _bounded(rng.choice([2, 20, 1000, 40_000]), rows[at])
    return b"\n".join([*rows[:at], *[rows[at]] * count, *rows[at:]])


def encode(rng: Random, data: bytes) -> bytes:
    """The file is written in another way: line ends, marks at its start, code pages."""
    text = data.decode("utf-8", "replace")
    return rng.choice(
        [
            data.replace(b"\n", b"\r\n"),
            data.replace(b"\n", b"\r"),
            b"\xef\xbb\xbf" + data,
            text.encode("utf-16"),
            text.encode("latin-1", "replace") + b"\xe9\xff",
            data + b"\x00" * rng.choice([1, 5000]),
            b"",
            b" \n\t\n",
        ]
    )


def number(rng: Random, data: bytes) -> bytes:
    """A number is another."""
    found = list(NUMBER.finditer(data))
    if not found:
        return data
    match = rng.choice(found)
    try:
        near = f"{float(match[0]) * rng.choice([-1, 0.5, 1.1, 2, 1e3, 1e-3]):g}"
    except (ValueError, OverflowError):
        near = "0"
    return data[: match.start()] + rng.choice([near, near, rng.choice(EDGES)]).encode() + data[match.end() :]


def numbers(rng: Random, data: bytes) -> bytes:
    """Many numbers are others."""
    for _ in range(rng.choice([3, 10])):
        data = number(rng, data)
    return data


TEXT = {"cut": (cut, 2), "flip": (flip, 3), "insert": (insert, 5), "remove": (remove, 3), "lines": (lines, 5),
        "repeat": (repeat, 2), "encode": (encode, 3), "number": (number, 6)}  # fmt: skip


# CSV files.


def _cells(data: bytes) -> list[list[bytes]]:
    return [row.split(b",") for row in data.split(b"\n")]


def _joined(rows: list[list[bytes]]) -> bytes:
    return b"\n".join(b",".join(row) for row in rows)


def cell(rng: Random, data: bytes) -> bytes:
    """A cell holds something else."""
    rows = _cells(data)
    row = rng.choice(rows)
    row[rng.randrange(len(row))] = rng.choice(
        [rng.choice(EDGES).encode(), _utf8(rng.choice(SIGNS)), b"", b" ", b'"', b'"a,b"', b'"a""b"', b"1,5", b"12 mm",
         b"x" * rng.choice([61, 5000, 200_000]), b"=1+1", b"#", rng.choice(rng.choice(rows))]
    )  # fmt: skip
    return _joined(rows)


def column(rng: Random, data: bytes) -> bytes:
    """A column is lost, doubled, renamed or in another's place."""
    rows = _cells(data)
    width = max(map(len, rows))
    a, b = rng.randrange(width), rng.randrange(width)
    kind = rng.randrange(3)
    for row in rows:
        if len(row) > max(a, b) and not row[0].startswith(b"#"):
            if kind == 0:
                del row[a]
            elif kind == 1:
                row.insert(b, row[a])
            else:
                row[a], row[b] = row[b], row[a]
    return _joined(rows)


def heading(rng: Random, data: bytes) -> bytes:
    """A column bears another name."""
    rows = _cells(data)
    row = next((row for row in rows if len(row) > 1 and not row[0].startswith(b"#")), rows[0])
    at = rng.randrange(len(row))
    row[at] = rng.choice([b"", b"name", row[at].upper(), row[at] + b" ", row[at][:-1], b"mass_kg", b"\xff", row[0]])
    return _joined(rows)


def many_rows(rng: Random, data: bytes) -> bytes:
    """There are very many rows, of names of their own or not."""
    rows = data.rstrip(b"\n").split(b"\n")
    first, _, rest = rows[-1].partition(b",")
    count, named = _bounded(rng.choice([1, 10, 500, 15_000, 50_000]), rows[-1]), rng.random() < 0.7
    more = [b"%s%s,%s" % (first, b"-%d" % n if named else b"", rest) for n in range(count)]
    return b"\n".join([*rows, *more, b""])


def dialect(rng: Random, data: bytes) -> bytes:
    """Another program wrote it: semicolons, tabs, decimal commas, quotes, spaces, a whole shelf."""
    return rng.choice(
        [
            data.replace(b",", b";"),
            data.replace(b",", b"\t"),
            data.replace(b",", b";").replace(b".", b","),
            b"\n".join(b",".join(b'"%s"' % each for each in row) for row in _cells(data)),
            data.replace(b",", b" , "),
            b"# replace\n" + data,
            b"sep=,\n" + data,
            data.replace(b"\n", b",,,\n"),
        ]
    )


CSV = TEXT | {"number": (number, 16), "cell": (cell, 14), "column": (column, 5), "heading": (heading, 5),
              "many_rows": (many_rows, 4), "dialect": (dialect, 4)}  # fmt: skip


# Meshes.


def float_of_stl(rng: Random, data: bytes) -> bytes:
    """A number of a binary STL file is another, or its count of facets lies."""
    spoilt = bytearray(data)
    if len(spoilt) < 134:
        return data
    if rng.random() < 0.3:
        struct.pack_into("<I", spoilt, 80, rng.choice([0, 1, 11, 13, 1000, 2**31, 2**32 - 1]))
    else:
        at = 84 + 50 * rng.randrange((len(spoilt) - 84) // 50) + 4 * rng.randrange(12)
        value = rng.choice([float("nan"), float("inf"), 3e38, -3e38, 0.0, 1e-30, rng.uniform(-99, 99)])
        struct.pack_into("<f", spoilt, at, value)
    return bytes(spoilt)


def index(rng: Random, data: bytes) -> bytes:
    """A facet goes by other corners, or there are words that a mesh of this kind may hold."""
    rows = data.split(b"\n")
    at = rng.randrange(len(rows))
    number_of = rng.choice([b"0", b"-1", b"1", b"3", b"99999999999", b"1/1/1", b"1//", b"a", b"2.5", b"-9"])
    words = (
        b"f 1 2 3", b"f 1 2 3 4 5 6", b"f 1 1 1", b"f", b"v", b"v 0 0 0 1 1 1", b"usemtl x", b"mtllib ../x.mtl", b"p 1",
        b"o \xff", b"vn 0 0 0", b"vt 2 2", b"3 0 0 0", b"4 0 1 2 3", b"endsolid", b"solid", b"l 1 2",
    )  # fmt: skip
    row = rows[at].split()
    if row and rng.random() < 0.6:
        row[rng.randrange(len(row))] = number_of
        rows[at] = b" ".join(row)
    else:
        rows.insert(at, rng.choice(words))
    return b"\n".join(rows)


MESH = TEXT | {"number": (number, 10), "numbers": (numbers, 4), "float_of_stl": (float_of_stl, 6), "index": (index, 8)}


# Drawings.


def _pairs(data: bytes) -> list[list[bytes]]:
    rows = data.split(b"\n")
    return [rows[at : at + 2] for at in range(0, len(rows) - 1, 2)]


def _of_pairs(pairs: list[list[bytes]]) -> bytes:
    return b"\n".join(row for pair in pairs for row in pair) + b"\n"


def _entities(pairs: list[list[bytes]]) -> list[tuple[int, int]]:
    """Where each entity begins and ends."""
    start = next((at for at, pair in enumerate(pairs) if pair[1:] == [b"ENTITIES"]), 0)
    heads = [at for at in range(start + 1, len(pairs)) if pairs[at][0].strip() == b"0"]
    return list(pairwise(heads))


ENTITIES = (
    b"LINE", b"ARC", b"CIRCLE", b"ELLIPSE", b"SPLINE", b"LWPOLYLINE", b"POLYLINE", b"INSERT", b"HATCH", b"TEXT",
    b"POINT", b"VERTEX", b"SEQEND", b"ENDSEC", b"EOF", b"XX",
)  # fmt: skip


def pair(rng: Random, data: bytes) -> bytes:
    """A pair of an entity is lost, doubled, or has another code or value."""
    pairs = _pairs(data)
    spans = _entities(pairs)
    if not spans:
        return data
    at = rng.randrange(*rng.choice(spans))
    match rng.randrange(4):
        case 0:
            del pairs[at]
        case 1:
            pairs.insert(at, list(pairs[at]))
        case 2:
            pairs[at][0] = rng.choice([b"0", b"10", b"20", b"30", b"40", b"50", b"70", b"210", b"999", b"x", b"-5"])
        case _:
            odd = (rng.choice(EDGES).encode(), _utf8(rng.choice(SIGNS)), b"", b"CIRCLE", b"a" * 3000)
            pairs[at][-1] = rng.choice(odd)
    return _of_pairs(pairs)


def entity(rng: Random, data: bytes) -> bytes:
    """An entity is lost, there many times, or says that it is of another kind."""
    pairs = _pairs(data)
    spans = _entities(pairs)
    if not spans:
        return data
    start, end = rng.choice(spans)
    match rng.randrange(3):
        case 0:
            del pairs[start:end]
        case 1:
            pairs[end:end] = pairs[start:end] * rng.choice([1, 3, 50, 1500])
        case _:
            pairs[start] = [pairs[start][0], rng.choice(ENTITIES)]
    return _of_pairs(pairs)


def unit_of_drawing(rng: Random, data: bytes) -> bytes:
    """The drawing says another unit or version, or none."""
    codes = b"0 1 2 3 4 5 6 7 13 20 21 24 99 -1 x 1e9".split()
    if rng.random() < 0.6:
        return re.sub(rb"(\$INSUNITS\n 70\n).*", rb"\g<1>" + rng.choice(codes), data)
    return re.sub(rb"(\$ACADVER\n  1\n).*", rb"\g<1>" + rng.choice([b"AC1009", b"AC1015", b"AC9999", b"", b"x"]), data)


DXF = TEXT | {"pair": (pair, 22), "entity": (entity, 12), "unit_of_drawing": (unit_of_drawing, 4)}
