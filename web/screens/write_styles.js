/** The style sheet of the screens for writing pins, loaded with the first of them: the others do without. */

const link = document.createElement('link');
link.rel = 'stylesheet';
link.href = new URL('write.css', import.meta.url).href;
document.head.append(link);
