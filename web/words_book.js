/**
 * Every word of the book's screens: lists, records, history, sync and safety. Labels come with the schema.
 * Not for: words that all screens share (words.js).
 */

import { bytes } from './units.js';
import { counted } from './words.js';

export const shelves = {
  search: 'Search everything',
  places: 'Places',
  watched: 'What was watched',
  kit: 'Kit, species, rights',
  safety: 'Sync and safety',
  sync: 'Sync',
  conflicts: 'Two answers',
  parked: 'To mend',
  deleted: 'Deleted',
  rescue: 'Rescue file',
  more: 'Everything else',
  visits: 'Visits',
  empty: 'Nothing is written here yet. Stand at a promising perch and put the first pin; its site comes with it.',
  first_act: 'Put the first pin',
};

/** What is shown of a kind where there is none of it. @type {Record<string, string>} */
export const none = {
  site: 'No site yet. The first pin makes one.',
  visit: 'No visit yet. A morning with nothing seen is worth writing down too.',
  note: 'No note yet.',
  photo: 'No photo yet.',
  species: 'No species yet. Add the one that is waited for, with its keep-distance.',
  kit: 'No kit yet. Add body and lens, and the light becomes a shutter.',
  permission: 'No permission is written down.',
};

export const records = {
  add: 'Add',
  /** @param {string} many */
  none: (many) => `No ${many} yet.`,
  /** @param {string} of */
  of: (of) => `of ${of}`,
  two: 'two answers',
  open: 'not ended',
  end_unsure: 'end guessed',
  blank: 'nothing seen',
  keepers: 'keepers',
  looking: 'Looking',
  /** @param {number} looked @param {number} all */
  looked: (looked, all) => `${looked} of ${all} looked through`,
  /** @param {number} found @param {boolean} more */
  found: (found, more) => (found === 0 && !more ? 'Nothing found.' : `${counted(found, 'entry', 'entries')} shown${more ? ', and there are more' : ''}`),
  more: 'Show more',
  ask: 'Type a word of a note, a species, a place.',
};

export const record = {
  edit: 'Change',
  history: 'History',
  remove: 'Delete',
  bring_back: 'Bring back',
  deleted: 'Deleted. It can be brought back.',
  edited_after_delete: 'It was deleted on one phone while it was changed on another. It is kept until somebody decides.',
  delete_all_the_same: 'Delete all the same',
  keep: 'Keep it',
  /** @param {string} labels */
  conflicts: (labels) => `Two answers for ${labels}`,
  decide: 'Look at both',
  hangs: 'What belongs to it',
  nothing: 'Nothing but its name is known.',
  not_here: 'not here yet',
  sky: 'sky',
  unknown: 'Not known to this version',
  incomplete: 'Still missing',
  kept_where: 'Kept',
  tags: 'Tags',
  removed: 'Deleted',
  /** @param {string} what @param {number} count */
  removed_with: (what, count) => `Deleted: ${what}${count > 0 ? `, and ${counted(count, 'record that hangs on it is', 'records that hang on it are')} hidden` : ''}`,
  deleted_label: 'Deleted',
  brought_back_label: 'Brought back',
};

export const history = {
  title: 'History',
  lead: 'Every change that is on this phone, the newest first. Nothing is ever overwritten.',
  this_phone: 'this phone',
  /** @param {string} mark */
  other_phone: (mark) => `another device (${mark})`,
  server: 'another device',
  undo: 'Undo this',
  undone: 'Undone',
  undone_in_part: 'Undone, but for what was changed since',
  nothing_left: 'Nothing of it is left to undo.',
  cleared: 'taken back',
  removed: 'Deleted',
  restored: 'Brought back',
  ahead: 'its clock ran ahead',
  parked: 'set aside',
  none: 'Nothing of it is on this phone.',
  more: 'Show more',
};

export const conflicts = {
  title: 'Two answers',
  lead: 'Two phones wrote different things without knowing of each other. Both are kept. Nothing expires.',
  none: 'No two answers stand against each other.',
  keep: 'Keep this one',
  shown_now: 'shown now',
  by_hand: 'Neither: write another',
  removed: 'deleted',
  not_removed: 'kept',
  empty: 'nothing',
  settled: 'Settled, and saved on this phone',
};

export const parked = {
  title: 'To mend',
  lead: 'The server could not read these, and took everything else. They are kept here.',
  none: 'Nothing was set aside.',
  /** @param {string} label @param {string} value */
  could_not_read: (label, value) => `The server could not read ${label} (“${value}”).`,
  /** @type {Record<string, string>} */
  codes: {
    too_large: 'It is larger than the server takes. Shorten it, or split it.',
    not_taken: 'The server would not take it.',
    id_taken: 'Another change has the same mark. Its content is kept; write it again.',
    shape: 'The server could not read it at all.',
  },
  mend: 'Mend',
  export: 'Write it to a file',
  set_aside: 'Let it be',
  set_aside_done: 'It stays in the history and is not asked about again',
  save: 'Save the mended one',
  mended: 'Mended, and saved on this phone',
  gone: 'It has been settled already.',
  /** @param {string} one */
  mend_title: (one) => `Mend ${one}`,
};

