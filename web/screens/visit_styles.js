/** The style sheet of writing and of visits, loaded with their first screen: the others do without. */

const link = document.createElement('link');
link.rel = 'stylesheet';
link.href = new URL('visit.css', import.meta.url).href;
document.head.append(link);
