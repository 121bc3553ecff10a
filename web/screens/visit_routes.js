/**
 * The addresses of writing, of a visit, and of notes and photos; the index takes them in before those of records.
 *
 * @typedef {import('../types.d.ts').Route} Route
 */

/** @type {Route[]} */
export const VISIT_ROUTES = [
  { pattern: 'write', place: 'write', load: () => import('./write.js') },
  { pattern: 'visiting', place: 'write', load: () => import('./visiting.js') },
  { pattern: 'note-here', place: 'write', load: () => import('./note_here.js') },
  { pattern: 'photo-here', place: 'write', load: () => import('./photo_here.js') },
  // A photo's bytes cannot be typed into a form.
  { pattern: 'new/photo', place: 'write', load: () => import('./photo_here.js') },
];
