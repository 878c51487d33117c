// The cells as triangles on the graphics card. Colours are chosen there, so a band redraws at once.

const kVaryings = `
varying vec3 vNormal;
varying vec3 vCode;
varying float vReading;
varying vec2 vLimits;
varying vec2 vAbout;`;

// What cells and scanned points hand on alike.
const kSharedVertex = kVaryings + `
attribute float reading;
attribute vec2 limits;
attribute vec2 about;
attribute vec3 code;
varying vec3 vPlace;
void handOn(vec3 facing) {
  vPlace = position;
  vNormal = facing;
  vReading = reading;
  vLimits = limits;
  vAbout = about;
  vCode = code;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`;

const kVertexShader = kSharedVertex + `
void main() {
  handOn(normal);
}`;

// Everything is cut by the same plane.
const kCutFragment = `
precision highp float;
uniform vec4 cut;
uniform float isCut;
varying vec3 vPlace;
void dropCut() {
  if (isCut > 0.5 && dot(vPlace, cut.xyz) > cut.w) discard;
}`;

const kSharedFragment = kCutFragment + kVaryings;

// Steps as colours, chosen from limits and band.
const kStepFragment = `
uniform vec3 steps[7];
uniform vec3 starts;
uniform vec2 factor;
vec3 stepColour() {
  bool proud = vReading > 0.0;
  float size = abs(vReading);
  float limit = proud ? vLimits.x * factor.x : vLimits.y * factor.y;
  if (size > limit * starts.z) return proud ? steps[6] : steps[0];
  if (size > limit * starts.y) return proud ? steps[5] : steps[1];
  if (size > limit * starts.x) return proud ? steps[4] : steps[2];
  return steps[3];
}`;

// Unseen white under lines at 45 degrees; light only darkens within a step.
const kPaintFragment = kSharedFragment + kStepFragment + `
uniform vec3 light;
uniform vec3 stage;
uniform float chosen;
uniform float pixels;
void main() {
  dropCut();
  if (!gl_FrontFacing) {
    gl_FragColor = vec4(isCut > 0.5 ? vec3(0.365, 0.38, 0.4) : vec3(0.71, 0.72, 0.73), 1.0);
    return;
  }
  float stripe = mod(gl_FragCoord.x + gl_FragCoord.y, 9.0 * pixels);
  vec3 unseen = stripe < 1.5 * pixels ? vec3(0.54, 0.56, 0.58) : vec3(1.0);
  vec3 colour = vAbout.y > 0.5 ? stepColour() : unseen;
  colour *= 0.8 + 0.2 * clamp(dot(normalize(vNormal), light), 0.0, 1.0);
  if (chosen > 0.5 && abs(vAbout.x - chosen) > 0.5) colour = mix(colour, stage, 0.5);
  gl_FragColor = vec4(colour, 1.0);
}`;

// Each cell in a colour of its own: what lies under a pixel is read back from it.
const kCodeFragment = kSharedFragment + `
void main() {
  dropCut();
  gl_FragColor = gl_FrontFacing ? vec4(vCode, 1.0) : vec4(0.0, 0.0, 0.0, 1.0);
}`;

const kLineVertex = `
varying vec3 vPlace;
void main() {
  vPlace = position;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`;

const kLineFragment = kCutFragment + `
uniform vec3 ink;
void main() {
  dropCut();
  gl_FragColor = vec4(ink, 1.0);
}`;

// A number as a colour, for vertex i: read back by pick.
function setCode(code, i, number) {
  for (let d = 0; d < 3; ++d) code[3 * i + d] = (number >> (8 * d)) & 255;
}

// By name, numbers and how many of them a vertex has; bytes are shares of 255.
function geometryOf(attributes) {
  const geometry = new THREE.BufferGeometry();
  for (const [name, [numbers, each]] of Object.entries(attributes)) {
    geometry.setAttribute(name, new THREE.BufferAttribute(numbers, each, numbers instanceof Uint8Array));
  }
  return geometry;
}

