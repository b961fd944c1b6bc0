//! The WebAssembly face of the core, and the WebGL2 renderer.
