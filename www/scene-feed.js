// Faces and joins on their way to the renderer: handed over in short stretches, while the page goes on answering.

/** Faces are handed to the renderer for this long at a stretch, ms: longer keeps the page from answering. */
const FEED = 8;
/** Pause before the device is asked again whether it takes faces, ms. */
const FEED_WAIT = 30;
/** Pictures while faces come are this far apart, ms: nearer ones cost the time that the faces need. */
const SHOW_EACH = 300;

/** `renderer()`: the renderer, or null while there is no picture; `show()` asks for a picture of what has come. */
export function createFeed(renderer, show) {
  let coming = []; // packets for the renderer, {faces} or {joins}; those given are null
  let given = 0; // how many of them the renderer has
  let feeding = 0; // handle of the next stretch of feeding
  let shownAt = 0; // when the last picture was asked for while faces came

  const waiting = () => given < coming.length;

  function give(packets) {
    coming.push(...packets);
    if (renderer() && !feeding) feeding = setTimeout(feed);
  }

  function feed() {
    feeding = 0;
    const viewer = renderer();
    if (!viewer) return; // goes on when the picture is there again
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
      forget();
    }
    shownAt = performance.now();
    show();
  }

  function forget() {
    coming = [];
    given = 0;
  }

  return {
    /** True while some have not been handed over. */
    waiting,
    /** Takes packets behind those that wait; without any, goes on with those. */
    give,
    /** Lets go of those that wait. */
    forget,
  };
}
