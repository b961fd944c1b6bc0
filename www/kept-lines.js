// Lines that a list starts from: the usual ones, or the reviewer's own, remembered where storage allows it.

/**
 * `key`: where they are remembered; `usual()`: the usual lines; `read(json)`: sound lines out of any JSON value, or an Error; `wrong`:
 * what is said of what is no JSON.
 */
export function keptLines({ key, usual, read, wrong }) {
  let here = null; // own lines where the browser keeps none: they last as long as the page

  function stored() {
    try {
      return localStorage.getItem(key);
    } catch {
      return null;
    }
  }

  return {
    /** {lines, own: true where they are the reviewer's, wrong: why kept ones could not be read, or null}. */
    now() {
      const others = { lines: usual(), own: false, wrong: null };
      const kept = here ?? stored();
      if (kept === null) return others;
      try {
        const lines = read(JSON.parse(kept));
        return lines.length > 0 ? { lines, own: true, wrong: null } : others;
      } catch (error) {
        return { ...others, wrong: error instanceof SyntaxError ? wrong : error.message };
      }
    },
    /** Keeps lines as the reviewer's own; false where the browser remembers nothing beyond this page. */
    keep(lines) {
      const text = JSON.stringify(lines);
      try {
        localStorage.setItem(key, text);
        here = null;
        return true;
      } catch {
        here = text;
        return false;
      }
    },
    /** Goes back to the usual lines; false where the browser does not forget the kept ones. */
    forget() {
      here = null;
      try {
        localStorage.removeItem(key);
        return true;
      } catch {
        return stored() === null;
      }
    },
  };
}