function triangleGeometry(surface, facts) {
  const n = surface.count;
  const place = new Float32Array(9 * n), normal = new Float32Array(9 * n);
  const reading = new Float32Array(3 * n), limits = new Float32Array(6 * n);
  const about = new Float32Array(6 * n), code = new Uint8Array(9 * n);
  for (let c = 0; c < n; ++c) {
    const band = facts.bands[surface.band[c]];
    const seen = isNaN(surface.reading[c]) ? 0 : 1;
    for (let k = 0; k < 3; ++k) {
      const i = 3 * c + k, from = 3 * surface.corners[i];
      for (let d = 0; d < 3; ++d) {
        place[3 * i + d] = surface.place[from + d];
        normal[3 * i + d] = surface.normal[3 * c + d];
      }
      setCode(code, i, c + 1);
      reading[i] = seen ? surface.cornerReading[i] : 0;
      limits[2 * i] = band.over;
      limits[2 * i + 1] = band.under;
      about[2 * i] = surface.region[c];
      about[2 * i + 1] = seen;
    }
  }
  return geometryOf({ position: [place, 3], normal: [normal, 3], reading: [reading, 1], limits: [limits, 2], about: [about, 2], code: [code, 3] });
}

function lineGeometry(place) {
  return geometryOf({ position: [place, 3] });
}

function rgb(css) {
  const colour = new THREE.Color(css);
  return new THREE.Vector3(colour.r, colour.g, colour.b);
}

// Points round a hole or a slot, as segments; straight: from its middle to the centre of an end.
function ringPlaces(center, axis, radius, straight) {
  const across = new THREE.Vector3(1, 0, 0);
  if (Math.abs(axis.x) > 0.9) across.set(0, 1, 0);
  const right = new THREE.Vector3().crossVectors(axis, across).normalize();
  const up = new THREE.Vector3().crossVectors(axis, right);
  const out = [];
  const add = (turn) => {
    const way = right.clone().multiplyScalar(Math.cos(turn)).addScaledVector(up, Math.sin(turn));
    const p = center.clone().addScaledVector(straight, way.dot(straight) < 0 ? -1 : 1);
    out.push(...p.addScaledVector(way, radius).toArray());
  };
  for (let i = 0; i < 48; ++i) {
    add((2 * Math.PI * i) / 48);
    add((2 * Math.PI * (i + 1)) / 48);
  }
  return new Float32Array(out);
}

// Scene, materials and what is shared between them.
function makeScene(surface, scan, facts) {
  const cut = { cut: { value: new THREE.Vector4(0, 0, 1, 0) }, isCut: { value: 0 } };
  const paint = new THREE.ShaderMaterial({
    vertexShader: kVertexShader, fragmentShader: kPaintFragment, side: THREE.DoubleSide,
    polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
    uniforms: Object.assign({
      steps: { value: facts.colours.map(rgb) },
      starts: { value: new THREE.Vector3(...facts.stepStarts) },
      factor: { value: new THREE.Vector2(1, 1) },
      light: { value: new THREE.Vector3(0, 0, 1) },
      stage: { value: new THREE.Vector3(1, 1, 1) },
      chosen: { value: 0 },
      pixels: { value: 1 },
    }, cut),
  });
  const code = new THREE.ShaderMaterial({
    vertexShader: kVertexShader, fragmentShader: kCodeFragment, side: THREE.DoubleSide,
    uniforms: Object.assign({}, cut),
  });
  const inked = (css) => new THREE.ShaderMaterial({
    vertexShader: kLineVertex, fragmentShader: kLineFragment,
    uniforms: Object.assign({ ink: { value: rgb(css) } }, cut),
  });
  const mesh = new THREE.Mesh(triangleGeometry(surface, facts), paint);
  const lines = new THREE.Group();
  lines.add(new THREE.LineSegments(lineGeometry(surface.edges), inked(facts.edgeColour)));
  for (const ring of facts.rings) {
    const place = ringPlaces(new THREE.Vector3(...ring.center), new THREE.Vector3(...ring.axis), ring.radius,
      new THREE.Vector3(...ring.straight));
    lines.add(new THREE.LineSegments(lineGeometry(place), inked(ring.colour)));
  }
  const scene = new THREE.Scene();
  const dots = makeDots(scan, facts, surface.count, paint, cut);
  scene.add(mesh, dots.points, lines);
  return { scene, mesh, dots, lines, paint, code, cut };
}
