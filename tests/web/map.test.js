/** The map's own sums: crowds, grids, figures, tiles, looks, new pins. */

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { intoLook } from '../../web/map/looks_of_tiles.js';
import { gathered } from '../../web/map/crowd.js';
import { crossing, flat, linesWithin, square_m } from '../../web/map/grid_lines.js';
import { lineBetween } from '../../web/map/geometry.js';
import { styleOf, STYLES } from '../../web/map/light_lines.js';
import { drawing, stack } from '../../web/map/marks.js';
import { letterOf, outlinesOf, pinsOf, sightsOf } from '../../web/map/pins.js';
import { editsForPin, isSomewhere, nearestSite, nextName, siteAt, underCross } from '../../web/map/placing.js';
import { countTiles, covering, keepArea, keptOf, shared, tileOf, tilesOf } from '../../web/map/tile_store.js';
import { seeded } from './cases.js';

test('a crowd is gathered so that no two spots are nearer than a finger is wide', () => {
  const random = seeded(3);
  const spots = Array.from({ length: 2000 }, (_, place) => ({ id: `p${place}`, x: random() * 390, y: random() * 700 }));
  const groups = gathered(spots, 40);
  assert.equal(groups.flatMap((group) => group.ids).length, 2000);
  assert.ok(groups.length < 300, `${groups.length} marks`);
  for (const [place, one] of groups.entries()) {
    for (const other of groups.slice(place + 1)) assert.ok(Math.hypot(one.x - other.x, one.y - other.y) >= 40);
  }
  const alone = gathered(spots, 40, new Set(['p1999']));
  assert.deepEqual(alone.find((group) => group.ids.includes('p1999')).ids, ['p1999']);
});

test('the squares of the grid are round and wide enough to see', () => {
  for (const [px_per_m, wanted] of [[100, 1], [56, 1], [55, 2], [12, 5], [5.6, 10], [0.5, 200], [0.056, 1000], [300, 0.2]]) {
    assert.equal(square_m(px_per_m), wanted, `${px_per_m} px a metre`);
  }
  assert.deepEqual(linesWithin(-12, 21, 10), [-1, 0, 1, 2]);
  assert.deepEqual(linesWithin(3, 8, 10), []);
  assert.equal(crossing(50, -100), '100 S 50 E');
  assert.equal(crossing(0, 0), '0');
  assert.equal(crossing(-1500, 0), '1.5 km W');
});

test('metres of the grid are metres on the ground', () => {
  const origin = { lat: 52.87, lon: -0.47 };
  const { to_m, to_deg } = flat(origin);
  const there = to_deg(300, -400);
  assert.ok(Math.abs(lineBetween(origin, there).distance_m - 500) < 0.02);
  const back = to_m(there);
  assert.ok(Math.abs(back.east_m - 300) < 1e-6 && Math.abs(back.north_m + 400) < 1e-6);
});

// The page's own; figures are in the units that the phone is set to.
globalThis.addEventListener ??= () => {};
const { figuresOf } = await import('../../web/map/figures.js');
const { linesAt } = await import('../../web/engine/moments.js');

const rec = (kind, id, values) => ({ kind, id, values, heads: {}, deleted: false });
const at = (lat, lon, accuracy_m = 3) => ({ lat, lon, accuracy_m });

test('records become pins; one without a position is left out, landmarks are lettered in order', () => {
  const pins = pinsOf({
    perch: [rec('perch', 'p', { name: 'Post', position: at(52, 0) }), rec('perch', 'q', { name: 'No place' }), rec('perch', 'r', { position: { lat: 'x', lon: 1 } })],
    vantage: [rec('vantage', 'v', { name: 'Reed hide', cover: 'hide', usable: { from_deg: 300, to_deg: 40 }, position: at(52, 0.001) })],
    landmark: [
      rec('landmark', 'b', { name: 'Gate', kind: 'gate', position: at(52, 0) }),
      rec('landmark', 'a', { name: 'Car', kind: 'parking', position: at(52, 0) }),
      rec('landmark', 'h', { name: 'Bog', kind: 'hazard', position: at(52, 0) }),
    ],
  });
  assert.deepEqual(pins.map((pin) => `${pin.kind} ${pin.id} ${pin.letter ?? ''}`.trim()), ['vantage v', 'perch p', 'landmark b B', 'landmark a A', 'hazard h']);
  assert.deepEqual([0, 25, 26, 701, 702].map(letterOf), ['A', 'Z', 'AA', 'ZZ', 'AAA']);
  assert.deepEqual(outlinesOf({ area: [rec('area', 'x', { kind: 'water', outline: [at(1, 1), at(1, 2)] })] }), []);
});

