"""Time how the phone takes in 10,000 pulled changes, against the same rows put with no rule at all.

Run: python tests/bench/phone_pull.py [chromium]. Prints the time in a worker, the longest time that
the page stood still meanwhile, and the ratio to the peer: the bare rows put into a bare IndexedDB
database, 200 a transaction, in the same browser and page.
"""

from __future__ import annotations

import importlib
import shutil
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

ROUNDS = 5
CHANGES = 10_000

TIMED = """async (count) => {
  const { openNotebook } = await import('/notebook/notebook.js');
  const { Applier } = await import('/notebook/applier.js');
  const { Store } = await import('/notebook/store.js');
  const { newId } = await import('/notebook/ids.js');
  const rules = {
    schema: await (await fetch('/schema.json')).json(),
    upcasts: await (await fetch('/upcasts.json')).json(),
  };
  const name = `bench-${newId(Date.now())}`;
  const notebook = await openNotebook({ name, rules, sync: false });
  const device = newId(1);
  const records = Array.from({ length: count / 2 }, () => newId(Date.now()));
  // half are edits of a record that came before
  const last = new Map();
  const pulled = Array.from({ length: count }, (_, place) => {
    const record = records[place % records.length];
    const base = last.has(record) ? [last.get(record)] : [];
    const id = newId(Date.now());
    const change = {
      id, device, device_seq: place + 1, record, kind: 'note',
      set: { text: `note ${place}`, site: device },
      base: { text: base, site: base },
      hlc: `${String(1764064800000 + place).padStart(15, '0')}-0000-${device.slice(-8)}`,
      wall: 1764064800000 + place, tz_min: 60, schema: rules.schema.schema, group: newId(1),
    };
    last.set(record, id);
    return { seq: place + 1, change };
  });
  const store = new Store(name);
  const applier = new Applier(store, rules, () => {});
  await applier.ask('takePulled', { pulled: [], journey: {} }); // the worker is up
  let gap = 0;
  let before = performance.now();
  const ticking = setInterval(() => {
    const now = performance.now();
    gap = Math.max(gap, now - before);
    before = now;
  }, 5);
  let start = performance.now();
  for (let page = 0; page < count; page += 1000) {
    const some = pulled.slice(page, page + 1000);
    await applier.ask('takePulled', { pulled: some, journey: { cursor: 'c' } });
  }
  const ours = performance.now() - start;
  clearInterval(ticking);
  const db = await store.db();
  const [journal, shown] = await Promise.all(['journal', 'record'].map((one) => db.getAll(one)));
  if (journal.length !== count) throw new Error('not all were taken in');
  applier.close();
  notebook.close();
  store.close();
  const bare = await new Promise((done) => {
    const asked = indexedDB.open(`${name}-bare`, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore('journal', { keyPath: 'id' });
      asked.result.createObjectStore('record', { keyPath: 'key' });
    };
    asked.onsuccess = () => done(asked.result);
  });
  start = performance.now();
  for (let at = 0; at < count; at += 200) {
    const tx = bare.transaction(['journal', 'record'], 'readwrite', { durability: 'relaxed' });
    for (let place = at; place < Math.min(at + 200, count); place += 1) {
      tx.objectStore('journal').put(journal[place]);
      tx.objectStore('record').put(shown[place % shown.length]);
    }
    await new Promise((done) => { tx.oncomplete = done; });
  }
  const peer = performance.now() - start;
  bare.close();
  return { ours, peer, gap };
}"""


def main() -> None:
    """Run the rounds and print the table."""
    from playwright.sync_api import sync_playwright

    # by name, for the tests' server is no part of an installed package
    small_server: Any = importlib.import_module("tests.web.small_server")
    program = sys.argv[1] if len(sys.argv) > 1 else shutil.which("chromium")
    server = small_server.SmallServer()
    rows: list[dict[str, float]] = []
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as profile:
        context = playwright.chromium.launch_persistent_context(profile, executable_path=program)
        page = context.new_page()
        page.goto(server.url + "blank.html")
        for _ in range(ROUNDS):
            rows.append(page.evaluate(TIMED, CHANGES))
        context.close()
    server.close()
    print(
        f"{datetime.now(UTC):%Y-%m-%d} {CHANGES} pulled changes, half of them edits,"
        f" {ROUNDS} rounds"
    )
    for one in rows:
        print(
            f"  in the worker {one['ours']:5.0f} ms; bare puts {one['peer']:5.0f} ms;"
            f" ratio {one['ours'] / one['peer']:.2f}; page stood still {one['gap']:3.0f} ms"
        )
    best = min(rows, key=lambda one: one["ours"])
    print(f"best: {best['ours']:.0f} ms, {best['ours'] / best['peer']:.2f} times the bare puts")


if __name__ == "__main__":
    main()
