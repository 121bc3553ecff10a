"""CSV rows: cells are data, whatever a spreadsheet might make of them."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest

from scout.notebook.rows import NotRows, columns_of, read_rows, write_rows
from scout.notebook.words import Words
from scout.records.visits import LightReading, Reaction, Sighting, Visit, Watch

START = "2026-05-12T04:35:00+01:00"
HOSTILE = [
    '=HYPERLINK("x","y")',
    "+1+1",
    "-2+3",
    "@SUM(A1)",
    "\tx",
    " leading and trailing ",
    'say "hush"',
    "a,b;c",
    "two\nlines",
    "two\r\nlines",
    "bare\rreturn",
    "\ufeffmark",
    "00123",
    "1e5",
    "true",
    "ﬁ\u0301 中 😀",
]


def rows(cls: type, text: str) -> list[Any]:
    return list(read_rows(cls, text))


@pytest.mark.parametrize("note", HOSTILE)
def test_a_text_comes_back_to_the_byte(note: str) -> None:
    raw = {"id": "a", "site": "s", "start": START, "note": note, "by": note}
    text = write_rows(Visit, [raw, raw])
    assert [row.raw for row in rows(Visit, text)] == [raw, raw]
    # The standard library reads the same table.
    assert [cell["note"] for cell in csv.DictReader(io.StringIO(text, newline=""))] == [note, note]


def test_the_examples_of_rfc_4180() -> None:
    # RFC 4180, section 2, rules 5 to 7: quoted cells, a line break and doubled quotes within.
    text = f'id,site,start,note\r\n"aaa","b",{START},"b CRLF\r\nbb"\r\nzzz,yyy,{START},"b""bb"\r\n'
    found = rows(Visit, text)
    assert [row.raw["note"] for row in found] == ["b CRLF\r\nbb", 'b"bb']
    assert [row.line for row in found] == [2, 4]


def test_cells_by_the_kind_of_their_field() -> None:
    text = (
        "id,site,start,wind_from_deg,frames,mist,failed_by,temperature_c\n"
        f"a,s,{START},225.5,12,TRUE,light; distance,-4\n"
        f"b,s,{START},,,false,,1e1\n"
        ",,,,,,,\n"
        "\n"
    )
    first, second = rows(Visit, text)
    assert first.raw == {
        "id": "a",
        "site": "s",
        "start": START,
        "wind_from_deg": 225.5,
        "frames": 12,
        "mist": True,
        "failed_by": ["light", "distance"],
        "temperature_c": -4,
    }
    assert second.raw == {
        "id": "b",
        "site": "s",
        "start": START,
        "mist": False,
        "temperature_c": 10.0,
    }


@pytest.mark.parametrize(
    "cell",
    ["12,5", "twelve", "NaN", "inf", "0x1F", "1_000", "--1", "1.", ".5", "٣", "007", "9" * 30],
)
def test_cells_that_are_no_numbers(cell: str) -> None:
    (row,) = rows(Visit, f'id,site,start,frames\na,s,{START},"{cell}"\n')
    (fault,) = row.faults
    assert fault.sentence.startswith(f'frames: "{cell[:20]}')
    assert "is not a number; write digits and a point, like 12.5" in fault.sentence


def test_a_group_in_parts_or_in_short() -> None:
    text = (
        "id,watch,species,how,time_in,time_out.at,time_out.source,position.lat,position.lon\n"
        f"a,w,x,seen,{START},{START},device,52.5,-1\n"
        f"b,w,x,seen,{START},,,,\n"
    )
    first, second = rows(Sighting, text)
    assert first.raw["time_out"] == {"at": START, "source": "device"}
    assert first.raw["position"] == {"lat": 52.5, "lon": -1}
    assert "time_out" not in second.raw
    assert "position" not in second.raw


def test_a_group_both_in_parts_and_in_short_is_refused() -> None:
    text = f"id,site,start,start.source\na,s,{START},device\n"
    (row,) = rows(Visit, text)
    assert row.faults[0].sentence == (
        "start: is given both in one cell and in parts; keep one of the two."
    )


def test_one_long_moment_makes_its_column_long() -> None:
    long = {"id": "a", "site": "s", "start": {"at": START, "source": "device"}}
    short = {"id": "b", "site": "s", "start": START}
    text = write_rows(Visit, [long, short])
    assert text.splitlines()[0] == "id,site,start.at,start.source"
    assert [row.raw for row in rows(Visit, text)] == [long, {**short, "start": {"at": START}}]


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("id,site,start,size\n", 1, '"size" is not a column here; the columns are: id, site'),
        ("id,site,start,site\n", 1, "the column site stands twice"),
        ("id,start\n", 1, "the column site is missing"),
        ('id,site,start\na,s,"x\ny\n', 3, "is not a CSV table from this row on"),
        ('id,site,start\na,s,"x"y\n', 2, "is not a CSV table from this row on"),
        ("id,site,start,note\na,s,t," + "x" * 200_000, 2, "is not a CSV table from this row on"),
        ("id;site;start\n", 1, '"id;site;start" is not a column here'),
    ],
)
def test_tables_that_are_none(text: str, line: int, says: str) -> None:
    with pytest.raises(NotRows) as refusal:
        rows(Visit, text)
    assert says in refusal.value.says
    assert refusal.value.line == line


def test_a_row_cut_short_is_refused() -> None:
    (row,) = rows(Visit, f"id,site,start,note\na,s,{START}\n")
    assert row.faults[0].sentence.startswith("The row has 3 cells and the header 4; ")


@pytest.mark.parametrize("cls", [Visit, Watch, Sighting, Reaction, LightReading])
def test_what_is_kept_as_rows_fits_into_rows(cls: type) -> None:
    assert all(name.count(".") <= 1 for name in columns_of(cls))


def test_a_word_stands_for_the_id_that_the_standard_derives() -> None:
    # RFC 9562, appendix A.4: version 5, "www.example.com" in the namespace for DNS names.
    words = Words("6ba7b810-9dad-11d1-80b4-00c04fd430c8")
    assert words.derived("www.example.com") == "2ed6657d-e927-568b-95e1-2665a8aea6a2"
