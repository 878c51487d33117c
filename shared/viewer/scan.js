// The scanned points as dots on the graphics card, in the colours of the surface's legend.

const kLeastDot = 2.5, kMostDot = 48;  // CSS pixels across
const kDotsApart = 1.9;                // a dot's width, in distances between neighbours: dots close up
const kDotsApartOnDesign = 0.9;        // in front of the design they leave it to be seen

// In front of the design a dot stands as deep as the surface it was measured to, so that what is shy shows.
const kDotVertex = kSharedVertex + `
attribute vec3 facing;
uniform float across;
uniform float isOnDesign;
uniform float nearer;
uniform vec3 viewer;
varying float vBack;
void main() {
  handOn(facing);
  vBack = length(facing) > 0.5 && dot(facing, viewer) < -0.05 ? 1.0 : 0.0;
  gl_PointSize = about.y > 0.5 ? across : max(2.0, 0.7 * across);
  if (isOnDesign > 0.5) {
    vec3 on = position - (about.y > 0.5 ? reading : 0.0) * facing;
    gl_Position.z = (projectionMatrix * modelViewMatrix * vec4(on, 1.0)).z - nearer;
    if (vBack > 0.5) gl_Position.z = 2.0;
  }
}`;

const kRoundDot = `
varying float vBack;
float offMiddle() {
  vec2 off = 2.0 * gl_PointCoord - 1.0;
  float far = dot(off, off);
  if (far > 1.0) discard;
  return far;
}`;

const kDotFragment = kSharedFragment + kStepFragment + kRoundDot + `
uniform vec3 aside;
uniform vec3 light;
uniform vec3 stage;
uniform float chosen;
uniform float isOnDesign;
void main() {
  dropCut();
  float far = offMiddle();
  if (vBack > 0.5) {
    gl_FragColor = vec4(0.71, 0.72, 0.73, 1.0);
    return;
  }
  vec3 colour = vAbout.y > 0.5 ? stepColour() : aside;
  if (vAbout.y > 0.5) colour *= 0.8 + 0.2 * clamp(dot(vNormal, light), 0.0, 1.0);
  if (isOnDesign > 0.5 && far > 0.5) colour *= 0.75;
  if (chosen > 0.5 && abs(vAbout.x - chosen) > 0.5) colour = mix(colour, stage, 0.5);
  gl_FragColor = vec4(colour, 1.0);
}`;

// As in the picture, but a dot seen from behind is none.
const kDotCodeFragment = kSharedFragment + kRoundDot + `
void main() {
  dropCut();
  offMiddle();
  gl_FragColor = vBack > 0.5 ? vec4(0.0, 0.0, 0.0, 1.0) : vec4(vCode, 1.0);
}`;

// Points in mm: places, readings (NaN where set aside), regions, bands, outward normals.
function readScan(facts) {
  const told = facts.scan, units = readNumbers("scan-readings", Int16Array);
  const places = readNumbers("scan-places", Uint16Array), normals = readNumbers("scan-normals", Int8Array);
  const scan = {
    count: units.length, units,
    region: readNumbers("scan-regions", Uint16Array),
    band: readNumbers("scan-bands", Uint16Array),
    reading: new Float32Array(units.length), place: placesInMillimetres(places, told),
    facing: Float32Array.from(normals, (part) => part / 127),
  };
  for (let i = 0; i < scan.count; ++i) scan.reading[i] = units[i] < -32000 ? NaN : units[i] * told.readingStep;
  return scan;
}

function asideWords(facts, scan, sample) {
  return facts.scan.asideWords[scan.units[sample] - facts.unseen];
}

// Codes go on where those of the cells end.
function dotGeometry(scan, facts, cells) {
  const n = scan.count;
  const reading = new Float32Array(n), limits = new Float32Array(2 * n), about = new Float32Array(2 * n);
  const code = new Uint8Array(3 * n);
  for (let i = 0; i < n; ++i) {
    const band = facts.bands[scan.band[i]], seen = !isNaN(scan.reading[i]);
    reading[i] = seen ? scan.reading[i] : 0;
    limits.set([band.over, band.under], 2 * i);
    about.set([scan.region[i], seen ? 1 : 0], 2 * i);
    setCode(code, i, cells + i + 1);
  }
  return geometryOf({ position: [scan.place, 3], facing: [scan.facing, 3], reading: [reading, 1], limits: [limits, 2], about: [about, 2], code: [code, 3] });
}

// Shares light, band and cut with the surface's paint.
function makeDots(scan, facts, cells, paint, cut) {
  const own = {
    across: { value: 4 }, isOnDesign: { value: 0 }, nearer: { value: 0 }, viewer: { value: new THREE.Vector3(0, 0, 1) },
    aside: { value: rgb(facts.scan.asideColour) },
  };
  const material = (fragmentShader, uniforms) =>
    new THREE.ShaderMaterial({ vertexShader: kDotVertex, fragmentShader, uniforms: Object.assign({}, uniforms, own, cut) });
  const dots = {
    own, paint: material(kDotFragment, paint.uniforms), code: material(kDotCodeFragment, {}),
    points: new THREE.Points(dotGeometry(scan, facts, cells)),
  };
  dots.points.material = dots.paint;
  dots.points.visible = false;
  return dots;
}

// So large that neighbours close up, at `pixels` pixels a CSS pixel.
function sizeDots(stage, pixels) {
  const { camera, canvas, facts, mode, shown } = stage, { own } = shown.dots;
  const aMillimetre = (camera.zoom * Math.max(1, canvas.clientHeight)) / (camera.top - camera.bottom);
  const wide = facts.scan.apart * aMillimetre * (mode === "both" ? kDotsApartOnDesign : kDotsApart);
  const dot = Math.min(kMostDot, Math.max(kLeastDot, wide));
  own.across.value = dot * pixels;
  own.isOnDesign.value = mode === "both" ? 1 : 0;
  own.nearer.value = dot / aMillimetre / (0.5 * (camera.far - camera.near));
  own.viewer.value.copy(towardsViewer(stage));
}

function showOn(stage, mode) {
  stage.mode = mode;
  stage.shown.mesh.visible = mode !== "scan";
  stage.shown.dots.points.visible = mode !== "design";
  for (const button of document.querySelectorAll("#show button")) {
    button.setAttribute("aria-pressed", String(button.dataset.show === mode));
  }
  redraw(stage);
}

function startShow(stage) {
  for (const button of document.querySelectorAll("#show button")) {
    button.addEventListener("click", () => showOn(stage, button.dataset.show));
  }
}
