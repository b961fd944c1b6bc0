// The only module that talks to the renderer: it draws what the store says, only when something has changed,
// and tells the store what the picture is worth.

import { tidy, wrapped } from './lamp-rig.js';
import { diagonal } from './records.js';
import { createFeed } from './scene-feed.js';
import { tellGaps } from './gap-scene.js';
import { tellChains, tellClasses } from './layout-scene.js';
import { chosenFillet } from './fillets.js';
import { rowAt } from './rows.js';
import { tellFillets } from './scene-fillets.js';
import { NET, tellNets, tellRows } from './scene-rows.js';
import { tellCombs, tellLines, tellProbe, tellReference, tellSections } from './scene-layers.js';
import { tellHand } from './scene-hand.js';
import { tellTrialJoins } from './scene-trials.js';
import { tellChoice, tellForm, tellMark, tellMeasure, tellMirror, tellStripes, tellTheme } from './scene-state.js';
import { texts } from './texts.js';
import { traceParts } from './trials.js';
import { isBehind, isLocked } from './underlay.js';

/** Rest before the exact picture is begun, ms. Shorter starts it between two strokes of one drag; longer feels slow. */
const REST = 140;
/** Colours of the legend's ramp. Fewer show as bands. */
const RAMP = 33;
/** Model sizes that a flight shows at most of what lies beyond the model. More makes the model itself a dot. */
const BEYOND = 6;
/** Degrees that the lamps turn for a drag of one CSS pixel. More makes fine settings a matter of luck. */
const LAMP_TURN = 0.25;

/** What the renderer is told, each by what it depends on. */
const TOLD = [
  [tellStripes, ({ work, review }) => [review.lamps, work.pass, work.model, work.rigOf, work.zoneView, work.zones]],
  [tellForm, ({ work, review }) => [review.form, work.form, work.layout, work.fillets, work.mapped, work.centre, work.reference, work.referenceView, work.pass, work.model, work.zoneView, work.zones]],
  [tellMeasure, ({ work }) => [work.measure, work.limits, work.centre, work.pass, work.model]],
  [tellChoice, ({ work }) => [work.selection]],
  [tellMark, ({ work }) => [work.station, ...traceParts(work), work.selection]],
  [tellProbe, ({ work }) => [work.probe, work.pass]],
  [tellCombs, ({ work }) => [work.combsFound, work.combs, work.pass, work.selection]],
  [tellSections, ({ work }) => [work.sectionsFound, work.sections, work.pass]],
  [tellReference, ({ work }) => [work.reference, work.pass]],
  [tellLines, ({ work }) => [work.lines, work.cornersOn, work.pass, work.selection]],
  [tellClasses, ({ work, review }) => [work.layout, work.form, work.fillets, work.pass, work.zoneView, work.zones, review.zones]],
  [tellFillets, ({ work }) => [work.fillets, work.filletView.at, chosenFillet(work), work.pass]],
  [tellChains, ({ work }) => [work.layout, work.layoutView, work.pass, work.selection]],
  [tellGaps, ({ work }) => [work.gaps, work.gapView, work.edgesFound, work.pass, work.selection, work.findings]],
  [tellRows, ({ work }) => [work.rows, work.rowsFound, work.limits, work.pass, work.selection]],
  [tellNets, ({ work }) => [work.rows.all, work.rows.measure, work.netsFound, work.limits, work.pass]],
  [tellHand, ({ work }) => [work.hand, work.pass, work.trialView.before, work.selection]],
  [tellTrialJoins, ({ work }) => [work.tried, work.trialView.before, work.pass, work.measure, work.limits]],
  [tellMirror, ({ work }) => [work.centre, work.pass, work.model]],
];

/** Paper and ink of pictures that are printed. */
const PRINTED = { paper: [1, 1, 1], ink: [0.13, 0.12, 0.1], clear: false };
/** Longest wait for an exact picture, ms: what is there then is taken. */
const STILL = 20000;

