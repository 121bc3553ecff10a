/** What the phone feels: attitudes against rotations of scipy, averages, one fix, one second. */

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { meanDirection, turn_deg, wrap_deg } from '../../web/sensing/angles.js';
import { edgeHeading_deg, edgeTilt_deg, flatHeading_deg, holdOf, uprightHeading_deg } from '../../web/sensing/attitude.js';
import { clockFace } from '../../web/sensing/camera_clock.js';
import { positionOf, takeFix } from '../../web/sensing/fix.js';
import { askToFeel, bearingOf, readHeading, Second, watchHeading } from '../../web/sensing/heading.js';
import { fillInLater } from '../../web/sensing/late_fix.js';
import { corrected_deg, stillCounts } from '../../web/sensing/shadow.js';
import { meanTilt, tiltOf, watchTilt } from '../../web/sensing/tilt.js';

// Rotations by scipy (Rotation.from_euler 'ZXY'), written by make_map_references.py.
const { triples } = JSON.parse(readFileSync(new URL('../reference/phone_attitude.json', import.meta.url), 'utf8'));

function near(found, wanted, within, words) {
  assert.ok(Math.abs(found - wanted) <= within, `${found} is not ${wanted} ± ${within}: ${JSON.stringify(words)}`);
}

test('held upright, the heading is where the back of the screen looks', () => {
  for (const one of triples.filter((triple) => triple.back_deg !== null)) {
    near(turn_deg(uprightHeading_deg(one.alpha, one.beta, one.gamma), one.back_deg), 0, 1e-6, one);
  }
});

test('lying flat on its back, the heading is where the top edge points, and turns with the page', () => {
  const flat = triples.filter((one) => one.top_deg !== null && Math.abs(one.beta) < 90);
  assert.ok(flat.length > 10);
  for (const one of flat) near(turn_deg(flatHeading_deg(one.alpha), one.top_deg), 0, 1e-6, one);
  // The page on its side (90): its top is the phone's right edge, a quarter turn clockwise.
  assert.equal(flatHeading_deg(0, 90), 90);
  assert.equal(flatHeading_deg(350, 270), 280);
});

test('along the long edge, the heading is where that edge points, whatever the roll', () => {
  for (const one of triples.filter((triple) => triple.top_deg !== null)) near(turn_deg(edgeHeading_deg(one.alpha, one.beta), one.top_deg), 0, 1e-6, one);
  const on_its_side = event({ alpha: 0, beta: 8, gamma: 89, absolute: true });
  assert.deepEqual(readHeading(on_its_side, 90, 'edge'), { deg: 0, plus_minus_deg: 10, hold: 'edge' });
});

test('an edge is as steep as the rotation says, either edge, in every attitude', () => {
  for (const one of triples) {
    near(edgeTilt_deg(one.beta, one.gamma, 'long'), one.long_edge_deg, 1e-6, one);
    near(edgeTilt_deg(one.beta, one.gamma, 'short'), one.short_edge_deg, 1e-6, one);
  }
});

test('flat and upright are told apart, and do not flicker between', () => {
  for (const one of triples) {
    const up = Math.abs(one.screen_up);
    if (up > 0.8) assert.equal(holdOf(one.beta, one.gamma, 'upright'), 'flat');
    if (up < 0.6) assert.equal(holdOf(one.beta, one.gamma, 'flat'), 'upright');
  }
  assert.equal(holdOf(45, 0, 'flat'), 'flat');
  assert.equal(holdOf(45, 0, 'upright'), 'upright');
});

test('directions are averaged as vectors', () => {
  near(turn_deg(meanDirection([359, 1, 0]).deg, 0), 0, 1e-9);
  near(meanDirection([350, 30]).deg, 10, 1e-9);
  assert.equal(meanDirection([]), null);
  assert.equal(meanDirection([0, 180]), null);
  near(meanDirection([80, 80, 80]).spread_deg, 0, 1e-5);
  // Of small errors the circular standard deviation is the ordinary one.
  near(meanDirection([88, 92]).spread_deg, 2, 0.01);
  assert.equal(wrap_deg(-1e-15), 0);
  assert.equal(turn_deg(350, 10), 20);
  assert.equal(turn_deg(10, 190), 180);
});

function event({ type = 'deviceorientation', ...angles }) {
  return Object.assign(new Event(type), { alpha: null, beta: null, gamma: null, absolute: false }, angles);
}

