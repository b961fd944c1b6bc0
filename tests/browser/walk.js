// Watches what gets the focus, and whether it is seen.
globalThis.walk = (() => {
  const named = (node) => (node.id ? `#${node.id}` : `${node.tagName.toLowerCase()}.${node.getAttribute('class') ?? ''} “${node.textContent.trim().slice(0, 20)}”`);
  // An option is reached by the keys of its list.
  const roles = ['button', 'slider', 'tab', 'checkbox', 'radio', 'switch', 'menuitem', 'spinbutton', 'listbox'];
  const kinds = `button, input, select, textarea, summary, a[href], [tabindex="0"], ${roles.map((role) => `[role=${role}]`)}`;
  const been = new Set();
  const dim = new Set();
  // What is drawn shows its focus by its own lines.
  const drawn = (node) => JSON.stringify([...node.querySelectorAll('*')].map((one) => [getComputedStyle(one).stroke, getComputedStyle(one).strokeWidth, getComputedStyle(one).fill]));
  let unlit = null; // {target, lines} of one without an outline
  addEventListener('focusin', ({ target }) => {
    been.add(target);
    const { outlineStyle, outlineWidth } = getComputedStyle(target);
    unlit = outlineStyle === 'none' || parseFloat(outlineWidth) === 0 ? { target, lines: drawn(target) } : null;
  });
  addEventListener('focusout', ({ target }) => {
    if (unlit?.target === target && unlit.lines === drawn(target)) dim.add(named(target));
  });
  return {
    begin() {
      been.clear();
      dim.clear();
    },
    /** Of the controls in `places`: how many there are, those that have not had the focus, and all whose focus is not seen. */
    missed(places) {
      const all = [...document.querySelectorAll(places)].flatMap((place) => [...place.querySelectorAll(kinds)]);
      const shown = all.filter((node) => node.checkVisibility({ visibilityProperty: true }) && getComputedStyle(node).display !== 'none' && !node.disabled && !node.closest('.spoken, [inert]'));
      return [shown.length, shown.filter((node) => !been.has(node)).map(named), [...dim]];
    },
  };
})();
