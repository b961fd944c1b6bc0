// A file opened by a fresh worker of the site; answers {times, read, all, first, memory}: ms, and bytes of the module's memory.
async ({ address, name, reading, grade }) => {
  const here = new URL('.', location.href).href;
  // Findings take longer than all else; where they are not asked for, none are made.
  const script = `
    let memory = null;
    for (const way of ['instantiate', 'instantiateStreaming']) {
      const make = WebAssembly[way];
      WebAssembly[way] = async (...given) => {
        const made = await make.apply(WebAssembly, given);
        memory = (made.instance ?? made).exports.memory;
        return made;
      };
    }
    self.here = ${JSON.stringify(here)};
    importScripts(self.here + 'rakelight.js');
    ${grade ? '' : 'wasm_bindgen.Session.prototype.grade = () => 0;'}
    importScripts(self.here + 'worker.js');
    self.addEventListener('message', ({ data }) => { if (data.type === 'memory') self.postMessage({ type: 'memory', bytes: memory.buffer.byteLength }); });
  `;
  const worker = new Worker(URL.createObjectURL(new Blob([script], { type: 'text/javascript' })));
  const first = {}; // when the first message of a type came
  const heard = {};
  let told = () => {};
  worker.onerror = (event) => { heard.failed = { error: { message: event.message } }; told(); };
  worker.onmessage = ({ data }) => { first[data.type] ??= performance.now(); heard[data.type] = data; told(); };
  const answer = async (type) => {
    while (!heard[type]) {
      if (heard.failed) throw new Error(heard.failed.error?.message ?? 'failed');
      await new Promise((next) => { told = next; });
    }
    return heard[type];
  };
  try {
    worker.postMessage({ type: 'start', module: await WebAssembly.compileStreaming(fetch('rakelight_bg.wasm')) });
    await answer('ready');
    const bytes = await (await fetch(address)).arrayBuffer();
    const judged = { yardstick: 'visible', limits: {}, making: {}, zones: { rules: [], picked: [] } };
    const from = performance.now();
    worker.postMessage({ type: 'open', job: 1, name, bytes, ...judged, reading }, [bytes]);
    const { times, read } = await answer('done');
    const all = performance.now() - from;
    worker.postMessage({ type: 'memory' });
    const { bytes: memory } = await answer('memory');
    return { times, read, all, first: first.faces - from, memory };
  } finally {
    worker.terminate();
  }
}
