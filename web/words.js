/**
 * Every word that the app itself says; field labels, choices and help come with the schema. One place, so that
 * they can be read through at once, and put into another language. Not for: layout.
 */

import { bytes } from './units.js';
import { moment } from './times.js';

/** @param {number} count @param {string} one @param {string} [many] */
export const counted = (count, one, many = `${one}s`) => `${count} ${count === 1 ? one : many}`;

/** Kind → its name, alone and in numbers. @type {Record<string, {one: string, many: string}>} */
export const kinds = {
  site: { one: 'site', many: 'sites' },
  permission: { one: 'permission', many: 'permissions' },
  perch: { one: 'perch', many: 'perches' },
  vantage: { one: 'vantage', many: 'vantages' },
  walk_in: { one: 'walk-in', many: 'walk-ins' },
  landmark: { one: 'landmark', many: 'landmarks' },
  sightline: { one: 'sightline', many: 'sightlines' },
  measurement: { one: 'measurement', many: 'measurements' },
  skyline: { one: 'skyline', many: 'skylines' },
  canopy: { one: 'canopy', many: 'canopies' },
  area: { one: 'area', many: 'areas' },
  layer: { one: 'layer', many: 'layers' },
  kit: { one: 'kit', many: 'kits' },
  species: { one: 'species', many: 'species' },
  visit: { one: 'visit', many: 'visits' },
  watch: { one: 'watch', many: 'watches' },
  sighting: { one: 'sighting', many: 'sightings' },
  reaction: { one: 'reaction', many: 'reactions' },
  light_reading: { one: 'light reading', many: 'light readings' },
  photo: { one: 'photo', many: 'photos' },
  note: { one: 'note', many: 'notes' },
  tag: { one: 'tag', many: 'tags' },
  settings: { one: 'settings', many: 'settings' },
};

export const app = {
  name: 'Scouting notebook',
  opens: 'The notebook opens.',
  skip: 'To the page',
  places: 'Places in the app',
  nothing_here: 'There is no such page',
  nothing_here_why: 'The address is wrong, or what it shows is not on this phone.',
  to_book: 'Open the book',
  broke: 'This page failed',
  broke_why: 'What was saved is safe. Go back, or open the app again.',
  again: 'Try again',
  back: 'Back',
  close: 'Close',
  cannot_open: 'The notebook cannot be opened',
  load_again: 'Load again',
};

export const places = { outing: 'Outing', map: 'Map', write: 'Write', book: 'Book' };

/** @param {number} pulled changes */
const soFar = (pulled) => (pulled > 0 ? `, ${counted(pulled, 'change')} so far` : '');

/** How well something is kept. */
export const where = { phone: 'on this phone', server: 'on the server', 'backed up': 'backed up' };

export const saved = {
  on_phone: 'Saved on this phone',
  undo: 'Undo',
  undone: 'Undone',
  undone_in_part: 'Undone, but for what was changed since',
  not_undone: 'It could not be undone. Try it from the history.',
  dismiss: 'Good',
  not_saved: 'Not saved. The form is still here; free some space on the phone, then save again.',
};

export const update = {
  ready: 'A new version is ready',
  now: 'Use it now',
  later: 'Later',
};