/** Returns the verbs that camera input and buttons call; all take CSS pixels. Nothing is drawn before `start`. */
export function createScene(canvas, store) {
  let Viewer = null; // the renderer's class
  let viewer = null;
  let fits = true; // the next faces are fitted into the frame
  let asked = 0; // handle of the next frame
  let restAt = 0; // when the camera has stood still long enough
  let looking = 0; // handle of the next look under the pointer
  let hoverAt = [null, null];
  const watchers = []; // told when things on the screen may have moved
  let sharpen = () => false; // asks for faces with the borders that the view wants
  let seen = false; // a picture with faces has been on the canvas
  let sharpening = false; // such faces are on their way
  let owed = false; // the view has not been looked at for them, as something ran
  let posed = null; // [width, height] while pictures are taken for a report
  const takers = []; // take a click for something else than the model

  const ratio = () => (posed ? 1 : Math.min(devicePixelRatio || 1, 2));
  const drawn = () => (store.state.work.graphics === 'ok' ? viewer : null);
  const feed = createFeed(drawn, () => touch(0));
  const { waiting, give } = feed;
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
    const { state } = store;
    tellTheme(viewer, canvas, state);
    TOLD.forEach(([tell]) => tell(viewer, state));
  }

  // Frames

  function touch(rest = REST) {
    restAt = rest > 0 ? performance.now() + rest : 0;
    if (!viewer) return;
    canvas.dataset.frame = 'moving';
    if (!asked) asked = requestAnimationFrame(frame);
  }

  function frame(now) {
    asked = 0;
    if (!drawn()) return;
    if (viewer.show() || !viewer.ready()) {
      // A picture behind a picture only comes late: the next one will show where things are then.
      asked = requestAnimationFrame(frame);
      return;
    }
    const flying = viewer.tick(now);
    const moving = flying || now < restAt || waiting();
    // Not while faces come: they would be asked for again.
    owed = !moving && !sharpening && store.state.work.busy !== null;
    if (!moving && !sharpening && !owed) {
      const blunt = viewer.blunt();
      sharpening = blunt !== null && sharpen(blunt);
    }
    viewer.draw(moving ? 'moving' : 'exact');
    watchers.forEach((tell) => tell());
    const status = viewer.status();
    report(moving, status);
    if (flying) restAt = performance.now();
    if ((moving && !waiting()) || status.unseen || (!moving && !status.exact && status.pending)) asked = requestAnimationFrame(frame);
  }

  function report(moving, status) {
    if (!seen && status.faces > 0 && !status.unseen) {
      seen = true;
      performance.mark('first-stripes');
    }
    const done = !moving && !sharpening && !status.pending && !status.unseen;
    canvas.dataset.frame = done ? 'exact' : 'moving';
    // While the lamps go round there is always a picture on its way; the surfaces under it are as they were evaluated.
    const exact = status.exact || (store.state.work.playing && status.share === 1 && status.inexact_faces === 0);
    const kind = moving ? 'moving' : exact ? 'exact' : status.pending ? 'settling' : 'fallback';
    const note = status.note ?? '';
    const { frame: shown } = store.state.work;
    if (shown.kind !== kind || shown.note !== note) store.dispatch({ type: 'frame', frame: { kind, note } });
  }

  function resize() {
    const box = canvas.getBoundingClientRect();
    if (!viewer || (!posed && (box.width < 1 || box.height < 1))) return;
    if (posed) viewer.resize(...posed, 1);
    else viewer.resize(box.width, box.height, ratio());
    watchers.forEach((tell) => tell());
    touch(0);
  }

  store.subscribe((state, before) => {
    const { work, review } = state;
    if (!drawn()) return;
    const was = before.work;
    if (work.theme !== was.theme || isBehind(state) !== isBehind(before)) queueMicrotask(() => (tellTheme(viewer, canvas, store.state), touch(0)));
    let changed = false;
    for (const [tell, of] of TOLD) {
      const then = of(before);
      if (of(state).every((one, i) => one === then[i])) continue;
      tell(viewer, state);
      changed = true;
    }
    if (work.flight && work.flight !== was.flight) {
      // What a choice opens below the canvas has taken its room by then.
      if (work.flight.points) queueMicrotask(() => flyOver(work.flight));
      else fly(work.flight, diagonal(work.model?.summary));
      changed = true;
    }
    if (changed || (owed && !work.busy)) touch(0);
  });

  /** Starts a flight to a point of some faces, or to a face as a whole. */
  function fly({ point, faces, size, face, beyond }, whole) {
    const place = face === undefined ? { point, size: size ?? whole / 4 } : viewer.face_place(face);
    if (!place) return; // a face without a picture
    const across = Math.min(beyond ? BEYOND * whole : whole, Math.max(place.size, whole / 6));
    viewer.fly_to(place.point, viewer.facing(Uint32Array.from(faces ?? [face]), Float64Array.from(place.point)), across);
    if (flat()) viewer.arrive();
  }

  /** Starts a flight to where all of `points` are seen, from the side that `toward` points to. */
  function flyOver({ points, toward }) {
    resize();
    if (!drawn()?.fly_over(Float64Array.from(points), Float64Array.from(toward))) return;
    if (flat()) viewer.arrive();
    touch(0);
  }

  // Camera, picking

  const move = (act) => {
    if (!viewer) return;
    act(viewer, ratio());
    watchers.forEach((tell) => tell());
    touch();
  };

  function pick(x, y) {
    return viewer ? viewer.pick(x * ratio(), y * ratio()) : null;
  }

  function pointer(x, y) {
    const hit = x === null ? null : pick(x, y);
    if (hit !== store.state.work.pointer) store.dispatch({ type: 'pointer', pointer: hit });
  }

  /** A place of the three that a centre plane is to run through. */
  function takePick(place) {
    const picks = [...store.state.work.centre.picks, place];
    store.dispatch({ type: 'set-centre', centre: { picks: picks.length < 3 ? picks : null } });
    if (picks.length === 3) store.dispatch({ type: 'set-plane', plane: { points: picks } });
  }

  /** A flight has begun that may change the projection. */
  function tookOff() {
    const { projection } = viewer.camera();
    if (projection !== store.state.work.projection) store.dispatch({ type: 'choose-projection', projection });
    if (flat()) viewer.arrive();
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
        // Locked to a picture's view, which a turn would leave.
        if (isLocked(store.state)) scene.pan(dx, dy);
        else move((v, r) => v.orbit(dx * r, dy * r));
        return;
      }
      const { azimuth, elevation } = review.lamps;
      const lamps = tidy({ azimuth: wrapped(azimuth + dx * LAMP_TURN), elevation: elevation - dy * LAMP_TURN });
      store.dispatch({ type: 'set-lamps', lamps, gesture });
    },
    toggleDrag: () => store.dispatch({ type: 'choose-drag', drag: store.state.work.drag === 'lamps' ? 'view' : 'lamps' }),
    /** Calls `tell()` whenever things on the screen may have moved. */
    onView: (tell) => watchers.push(tell),
    /** Where points [x, y, z] stand on the canvas, [x, y] in CSS pixels each, or null; none while there is no picture. */
    onScreen(points) {
      const flat = [...(drawn()?.on_screen(Float64Array.from(points.flat())) ?? [])];
      return points.map((_, i) => (flat.slice(2 * i, 2 * i + 2).every(Number.isFinite) && flat.length > 2 * i ? flat.slice(2 * i, 2 * i + 2) : null));
    },
    /** Where the rig's handles stand, or null while there is no picture. */
    rigDrawing: (lamps) => drawn()?.rig_drawing(lamps) ?? null,
    /** The rig that a drag of a handle makes of the one it began with. */
    rigDragged: (lamps, handle, dx, dy) => drawn()?.rig_dragged(lamps, handle, dx, dy) ?? {},
    /** The lamps on the screen and where they are seen from, for the worker; null while there is no picture. */
    seenLamps: () => drawn()?.seen_lamps() ?? null,
    /** The model's middle that the lamps stand around, mm. */
    rigMiddle: () => [...(viewer?.middle() ?? [])],
    camera: () => viewer?.camera_now() ?? null,
    /** Takes another scene's camera; nothing happens where it is the same, but that faces to come are not fitted. */
    setCamera(camera) {
      if (!viewer || !camera) return;
      const now = viewer.camera_now();
      if (!fits && ['yaw', 'pitch', 'distance', 'projection'].every((name) => now[name] === camera[name]) && now.target.every((x, i) => x === camera.target[i])) return;
      fits = false;
      move((v) => v.set_camera(camera));
    },
    pan: (dx, dy) => move((v, r) => v.pan(dx * r, dy * r)),
    zoom: (factor, x, y) => move((v, r) => v.zoom(factor, x * r, y * r)),
    zoomAtMiddle: (factor) => scene.zoom(factor, ...scene.middle()),
    fit: () => move((v) => v.fit()),
    standardView: (name) =>
      move((v) => {
        v.standard_view(name);
        if (flat()) v.arrive();
      }),
    /** Looks along a control row; the view is without perspective from then on. */
    sight({ points, profile }) {
      if (!drawn() || !profile) return;
      move((v) => v.sight(Float64Array.from(points), Float64Array.from(profile.across)));
      tookOff();
    },
    /** Where the camera stands, or where it is bound for. */
    bound: () => viewer?.camera() ?? null,
    /** Flies to such a stand. */
    flyHome(camera) {
      if (!drawn()) return;
      move((v) => v.fly_home(camera));
      tookOff();
    },
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
    /** Calls `take(x, y)` at each click first, which returns whether it was meant for it; those that ask first come first. */
    onChoose: (take) => takers.push(take),
    /** What lies at a place of the canvas: {face, point, …}, or null. */
    pickAt: pick,
    /** A pick: a join opens its trace, a face is chosen, nothing lets go. */
    choose(x, y) {
      if (takers.some((take) => take(x, y))) return;
      const hit = pick(x, y);
      store.dispatch({ type: 'pointer', pointer: hit });
      const row = rowAt(store.state.work, viewer?.line_near(NET, x * ratio(), y * ratio()));
      if (row) return store.dispatch({ type: 'choose-row', ...row });
      if (['rows', 'trials'].includes(store.state.work.pass) && hit && hit.face !== null) return store.dispatch({ type: 'choose-face', face: hit.face });
      if (!hit) store.dispatch({ type: 'choose-nothing', say: texts.say.pickedNothing });
      else if (store.state.work.centre.picks && hit.face !== null) takePick(hit.point);
      else if (store.state.work.probe.next && hit.face !== null) store.dispatch({ type: 'probe-hit', face: hit.face, u: hit.u, v: hit.v });
      else if (hit.face === null) store.dispatch({ type: 'choose-nothing', say: texts.say.pickedReference });
      else if (hit.join !== null && hit.join !== undefined) store.dispatch({ type: 'choose-join', join: hit.join });
      else store.dispatch({ type: 'choose-face', face: hit.face });
    },
    clear() {
      sharpening = false;
      feed.forget();
      viewer?.clear();
      fits = true;
      touch(0);
    },
    /** Resolves when the renderer has all faces that came so far: before, a view cannot be fitted to them. */
    whole: () =>
      new Promise((done) => {
        const look = () => (drawn() && waiting() ? requestAnimationFrame(look) : done());
        look();
      }),
    /** Pictures of `width` × `height` pixels on white, whatever the window's size, until `unpose`. */
    pose(width, height, theme = PRINTED) {
      posed = [width, height];
      if (theme) viewer?.set_theme(theme);
      resize();
    },
    unpose() {
      posed = null;
      if (!viewer) return;
      applyAll();
      resize();
    },
    /** Resolves when the flight has arrived and the picture is exact, or after `STILL` where it does not become so. */
    async still() {
      // Flights that wait for the page begin first.
      await new Promise((next) => setTimeout(next));
      viewer?.arrive();
      touch(0);
      const until = performance.now() + STILL;
      while (drawn() && canvas.dataset.frame !== 'exact' && performance.now() < until) await new Promise((next) => setTimeout(next, 15));
    },
    /** Lights the model by other lamps than the review's, until these change. */
    light(lamps) {
      if (!viewer) return;
      tellStripes(viewer, { ...store.state, review: { ...store.state.review, lamps: { ...store.state.review.lamps, ...lamps } } });
      touch(0);
    },
    /** Draws the picture there is with a 2D pen. */
    drawOnto: (pen, width, height) => pen.drawImage(canvas, 0, 0, width, height),
    /** Forgets the joins; others will come. */
    clearJoins() {
      viewer?.clear_joins();
      touch(0);
    },
    /** Takes packed faces; they are drawn as the renderer gets them. */
    addFaces: (buffers) => give(buffers.map((faces) => ({ faces }))),
    /** Takes packed joins, after those that were given before. */
    addJoins: (joins) => give([{ joins }]),
    /** Calls `ask({faces, chord})` for faces whose borders are too coarse or too fine for the view; it returns whether they will come. */
    onBlunt: (ask) => (sharpen = ask),
    /** Takes packed faces in place of those there are; `first`: their borders are as faces come first, and those asked for are on their way still. */
    replaceFaces(packets, first = false) {
      if (!first) sharpening = false;
      packets.forEach((packet) => viewer?.replace_face(new Uint8Array(packet), first));
      touch(0);
    },
    /** Takes what is to be known of each face: its outward side. */
    tellFaces({ sides }) {
      viewer?.set_sides(Int8Array.from(sides));
    },
    /** Takes values to colour faces by. */
    tellMaps(maps) {
      viewer?.set_maps(maps);
      touch(0);
    },
    /** The map of a view of form as CSS colours. */
    formColours: (view) => Viewer?.form_colours(view, RAMP) ?? [],
    /** Ends for good: nothing is drawn any more. */
    end() {
      viewer = null;
      feed.forget();
      sized.disconnect();
      ended.abort();
    },
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

  const ended = new AbortController();
  const { signal } = ended;
  const lost = (event) => {
    event.preventDefault();
    store.dispatch({ type: 'graphics', graphics: 'lost' });
  };
  canvas.addEventListener('webglcontextlost', lost, { signal });
  canvas.addEventListener('webglcontextrestored', () => scene.redraw(), { signal });
  const sized = new ResizeObserver(resize);
  sized.observe(canvas);
  return scene;
}
