// A newer version of the page, which the browser has ready.

export const offline = {
  offline: {
    newer: 'A newer version of Rakelight is ready.',
    kept: 'The page is loaded anew. Your review is kept; a model from your disk is to be opened again.',
    unkept: 'The page is loaded anew, and your review is not kept here: save it as a file first.',
    others: (n) => (n === 1 ? 'Another tab still uses the one before. Close it, then load it here.' : `${n} other tabs still use the one before. Close them, then load it here.`),
    load: 'Load it',
    later: 'Later',
  },
};