/** The one line on where everything stands. */
export const sync = {
  /** @param {import('./notebook/types.d.ts').NotebookState} state */
  line(state) {
    const waits = [];
    if (state.waiting_changes > 0) waits.push(counted(state.waiting_changes, 'change'));
    if (state.waiting_photos > 0) {
      waits.push(`${counted(state.waiting_photos, 'photo')} (${bytes(state.waiting_bytes)})`);
    }
    const said = [waits.length > 0 ? `${waits.join(', ')} waiting` : 'Nothing waiting'];
    if (state.parked > 0) said.push(`${state.parked} to mend`);
    if (state.conflicts > 0) said.push(`${state.conflicts} with two answers`);
    const { trouble, phase, pulled } = state.sync;
    const is_first = state.last_sync === null;
    if (trouble !== null) said.push(is_first && trouble === 'unpaired' ? this.not_paired : this.trouble[trouble]);
    else if (phase === 'syncing') said.push(is_first ? `fetching${soFar(pulled)}` : 'syncing');
    if (state.last_sync !== null) said.push(`last sync ${moment(state.last_sync)}`);
    else if (trouble !== 'unpaired' && phase !== 'syncing') said.push('never synced');
    return said.join(' · ');
  },
  not_paired: 'not paired yet',
  /**
   * Say that what the notebook holds may still be on its way here; null once that is known.
   * @param {Pick<import('./notebook/types.d.ts').NotebookState, 'last_sync' | 'sync'>} state
   */
  coming({ last_sync, sync: { trouble, phase, pulled } }) {
    if (last_sync !== null) return null;
    if (trouble === null) return phase === 'syncing' ? `Fetching what the notebook holds${soFar(pulled)}. You can write meanwhile.` : null;
    const why = trouble === 'unpaired' ? 'this phone is not paired with it yet' : this.trouble[trouble];
    return `What the notebook holds is not on this phone: ${why}. It comes with the first sync; you can write meanwhile.`;
  },
  /** @type {Record<import('./notebook/types.d.ts').SyncTrouble, string>} */
  trouble: {
    unreachable: 'no server in reach',
    not_ours: 'another network answers',
    unpaired: 'pair this phone again',
    not_allowed: 'not allowed',
    busy: 'the server is busy',
    server_full: 'the server is full',
    server_older: 'the server is older than this phone',
    refused: 'the server refused',
    phone_full: 'the phone is full',
    fault: 'sync failed',
  },
};

export const field = {
  needed: 'needed',
  sensor: 'Sensor size',
  about: 'about',
  less: 'less',
  more: 'more',
  clear: 'Not known',
  yes: 'yes',
  no: 'no',
  plus_minus: '±',
  exact: 'Type a figure',
  rough: 'Tap a rough one',
  now: 'now',
  like: 'like',
  like_time: 'like 04:35',
  like_season_day: 'like 05-12, month first',
  time: 'Time',
  day: 'Day',
  day_before: 'a day earlier',
  day_after: 'a day later',
  today: 'today',
  add: 'Add',
  remove: 'Remove',
  none_yet: 'None yet.',
  choose: 'Choose',
  change: 'Choose another',
  missing: 'not on this phone yet',
  typed_position: 'Latitude, longitude',
  typed_position_help: 'Latitude first, as 52.1234, −1.2345 or 52°07′24″N 1°14′04″W',
  here: 'Where I stand',
  here_again: 'Take it again',
  here_stop: 'Good enough',
  reference: { true: 'from true north', magnetic: 'from magnetic north' },
  held: 'Hold this',
  aim: 'Use the compass',
  aim_help: 'Point the phone, then tap to hold.',
  no_compass: 'This phone gives no compass here. Type the degrees, or tap a word.',
  sixteen: 'Sixteen points',
  eight: 'Eight points',
  phone_keyboard: 'Use the phone’s keyboard (bright)',
  own_keys: 'Use the red keys',
  capitals: 'Capitals',
  digits: '123',
  letters: 'abc',
  space: 'space',
  delete: 'Delete',
  done: 'Done',
};

/** Where one stands. */
export const here = {
  asking: 'Taking a position; you need not wait.',
  better: 'so far; it gets better while you write',
  try_again: 'Try again',
  type: 'Type the position',
  without: 'It can be saved without one.',
  /** @param {string} reason */
  no_fix: (reason) =>
    ({
      denied: 'The phone does not allow its position to be used. Allow it in the phone’s settings, or type it.',
      absent: 'This phone gives no position here. Type it, or tap it on the map.',
      unavailable: 'The phone finds no position here. Try in the open, or type it.',
      stopped: 'Stopped before there was a position.',
    })[reason] ?? 'No position was found in half a minute. Try in the open, or type it.',
};

