"""Pages by which records leave: what would go is said first, what went is written down."""

from __future__ import annotations

import csv
import io
import json
import zipfile

import gpxpy
import pytest

from scout.notebook.notebook import Notebook

from .linked import Client
from .test_pages import page, said_of

Ids = dict[str, str]


def test_what_would_leave_is_said_before_anything_does(
    link: Client, sample: Ids, notebook: Notebook
) -> None:
    said = said_of(page(link, "/plain/leave"))
    assert "17 pins, 2 as recorded" in said
    assert "Withheld: 9 pins, 3 areas" in said
    assert "cannot be called back" in said
    here = said_of(page(link, f"/plain/leave?site={sample['pellwick']}"))
    assert "Ranger's page" in here
    assert exports(notebook) == []


def exports(notebook: Notebook) -> list[str]:
    with notebook.store.reading() as db:
        rows = db.conn.execute("SELECT detail FROM audit WHERE what = 'export' ORDER BY number")
        return [str(row[0]) for row in rows]


@pytest.mark.parametrize("what", ["geojson", "gpx", "csv", "photos"])
def test_each_file_can_be_fetched_and_is_written_down(
    link: Client, sample: Ids, notebook: Notebook, what: str
) -> None:
    said = link.ask("GET", f"/plain/leave/{what}?site={sample['pellwick']}")
    assert said.status == 200
    assert said.headers["content-disposition"].startswith("attachment")
    assert "pellwick" not in said.headers["content-disposition"].lower()
    assert said.headers["cache-control"] == "no-store"
    if what == "geojson":
        assert json.loads(said.body)["type"] == "FeatureCollection"
    elif what == "gpx":
        assert gpxpy.parse(said.body.decode()).waypoints
    else:
        with zipfile.ZipFile(io.BytesIO(said.body)) as bundle:
            if what == "csv":
                rows = list(csv.DictReader(io.StringIO(bundle.read("pins.csv").decode())))
                assert {row["what"] for row in rows} == {"site", "perch", "vantage", "landmark"}
    assert len(exports(notebook)) == 1
    assert sample["pellwick"] not in exports(notebook)[0]


def test_a_sensitive_site_has_a_rangers_page_under_its_code_name(link: Client, sample: Ids) -> None:
    days = "first=2026-01-01&last=2026-12-31"
    text = said_of(page(link, f"/plain/ranger?site={sample['hobthorn']}&{days}"))
    assert "Visits to Slate" in text
    assert "Hobthorn" not in text
    assert "Otter" not in text


@pytest.mark.parametrize(
    ("path", "status", "says"),
    [
        ("/plain/leave/everything", 404, "no such file"),
        ("/plain/leave?site=x", 404, "no such site"),
        ("/plain/ranger", 400, "say which one"),
        ("/plain/ranger?site={pellwick}&first=2026-13-01", 400, "first"),
        ("/plain/ranger?site={pellwick}&first=2026-02-01&last=2026-01-01", 400, "turn them round"),
    ],
)
def test_nonsense_is_answered_in_words(
    link: Client, sample: Ids, path: str, status: int, says: str
) -> None:
    assert says in said_of(page(link, path.format(**sample), status))