export const sync = {
  title: 'Sync',
  now: 'Sync now',
  busy: 'Syncing',
  /** Why it does not go on, and what to do. @type {Record<import('./notebook/types.d.ts').SyncTrouble, string>} */
  reasons: {
    unreachable: 'The server is not reached from here. That is usual in the field: everything is kept on this phone, and goes when you open the app near home.',
    not_ours: 'Something answers that is not your notebook: perhaps a network with a sign-in page. Nothing was sent to it.',
    unpaired: 'The server does not know this phone any more. Nothing is lost; pair it again, and what waits goes.',
    not_allowed: 'This phone may read but not send. Ask the owner of the notebook; what waits stays here.',
    busy: 'The server asked to wait. It is tried again by itself while the app is open.',
    server_full: 'The disk of the server is full. Free some space there; what waits stays here.',
    server_older: 'The server is older than this phone. What it cannot read yet waits here until it is brought up to date.',
    refused: 'The server refused what was sent. What it refused is listed under “To mend”.',
    phone_full: 'This phone is full, so what comes from the server cannot be kept. Free some space; what you write is not touched.',
    fault: 'Something failed in the app itself. What is written is safe; open the app again.',
  },
  not_paired: 'This phone is not paired with the notebook yet. Pair it, and it syncs; what you write until then is kept here.',
  /** @param {string} clock */
  next: (clock) => `Tried again at ${clock} while the app is open.`,
  on_return: 'Tried again when the phone has a network.',
  on_open: 'It syncs while the app is open, and never by itself when closed.',
  server_says: 'The server says',
  waiting: 'On this phone only',
  nothing_waiting: 'Nothing waits on this phone.',
  /** @param {number} count */
  more_waiting: (count) => `and ${counted(count, 'more record', 'more records')}`,
  /** @param {number} count */
  changes: (count) => counted(count, 'change'),
  photos: 'Photos',
  /** @param {string} size */
  photo_waiting: (size) => `${size} to send`,
  /** @type {Record<string, string>} */
  photo_trouble: {
    too_large: 'The server takes no photo of this size.',
    not_taken: 'The server would not take it.',
    bytes_lost: 'Its picture is neither on this phone nor on the server. If you still have the file, add it again.',
  },
  retry: 'Try again',
  retried: 'It will be tried again',
  open: 'Open',
  states: 'Where things are',
  state_help: 'On this phone: only here. On the server: sent, and answered for. Backed up: in a checked backup too.',
  last: 'Last sync',
  never: 'never',
  parked: 'Could not be read by the server',
  conflicts: 'Two answers',
  storage: 'Room on this phone',
  used: 'Used',
  /** @param {{usage_bytes: number, quota_bytes: number}} quota */
  quota: ({ usage_bytes, quota_bytes }) => `${bytes(usage_bytes)} used of ${bytes(quota_bytes)}`,
  protected: 'Protected',
  protected_yes: 'yes: the phone has promised to keep it',
  protected_no: 'no: a full phone may clear it. Put the app on the home screen, and sync often',
  protected_unknown: 'not known: this browser does not say',
  ask: 'Ask for protection',
  /** @param {string} size @param {number} count */
  free: (size, count) => `Free ${size}: ${counted(count, 'photo')} in a backup`,
  /** @param {number} count */
  freed: (count) => `${counted(count, 'photo')} let go of; they stay on the server`,
  lost: 'This phone’s notebook was gone when the app opened. What had not been synced by then is lost here, unless a rescue file was made. What is on the server comes back with the next sync.',
  fresh: 'This notebook is new on this phone. What is on the server comes with the first sync.',
  read: 'I have read this',
  rescue: 'Rescue file',
};

export const clock = {
  title: 'The phone’s clock',
  /** @param {string} span @param {boolean} slow */
  off: (span, slow) => `The phone’s clock is ${span} ${slow ? 'slow' : 'fast'}. Set it in the phone’s settings.`,
  /** @param {number} count @param {string} from @param {string} to */
  trip: (count, from, to) => `${counted(count, 'time')} of this trip came from it, ${from} to ${to}.`,
  /** @param {string} by */
  shift: (by) => `Shift them by ${by}`,
  shifted: 'Shifted, and saved on this phone',
  none: 'No time of this trip came from it.',
  label: 'Times of the trip shifted',
  minutes: 'min',
  hours: 'h',
};

export const rescue = {
  title: 'Rescue file',
  lead: 'Everything that is on this phone alone, in one file. It needs no signal.',
  what: 'Give the file to the laptop by any way you have, then run there: scout rescue <file>. Taking it in twice does no harm, and sync may still go on.',
  place: 'The file holds exact places. Do not pass it on.',
  make: 'Make the file',
  making: 'Making it',
  /** @param {string} name @param {string} size */
  made: (name, size) => `${name}, ${size}: it was given to the phone’s downloads.`,
  failed: 'The file could not be made. Free some space on the phone, then try again.',
  nothing: 'Nothing is on this phone alone; the file would be empty.',
};

export const photo = {
  title: 'Photo',
  on_server: 'The picture is on the server, not on this phone.',
  fetch: 'Fetch it',
  fetching: 'Fetching',
  not_fetched: 'It was not fetched. Near the server, try again.',
  free: 'Let go of the picture here',
  freed: 'Let go of here; it stays in the backup',
  free_why_not: 'The picture can leave this phone once it is in a backup.',
  alt: 'Photo',
};

export const species = {
  sightings: 'Sightings',
  none: 'Not seen yet.',
};

export const site = {
  cautions: 'Cautions',
  no_permission: 'No permission is written down. Ask who owns the land, and keep to local law.',
  permission_over: 'ran out',
  visit: 'New visit',
  newest: 'Newest',
  leave: 'On the laptop: files to hand on, and the page for the ranger',
};

export const deleted = {
  title: 'Deleted',
  lead: 'Nothing is thrown away. One tap brings a thing back.',
  none: 'Nothing was deleted.',
  back: 'Bring back',
  brought: 'Brought back',
};

export const search = {
  title: 'Search',
  scopes: { all: 'everything', note: 'notes', place: 'places', watched: 'visits and sightings', photo: 'photos' },
};