test('what was measured on the spot wins over what two pins imply', () => {
  const records = {
    perch: [rec('perch', 'p', { name: 'Post', position: at(52, 0) })],
    vantage: [rec('vantage', 'v', { name: 'Hide', position: at(52, 0.0003) })],
    sightline: [
      rec('sightline', 's', { vantage: 'v', perch: 'p', gap: { m: 50, ranged_from: 'vantage' } }),
      rec('sightline', 't', { vantage: 'v', perch: 'p', gap: { sky: true } }),
      rec('sightline', 'u', { vantage: 'v', perch: 'gone' }),
    ],
    measurement: [
      rec('measurement', 'm1', { sightline: 's', bearing: { read_deg: 100, reference: 'magnetic', true_deg: 264, plus_minus_deg: 10 }, distance: { m: 22, plus_minus_m: 5 } }),
      rec('measurement', 'm2', { sightline: 's', bearing: { read_deg: 262, reference: 'true', plus_minus_deg: 2 }, distance: { m: 20, plus_minus_m: 1 } }),
      rec('measurement', 'm3', { sightline: 't', bearing: { read_deg: 10, reference: 'magnetic' } }),
    ],
  };
  const [measured, pinned, ...more] = sightsOf(records, pinsOf(records));
  assert.deepEqual(more, []);
  assert.deepEqual(figuresOf(measured), ['262°', '20 m', 'gap 30 m']);
  assert.equal(measured.isMeasured, true);
  // 0.0003° of longitude at 52°: 20.6 m to the west
  assert.deepEqual(figuresOf(pinned), ['270°', '21 m', 'sky behind']);
  assert.equal(pinned.isMeasured, false);
});

test('the four states are four patterns, and plain lines are none of them', () => {
  const drawn = Object.values(STYLES).map((style) => JSON.stringify(style));
  assert.equal(new Set(drawn).size, 4);
  assert.ok(STYLES.good.width >= 2 * STYLES.sun.width);
  assert.equal(STYLES.dark.dash[0], 0);
  assert.ok(STYLES['sky light'].dash[0] > 4);
  assert.deepEqual(styleOf('good', false), styleOf(undefined, false));
  assert.equal(styleOf(undefined, true).faint, true);
});

/** The box of a drawing's strokes, by the numbers in their paths. */
function box(strokes) {
  const numbers = strokes.flatMap(({ d }) => d.replace(/[HV]/g, 'L').match(/-?[\d.]+/g).map(Number));
  return Math.max(...numbers) - Math.min(...numbers);
}

test('a sightline that is not offered has no state of light, whatever the light on it', () => {
  const good = [{ from: { utc: '2026-05-12T05:00:00Z' }, to: { utc: '2026-05-12T06:00:00Z' }, state: 'good' }];
  const line = (id, more) => ({ id, stretches: { overcast: good }, ...more });
  const card = { asked: { ranked_by_sky: 'overcast' }, sightlines: [line('a')], barred: [line('b', { barred: ['Too near.', 'Closed.'] })] };
  assert.deepEqual(linesAt(card, Date.parse('2026-05-12T05:30:00Z')), { states: { a: 'good' }, barred: { b: 'Too near. Closed.' } });
});

