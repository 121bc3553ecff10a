/**
 * Words of the routine, the year of a sightline, and what outings taught; what is counted is said by the engine.
 * Not for: layout.
 */

import { counted } from './words.js';

/** @type {Record<string, string>} */
const anchors = { dawn: 'sunrise', dusk: 'sunset' };
/** @type {Record<string, string>} */
const many = { dawn: 'dawns', dusk: 'dusks' };

/** @param {number} seconds */
const span = (seconds) => (seconds < 120 ? `${seconds} s` : `${Math.floor(seconds / 60)} min`);

export const routine = {
  title: 'When it comes',
  also: 'Others that will do',
  sites: 'Site',
  narrow: 'Narrow it down',
  place: 'Place',
  sky: 'Sky',
  wind: 'Wind from',
  tag: 'Tag',
  months: 'Months',
  seasons: [
    { value: 'spring', label: 'Mar–May', from_day: '03-01', to_day: '05-31' },
    { value: 'summer', label: 'Jun–Aug', from_day: '06-01', to_day: '08-31' },
    { value: 'autumn', label: 'Sep–Nov', from_day: '09-01', to_day: '11-30' },
    { value: 'winter', label: 'Dec–Feb', from_day: '12-01', to_day: '02-29' },
  ],
  none: 'Nothing is watched yet. A visit written down, blank or not, is where a routine begins.',
  visit_act: 'Begin a visit',
  no_site: 'There is no site on this phone yet.',
  half: /** @type {Record<string, string>} */ ({ dawn: 'Dawn', dusk: 'Dusk' }),
  /** @param {string} session @param {number} seen @param {number} blank */
  marks: (session, seen, blank) => `Each watched ${session}, the earliest by the sun first: ${seen} seen, ${blank} watched and blank`,
  legend: 'filled: it came · open: watched and blank · the earliest by the sun first',
  /** Where some day has no sunrise, all are counted from noon. @param {string} session @param {string} kind */
  anchor: (session, kind) => (kind === 'solar noon' ? kind : anchors[session] ?? ''),
  steps: 'Quarter hour by quarter hour',
  /** @param {string} anchor */
  from: (anchor) => `From ${anchor}`,
  /** @param {number} minutes */
  off: (minutes) => `${minutes < 0 ? '−' : minutes > 0 ? '+' : ''}${Math.abs(minutes)} min`,
  on_day: 'Today',
  there: 'It came',
  /** @param {number} blank */
  more_steps: (blank) => `And ${counted(blank, 'quarter hour')} watched and blank`,
  interval: '90 %',
  stands_out: 'stands out',
  visits: 'Visit by visit',
  seen: 'seen',
  blank: 'blank',
  first: 'First comes',
  stay: 'Usual stay',
  holds: 'Does it hold',
  /** @param {{median_min: number, clock: string | null, low_clock: string | null, high_clock: string | null, mornings: number}} one @param {string} session @param {string} anchor */
  arrival: (one, session, anchor) => `${one.clock === null ? `${routine.minutes(one.median_min, anchor)} of the mean day` : `${one.clock} today`}: the ${one.mornings === 1 ? `one watched ${session}` : `middle of ${one.mornings} watched ${many[session]}`} it came${one.clock === null || one.mornings === 1 ? '' : `, half of them from ${one.low_clock} to ${one.high_clock}`}`,
  /** @param {{low_s: number, median_s: number, high_s: number}} one */
  stays: (one) => `${span(one.median_s)} (${span(one.low_s)} to ${span(one.high_s)})`,
  /** @param {number} minutes @param {string} anchor */
  minutes(minutes, anchor) {
    const whole = Math.round(minutes);
    if (whole === 0) return `at ${anchor}`;
    return `${Math.abs(whole)} min ${whole > 0 ? 'after' : 'before'} ${anchor}`;
  },
  perches: 'Perch by perch: it came, of those on which this perch was watched',
  /** @param {{k: number, n: number} | null} half */
  of: (half) => (half === null ? 'not watched' : `${half.k} of ${half.n}`),
  by: 'By weather and season: it came, of those watched in it',
  tallies: /** @type {Record<string, string>} */ ({ sky: 'Sky', wind: 'Wind from', month: 'Month' }),
  /** @param {string} name @param {{k: number, n: number} | null} dawn @param {{k: number, n: number} | null} dusk */
  came: (name, dawn, dusk) => `${name}: came on ${[dawn && `${dawn.k} of ${dawn.n} watched dawns`, dusk && `${dusk.k} of ${dusk.n} watched dusks`].filter(Boolean).join(', ')}`,
  order: 'Which perch after which',
  /** @param {number} times */
  times: (times) => (times === 1 ? 'once' : `${times} times`),
  curve: 'Arrivals a watched hour',
  /** @param {string} words */
  curve_label: (words) => `${words} From midnight by the sun to midnight.`,
  unwatched: 'What nobody has watched yet',
  all_watched: 'Every hour, wind and sky has been watched at least once.',
  hours: 'Hours',
  winds: 'Wind from',
  skies: 'Sky',
  where: 'Sit at any of',
};

