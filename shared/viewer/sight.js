// Which places of the part can be seen in the present view: the surface is drawn once more as depth, and
// a place that lies deeper than what was drawn there is hidden.

const kMostDepthPixels = 800;  // across: enough to tell a wall from its neighbour
const kSightSlack = 0.01;      // of the part's radius: a place may lie a little inside the surface

const kDepthFragment = kCutFragment + `
void main() {
  dropCut();
  vec3 digits = fract(gl_FragCoord.z * vec3(1.0, 255.0, 65025.0));
  gl_FragColor = vec4(digits - digits.yzz * vec3(1.0 / 255.0, 1.0 / 255.0, 0.0), 1.0);
}`;

function makeSight(stage) {
  const cut = stage.shown.cut;
  return {
    stage, target: new THREE.WebGLRenderTarget(1, 1), width: 0, height: 0, bytes: new Uint8Array(4),
    material: new THREE.ShaderMaterial({ vertexShader: kLineVertex, fragmentShader: kDepthFragment,
      side: THREE.DoubleSide, uniforms: Object.assign({}, cut) }),
  };
}

// Draws the depth of the view as it is now.
function takeDepth(sight) {
  const { renderer, shown, camera, canvas } = sight.stage;
  const scale = Math.min(1, kMostDepthPixels / Math.max(1, canvas.clientWidth));
  sight.width = Math.max(1, Math.round(scale * canvas.clientWidth));
  sight.height = Math.max(1, Math.round(scale * canvas.clientHeight));
  if (sight.bytes.length !== 4 * sight.width * sight.height) sight.bytes = new Uint8Array(4 * sight.width * sight.height);
  sight.target.setSize(sight.width, sight.height);
  const alpha = renderer.getClearAlpha();
  const dots = shown.dots.points, was = [shown.mesh.visible, dots.visible];
  [shown.mesh.visible, dots.visible] = [true, false];  // the part hides what lies behind it, also where points are shown
  shown.mesh.material = sight.material;
  shown.lines.visible = false;
  renderer.setRenderTarget(sight.target);
  renderer.setClearAlpha(0);
  renderer.render(shown.scene, camera);
  renderer.readRenderTargetPixels(sight.target, 0, 0, sight.width, sight.height, sight.bytes);
  renderer.setRenderTarget(null);
  renderer.setClearAlpha(alpha);
  shown.mesh.material = shown.paint;
  shown.lines.visible = true;
  [shown.mesh.visible, dots.visible] = was;
}

// The deepest of the pixels about a place, 0 to 1: at a rim the free side counts.
function depthAbout(sight, x, y) {
  let deepest = 0;
  for (let i = x - 1; i <= x + 1; ++i) {
    for (let j = y - 1; j <= y + 1; ++j) {
      if (i < 0 || j < 0 || i >= sight.width || j >= sight.height) continue;
      const at = 4 * (j * sight.width + i), bytes = sight.bytes;
      if (bytes[at + 3] === 0) return 1;
      deepest = Math.max(deepest, bytes[at] / 255 + bytes[at + 1] / 65025 + bytes[at + 2] / 16581375);
    }
  }
  return deepest;
}

// After takeDepth. A place beyond the border of the picture is not seen.
function isInSight(sight, point) {
  const { camera, radius } = sight.stage;
  if (isCutAway(sight.stage, point)) return false;
  const flat = point.clone().project(camera);
  if (Math.abs(flat.x) > 1 || Math.abs(flat.y) > 1) return false;
  const x = Math.floor(0.5 * (flat.x + 1) * sight.width), y = Math.floor(0.5 * (flat.y + 1) * sight.height);
  return 0.5 * (flat.z + 1) <= depthAbout(sight, x, y) + (kSightSlack * radius) / (camera.far - camera.near);
}

// ---- where a balloon's leader may end

const kMostSamples = 24, kRimSamples = 12;
const kStillFor = 100;  // ms without a redraw: while the part turns, balloons stay as they are

// Of each region's cells some that are spread over it.
function regionSamples(surface) {
  const cells = new Map();
  for (let c = 0; c < surface.count; ++c) {
    const region = surface.region[c];
    if (!region) continue;
    if (!cells.has(region)) cells.set(region, []);
    cells.get(region).push(c);
  }
  for (const [region, all] of cells) {
    const stride = Math.max(1, Math.floor(all.length / kMostSamples));
    cells.set(region, all.filter((cell, i) => i % stride === 0).map((cell) => ({
      point: [0, 1, 2].reduce((sum, k) => sum.add(cornerPlace(surface, cell, k)), new THREE.Vector3()).divideScalar(3),
      normal: new THREE.Vector3().fromArray(surface.normal, 3 * cell),
    })));
  }
  return cells;
}

// The middle of the region if it is seen, else what is seen of the region nearest to it, or null.
function regionInSight(sight, balloon, samples) {
  if (isInSight(sight, balloon.center)) return balloon.center;
  const viewer = towardsViewer(sight.stage);
  let nearest = null, least = Infinity;
  for (const { point, normal } of samples) {
    const far = point.distanceTo(balloon.center);
    if (far >= least || normal.dot(viewer) <= 0.05 || !isInSight(sight, point)) continue;
    nearest = point;
    least = far;
  }
  return nearest;
}

// The middle of the opening on the viewer's side if it is seen, else what is seen of its rim, or null.
function openingInSight(sight, balloon) {
  const { rims, radius, straight } = balloon.finding;
  const center = new THREE.Vector3(...rims[balloon.normal.dot(towardsViewer(sight.stage)) < 0 ? 1 : 0]);
  const rim = ringPlaces(center, balloon.normal, radius, new THREE.Vector3(...straight));
  balloon.rim = rim;
  for (let i = 0; i < kRimSamples; ++i) {
    const at = 3 * Math.floor((i * rim.length) / 3 / kRimSamples), place = new THREE.Vector3(rim[at], rim[at + 1], rim[at + 2]);
    if (isInSight(sight, place)) return isInSight(sight, center) ? center : place;
  }
  return null;
}

// Gives each balloon its place in sight, or null, at first and whenever the picture has come to rest.
function watchSight(stage, balloons, whenSeen) {
  const sight = makeSight(stage), samples = regionSamples(stage.surface);
  let timer = 0;
  const look = () => {
    takeDepth(sight);
    for (const balloon of balloons) {
      balloon.place = balloon.finding.region
        ? regionInSight(sight, balloon, samples.get(balloon.finding.region) || [])
        : openingInSight(sight, balloon);
    }
    whenSeen();
  };
  look();
  stage.listeners.push(() => {
    clearTimeout(timer);
    timer = setTimeout(look, kStillFor);
  });
}