test('every mark is at least 24 px large, and a hide is a vantage with a bar', () => {
  const plain = drawing({ kind: 'vantage', toward_deg: 0 });
  const hide = drawing({ kind: 'vantage', hide: true, toward_deg: 0 });
  assert.equal(hide.strokes.length, plain.strokes.length + 1);
  for (const mark of [drawing({ kind: 'perch' }), hide, drawing({ kind: 'hazard' }), drawing({ kind: 'landmark', letter: 'A' }), stack(7)]) {
    assert.ok(box(mark.strokes) >= 20);
    assert.ok(!mark.strokes.some(({ d }) => /NaN|undefined/.test(d)));
  }
  assert.equal(drawing({ kind: 'landmark', letter: 'A' }).text.text, 'A');
  assert.equal(stack(250).text.text, '99+');
  // The ticks run clockwise through north: 300° to 40° is ten times ten degrees.
  const [, ticks] = drawing({ kind: 'vantage', usable: { from_deg: 300, to_deg: 40 } }).strokes;
  assert.equal(ticks.d.match(/M/g).length, 11);
  const [, round] = drawing({ kind: 'vantage', usable: { from_deg: 0, to_deg: 0 } }).strokes;
  assert.equal(round.d.match(/M/g).length, 37);
});

test('at night only red is left of a base map, as bright as the eye found it', () => {
  const random = seeded(9);
  const pixels = new Uint8ClampedArray(4000).map(() => Math.floor(random() * 256));
  const night = pixels.slice();
  intoLook(night, 'night');
  for (let place = 0; place < night.length; place += 4) {
    assert.equal(Math.max(night[place + 1], night[place + 2]), 0);
    assert.equal(night[place + 3], pixels[place + 3]);
  }
  const green = Uint8ClampedArray.of(0, 200, 0, 255);
  intoLook(green, 'night');
  assert.ok(green[0] > 30, 'a green wood must not be black');
  const day = pixels.slice();
  intoLook(day, 'day');
  assert.deepEqual(day, pixels);
});

test('tiles cover an area and no more; the count is that of the list', () => {
  const area = { south_deg: 52.86, west_deg: -0.48, north_deg: 52.88, east_deg: -0.46 };
  const tiles = [...tilesOf(area, 12, 15)];
  assert.equal(tiles.length, countTiles(area, 12, 15));
  assert.equal(new Set(tiles.map(({ z, x, y }) => `${z}/${x}/${y}`)).size, tiles.length);
  // OGC 17-083r2, WebMercatorQuad, by hand: x = ⌊(−0.47 + 180)/360 · 2¹⁵⌋; the middle is among them.
  assert.ok(tiles.some(({ z, x }) => z === 15 && x === Math.floor((179.53 / 360) * 32768)));
  assert.deepEqual(covering({ south_deg: -90, west_deg: -180, north_deg: 90, east_deg: 180 }, 1), { west: 0, east: 1, north: 0, south: 1 });
  assert.equal(shared(area, { ...area, south_deg: 53, north_deg: 54 }), null);
  assert.deepEqual(shared(area, { ...area, south_deg: 52.87, north_deg: 54 }), { ...area, south_deg: 52.87 });
});

/** Cache storage as far as tiles need it. */
class SmallCaches {
  held = new Map();
  room = Infinity;
  async has(name) {
    return this.held.has(name);
  }
  async match(address, { cacheName }) {
    return this.held.get(cacheName)?.get(address)?.clone();
  }
  async open(name) {
    const held = this.held.get(name) ?? new Map();
    this.held.set(name, held);
    return {
      match: async (address) => held.get(address)?.clone(),
      keys: async () => [...held.keys()],
      put: async (address, answer) => {
        if (held.size >= this.room) throw new DOMException('full', 'QuotaExceededError');
        held.set(address, answer);
      },
    };
  }
}
const AREA = { south_deg: 52.86, west_deg: -0.48, north_deg: 52.88, east_deg: -0.46 };
const tile = (bytes = 100) => new Response(new Uint8Array(bytes), { headers: { 'Content-Type': 'image/png' } });