/** What is wrong with a value, and the way out. */
export const trouble = {
  needed: 'Fill this in; it cannot be saved without it.',
  /** @param {string} typed @param {string} remedy */
  not_number: (typed, remedy) => `“${typed}” is not a number. Write ${remedy}.`,
  /** @param {string} typed @param {string} remedy */
  out_of_range: (typed, remedy) => `${typed} is out of range. Write ${remedy}.`,
  /** @param {string} typed */
  not_whole: (typed) => `${typed} is not a whole number.`,
  /** @param {number} length @param {number} longest */
  too_long: (length, longest) => `This has ${length} characters; shorten it to ${longest}.`,
  /** @param {string} typed */
  not_time: (typed) => `“${typed}” is not a time of day. Write it as 04:35.`,
  /** @param {string} typed */
  not_date: (typed) => `“${typed}” is not a day. Write it as 2026-05-12.`,
  /** @param {string} typed */
  not_season_day: (typed) => `“${typed}” is not a day of the year. Write it as 05-12, month first.`,
  /** @param {string} typed */
  not_position: (typed) => `“${typed}” is not a position. ${field.typed_position_help}.`,
  /** @param {number} count @param {number} most */
  too_many: (count, most) => `There are ${count} entries; at most ${most} fit.`,
  /** @param {number} kept @param {number} taken */
  too_many_kept: (kept, taken) => `${kept} kept of ${taken} frames: correct one of the two.`,
  /** @param {number} count */
  look_above: (count) => `${counted(count, 'field')} to mend before this can be saved.`,
};

export const form = {
  save: 'Save',
  saving: 'Saving',
  more: 'More to say',
  /** @param {string} when */
  kept: (when) => `Half-written on ${when}; taken up where it was left.`,
  drop: 'Start anew',
};

export const list = {
  search: 'Search',
};

export const empty = {
  sample: 'To look around first, put the sample site into a notebook on the laptop: “scout demo” opens one, “scout load” puts a folder into yours. It comes to this phone with the next sync.',
};

export const strip = {
  dark: 'too dark',
  'sky light': 'shutter reached, no direct sun',
  sun: 'sun on it, shutter not reached yet',
  good: 'good',
  /** @param {string} clock @param {number} plus_minus_min */
  clears: (clock, plus_minus_min) =>
    plus_minus_min > 0 ? `sun clears ${clock} ± ${plus_minus_min} min` : `sun clears ${clock}`,
};

export const setup = {
  title: 'This phone',
  lead: 'Kept on this phone alone.',
  look: 'Look',
  looks: { phone: 'as the phone', day: 'day', dark: 'dark', night: 'night, red' },
  night_note: 'In the dark turn the phone’s own brightness down too; a page cannot do that.',
  dim: 'Dim the night look',
  hand: 'Hand that holds the phone',
  hands: { right: 'right', left: 'left' },
  units: 'Units',
  unit_names: { metric: 'metres, °C', imperial: 'feet, °F' },
  clock: 'Clock',
  clocks: { 24: '16:35', 12: '4:35 pm' },
  clock_screen: 'Photograph this screen',
  about: 'About',
  offline: {
    ready: 'Opens without signal.',
    not_yet: 'Not ready to open without signal yet; leave it open a moment.',
    insecure:
      'This address is not a secure one, so a phone keeps nothing of it and gives no position. Open the notebook under its https address.',
    unable: 'This browser cannot keep the app; without signal it will not open.',
  },
  protected: { true: 'The phone has promised to keep the notebook.', false: 'The phone may clear the notebook when it is full. Install the app on the home screen.' },
  version: 'Version',
  licences: 'Libraries and their licences',
};

export const camera_clock = {
  title: 'Photograph this screen',
  lead: 'Fill the frame with the time and take one picture.',
  utc: 'UTC',
  /** @param {number} off_s */
  off: (off_s) => `Corrected by ${Math.abs(off_s)} s: the phone’s clock ${off_s > 0 ? 'is slow' : 'is fast'}.`,
};

export const record = {
  /** @param {string} one */
  fresh: (one) => `New ${one}`,
  /** @param {string} one */
  edit: (one) => `Change ${one}`,
  gone: 'It is not on this phone.',
};

export const book = {
  title: 'Book',
  records: 'What is written down',
  phone: 'This phone',
};
