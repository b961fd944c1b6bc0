// Building page elements. Text from files reaches the page only as text nodes, never as markup.

const SVG = 'http://www.w3.org/2000/svg';

/** An HTML element. `props`: `on` = listeners, `data` = dataset, `class`, booleans as attributes, the rest as attributes. */
export function el(tag, props = {}, ...children) {
  return fill(document.createElement(tag), props, children);
}

/** An SVG element, same rules as `el`. */
export function svg(tag, props = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), props, children);
}

function fill(node, props, children) {
  for (const [name, value] of Object.entries(props)) {
    if (value === undefined || value === null || value === false) continue;
    if (name === 'on') {
      for (const [event, listener] of Object.entries(value)) node.addEventListener(event, listener);
    } else if (name === 'data') {
      Object.assign(node.dataset, value);
    } else {
      node.setAttribute(name, value === true ? '' : String(value));
    }
  }
  node.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

/**
 * Replaces what is in `root` and puts the focus back on the element with the same id,
 * so that a keyboard user does not lose the place when a list is redrawn.
 */
export function replace(root, ...children) {
  const active = document.activeElement;
  const id = active && active !== root && root.contains(active) ? active.id : '';
  // How far it is scrolled stays as it is, and is not asked: the page would be laid out for each list that is redrawn.
  root.replaceChildren(...children.flat(Infinity).filter(Boolean));
  if (id) document.getElementById(id)?.focus({ preventScroll: true });
}

/** A labelled group of buttons of which one is pressed. `options`: [{id, value, label, title}]. */
export function choice(label, options, chosen, onChoose, classes = '') {
  return el(
    'div',
    { role: 'group', 'aria-label': label, class: `choice ${classes}` },
    options.map((option) =>
      el(
        'button',
        {
          type: 'button',
          id: option.id,
          title: option.title,
          'aria-pressed': String(option.value === chosen),
          on: { click: () => onChoose(option.value) },
        },
        option.label,
      ),
    ),
  );
}

/** A box to tick with its label. */
export function tick(id, label, on, take) {
  const box = el('input', { type: 'checkbox', id, checked: on, on: { change: () => take(box.checked) } });
  return el('label', { class: 'tick', for: id }, box, label);
}

/** What models are written in, for a file input. */
export const MODELS = '.stp,.step,.p21,.stpz,.zip,.igs,.iges,.stl,.ply';

/** A file input that a button stands for; `take(file)`. The same file can be chosen again. */
export function fileInput(id, label, take, accept = MODELS) {
  const input = el('input', {
    type: 'file',
    id,
    class: 'spoken',
    tabindex: '-1',
    accept,
    'aria-label': label,
    on: {
      change: () => {
        if (input.files[0]) take(input.files[0]);
        input.value = '';
      },
    },
  });
  return input;
}

/** Names with their values; what has none is left out. `props`: as for `el`. */
export function factList(rows, props = {}) {
  const kept = rows.filter(([, value]) => value !== null && value !== undefined && value !== '');
  return el('dl', { class: 'facts', ...props }, kept.map(([name, value]) => [el('dt', {}, name), el('dd', {}, value)]));
}

/** Three boxes for the numbers of a direction, with ids `id`-x to -z; what is no number is not taken. */
export function triple(id, label, values, take) {
  return el(
    'div',
    { class: 'triple' },
    values.map((x, i) => {
      const box = el('input', {
        type: 'number',
        step: 'any',
        id: `${id}-${'xyz'[i]}`,
        'aria-label': `${label} ${'xyz'[i]}`,
        value: String(x),
        on: {
          change: () => box.value !== '' && Number.isFinite(Number(box.value)) && take(values.map((y, k) => (k === i ? Number(box.value) : y))),
        },
      });
      return box;
    }),
  );
}