export const season = {
  kicker: 'sightline',
  year: 'Its year',
  session: 'End of the day',
  species: 'Animal',
  rows: 'A row a week; 0 is when the sun clears this skyline.',
  rows_dusk: 'A row a week; 0 is when the sun goes behind this skyline.',
  /** @param {string} name @param {string} session @param {number} weeks */
  label: (name, session, weeks) => `${name}, ${session}: ${counted(weeks, 'week')}`,
  beside: 'beside each week: on how many watched mornings there was a stay in good light; in brackets: of the whole year',
  week: 'Week',
  /** @param {string} day */
  week_of: (day) => `week of ${day}`,
  /** @param {string} at @param {boolean} dusk */
  clears: (at, dusk) => (dusk ? `sun goes behind it ${at}` : `sun clears it ${at}`),
  level: 'level horizon assumed: trees make it less',
  never: 'the sun does not come over it',
  no_session: 'no light to count in this week',
  /** @param {number} minutes @param {string} sky */
  good: (minutes, sky) => `${minutes} good min, ${sky}`,
  /** @param {string} words @param {boolean} whole */
  there: (words, whole) => `a stay in good light on ${words}${whole ? ', of the whole year' : ''}`,
  /** @param {string} day */
  open: (day) => `Open the card of ${day}`,
  low: 'Days of low sun',
  /** @param {string} from @param {string} to @param {number} days */
  span: (from, to, days) => (days === 1 ? from : `${from} to ${to} (${counted(days, 'day')})`),
  calendar: 'Give these days to a calendar',
  given: 'The days are among your downloads, by name and time alone.',
  facts: 'How it is recorded',
  light: 'Light through a day',
  no_kit: 'A year needs your kit and an animal.',
};

export const after = {
  title: 'What outings taught',
  /** @param {number} visits @param {number} keepers @param {number} frames */
  lead: (visits, keepers, frames) => `${counted(visits, 'visit')}; ${keepers} kept of ${counted(frames, 'frame')}, where both were noted`,
  none: 'No visit is written down here yet. Frames, keepers and what failed are asked when a visit ends.',
  failed: 'What costs the most pictures',
  what: 'What failed',
  pictures: 'Lost',
  visits: 'Visits',
  /** @param {number} some @param {number} all */
  of: (some, all) => `${some} of ${all}`,
  vantages: 'Which vantages earn them',
  vantage: 'Vantage',
  kept: 'Kept',
  frames: 'Of frames',
  hours: 'Hours',
  keep: 'Keep-distances from your own reactions',
  no_reaction: 'No reaction with a distance is noted yet.',
  own: 'The number is your own: change it on the animal’s page. Go back at the first sign of alert behaviour.',
  shutters: 'Shutter foretold, and as it was',
  kit: 'Kit: blur, reach and shutters',
};
