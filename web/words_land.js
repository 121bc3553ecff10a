/** Words of what the land says: pictures of it, places to sit, skylines and gaps. Not for: layout. */

import { counted } from './words.js';

export const land = {
  title: 'From the land',
  none: 'Nothing from the land yet. Take an elevation model in on the laptop; what it tells comes here by the sync.',
  site: 'Site',
  not_here: 'This picture comes when the laptop is reached.',
  made_from: 'Made from',
  places: 'Places to sit',
  planning: 'Look at each place by day before you sit there, and ask the landowner. Go back at the first sign of alarm.',
  legend: /** @type {Record<string, string>} */ ({
    'first light': 'Dark ground is lit later (at dusk: shaded sooner), hatched not at all; thick lines count minutes.',
    'finder result': 'The stronger the shade, the more good minutes; broken ring: keep-distance; numbers: places.',
  }),
  /** @param {number} count */
  left_out: (count) => `${counted(count, 'place')} left out:`,
  /** @param {number} number @param {string} perch */
  place: (number, perch) => `${number} · ${perch}`,
  distance: 'Distance',
  /** @param {string} metres */
  measure: (metres) => ` ±${metres}: measure before you sit`,
  bearing: 'Bearing to it',
  tilt: 'Tilt',
  gap: 'Gap behind it',
  sky: 'sky',
  /** @param {string} gap */
  at_least: (gap) => `at least ${gap}`,
  good: 'Good minutes',
  /** @param {number} clear @param {number} mixed @param {number} overcast */
  good_said: (clear, mixed, overcast) => `${clear} clear · ${mixed} in and out · ${overcast} overcast`,
  slope: 'Slope',
  winds: 'Bad winds',
  walk: 'Way in',
  /** @param {string} metres @param {string | undefined} by @param {number | undefined} percent */
  walk_said: (metres, by, percent) => `${metres}${percent === undefined ? '' : `, of which the perch sees ${percent} %,`} ${by ?? 'in a straight line'}`,
  sit: 'Make it a vantage',
  /** @param {number} number @param {string} perch */
  named: (number, perch) => `Found place ${number} for ${perch}`,
  sat: 'Vantage and sightline saved',
  not_saved: 'Not saved. Free some space on the phone, then try again.',
  ask: 'On the laptop: skylines, gaps and places from the land',
  /** @param {string} title */
  base: (title) => `From the land: ${title}`,
};