test('only what knows of north is a heading', () => {
  assert.equal(readHeading(event({}), 0, 'flat'), 'none');
  assert.equal(readHeading(event({ alpha: 10, beta: 0, gamma: 0 }), 0, 'flat'), 'relative');
  assert.deepEqual(readHeading(event({ alpha: 10, beta: 0, gamma: 0, absolute: true }), 0, 'flat'), { deg: 350, plus_minus_deg: 10, hold: 'flat' });
  assert.deepEqual(readHeading(event({ alpha: 120, beta: 90, gamma: 0, absolute: true }), 90, 'flat'), { deg: 240, plus_minus_deg: 10, hold: 'upright' });
  const ios = { alpha: 77, beta: 5, gamma: 1, webkitCompassHeading: 300, webkitCompassAccuracy: 15 };
  assert.deepEqual(readHeading(event(ios), 90, 'flat'), { deg: 30, plus_minus_deg: 15, hold: 'flat' });
  assert.equal(readHeading(event({ ...ios, webkitCompassAccuracy: 2 }), 0, 'flat').plus_minus_deg, 5);
  assert.equal(readHeading(event({ ...ios, webkitCompassAccuracy: -1 }), 0, 'flat'), 'uncalibrated');
});

test('one second counts, and a phone raised upright begins anew', () => {
  const second = new Second();
  for (let at = 0; at <= 2000; at += 100) second.add(at, { deg: at < 900 ? 100 : 200, plus_minus_deg: 10, hold: 'flat' });
  near(second.mean().read_deg, 200, 1e-6);
  assert.equal(second.mean().count, 11);
  second.add(2050, { deg: 20, plus_minus_deg: 10, hold: 'upright' });
  near(second.mean().read_deg, 20, 1e-6);
  near(second.mean().plus_minus_deg, 10, 1e-3);
});

test('a heading is shown until it is held, whichever kind of event carries it', () => {
  const target = new EventTarget();
  const heard = [];
  let at = 0;
  const watch = watchHeading((one) => heard.push(one), { target, now: () => (at += 50), screen_deg: () => 0 });
  target.dispatchEvent(event({ alpha: 5, beta: 0, gamma: 0 }));
  assert.deepEqual(heard, ['relative']);
  target.dispatchEvent(event({ type: 'deviceorientationabsolute', alpha: 358, beta: 0, gamma: 0, absolute: true }));
  target.dispatchEvent(event({ alpha: 5, beta: 0, gamma: 0 }));
  target.dispatchEvent(event({ type: 'deviceorientationabsolute', alpha: 2, beta: 0, gamma: 0, absolute: true }));
  assert.equal(heard.length, 3);
  const held = watch.hold();
  near(turn_deg(held.read_deg, 0), 0, 1e-6);
  target.dispatchEvent(event({ type: 'deviceorientationabsolute', alpha: 90, beta: 0, gamma: 0, absolute: true }));
  assert.equal(heard.length, 3);
  assert.deepEqual(bearingOf({ ...held, read_deg: 359.97 }), { read_deg: 0, reference: 'magnetic', how: 'phone compass', plus_minus_deg: 10.2 });
  assert.equal(bearingOf(held, { true_deg: 12.34 }).true_deg, 12.3);
});

test('a phone without the events says so', async () => {
  assert.equal(await askToFeel(), 'absent');
  globalThis.DeviceOrientationEvent = class {};
  assert.equal(await askToFeel(), 'granted');
  globalThis.DeviceOrientationEvent.requestPermission = async () => 'denied';
  assert.equal(await askToFeel(), 'denied');
  delete globalThis.DeviceOrientationEvent;
});

test('a tilt is the mean of a second with the ± of a phone by its edge', () => {
  const target = new EventTarget();
  let at = 0;
  const heard = [];
  const watch = watchTilt((one) => heard.push(one), { target, now: () => (at += 400) });
  for (const beta of [50, 4, 6, 5]) target.dispatchEvent(event({ beta, gamma: 90 }));
  const held = watch.hold();
  near(held.deg, 5, 1e-9);
  assert.equal(held.count, 3);
  assert.ok(held.plus_minus_deg > 1.5 && held.plus_minus_deg < 1.8);
  assert.deepEqual(tiltOf({ deg: -0.04, plus_minus_deg: 1.5 }), { deg: 0, how: 'phone edge', plus_minus_deg: 1.5 });
  assert.equal(meanTilt([]), null);
});

test('a shadow sets the compass for a while', () => {
  assert.equal(corrected_deg(5, { correction_deg: -10, plus_minus_deg: 3, at_ms: 0 }), 355);
  assert.equal(stillCounts({ correction_deg: 1, plus_minus_deg: 3, at_ms: 0 }, 60_000), true);
  assert.equal(stillCounts({ correction_deg: 1, plus_minus_deg: 3, at_ms: 0 }, 3_600_000), false);
  assert.equal(stillCounts(undefined, 0), false);
});

