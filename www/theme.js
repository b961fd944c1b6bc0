// Dark or light paper: the system's wish until the user chooses, then the user's, remembered where storage allows it.

const KEY = 'rakelight-theme';

/** Puts the theme on the page and keeps it there. */
export function mountTheme(store) {
  const dark = matchMedia('(prefers-color-scheme: dark)');
  const wished = () => (dark.matches ? 'dark' : 'light');
  store.dispatch({ type: 'choose-theme', theme: remembered() ?? wished() });
  dark.addEventListener('change', () => {
    if (remembered() === null) store.dispatch({ type: 'choose-theme', theme: wished() });
  });
  store.watch(
    ({ work }) => [work.theme],
    ({ work }) => {
      document.documentElement.dataset.theme = work.theme;
    },
  );
}

/** Remembers a choice of the user's. */
export function remember(theme) {
  try {
    localStorage.setItem(KEY, theme);
  } catch {
    // Sandboxed frames have no storage: the choice then lasts as long as the page.
  }
}

function remembered() {
  try {
    const theme = localStorage.getItem(KEY);
    return theme === 'dark' || theme === 'light' ? theme : null;
  } catch {
    return null;
  }
}
