// The end of geos.js in the browser edition, where `geos` is the library: started at once, since a worker may wait,
// and a few functions that carry between its memory and Python's.
let memory, trouble;
geos.Module.instantiateWasm = (imports, done) => {
  const made = new WebAssembly.Instance(new WebAssembly.Module(wasm), imports);
  memory = Object.values(made.exports).find((part) => part instanceof WebAssembly.Memory);
  return done(made);
};
start({ errorHandler: (words) => (trouble = words), noticeHandler: () => {} });
const { Module } = geos;

// Calls a function of the library with room for so many numbers after what is given; returns these.
function numbers(name, count, ...given) {
  const place = Module._malloc(8 * count);
  try {
    checked(geos[name](...given, ...Array.from({ length: count }, (_, n) => place + 8 * n)));
    return new Float64Array(memory.buffer.slice(place, place + 8 * count));
  } finally {
    Module._free(place);
  }
}

// Most functions return 0 when they could not do it.
function checked(returned) {
  if (!returned) throw new Error(trouble);
  return returned;
}

function read(bytes) {
  const place = Module._malloc(bytes.length);
  try {
    new Uint8Array(memory.buffer).set(bytes, place);
    return checked(geos.GEOSGeomFromWKB_buf(place, bytes.length));
  } finally {
    Module._free(place);
  }
}

function written(shape) {
  const size = Module._malloc(4);
  const place = checked(geos.GEOSGeomToWKB_buf(shape, size));
  const bytes = memory.buffer.slice(place, place + Module.getValue(size, "i32"));
  Module._free(size);
  geos.GEOSFree(place);
  return new Uint8Array(bytes);
}

// Returns 1 for each point inside, else 0.
function inside(shape, x, y) {
  const prepared = checked(geos.GEOSPrepare(shape));
  const found = Uint8Array.from(x, (each, n) => geos.GEOSPreparedContainsXY(prepared, each, y[n]));
  geos.GEOSPreparedGeom_destroy(prepared);
  return found;
}

// What a predicate says: 0, 1 or, where it could not be found out, 2.
function says(name, ...given) {
  const answer = geos[name](...given);
  if (answer > 1) throw new Error(trouble);
  return Boolean(answer);
}

const made = (name, ...given) => checked(geos[name](...given));
const reason = (shape) => Module.UTF8ToString(checked(geos.GEOSisValidReason(shape)));
const parts = (shape) =>
  Array.from({ length: geos.GEOSGetNumGeometries(shape) }, (_, n) => geos.GEOSGeom_clone(geos.GEOSGetGeometryN(shape, n)));
const type = (shape) => geos.GEOSGeomTypeId(shape);
const destroy = (shape) => geos.GEOSGeom_destroy(shape);
return { numbers, read, written, inside, says, made, reason, parts, type, destroy };
