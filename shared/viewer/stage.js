// The camera, drawing when something changed, and what lies under a pixel.

const kSpot = 65;  // pixels about the pointer that are drawn: a dot reaches to its middle from as far as half

function makeStage(facts, surface, scan) {
  const canvas = document.getElementById("picture");
  const renderer = new THREE.WebGLRenderer({ canvas, antialias: true, alpha: true, preserveDrawingBuffer: true });
  const shown = makeScene(surface, scan, facts);
  const low = new THREE.Vector3(...facts.low), high = new THREE.Vector3(...facts.high);
  const stage = {
    canvas, renderer, shown, surface, scan, facts, mode: "design",
    center: low.clone().add(high).multiplyScalar(0.5),
    radius: Math.max(1e-6, 0.5 * high.distanceTo(low)),
    camera: new THREE.OrthographicCamera(-1, 1, 1, -1, 0, 1),
    spot: new THREE.WebGLRenderTarget(kSpot, kSpot),
    beside: 90,  // pixels left and right of the part, for balloons
    listeners: [], waiting: false,
  };
  stage.camera.up.set(0, 0, 1);
  stage.controls = new THREE.OrbitControls(stage.camera, canvas);
  stage.controls.enableKeys = false;
  stage.controls.target.copy(stage.center);
  stage.controls.addEventListener("change", () => redraw(stage));
  new ResizeObserver(() => fitStage(stage)).observe(canvas.parentElement);
  const dark = matchMedia("(prefers-color-scheme: dark)");
  if (dark.addEventListener) dark.addEventListener("change", () => redraw(stage));
  window.addEventListener("beforeprint", () => shrinkForPaper(canvas.parentElement));
  window.addEventListener("afterprint", () => canvas.parentElement.removeAttribute("style"));
  fitStage(stage);
  lookFrom(stage, new THREE.Vector3(...facts.views[0].towards));
  return stage;
}

// As it stands on the screen, balloons and all, made to fit 17 by 9 cm: drawing anew would come too late.
function shrinkForPaper(box) {
  const width = box.offsetWidth, height = box.offsetHeight;
  const scale = Math.min(1, 642 / width, 340 / height);
  Object.assign(box.style, { width: width + "px", height: height + "px", transform: "scale(" + scale + ")",
    marginBottom: (scale - 1) * height + 8 + "px", marginRight: (scale - 1) * width + "px" });
}

function fitStage(stage) {
  const box = stage.canvas.parentElement;
  const width = Math.max(1, box.clientWidth), height = Math.max(1, box.clientHeight);
  const pixels = Math.min(2, window.devicePixelRatio || 1);
  stage.renderer.setPixelRatio(pixels);
  stage.renderer.setSize(width, height, false);
  stage.shown.paint.uniforms.pixels.value = pixels;
  const room = 1.08 * stage.radius, ratio = width / height;
  const wide = ratio > 1 ? room * ratio : room, tall = ratio > 1 ? room : room / ratio;
  Object.assign(stage.camera, { left: -wide, right: wide, top: tall, bottom: -tall, near: 0, far: 8 * stage.radius });
  stage.camera.updateProjectionMatrix();
  redraw(stage);
}

// Straight up or down has no way up: leaning a hair keeps Y upwards.
function lookFrom(stage, towards) {
  const way = towards.clone().normalize();
  if (Math.hypot(way.x, way.y) < 1e-3) way.set(0, -1e-3, Math.sign(way.z) || 1);
  stage.controls.target.copy(stage.center);
  stage.camera.position.copy(stage.center).addScaledVector(way.normalize(), 4 * stage.radius);
  stage.controls.update();
  stage.camera.updateMatrixWorld();
  stage.camera.zoom = zoomToFit(stage);
  stage.camera.updateProjectionMatrix();
  redraw(stage);
}

// So large that the part's box leaves room for balloons on either side.
function zoomToFit(stage) {
  const { low, high } = stage.facts, { camera, canvas } = stage;
  let across = 1e-9, tall = 1e-9;
  for (let i = 0; i < 8; ++i) {
    const corner = new THREE.Vector3(...[0, 1, 2].map((k) => ((i >> k) & 1 ? high[k] : low[k])));
    const seen = corner.applyMatrix4(camera.matrixWorldInverse);
    across = Math.max(across, Math.abs(seen.x));
    tall = Math.max(tall, Math.abs(seen.y));
  }
  const width = canvas.clientWidth, between = Math.max(0.5 * width, width - 2 * stage.beside);
  return Math.min((camera.right * between) / width / across, (0.92 * camera.top) / tall);
}

function turn(stage, sideways, upwards) {
  const offset = stage.camera.position.clone().sub(stage.controls.target);
  const length = offset.length();
  const polar = Math.min(3.13, Math.max(0.01, Math.acos(offset.z / length) - upwards));
  const around = Math.atan2(offset.y, offset.x) + sideways;
  offset.set(Math.sin(polar) * Math.cos(around), Math.sin(polar) * Math.sin(around), Math.cos(polar));
  stage.camera.position.copy(stage.controls.target).addScaledVector(offset, length);
  stage.controls.update();
  redraw(stage);
}

function zoom(stage, times) {
  stage.camera.zoom = Math.min(60, Math.max(0.3, stage.camera.zoom * times));
  stage.camera.updateProjectionMatrix();
  redraw(stage);
}

