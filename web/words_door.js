/** Every word at the notebook's door: pairing, devices, people, backups. Not for: layout. */

export const door = {
  pair: 'Pair this phone',
  devices: 'Devices',
  people: 'People',
  backups: 'Backups',
  asking: 'Asking the notebook …',
  away: 'The notebook is not in reach. Come into the house’s Wi-Fi, then try again. What is on this phone stays on it.',
  not_ours: 'Something else answers under this address, perhaps a Wi-Fi that asks to sign in. What is on this phone stays on it.',
  again: 'Try again',
  owners_only: 'Only owners see this.',
};

export const pair = {
  lead: 'A paired phone sends what was written here to the notebook, and gets what others wrote.',
  at_machine: 'This browser runs on the notebook’s own machine: it needs no pairing.',
  /** @param {string} name @param {string} role */
  paired_as: (name, role) => `Paired, as ${name} (${role}).`,
  /** @param {string} name */
  paired_now: (name) => `Paired, as ${name}. Now it syncs.`,
  /** @type {Record<string, string>} */
  roles: { owner: 'owner', editor: 'editor', viewer: 'viewer' },
  /** @type {Record<string, string>} */
  may: {
    owner: 'May do everything, people and devices too.',
    editor: 'May read and write.',
    viewer: 'May read.',
  },
  /** @param {number} count */
  some_sites: (count) => (count === 1 ? 'One site only.' : `${count} sites only.`),
  name: 'Name of this phone',
  name_help: 'Owners see it in the list of devices.',
  /** @type {[RegExp, string][]} */
  guesses: [
    [/iPhone/, 'iPhone'],
    [/iPad/, 'iPad'],
    [/Android/, 'Android phone'],
    [/./, 'Computer'],
  ],
  show: 'Show a code',
  shown: 'An owner types this code',
  shown_where: 'On the notebook’s computer, or on an owner’s phone: Book → Devices → Add a device. Let them compare it before they agree.',
  waiting: 'Waiting for an owner …',
  ends: (/** @type {number} */ minutes) => (minutes <= 1 ? 'It ends within a minute.' : `It ends in ${minutes} min.`),
  stop: 'Stop',
  typed: 'Or type a printed code',
  typed_help: 'The one that `scout pair` printed.',
  claim: 'Pair with this code',
  linked: 'The link holds a one-time secret. Tap to use it; it lets this phone in once.',
  claim_link: 'Pair this phone now',
  leave: 'Unpair this phone',
  leave_sure: 'It then no longer syncs. What is on it stays, and can be written to a rescue file.',
  left: 'Unpaired. What is on this phone stays on it.',
  standalone: 'First put the app on the Home Screen (Share → Add to Home Screen), open it from there and pair it there: what Safari holds, the Home Screen does not see.',
  padlock: 'The padlock does not hold here, so the app cannot be kept for when there is no signal.',
  padlock_help: 'Open this page on this phone; it says each step:',
  wipe_lead: 'Write what it holds to a rescue file first, if it has anything that did not go.',
  rescue: 'Rescue file',
  wipe: 'Clear this phone',
  wipe_sure: 'Everything of the notebook on this phone is deleted: records, photos, what was not sent. This cannot be undone.',
  keep: 'Keep it',
};

export const devices = {
  lead: 'Every phone and browser that was let in. Tap one to take it off, or to ask its holder to clear it.',
  none: 'No device is paired yet.',
  add: 'Add a device',
  this_one: 'this one',
  /** @param {string} when */
  seen: (when) => `last seen ${when}`,
  never: 'not seen yet',
  /** @param {string} when @param {boolean} wipe */
  off: (when, wipe) => `taken off ${when}${wipe ? ', its holder asked to clear it' : ''}`,
  /** @param {number} count */
  wrote: (count) => (count === 1 ? '1 change' : `${count} changes`),
  whose: 'Whose',
  paired: 'Paired',
  written: 'Has written',
  revoke: 'Take it off',
  revoke_wipe: 'Take it off and ask to clear it',
  revoke_help: 'From then on it neither gets nor sends anything. What it holds stays on it: a phone that is offline, or in a thief’s hands, may never hear that it should be cleared. One that comes back says so under Sync.',
  revoked: 'Taken off.',
  name: 'Name',
  rename: 'Save the name',
  undo: 'Undo all that it wrote',
  undo_sure: 'Every Save of this device is taken back, the latest first. What others changed since stays. The history keeps everything.',
  /** @param {number} undone @param {number} saves */
  undone: (undone, saves) => `${undone} of ${saves} Saves taken back.`,
  events: 'What happened at the door',
  code: 'The code that the phone shows',
  code_help: 'Eight letters; on the phone: Pair this phone → Show a code.',
  look: 'Find the phone',
  /** @param {string} name @param {string} address */
  found: (name, address) => `“${name}”, from ${address}`,
  found_known: (/** @type {string} */ name) => `Known before as ${name}.`,
  compare: 'Agree only if you hold this phone, or hear its code from the person who does. It gets what the person may see.',
  person: 'Whose it is',
  grant: 'Let it in',
  deny: 'Refuse',
  granted: 'It is in.',
  denied: 'Refused.',
};

export const people = {
  lead: 'Who may see the notebook, and who may write in it.',
  add: 'Add a person',
  name: 'Name',
  role: 'May',
  /** @type {Record<string, string>} */
  roles: { owner: 'everything', editor: 'read and write', viewer: 'read' },
  scope: 'Sites',
  all: 'all sites',
  some: 'these only',
  scope_help: 'Filtered by the notebook itself. Animals, kits and settings belong to no site: everybody sees them. What a phone already holds, it keeps.',
  /** @param {number} count */
  sites: (count) => (count === 1 ? '1 site' : `${count} sites`),
  save: 'Save',
  saved: 'Saved.',
  remove: 'Remove this person',
  remove_sure: 'All their devices are taken off. What they wrote stays in the notebook; what their phones hold stays on them.',
  removed: 'Removed.',
  sure: 'Yes, do it',
};

export const backups = {
  lead: 'Copies of the whole notebook, each verified before it counts.',
  none_set: 'No folder is set for backups. At the machine that serves it, stop the server and start it so, with --lan too where phones come to it; FOLDER is best on another disk:',
  into: 'Into',
  every: 'How often',
  /** @param {number} hours */
  hours: (hours) => (hours === 24 ? 'once a day' : `every ${Math.round(hours * 10) / 10} h`),
  next: 'Next',
  soon: 'due now',
  last: 'Last backup',
  drill: 'Last try to restore',
  never: 'none since the server started',
  now: 'Back up now',
  try: 'Try a restore',
  try_help: 'The newest backup is restored aside, checked whole, and thrown away: only what was tried is known to work.',
  /** @type {Record<string, string>} */
  running: { backup: 'Backing up', drill: 'Trying a restore' },
  /** @param {string} part @param {number} done @param {number} of */
  progress: (part, done, of) => (of > 1 ? `${part}: ${done} of ${of}` : part),
  made: 'Made',
  /** @param {number} changes */
  changes: (changes) => `${changes} changes`,
  elsewhere: 'on another disk',
  beside: 'on the same disk: lost with it',
};
