/** The style sheet of routine, season and after, loaded with the first of their screens. */

const link = document.createElement('link');
link.rel = 'stylesheet';
link.href = new URL('routine.css', import.meta.url).href;
document.head.append(link);
