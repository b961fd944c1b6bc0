// Frames under moving lamps and frames of a plain shaded mesh; answers the middle ms of both. `corners`: x y z nx ny nz of each vertex as
// base64, x and y within 1 of the middle; `triangles`: vertex numbers.
async (packets, corners, triangles, width, height, frames) => {
  const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const middle = (took) => took.sort((a, b) => a - b)[took.length >> 1];
  const breath = () => new Promise((next) => setTimeout(next, 0));

  const gl = Object.assign(document.createElement('canvas'), { width, height }).getContext('webgl2', { antialias: false });
  const program = gl.createProgram();
  const shader = (kind, text) => {
    const made = gl.createShader(kind);
    gl.shaderSource(made, `#version 300 es\nprecision highp float;\n${text}`);
    gl.compileShader(made);
    if (!gl.getShaderParameter(made, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(made));
    gl.attachShader(program, made);
  };
  shader(gl.VERTEX_SHADER, 'layout(location = 0) in vec3 p; layout(location = 1) in vec3 n; out vec3 normal; void main() { normal = n; gl_Position = vec4(p, 1.0); }');
  shader(gl.FRAGMENT_SHADER, 'in vec3 normal; uniform vec3 light; out vec4 colour; void main() { colour = vec4(vec3(0.2 + 0.8 * abs(dot(normalize(normal), light))), 1.0); }');
  gl.linkProgram(program);
  gl.useProgram(program);
  gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ARRAY_BUFFER, bytes(corners), gl.STATIC_DRAW);
  const numbers = bytes(triangles);
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, numbers, gl.STATIC_DRAW);
  for (const at of [0, 1]) {
    gl.enableVertexAttribArray(at);
    gl.vertexAttribPointer(at, 3, gl.FLOAT, false, 24, 12 * at);
  }
  gl.enable(gl.DEPTH_TEST);
  gl.viewport(0, 0, width, height);
  const light = gl.getUniformLocation(program, 'light');
  const plain = [];
  let lit = 0;
  for (let k = 0; k < frames; k++) {
    const from = performance.now();
    gl.uniform3f(light, Math.sin(k), 0, Math.cos(k));
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.drawElements(gl.TRIANGLES, numbers.length / 4, gl.UNSIGNED_INT, 0);
    // A read is the only wait for the device that a browser does not put off.
    const pixel = new Uint8Array(4);
    gl.readPixels(width / 2, height / 2, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel);
    plain.push(performance.now() - from);
    lit = Math.max(lit, pixel[0]);
  }
  if (lit === 0) throw new Error('the plain mesh is not seen');

  await wasm_bindgen({ module_or_path: 'rakelight_bg.wasm' });
  const viewer = wasm_bindgen.Viewer.create(document.createElement('canvas'));
  viewer.resize(width, height, 1);
  packets.forEach((packet) => viewer.add_faces(bytes(packet)));
  viewer.standard_view('top');
  viewer.arrive();
  const stripes = (turn) => viewer.set_stripes({ family: 'highlight', direction: [0.1, 0.2, 1], turn, count: 40, spacing: 400, width: 0.5, distance: 3000 });
  stripes(0);
  while (!viewer.draw('exact')) await breath();
  const lamps = [];
  for (let k = 0; k < frames; k++) {
    while (viewer.show() || !viewer.ready()) await breath();
    const from = performance.now();
    stripes(k + 1);
    while (viewer.status().behind) {
      viewer.draw('moving');
      while (!viewer.ready() && !viewer.show()) await breath();
    }
    lamps.push(performance.now() - from);
  }
  return [middle(lamps), middle(plain)];
}
