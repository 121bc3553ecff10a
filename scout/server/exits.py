"""Pages by which records leave: what would leave, the files, and the ranger's page.

Only what each class lets out goes here; full precision is given at the terminal alone, where it is
asked for once more. Every file is written down in the notebook. Not for: what may leave
(`scout.notebook.sharing`).
"""

from __future__ import annotations

import io
from datetime import date, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from flask import Blueprint, Response, make_response, render_template, request, send_file
from werkzeug.wrappers import Response as AnyResponse

from scout.notebook.sharing import bundles, geojson, gpx, sheets
from scout.notebook.sharing.let_out import Outgoing
from scout.notebook.sharing.outgoing import outgoing
from scout.notebook.sharing.ranger import rangers_page
from scout.records.times import read_date
from scout.records.trouble import Refused
from scout.server import asked
from scout.server.errors import Problem
from scout.server.printed import filled
from scout.server.reading import contents
from scout.server.who import notebook

routes = Blueprint("exits", __name__)

_PRINTED: Final = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"
# Names of files tell nothing: they lie about on phones and in mails.
_FILES: Final = {
    "geojson": ("pins.geojson", geojson.MEDIA_TYPE),
    "gpx": ("pins.gpx", gpx.MEDIA_TYPE),
    "csv": ("sheets.zip", bundles.MEDIA_TYPE),
    "photos": ("pictures.zip", bundles.MEDIA_TYPE),
}


@routes.get("/plain/leave")
def leave() -> str:
    """Say what would leave, and offer the files."""
    chosen = _site()
    today = notebook().clock().date()
    return render_template(
        "plain_leave.html",
        sites=contents().records["site"].values(),
        site=chosen,
        leaving=_leaving(chosen),
        files=_FILES,
        first=today - timedelta(days=365),
        last=today,
    )


@routes.get("/plain/leave/<what>")
def file(what: str) -> Response:
    """Give one file."""
    if what not in _FILES:
        raise Problem(404, "no_record", f"There is no such file; those are: {', '.join(_FILES)}.")
    name, media_type = _FILES[what]
    leaving = _leaving(_site())
    said = leaving.statement
    stream = io.BytesIO()
    if what == "geojson":
        stream.write(geojson.geojson_of(leaving).encode())
    elif what == "gpx":
        stream.write(gpx.gpx_of(leaving))
    elif what == "csv":
        bundles.sheets_into(stream, sheets.sheets_of(leaving))
    else:
        paths = [notebook().blobs.path_of(sha256) for sha256 in leaving.photos]
        went, _ = bundles.pictures_into(stream, [path for path in paths if path.is_file()])
        said = f"{went} photos, small and without what their files say."
    stream.seek(0)
    notebook().note_export(f"{what}: {said}")
    return send_file(stream, media_type, as_attachment=True, download_name=name, max_age=0)


@routes.get("/plain/ranger")
def ranger() -> Response:
    """Give a site's visits as a page to print."""
    records = contents().records
    found = asked.record(records, "site")
    today = notebook().clock().astimezone(ZoneInfo(found.zone)).date()
    last = _day("last", today)
    first = _day("first", last - timedelta(days=365))
    if first > last:
        raise Problem(400, "shape", "first: the first day is after the last; turn them round.")
    page = rangers_page(records, found, first, last)
    notebook().note_export(f"ranger: {len(page.rows)} visits")
    answer = make_response(filled("ranger.html", page=page))
    answer.headers["Content-Security-Policy"] = _PRINTED
    return answer


@routes.after_request
def _fresh(answer: AnyResponse) -> AnyResponse:
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _site() -> Any:
    return asked.record(contents().records, "site") if request.args.get("site") else None


def _leaving(site: Any) -> Outgoing:
    return outgoing(contents().records, site=None if site is None else site.id)


def _day(name: str, usual: date) -> date:
    typed = request.args.get(name)
    if not typed:
        return usual
    try:
        return read_date(typed)
    except Refused as refusal:
        raise Problem(400, "shape", f"{name}: {refusal.troubles[0].says}.") from None