function redraw(stage) {
  if (stage.waiting) return;
  stage.waiting = true;
  requestAnimationFrame(() => draw(stage));
}

function draw(stage) {
  stage.waiting = false;
  const { camera, shown } = stage;
  camera.updateMatrixWorld();
  const up = new THREE.Vector3(0, 1, 0).transformDirection(camera.matrixWorld);
  const right = new THREE.Vector3(1, 0, 0).transformDirection(camera.matrixWorld);
  const light = new THREE.Vector3(0, 0, 1).transformDirection(camera.matrixWorld);
  shown.paint.uniforms.light.value.copy(light.addScaledVector(up, 0.55).addScaledVector(right, -0.35).normalize());
  const back = getComputedStyle(stage.canvas.parentElement).backgroundColor;
  shown.paint.uniforms.stage.value.copy(rgb(back));
  sizeDots(stage, stage.renderer.getPixelRatio());
  stage.renderer.render(shown.scene, camera);
  for (const listener of stage.listeners) listener();
}

// The cell or the scanned point (`sample`) under a place of the canvas in CSS pixels, of what is shown or, if
// told so, of the design alone; with where it is; or null.
function pick(stage, x, y, ofDesign) {
  const { shown, surface } = stage, { mesh } = shown, { points } = shown.dots;
  const width = stage.canvas.clientWidth, height = stage.canvas.clientHeight;
  const was = [mesh.visible, points.visible];
  if (ofDesign) [mesh.visible, points.visible] = [true, false];
  mesh.material = shown.code;
  points.material = shown.dots.code;
  shown.lines.visible = false;
  const code = codeAt(stage, Math.floor(x), Math.floor(y));
  mesh.material = shown.paint;
  points.material = shown.dots.paint;
  shown.lines.visible = true;
  [mesh.visible, points.visible] = was;
  if (code < 0 || code >= surface.count + stage.scan.count) return null;
  if (code >= surface.count) {
    const sample = code - surface.count;
    return { sample, point: new THREE.Vector3().fromArray(stage.scan.place, 3 * sample) };
  }
  return { cell: code, point: pointOnCell(stage, code, (Math.floor(x) + 0.5) / width, (Math.floor(y) + 0.5) / height) };
}

// What the scene's codes say at a pixel; -1 for nothing, or a back.
function codeAt(stage, x, y) {
  const { renderer, shown, camera, canvas } = stage, half = (kSpot - 1) / 2;
  sizeDots(stage, 1);
  camera.setViewOffset(canvas.clientWidth, canvas.clientHeight, x - half, y - half, kSpot, kSpot);
  renderer.setRenderTarget(stage.spot);
  const alpha = renderer.getClearAlpha();
  renderer.setClearAlpha(0);
  renderer.render(shown.scene, camera);
  const pixel = new Uint8Array(4);
  renderer.readRenderTargetPixels(stage.spot, half, half, 1, 1, pixel);
  renderer.setRenderTarget(null);
  renderer.setClearAlpha(alpha);
  camera.clearViewOffset();
  return pixel[3] === 0 ? -1 : (pixel[0] | (pixel[1] << 8) | (pixel[2] << 16)) - 1;
}

function pointOnCell(stage, cell, x, y) {
  const ray = new THREE.Raycaster();
  stage.camera.updateMatrixWorld();
  ray.setFromCamera(new THREE.Vector2(2 * x - 1, 1 - 2 * y), stage.camera);
  const normal = new THREE.Vector3().fromArray(stage.surface.normal, 3 * cell);
  const plane = new THREE.Plane().setFromNormalAndCoplanarPoint(normal, cornerPlace(stage.surface, cell, 0));
  return ray.ray.intersectPlane(plane, new THREE.Vector3()) || cornerPlace(stage.surface, cell, 0);
}

// From mm to CSS pixels of the canvas.
function onStage(stage, point) {
  const flat = point.clone().project(stage.camera);
  return { x: 0.5 * (flat.x + 1) * stage.canvas.clientWidth, y: 0.5 * (1 - flat.y) * stage.canvas.clientHeight };
}

function towardsViewer(stage) {
  return stage.camera.position.clone().sub(stage.controls.target).normalize();
}

// ---- the cut

function isCutAway(stage, point) {
  const { cut, isCut } = stage.shown.cut, plane = cut.value;
  return isCut.value > 0 && plane.x * point.x + plane.y * point.y + plane.z * point.z > plane.w;
}

function startCut(stage) {
  const axis = document.getElementById("cut-axis"), place = document.getElementById("cut-place");
  const other = document.getElementById("cut-other");
  const apply = () => {
    const k = "XYZ".indexOf(axis.value), on = axis.value !== "";
    place.disabled = other.disabled = !on;
    stage.shown.cut.isCut.value = on ? 1 : 0;
    if (on) {
      const { low, high } = stage.facts, sign = other.checked ? -1 : 1;
      const at = low[k] + (high[k] - low[k]) * (place.value / 1000);
      const normal = [0, 0, 0];
      normal[k] = sign;
      stage.shown.cut.cut.value.set(...normal, sign * at);
      place.setAttribute("aria-valuetext", axis.value + " " + lengthWords(stage.facts, at) + " mm");
    }
    redraw(stage);
  };
  for (const control of [axis, place, other]) control.addEventListener("input", apply);
}
