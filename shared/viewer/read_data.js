// What the check wrote into the page: one block of JSON, and arrays as base64.

function readFacts() {
  return JSON.parse(document.getElementById("facts").textContent);
}

function readNumbers(name, Type) {
  const text = atob(document.getElementById("numbers-" + name).textContent);
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; ++i) bytes[i] = text.charCodeAt(i);
  return new Type(bytes.buffer);
}

// Cells in mm: corners, readings (NaN where unseen), regions, bands, unit normals, areas.
function readSurface(facts) {
  const places = readNumbers("places", Uint16Array);
  const surface = {
    corners: readNumbers("corners", Uint32Array),
    region: readNumbers("regions", Uint16Array),
    band: readNumbers("bands", Uint16Array),
    reading: millimetres(readNumbers("readings", Int16Array), facts),
    cornerReading: millimetres(readNumbers("corner-readings", Int16Array), facts),
    place: placesInMillimetres(places, facts),
    edges: placesInMillimetres(readNumbers("edges", Uint16Array), facts),
  };
  surface.count = surface.reading.length;
  measureCells(surface);
  return surface;
}

function millimetres(units, facts) {
  const out = new Float32Array(units.length);
  for (let i = 0; i < units.length; ++i) {
    out[i] = units[i] === facts.unseen ? NaN : units[i] * facts.readingStep;
  }
  return out;
}

function placesInMillimetres(units, facts) {
  const out = new Float32Array(units.length);
  for (let i = 0; i < units.length; ++i) out[i] = facts.origin[i % 3] + units[i] * facts.placeStep;
  return out;
}

function cornerPlace(surface, cell, corner) {
  const at = 3 * surface.corners[3 * cell + corner];
  return new THREE.Vector3(surface.place[at], surface.place[at + 1], surface.place[at + 2]);
}

function measureCells(surface) {
  surface.normal = new Float32Array(3 * surface.count);
  surface.area = new Float32Array(surface.count);
  for (let c = 0; c < surface.count; ++c) {
    const a = cornerPlace(surface, c, 0);
    const up = cornerPlace(surface, c, 1).sub(a).cross(cornerPlace(surface, c, 2).sub(a));
    surface.area[c] = 0.5 * up.length();
    up.normalize().toArray(surface.normal, 3 * c);
  }
}
