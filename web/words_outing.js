/**
 * Every word of the outing, the light, the kit and the leaving that the app itself says; what a card says is the
 * engine's. Not for: layout.
 */

import { bytes } from './units.js';
import { counted } from './words.js';

export const engine = {
  name: 'Engine',
  /** @param {string} reason */
  failed: (reason) => `${engine.reasons[reason] ?? engine.reasons.broken} Writing and syncing go on; kept cards show their age.`,
  /** @type {Record<string, string>} */
  reasons: {
    refused: 'The engine is not allowed to run in this browser.',
    slow: 'The engine did not start in time on this phone.',
    broken: 'The engine does not start on this phone.',
    killed: 'The engine was stopped.',
    unreachable: 'The engine is not on this phone yet, and the server is not in reach.',
    not_ours: 'The engine is not on this phone yet, and another network answers.',
    stalled: 'Fetching the engine stalled.',
    spoilt: 'The engine arrived spoilt.',
    full: 'There is no room for the engine on this phone.',
  },
  /** @param {import('./engine/engine.js').EngineState} state */
  standing({ phase, done_bytes, all_bytes, reason }) {
    if (phase === 'ready') return 'ready on this phone';
    if (phase === 'starting') return 'starting';
    if (phase === 'fetching') return `being fetched, ${bytes(done_bytes)} of ${bytes(all_bytes)}`;
    if (phase === 'failed') return this.reasons[reason] ?? this.reasons.broken ?? '';
    return 'not started';
  },
};

/** How old an answer is. */
export const age = {
  /** @param {number} ms */
  of(ms) {
    const minutes = Math.max(0, Math.round(ms / 60_000));
    if (minutes < 1) return 'just now';
    if (minutes < 60) return `${minutes} min ago`;
    const hours = Math.round(minutes / 60);
    return hours < 48 ? `${counted(hours, 'hour')} ago` : `${Math.round(hours / 24)} days ago`;
  },
  from: { phone: 'worked out on this phone', server: 'worked out on the server', stored: 'kept on this phone, worked out' },
  old: 'things were written down since',
  /** @param {readonly string[]} typed */
  without: (typed) => `ranked without what was typed: ${typed.join(', ')}`,
  working: 'working it out',
};

export const outing = {
  title: 'Outing',
  choice: 'Which morning, which site',
  empty: 'A card says whether to get up, when, and where to sit. It needs a site with a perch, a place to shoot from, and the sightline between them.',
  first_act: 'Put the first perch on the map',
  no_kit: 'A card needs your kit: body, lens, and the highest ISO you accept.',
  kit_act: 'Write down the kit',
  no_species: 'A card needs an animal: its length, and how near you go.',
  species_act: 'Write down an animal',
  no_answer: 'There is no answer yet: the engine is not on this phone, the server is not in reach, and nothing was kept.',
  again: 'Try again',
  dawn: 'dawn',
  dusk: 'dusk',
  /** @param {number} done @param {number} all */
  progress: (done, all) => `${done} of ${all} worked out`,
  all_there: 'Every day is worked out',
  /** @param {string} when */
  oldest: (when) => `the oldest ${when}`,
  without_typed: 'typed not counted',
  nothing_known: 'nothing known',
  key: '4 of 8: on how many watched dawns or dusks it stayed in good light at the first sightline. 29 min: its good minutes, where too few were watched. up: when to get up; go: when to set off.',
  past: 'past',
  open: 'open the card',
  site_session: 'site and session',
  ready: 'Ready to leave?',
  kit: 'Kit',
  light: 'Light here today',
};

