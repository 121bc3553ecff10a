"""Write the sample folder anew: `python make.py`, or `python make.py OTHER_FOLDER`.

Everything in it is invented. The same records come out every time: no clock, no network, fixed
seeds. Needs Pillow, astral, tzdata, numpy and rasterio, which the notebook needs too.
"""

from __future__ import annotations

import csv
import io
import json
import random
import sys
from pathlib import Path

from making import gear, land, lines, pictures, places, readings, walks, words
from making.ground import Record
from making.log import Log

HERE = Path(__file__).resolve().parent

SEED = 26
FOLDER = {
    "format": 1,
    "folder": "5f1c3b0e-7a42-4d0b-9c8e-2b6f4a1d7e93",
    "name": "Sample: Pellwick and the dean",
}
COLUMNS = {
    "visits": "id site by start end end_unsure sky wind_from_deg wind_force temperature_c mist "
    "frames keepers failed_by note",
    "watches": "id visit vantage perches start end end_unsure quiet_from in_the_dark trail_camera",
    "sightings": "id watch species how time_in time_out perch count behaviour",
    "reactions": "id watch species what at distance_m cause",
    "light_readings": "id site at ev100 source sky leaf",
}


def records() -> tuple[dict[str, list[Record]], dict[str, list[Record]], dict[str, bytes]]:
    """Answer what goes into JSON files, what goes into CSV files, and the photos' bytes."""
    # One generator a file, so that a change in one leaves the others as they are.
    log = Log(random.Random(SEED))
    photos, files = pictures.photos()
    as_json = {
        "sites": places.sites(),
        "permissions": places.permissions(),
        "perches": places.perches(random.Random("perches")),
        "vantages": places.vantages(random.Random("vantages")),
        "landmarks": places.landmarks(random.Random("landmarks")),
        "walk_ins": walks.walk_ins(),
        "areas": places.areas(),
        "sightlines": lines.sightlines(),
        "measurements": lines.measurements(random.Random("measurements")),
        "skylines": lines.skylines(random.Random("skylines")),
        "canopies": lines.canopies(),
        "kits": gear.kits(),
        "species": gear.species(),
        "photos": photos,
        "notes": words.notes(),
        "tags": words.tags(),
    }
    as_csv = {
        "visits": log.visits,
        "watches": log.watches,
        "sightings": log.sightings,
        "reactions": log.reactions,
        "light_readings": readings.readings(random.Random("light")),
    }
    return as_json, as_csv, files


def json_text(kept: list[Record]) -> str:
    """Write records as JSON to edit by hand: a field a line, lists of groups entry by entry."""
    blocks = []
    for record in kept:
        fields = []
        for name, value in record.items():
            if isinstance(value, list) and value and isinstance(value[0], dict):
                entries = ",\n".join(f"      {_inline(entry)}" for entry in value)
                fields.append(f"    {_inline(name)}: [\n{entries}\n    ]")
            else:
                fields.append(f"    {_inline(name)}: {_inline(value)}")
        blocks.append("  {\n" + ",\n".join(fields) + "\n  }")
    return "[\n" + ",\n".join(blocks) + "\n]\n"


def _inline(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def csv_text(columns: str, kept: list[Record]) -> str:
    """Write records as CSV: what is not known is an empty cell, a list is joined by semicolons."""
    stream = io.StringIO()
    table = csv.writer(stream, lineterminator="\n")
    names = columns.split()
    table.writerow(names)
    for record in kept:
        if extra := set(record) - set(names):
            raise ValueError(f"no column for {', '.join(sorted(extra))}")
        table.writerow([_cell(record.get(name)) for name in names])
    return stream.getvalue()


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return ";".join(value) if isinstance(value, list) else str(value)


def main(folder: Path) -> None:
    """Write the folder's records and photos; other files in it are left alone."""
    as_json, as_csv, files = records()
    texts = {"folder.json": json.dumps(FOLDER, indent=2) + "\n"}
    texts |= {f"{name}.json": json_text(kept) for name, kept in as_json.items()}
    texts |= {f"{name}.csv": csv_text(COLUMNS[name], kept) for name, kept in as_csv.items()}
    (folder / "photos").mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
    for name, data in files.items():
        (folder / "photos" / name).write_bytes(data)
    land.write(folder)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
