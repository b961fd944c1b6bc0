// Brings each control that is shown into sight and looks whether it is hit there: [how many, what is wrong with which].
(() => {
  const wrong = [];
  const named = (node) => (node.id ? `#${node.id}` : `${node.tagName.toLowerCase()}.${node.getAttribute('class') ?? ''} “${node.textContent.trim().slice(0, 20)}”`);
  const place = document.querySelector('dialog[open]') ?? document;
  const controls = [...place.querySelectorAll('button, input:not([type=file]), select, textarea, summary, a[href], [tabindex="0"]')].filter(
    // Handles of the lamp rig lie where the lamps are, under whatever stands there: each has a field in its pass, and keys.
    (node) => node.checkVisibility({ visibilityProperty: true }) && !node.disabled && node.id !== 'skip' && !node.closest('.spoken, [inert], #rig'),
  );
  for (const node of controls) {
    node.scrollIntoView({ block: 'center', inline: 'nearest', behavior: 'instant' });
    const { left, right, top, bottom, width, height } = node.getBoundingClientRect();
    if (left < -1 || right > innerWidth + 1) wrong.push(`${named(node)} is cut off, ${Math.round(left)} to ${Math.round(right)}`);
    const own = (hit) =>
      hit && (node.contains(hit) || node.labels?.[0]?.contains(hit) || (node.ownerSVGElement !== undefined && hit.closest('svg') === node.ownerSVGElement));
    // Of a control as large as the picture a part may lie under its bars.
    const large = width > innerWidth / 2 && height > 60;
    const spots = large ? [[0.5, 0.5], [0.5, 0.85], [0.15, 0.85], [0.1, 0.5]] : [[0.5, 0.5]];
    const [above, below] = [Math.max(1, top), Math.min(innerHeight - 1, bottom)];
    const hits = spots.map(([a, b]) => document.elementFromPoint(left + a * width, above + b * (below - above)));
    if (!hits.some(own)) wrong.push(`${named(node)}, ${Math.round(width)} × ${Math.round(height)}, is covered by ${hits[0] ? named(hits[0]) : 'the edge'}`);
    if (node.tagName === 'BUTTON' && node.scrollWidth > node.clientWidth + 1) wrong.push(`${named(node)} does not hold its words`);
  }
  if (document.documentElement.scrollWidth > innerWidth) wrong.push(`the page is ${document.documentElement.scrollWidth} wide`);
  scrollTo(0, 0);
  return [controls.length, wrong];
})();
