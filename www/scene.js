// The only module that talks to the renderer: it draws what the store says, only when something has changed,
// and tells the store what the picture is worth.

import { diagonal, findingKey, placePoint } from './records.js';
import { texts } from './texts.js';

/** Rest before the exact picture is begun, ms. Shorter starts it between two strokes of one drag; longer feels slow. */
const REST = 140;
/** Colours of the legend's ramp. Fewer show as bands. */
const RAMP = 33;
/** Faces are handed to the renderer for this long at a stretch, ms: longer keeps the page from answering. */
const FEED = 8;
/** Pause before the device is asked again whether it takes faces, ms. */
const FEED_WAIT = 30;
/** Pictures while faces come are this far apart, ms: nearer ones cost the time that the faces need. */
const SHOW_EACH = 300;
/** Degrees that the lamps turn for a drag of one CSS pixel. More makes fine settings a matter of luck. */
const LAMP_TURN = 0.25;

/** Returns the verbs that camera input and buttons call; all take CSS pixels. Nothing is drawn before `start`. */
export function createScene(canvas, store) {
  let Viewer = null; // the renderer's class
  let viewer = null;
  let coming = []; // packets for the renderer, {faces} or {joins}; those given are null
  let given = 0; // how many of them the renderer has
  let feeding = 0; // handle of the next stretch of feeding
  let shownAt = 0; // when the last picture was asked for while faces came
  let asked = 0; // handle of the next frame
  let restAt = 0; // when the camera has stood still long enough
  let looking = 0; // handle of the next look under the pointer
  let hoverAt = [null, null];

  const ratio = () => Math.min(devicePixelRatio || 1, 2);
  const flat = () => matchMedia('(prefers-reduced-motion: reduce)').matches;

  /** Makes the renderer. */
  function start() {
    try {
      viewer = Viewer.create(canvas);
    } catch {
      store.dispatch({ type: 'graphics', graphics: 'none' });
      return;
    }
    store.dispatch({ type: 'graphics', graphics: 'ok' });
    resize();
    applyAll();
    give([]);
  }

  function applyAll() {
    theme();
    stripes();
    measure();
    chosen();
    station();
  }

  // Frames

  function touch(rest = REST) {
    restAt = performance.now() + rest;
    if (!viewer) return;
    canvas.dataset.frame = 'moving';
    if (!asked) asked = requestAnimationFrame(frame);
  }

  function frame(now) {
    asked = 0;
    if (!viewer || store.state.work.graphics !== 'ok') return;
    if (!viewer.ready()) {
      // A picture behind a picture only comes late: the next one will show where things are then.
      asked = requestAnimationFrame(frame);
      return;
    }
    const flying = viewer.tick(now);
    const moving = flying || now < restAt || waiting();
    viewer.draw(moving ? 'moving' : 'exact');
    const status = viewer.status();
    report(moving, status);
    if (flying) restAt = performance.now();
    if ((moving && !waiting()) || (!moving && !status.exact && status.pending)) asked = requestAnimationFrame(frame);
  }

  function report(moving, status) {
    const done = !moving && !status.pending;
    canvas.dataset.frame = done ? 'exact' : 'moving';
    const kind = moving ? 'moving' : status.exact ? 'exact' : status.pending ? 'settling' : 'fallback';
    const note = status.note ?? '';
    const { frame: shown } = store.state.work;
    if (shown.kind !== kind || shown.note !== note) store.dispatch({ type: 'frame', frame: { kind, note } });
  }

  // Faces and joins on their way to the renderer

  function give(packets) {
    coming.push(...packets);
    if (viewer && !feeding) feeding = setTimeout(feed);
  }

  function feed() {
    feeding = 0;
    if (!viewer || store.state.work.graphics !== 'ok') return; // goes on when the picture is there again
    if (!viewer.ready()) {
      // Handing over waits for the device, which is at work on a picture.
      feeding = setTimeout(feed, FEED_WAIT);
      return;
    }
    const until = performance.now() + FEED;
    while (waiting() && performance.now() < until) {
      const { faces, joins } = coming[given];
      coming[given] = null;
      given += 1;
      try {
        if (faces) viewer.add_faces(new Uint8Array(faces));
        else viewer.add_joins(new Uint8Array(joins));
      } catch (error) {
        // A lost picture is told of by an event of its own; the renderer has kept what it was given.
        if (!viewer.status().lost) throw error;
        return;
      }
    }
    if (waiting()) {
      feeding = setTimeout(feed);
      if (performance.now() - shownAt < SHOW_EACH) return;
    } else {
      coming = [];
      given = 0;
    }
    shownAt = performance.now();
    touch(0);
  }

  const waiting = () => given < coming.length;

  function resize() {
    const box = canvas.getBoundingClientRect();
    if (!viewer || box.width < 1 || box.height < 1) return;
    viewer.resize(box.width, box.height, ratio());
    touch(0);
  }

  // From the store

  function theme() {
    const page = getComputedStyle(canvas);
    viewer.set_theme({ paper: rgb(page.backgroundColor), ink: rgb(page.color) });
  }

  function stripes() {
    const { work, review } = store.state;
    const { family, azimuth, elevation, turn, count, width, reach } = review.lamps;
    const size = diagonal(work.model?.summary) || 1000;
    const [a, e] = [azimuth, elevation].map((degrees) => (degrees * Math.PI) / 180);
    viewer.set_stripes({
      family: work.pass === 'joins' ? 'none' : family,
      direction: [Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)],
      turn,
      count,
      // Isophotes share half a turn; the others share three model sizes of the lamp plane.
      spacing: family === 'isophote' ? Math.PI / count : (3 * size) / count,
      width,
      distance: reach * size,
    });
  }

  function measure() {
    const { work } = store.state;
    const shown = work.pass === 'joins';
    viewer.set_join_measure(shown ? work.measure : 'none', work.limits?.[work.measure]?.limits ?? []);
  }

  function chosen() {
    const { selection } = store.state.work;
    viewer.highlight_face(selection.face ?? -1);
    viewer.highlight_join(selection.join ?? -1);
  }

  function station() {
    const { trace, station: i } = store.state.work;
    const p = trace && i !== null ? trace.points.slice(3 * i, 3 * i + 3) : placeOfChoice();
    if (p?.length === 3) viewer.marker(p[0], p[1], p[2]);
    else viewer.marker();
  }

  /** The place of the chosen finding, or null. */
  function placeOfChoice() {
    const { selection, findings } = store.state.work;
    const finding = findings.find((one) => findingKey(one) === selection.finding);
    return finding ? placePoint(finding) : null;
  }

  store.subscribe(({ work, review }, before) => {
    if (!viewer || work.graphics !== 'ok') return;
    const was = before.work;
    let changed = true;
    if (work.theme !== was.theme) queueMicrotask(() => (theme(), touch(0)));
    else if (review.lamps !== before.review.lamps || work.pass !== was.pass || work.model !== was.model) {
      stripes();
      measure();
    } else if (work.measure !== was.measure || work.limits !== was.limits) measure();
    else if (work.station !== was.station || work.trace !== was.trace) station();
    else changed = false;
    if (work.selection !== was.selection) {
      chosen();
      station();
      changed = true;
    }
    if (work.flight && work.flight !== was.flight) {
      fly(work.flight, diagonal(work.model?.summary));
      changed = true;
    }
    if (changed) touch(0);
  });

  /** Starts a flight to a point of some faces, or to a face as a whole. */
  function fly({ point, faces, size, face }, whole) {
    const place = face === undefined ? { point, size: size ?? whole / 4 } : viewer.face_place(face);
    if (!place) return; // a face without a picture
    const across = Math.min(whole, Math.max(place.size, whole / 6));
    viewer.fly_to(place.point, viewer.facing(Uint32Array.from(faces ?? [face]), Float64Array.from(place.point)), across);
    if (flat()) viewer.arrive();
  }

  // Camera, picking

  const move = (act) => {
    if (!viewer) return;
    act(viewer, ratio());
    touch();
  };

  function pick(x, y) {
    return viewer ? viewer.pick(x * ratio(), y * ratio()) : null;
  }

  function pointer(x, y) {
    const hit = x === null ? null : pick(x, y);
    if (hit !== store.state.work.pointer) store.dispatch({ type: 'pointer', pointer: hit });
  }

  const scene = {
    /** Takes the renderer's class and begins to draw. */
    start(renderer) {
      Viewer = renderer;
      store.dispatch({ type: 'ramp-known', ramp: Viewer.map_colours(RAMP) });
      start();
    },
    /** Turns the view, or the lamps while the rig says so; `gesture` joins the moves of one drag. */
    turn(dx, dy, gesture) {
      const { work, review } = store.state;
      if (work.pass !== 'highlights' || work.drag !== 'lamps' || review.lamps.family === 'none') {
        move((v, r) => v.orbit(dx * r, dy * r));
        return;
      }
      const azimuth = ((((review.lamps.azimuth + dx * LAMP_TURN + 180) % 360) + 360) % 360) - 180;
      const elevation = Math.min(90, Math.max(-90, review.lamps.elevation - dy * LAMP_TURN));
      store.dispatch({ type: 'set-lamps', lamps: { azimuth: round(azimuth), elevation: round(elevation) }, gesture });
    },
    toggleDrag: () => store.dispatch({ type: 'choose-drag', drag: store.state.work.drag === 'lamps' ? 'view' : 'lamps' }),
    pan: (dx, dy) => move((v, r) => v.pan(dx * r, dy * r)),
    zoom: (factor, x, y) => move((v, r) => v.zoom(factor, x * r, y * r)),
    zoomAtMiddle: (factor) => scene.zoom(factor, ...scene.middle()),
    fit: () => move((v) => v.fit()),
    standardView: (name) =>
      move((v) => {
        v.standard_view(name);
        if (flat()) v.arrive();
      }),
    toggleProjection() {
      const projection = store.state.work.projection === 'perspective' ? 'orthographic' : 'perspective';
      store.dispatch({ type: 'choose-projection', projection });
      move((v) => v.set_projection(projection));
    },
    middle() {
      const box = canvas.getBoundingClientRect();
      return [box.width / 2, box.height / 2];
    },
    /** A look at what lies under the pointer, at most once a frame; null, null when it has left. */
    hover(x, y) {
      if (!viewer || !store.state.work.model) return;
      hoverAt = [x, y];
      if (x === null) pointer(null);
      else {
        if (!looking) {
          looking = requestAnimationFrame(() => {
            looking = 0;
            pointer(...hoverAt);
          });
        }
      }
    },
    /** A pick: a join opens its trace, a face is chosen, nothing lets go. */
    choose(x, y) {
      const hit = pick(x, y);
      store.dispatch({ type: 'pointer', pointer: hit });
      if (!hit) store.dispatch({ type: 'choose-nothing', say: texts.say.pickedNothing });
      else if (hit.face === null) store.dispatch({ type: 'choose-nothing', say: texts.say.pickedReference });
      else if (hit.join !== null && hit.join !== undefined) store.dispatch({ type: 'choose-join', join: hit.join });
      else store.dispatch({ type: 'choose-face', face: hit.face });
    },
    clear() {
      coming = [];
      given = 0;
      viewer?.clear();
      touch(0);
    },
    /** Takes packed faces; they are drawn as the renderer gets them. */
    addFaces: (buffers) => give(buffers.map((faces) => ({ faces }))),
    /** Takes packed joins, after those that were given before. */
    addJoins: (joins) => give([{ joins }]),
    /** Draws again, after the picture was lost; the renderer has kept what it was given. */
    redraw() {
      try {
        viewer.revive();
      } catch {
        store.dispatch({ type: 'graphics', graphics: 'lost' });
        return;
      }
      store.dispatch({ type: 'graphics', graphics: 'ok' });
      resize();
      applyAll();
      give([]);
      touch(0);
    },
  };

  canvas.addEventListener('webglcontextlost', (event) => {
    event.preventDefault();
    store.dispatch({ type: 'graphics', graphics: 'lost' });
  });
  canvas.addEventListener('webglcontextrestored', () => scene.redraw());
  new ResizeObserver(resize).observe(canvas);
  return scene;
}

/** Lamp angles keep two decimals, so that the fields stay readable. */
function round(degrees) {
  return Math.round(degrees * 100) / 100;
}

/** A computed colour as [r, g, b] from 0 to 1. */
function rgb(text) {
  const numbers = text.match(/[\d.]+/g) ?? [];
  const scale = text.startsWith('color(') ? 1 : 255;
  return numbers.slice(0, 3).map((n) => Number(n) / scale);
}