test('an area is kept, shown without the laptop, and taken up again where it stopped', async () => {
  const caches = new SmallCaches();
  const asked = [];
  let left = 5;
  const fetcher = async (address) => {
    asked.push(address);
    if (left-- <= 0) throw new TypeError('no network');
    return asked.length % 2 ? tile() : new Response(null, { status: 204 });
  };
  const first = await keepArea('heath', AREA, 13, 15, { caches, fetcher });
  assert.equal(first.ended, 'unreachable');
  assert.equal(first.done, 5);
  left = Infinity;
  const heard = [];
  const second = await keepArea('heath', AREA, 13, 15, { caches, fetcher, onProgress: (one) => heard.push(one.done) });
  assert.equal(second.ended, 'kept');
  assert.equal(second.done, countTiles(AREA, 13, 15));
  assert.equal(heard.at(-1), second.all);
  assert.equal((await keptOf('heath', caches)).tiles, second.all);
  const { west, north } = covering(AREA, 14);
  const noFetch = () => Promise.reject(new TypeError('no network'));
  const held = await tileOf('heath', 14, west, north, { caches, fetcher: noFetch });
  assert.ok(held === null || held.size === 100);
  await assert.rejects(tileOf('heath', 14, west - 5, north, { caches, fetcher: noFetch }));
  await assert.rejects(tileOf('moor', 14, west, north, { caches, fetcher: noFetch }));
});

test('a portal, a full phone and a tap on stop end the keeping in words', async () => {
  const portal = async () => new Response('<html>', { status: 200, headers: { 'Content-Type': 'text/html' } });
  const one = await keepArea('heath', AREA, 14, 15, { caches: new SmallCaches(), fetcher: portal });
  assert.deepEqual([one.ended, one.done], ['unreachable', 0]);
  const full = Object.assign(new SmallCaches(), { room: 3 });
  const two = await keepArea('heath', AREA, 14, 16, { caches: full, fetcher: async () => tile() });
  assert.deepEqual([two.ended, two.done], ['full', 3]);
  const stop = new AbortController();
  const three = await keepArea('heath', AREA, 14, 16, {
    caches: new SmallCaches(),
    fetcher: async () => tile(),
    signal: stop.signal,
    onProgress: ({ done }) => done === 2 && stop.abort(),
  });
  assert.equal(three.ended, 'stopped');
  assert.ok(three.done < three.all);
});

test('the first pin of a new place makes its site, in the same Save', () => {
  let count = 0;
  const known = { sites: [rec('site', 's1', { name: 'New site 1', centre: at(52.87, -0.47) })], names: ['Perch 1', 'perch 2'], zone: 'Europe/Lisbon', newId: () => `id${++count}` };
  const near = { lat: 52.88, lon: -0.47, source: 'map' };
  const inside = editsForPin('perch', near, known);
  assert.deepEqual(inside.edits, [{ kind: 'perch', record: 'id1', set: { site: 's1', name: 'Perch 3', position: near } }]);
  const far = { lat: 53.5, lon: -0.47, accuracy_m: 8, source: 'satellite fix' };
  const outside = editsForPin('landmark', far, known);
  assert.equal(outside.isNewSite, true);
  assert.deepEqual(outside.edits.map((edit) => edit.kind), ['site', 'landmark']);
  assert.deepEqual(outside.edits[0].set, { name: 'New site 2', centre: { lat: 53.5, lon: -0.47, source: 'satellite fix' }, zone: 'Europe/Lisbon' });
  assert.equal(outside.edits[1].set.site, outside.edits[0].record);
  assert.equal(outside.edits[1].record, outside.id);
  assert.equal(siteAt(known.sites, far), null);
  assert.equal(nearestSite(known.sites, far).id, 's1');
  assert.equal(siteAt([rec('site', 'x', {})], far), null);
  assert.equal(nextName('Perch', []), 'Perch 1');
});

test('a cross is as sure as the zoom it was put at', () => {
  assert.deepEqual(underCross({ lat: 52.123456789, lon: 181 }, 10), { lat: 52.1234568, lon: -179, accuracy_m: 5, source: 'map' });
  assert.equal(underCross({ lat: 0, lon: 0 }, 0.01).accuracy_m, 400);
  const put = (lat, lon, px_per_m) => isSomewhere(underCross({ lat, lon }, px_per_m));
  assert.deepEqual([put(52, 0, 1), put(52, 0, 0.01), put(0.3, -0.2, 1), put(0, 9.4, 1)], [true, false, false, true]);
});
