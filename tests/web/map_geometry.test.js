/** The phone's own sums of pins and lines, against the geodesic. */

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { typed, written } from '../../web/map/coordinates.js';
import { declinationIn, madeTrue } from '../../web/map/compass.js';
import { destination, lineBetween, nudged, placeFrom } from '../../web/map/geometry.js';
import { turn_deg } from '../../web/sensing/angles.js';

// geographiclib (Karney 2013), written by make_map_references.py.
const { lines } = JSON.parse(readFileSync(new URL('../reference/phone_geodesy.json', import.meta.url), 'utf8'));
const CM = 0.01;
const MM = 0.001;

/** Metres between two places that are nearly the same. */
function apart_m(one, other) {
  const east = (one.lon - other.lon) * 111_320 * Math.cos((one.lat * Math.PI) / 180);
  return Math.hypot((one.lat - other.lat) * 111_320, east);
}

test('a place along a bearing lies where the geodesic ends', () => {
  for (const line of lines) {
    const end = destination(line, line.true_deg, line.along_m);
    const off = apart_m(end, { lat: line.lat2, lon: line.lon2 });
    assert.ok(off < (line.along_m <= 1000 ? CM / 4 : 5 * CM), `${off} m off at ${JSON.stringify(line)}`);
  }
});

test('distance and bearing between two pins are those of the geodesic', () => {
  for (const line of lines.filter((one) => one.along_m <= 1000)) {
    const found = lineBetween(line, { lat: line.lat2, lon: line.lon2 });
    assert.ok(Math.abs(found.distance_m - line.along_m) < CM / 2, JSON.stringify([found, line]));
    const swing_m = Math.abs(turn_deg(line.true_deg, found.true_deg)) * (Math.PI / 180) * line.along_m;
    assert.ok(swing_m < CM / 2, `${swing_m} m aside: ${JSON.stringify([found, line])}`);
  }
});

test('pins that may lie on each other give no direction', () => {
  const here = { lat: 52.87, lon: -0.47, accuracy_m: 6 };
  const there = { ...destination(here, 40, 9), accuracy_m: 8 };
  assert.equal(lineBetween(here, there).plus_minus_deg, 180);
  const far = { ...destination(here, 40, 100), accuracy_m: 8 };
  // atan(√(6² + 8²) / 100)
  assert.ok(Math.abs(lineBetween(here, far).plus_minus_deg - (Math.atan(0.1) * 180) / Math.PI) < 1e-4);
  assert.equal(lineBetween(here, here).true_deg, null);
});

test('a perch is placed from a vantage by bearing, distance and tilt, with its radius', () => {
  const vantage = { lat: 52.87, lon: -0.47, accuracy_m: 3 };
  const placed = placeFrom(vantage, {
    true_deg: 246.25,
    plus_minus_deg: 10,
    slant_m: 20,
    slant_plus_minus_m: 1,
    tilt_deg: 30,
    tilt_plus_minus_deg: 1.5,
  });
  assert.ok(Math.abs(placed.ground_m - 20 * Math.cos(Math.PI / 6)) < MM);
  assert.ok(Math.abs(placed.rise_m - 10) < MM);
  const line = lineBetween(vantage, placed);
  assert.ok(Math.abs(line.distance_m - placed.ground_m) < MM);
  assert.ok(Math.abs(line.true_deg - 246.25) < 0.01);
  // hypot of the vantage's 3 m, of the distance (1·cos 30°, 20·sin 30°·1.5°), of the chord of 10°: by hand
  assert.ok(Math.abs(placed.accuracy_m - Math.hypot(3, 0.866, 0.2618, 3.0191)) < MM, placed.accuracy_m);
  const level = placeFrom(vantage, { true_deg: 0, plus_minus_deg: 0, slant_m: 20, slant_plus_minus_m: 0 });
  assert.ok(Math.abs(level.rise_plus_minus_m - 20 * (5 * Math.PI) / 180) < MM);
  for (const slant_m of [0, -1, NaN]) {
    assert.throws(() => placeFrom(vantage, { true_deg: 0, plus_minus_deg: 0, slant_m, slant_plus_minus_m: 0 }), RangeError);
  }
});

test('a nudge moves a pin by what it says and keeps the rest of it', () => {
  const start = { lat: -33.9, lon: 151.2, accuracy_m: 5, source: 'map' };
  const moved = nudged(start, 1, 0);
  assert.ok(Math.abs(lineBetween(start, moved).distance_m - 1) < 2 * CM); // seven decimals
  assert.ok(Math.abs(turn_deg(90, lineBetween(start, moved).true_deg)) < 1);
  assert.deepEqual([moved.accuracy_m, moved.source], [5, 'map']);
  assert.ok(apart_m(nudged(nudged(start, 0, 5), 0, -5), start) < 2 * CM);
});

test('typed coordinates are read in the ways people write them, or not at all', () => {
  const same = { lat: 52.5, lon: -1.25 };
  for (const text of ['52.5, -1.25', '52.5 N, 1.25 W', '52°30′N 1°15′W', `52°30'0"N, 1°15'00"W`, 'N52.5 W1.25', '52.5 -1.25', '52,5; −1,25', '52 30 n, 1 15 w', '52.5 –1.25']) {
    assert.deepEqual(typed(text), same, text);
  }
  for (const text of ['', '52.5', '91, 0', '0, 181', '52.5, -1.25, 3', '52°61′N 1°W', '-52.5 N, 1 W', 'reed hide', '52.5.1, 1', '52.5°30′N 1°W']) {
    assert.equal(typed(text), null, text);
  }
  assert.equal(written({ lat: -33.9, lon: 151.2 }), '33.90000 S, 151.20000 E');
  assert.deepEqual(typed(written({ lat: -33.9, lon: 151.2 })), { lat: -33.9, lon: 151.2 });
});

test('a magnetic reading is made true by the engine, else by what is remembered of this area', async () => {
  let held;
  const memory = declinationIn({ setting: async () => held, keepSetting: async (_, value) => void (held = value) });
  const here = { lat: 52.87, lon: -0.47 };
  assert.equal(await madeTrue(10, here, 0, { memory }), null);
  const engine = async (name, request) => {
    assert.equal(name, 'compass');
    assert.deepEqual(request.bearing.reference, 'magnetic');
    return { declination_deg: -12.5 };
  };
  const made = await madeTrue(10, here, 86_400_000, { engine, memory });
  assert.deepEqual(made, { true_deg: 357.5, declination_deg: -12.5, from: 'engine', at_ms: 86_400_000 });
  const broken = async () => Promise.reject(new Error('no engine'));
  const again = await madeTrue(20, destination(here, 0, 20_000), 99_000_000, { engine: broken, memory });
  assert.deepEqual(again, { true_deg: 7.5, declination_deg: -12.5, from: 'kept', at_ms: 86_400_000 });
  assert.equal(await madeTrue(20, { lat: 40, lon: -3 }, 99_000_000, { engine: async () => ({ error: {} }), memory }), null);
});
