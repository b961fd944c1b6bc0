// The site's worker asked for steps of a drag, one after the other. `steps`: trials as JSON text; answers the ms of each step of each run.
async (file, steps, face, runs) => {
  const worker = new Worker('worker.js');
  const heard = [];
  let told = () => {};
  worker.onerror = (event) => heard.push({ type: 'failed', error: event.message });
  worker.onmessage = ({ data }) => { heard.push(data); told(); };
  const answer = async (type) => {
    for (;;) {
      const data = heard.shift();
      if (data?.type === type) return data;
      if (data?.type === 'failed') throw new Error(JSON.stringify(data.error));
      if (!data) await new Promise((next) => { told = next; });
    }
  };
  worker.postMessage({ type: 'start', module: await WebAssembly.compileStreaming(fetch('rakelight_bg.wasm')) });
  await answer('ready');
  const bytes = new TextEncoder().encode(file).buffer;
  const reading = { unit: null, hidden: false, search: null, plane: null };
  const judged = { yardstick: 'visible', limits: {}, making: {}, zones: {} };
  worker.postMessage({ type: 'open', job: 1, name: 'grid.stp', bytes, ...judged, reading }, [bytes]);
  const { joins } = await answer('joins');
  await answer('done');
  const join = joins.find(({ faces }) => faces.length === 2 && faces.includes(face)).id;
  const all = [];
  let size = 0;
  for (let run = 0; run < runs; run++) {
    const times = [];
    for (const trials of steps) {
      const from = performance.now();
      worker.postMessage({ type: 'try', job: 2, wish: { trials, face, point: [3, 3], join, whole: false, about: null } });
      const { packets, tried } = await answer('tried');
      times.push(performance.now() - from);
      const whole = packets.length === 1 && tried.failed === null && tried.joins.length === 4 && tried.trace?.join === join && tried.lines.length === 2;
      if (!whole) throw new Error(JSON.stringify(tried));
      size = packets[0].byteLength;
    }
    all.push(times);
  }
  worker.terminate();
  return { all, size };
}