export const card = {
  typed: 'What you expect',
  wind: 'Wind from',
  sky: 'Sky',
  shutter: 'Shutter',
  not_typed: 'not typed',
  three: 'three shown',
  force: 'How hard it blows',
  /** @type {[string, string][]} */
  forces: [
    ['calm', 'calm'],
    ['2', 'light, 1–2'],
    ['3', 'gentle, 3'],
    ['4', 'moderate, 4'],
    ['5', 'fresh, 5'],
    ['6', 'strong, 6 +'],
  ],
  /** @param {string} when */
  typed_at: (when) => `typed ${when}`,
  animal: 'Animal and kit',
  species: 'Animal',
  kit: 'Kit',
  timeline: 'Times',
  order: 'Sightlines in order',
  shutter_from: { dawn: 'Shutter reached from', dusk: 'Shutter reached until' },
  skies: { clear: 'clear', 'sun out': 'sun out', 'sun in': 'sun in', overcast: 'overcast' },
  never: 'never',
  none: 'No sightline is offered for this session.',
  why: 'Why this one',
  less: 'Less',
  for: 'for it',
  against: 'against it',
  notes: 'mind',
  winds: 'Bad winds',
  good: 'Good minutes',
  details: 'Where the figures come from',
  measured: 'Its year, and what was measured',
  barred: 'Not offered',
  going: 'Going',
  walk_in: 'Walk-in',
  permission: 'Permission',
  access: 'Access',
  cautions: 'Cautions',
  not_known: 'Not known',
  hand_over: 'Hand over',
  handed: 'The card is in a file',
  not_handed: 'It could not be handed over. Try again.',
  file_title: 'Outing card',
  /** @param {string} at */
  worked_out: (at) => `Worked out ${at} UTC. Times and skylines are planning aids.`,
  later: 'Next session',
  earlier: 'Session before',
  /** @param {Record<string, number>} good */
  minutes: (good) => `clear ${good.clear}, in and out ${good['in and out']}, overcast ${good.overcast}`,
  // names of the inputs of a sightline’s light
  inputs: {
    sun: 'Sun when it clears',
    limb: 'Its upper edge shows',
    assumed: 'The skyline is taken as level: nothing was measured there.',
    needs: 'Light needed',
    by_hand: 'The shutter was shortened, for the lens is held by hand.',
    sky_left: 'Sky left to the lens’s side',
    ground: 'Light that the ground gives back',
    leaves: 'Taken by leaves',
    correction: 'Correction from your light readings',
    line: 'Line',
    tilt: 'Tilt',
    gap: 'Background behind it',
  },
  sky_behind: 'the sky',
  stops: 'stops',
};

export const light = {
  title: 'Light here today',
  bare: 'It has no position yet, and the light depends on where it is.',
  place: 'Give it a position',
  none: 'There is nothing to look at yet: put down a perch, or draw a sightline.',
  choose: 'Look at',
  from: 'Light wanted from the lens’s side: the lens looks',
  from_help: 'The perch has no sightline yet. Which way would the lens look at it?',
  direction: 'Lens looks toward',
  skyline: 'Skyline',
  sun: 'Sun over the skyline',
  /** @param {{from: string | null, to: string | null, from_pm: number | null, to_pm: number | null, assumed: boolean}} span */
  span: ({ from, to, from_pm, to_pm, assumed }) => `${assumed ? 'not before ' : ''}${from ?? 'the day’s start'}${plusMinus(from_pm)}${assumed ? ', not after ' : ' until '}${to ?? 'the day’s end'}${plusMinus(to_pm)}`,
  never: 'The sun does not come over the skyline here today.',
  assumed: 'No skyline was measured: a level one is assumed, so the sun may come much later than this, and go much earlier.',
  by_sky: 'Through the day',
  rows: 'Every half hour',
  at: 'at',
  sun_at: 'sun',
  dark: 'The sun stays more than 12° below the horizon all day.',
  sector: 'Through the year',
  day_before: 'Day before',
  day_after: 'Day after',
  today: 'Today',
};