/** A phone's positioning that the test drives. */
class Positions {
  cleared = [];
  watchPosition(found, failed, options) {
    Object.assign(this, { found, failed, options });
    return 7;
  }
  clearWatch(id) {
    this.cleared.push(id);
  }
  at(accuracy, timestamp = 1_000_000) {
    this.found({ coords: { latitude: 52.87, longitude: -0.47, accuracy, altitude: null }, timestamp });
  }
}
const NOW = { now: () => 1_000_000, for_s: 20 };

test('a fix gets better until a tap, and then listens no more', async () => {
  const geolocation = new Positions();
  const heard = [];
  const taken = takeFix({ ...NOW, geolocation, onBetter: (fix) => heard.push(fix.accuracy_m) });
  assert.equal(geolocation.options.enableHighAccuracy, true);
  assert.equal(geolocation.options.maximumAge, 0);
  geolocation.at(3, 900_000); // last hour's
  for (const accuracy of [40, 18, 25, 9]) geolocation.at(accuracy);
  assert.deepEqual(heard, [40, 18, 9]);
  taken.stop();
  assert.equal((await taken.done).accuracy_m, 9);
  assert.deepEqual(geolocation.cleared, [7]);
  geolocation.at(5);
  assert.equal(heard.length, 3);
  assert.deepEqual(positionOf(await taken.done), { lat: 52.87, lon: -0.47, accuracy_m: 9, source: 'satellite fix' });
  assert.equal(positionOf({ lat: 1, lon: 2, accuracy_m: 4.04 }).accuracy_m, 4.1);
});

test('a fix ends by itself when it is good, when it is refused, and when time is up', async () => {
  const good = new Positions();
  const one = takeFix({ ...NOW, geolocation: good });
  good.at(3);
  assert.equal((await one.done).accuracy_m, 3);
  assert.equal(good.cleared.length, 1);
  const refused = new Positions();
  const two = takeFix({ ...NOW, geolocation: refused });
  refused.failed({ code: 1 });
  assert.equal(await two.done, 'denied');
  // The first word of a phone that wakes its receiver is often that it has none.
  const waking = new Positions();
  const late = takeFix({ ...NOW, geolocation: waking });
  waking.failed({ code: 2 });
  waking.at(3);
  assert.equal((await late.done).accuracy_m, 3);
  const indoors = new Positions();
  const none = takeFix({ ...NOW, for_s: 0.01, geolocation: indoors });
  indoors.failed({ code: 2 });
  assert.equal(await none.done, 'unavailable');
  const slow = new Positions();
  const three = takeFix({ ...NOW, for_s: 0.02, geolocation: slow });
  slow.at(30);
  assert.equal((await three.done).accuracy_m, 30);
  assert.equal(slow.cleared.length, 1);
  assert.equal(await takeFix({ ...NOW, for_s: 0.01, geolocation: new Positions() }).done, 'no time');
});

test('what was saved without a place takes the first usable fix, and no later one', async () => {
  const walked = new Positions();
  const taken = takeFix({ ...NOW, geolocation: walked });
  taken.hurry();
  for (const accuracy of [800, 20, 5]) walked.at(accuracy);
  assert.equal((await taken.done).accuracy_m, 20);
  const known = takeFix({ ...NOW, geolocation: walked });
  walked.at(70);
  known.hurry();
  assert.equal((await known.done).accuracy_m, 70);
});

test('a late fix fills in what was saved without a place, and moves nothing', async () => {
  const saves = [];
  const notebookWith = (recs) => ({ get: async () => recs.shift(), save: async (edits) => void saves.push(edits[0]) });
  const rec = (position, deleted = false) => ({ id: 'a', kind: 'perch', deleted, values: { position } });
  const fix = { lat: 1, lon: 2, accuracy_m: 6, altitude_m: null, at_ms: 0 };
  const guess = { lat: 1.1, lon: 2, accuracy_m: 50, source: 'guess' };
  const fill = (held, found = fix) => fillInLater(notebookWith([held]), { id: 'a' }, Promise.resolve(found));
  assert.equal(await fill(rec(undefined)), 'filled');
  assert.deepEqual(saves[0].set, { position: { lat: 1, lon: 2, accuracy_m: 6, source: 'satellite fix' } });
  assert.equal(await fill(rec(guess)), 'left alone');
  assert.equal(await fill(undefined), 'left alone');
  assert.equal(await fill(rec(undefined, true)), 'left alone');
  assert.equal(await fill(rec(undefined), 'denied'), 'no fix');
  assert.equal(saves.length, 1);
});

test('the face for the camera shows UTC', () => {
  // 2026-05-12T04:35:07.900Z as seconds since 1970, by hand from 20585 days.
  const ms = 20_585 * 86_400_000 + (4 * 3600 + 35 * 60 + 7) * 1000 + 900;
  assert.deepEqual(clockFace(ms), { date: '2026-05-12', time: '04:35:07' });
  assert.deepEqual(clockFace(ms, 200), { date: '2026-05-12', time: '04:35:08' });
});