export const kit = {
  title: 'Kit',
  here: 'At this distance',
  none: 'Write down your kit first: body, lens and the highest ISO you accept.',
  beside: 'Beside',
  species: 'Animal',
  distance: 'Distance',
  gap: 'Background behind it',
  sky: 'sky',
  lens: 'lens',
  /** @type {[string, string][]} */
  rows: [
    ['blur', 'blur'],
    ['look', 'background'],
    ['framing', 'picture'],
    ['sharp', 'sharp'],
    ['nearest_focus', 'nearest focus'],
  ],
  frame: 'frame',
  animal: 'animal',
  animal_share: 'of the frame',
  reach: 'reach',
  too_small: 'never large enough',
  diffraction: 'diffraction',
  hand_held: 'hand-held',
  iso: 'ISO ceiling',
  wanted: 'Wanted shutters',
  from_ev: 'from EV',
  shutters: 'Shutter at the ISO ceiling',
  ev: 'Light on the animal, EV at ISO 100',
  frames: 'Frames caught',
  stand: 'Where to stand for it',
  title_stand: 'Where to stand',
  want: 'Blur wanted',
  /** @type {[number, string][]} */
  times: [
    [0.1, 'a tenth as long as the animal'],
    [0.25, 'a quarter'],
    [0.5, 'half'],
    [1, 'as long as the animal'],
    [2, 'twice'],
  ],
  like: 'As this kit gives it here',
  hide: 'From a settled hide',
  yes: 'yes',
  no: 'no',
  now: 'Now',
  the_gap: 'The gap',
  keep: 'Keep-distance',
  keep_from: 'by the animal’s own record',
  edit: 'Change this kit',
};

export const ready = {
  title: 'Ready to leave?',
  lead: 'What must be on this phone before the signal ends.',
  yes: 'yes',
  look: 'look at this',
  unknown: 'not known',
  optional: 'not needed',
  app: 'App',
  app_ready: 'opens without signal',
  app_not: 'not kept yet; leave it open a moment near the server',
  app_insecure: 'this address is not a secure one, so the phone keeps nothing',
  notebook: 'Notebook',
  never: 'never synced with the server',
  /** @param {string} when */
  whole: (when) => `complete as of ${when}`,
  /** @param {number} changes @param {number} photos */
  waiting: (changes, photos) => `${[changes > 0 ? counted(changes, 'change') : '', photos > 0 ? counted(photos, 'photo') : ''].filter(Boolean).join(', ')} still to be sent`,
  cards: 'Cards',
  /** @param {number} days @param {number} cards */
  ahead: (days, cards) => `${counted(cards, 'card')} kept, ${counted(days, 'day')} ahead`,
  no_cards: 'none kept for the coming days',
  not_current: 'not all of them by what is written down now',
  /** @param {string} age */
  oldest: (age) => `the oldest ${age}`,
  map: 'Map',
  /** @param {number} tiles */
  map_kept: (tiles) => `${counted(tiles, 'tile')} of base maps kept on this phone`,
  map_none: 'no base map kept: the pins and a grid show all the same',
  space: 'Room',
  /** @param {number} free_bytes */
  free: (free_bytes) => `${bytes(free_bytes)} free`,
  kept: 'Kept for good',
  protected: 'the phone has promised to keep the notebook',
  unprotected: 'the phone may clear the notebook when it is full',
  clock: 'Clock',
  clock_right: 'agrees with the server',
  /** @param {string} age */
  compared: (age) => `compared ${age}`,
  clock_unknown: 'not compared with the server yet',
  /** @param {number} s */
  clock_off: (s) => `off by ${Math.round(Math.abs(s))} s: the phone is ${s > 0 ? 'slow' : 'fast'}`,
  battery: 'Battery',
  /** @param {number} share @param {boolean} charging */
  charge: (share, charging) => `${Math.round(share * 100)} %${charging ? ', charging' : ''}`,
  battery_unknown: 'this browser does not say; charge it, and take a power bank when it is cold',
  compute: 'Work out the coming days',
  computing: 'Working out',
  tell: 'Tell somebody where you go and when you will be back.',
};

/** @param {number | null} minutes */
function plusMinus(minutes) {
  return minutes === null ? '' : ` ± ${minutes} min`;
}
