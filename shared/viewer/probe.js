// Reading a place, and measuring between two.

function lengthWords(facts, value, signed) {
  const words = Math.abs(value).toFixed(facts.decimals);
  if (Number(words) === 0) return words;
  return (value < 0 ? "\u2212" : signed ? "+" : "") + words;
}

function pointWords(point) {
  const one = (v) => (v <= -0.05 ? "\u2212" : "") + Math.abs(v).toFixed(1);
  return "X " + one(point.x) + ", Y " + one(point.y) + ", Z " + one(point.z);
}

function regionOf(stage, hit) {
  return "sample" in hit ? stage.scan.region[hit.sample] : stage.surface.region[hit.cell];
}

// A cell's reading is the median of the scan around it, a scanned point's its own.
function readingWords(stage, hit) {
  const { surface, scan, facts } = stage, isSample = "sample" in hit;
  const reading = isSample ? scan.reading[hit.sample] : surface.reading[hit.cell];
  const band = facts.bands[isSample ? scan.band[hit.sample] : surface.band[hit.cell]];
  const what = isSample ? "scanned point " : "", place = " at " + pointWords(hit.point);
  if (isNaN(reading)) return (isSample ? what + asideWords(facts, scan, hit.sample) + "," : "not seen by the scan") + place;
  const side = reading > 0 ? " mm proud" : reading < 0 ? " mm shy" : " mm", region = regionOf(stage, hit);
  return what + lengthWords(facts, reading, true) + side + place + "; allowed " + band.words +
    (band.name ? " in " + band.name : "") + (region ? ", region " + region : "");
}

// Where the scanned surface stands: the scanned point itself, or off the design by the cell's reading, along its normal.
function scannedPoint(stage, hit) {
  if ("sample" in hit) return hit.point;
  const reading = stage.surface.reading[hit.cell];
  if (isNaN(reading)) return null;
  const normal = new THREE.Vector3().fromArray(stage.surface.normal, 3 * hit.cell);
  return hit.point.clone().addScaledVector(normal, reading);
}

// As designed only where both ends lie on the design.
function distanceWords(stage, from, to) {
  const length = (v) => lengthWords(stage.facts, v);
  const parts = (off) => length(off.length()) + " mm%s (X " + length(off.x) + ", Y " + length(off.y) + ", Z " + length(off.z) + ")";
  const a = scannedPoint(stage, from), b = scannedPoint(stage, to);
  if ("sample" in from || "sample" in to) {
    const words = a && b ? parts(b.clone().sub(a)).replace("%s", " as scanned") : "one end was not seen by the scan";
    return "Between the two points: " + words + ".";
  }
  const scanned = a && b ? length(a.distanceTo(b)) + " mm as scanned" : "one end was not seen by the scan";
  return "Between the two points: " + parts(to.point.clone().sub(from.point)).replace("%s", " as designed") + "; " + scanned + ".";
}

function startProbe(stage, findings) {
  const reading = document.getElementById("reading"), held = document.getElementById("held");
  const measure = document.getElementById("measure"), idle = reading.textContent;
  const probe = { held: null, ends: [], measuring: false };
  reading.hidden = false;
  const hold = (hit) => {
    if (probe.measuring && hit) {
      probe.ends = probe.ends.length === 1 ? [probe.ends[0], hit] : [hit];
      held.textContent = probe.ends.length === 2 ? distanceWords(stage, ...probe.ends) : "Now the second point.";
      redraw(stage);
      return;
    }
    probe.held = hit;
    held.textContent = hit ? "Held: " + readingWords(stage, hit) + "." : "";
    findings.choose(hit && regionOf(stage, hit) ? "region-" + regionOf(stage, hit) : "", false);
    redraw(stage);
  };
  measure.addEventListener("click", () => {
    probe.measuring = !probe.measuring;
    probe.ends = [];
    measure.setAttribute("aria-pressed", String(probe.measuring));
    held.textContent = probe.measuring ? "Click two points of the part." : "";
    redraw(stage);
  });
  followPointer(stage, reading, idle, hold);
  followKeys(stage, hold, () => findings.choose("", false));
  stage.listeners.push(() => drawMarks(stage, probe));
  return probe;
}

function followPointer(stage, reading, idle, hold) {
  const { canvas } = stage;
  let down = null, latest = null, waiting = false;
  const inCanvas = (event) => {
    const box = canvas.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };
  canvas.addEventListener("pointermove", (event) => {
    latest = inCanvas(event);
    if (waiting || event.buttons) return;
    waiting = true;
    requestAnimationFrame(() => {
      waiting = false;
      const hit = pick(stage, latest.x, latest.y);
      reading.textContent = hit ? readingWords(stage, hit) : idle;
    });
  });
  canvas.addEventListener("pointerdown", (event) => { down = inCanvas(event); });
  canvas.addEventListener("pointerup", (event) => {
    const at = inCanvas(event);
    if (down && Math.hypot(at.x - down.x, at.y - down.y) < 5) hold(pick(stage, at.x, at.y));
    down = null;
  });
}

function followKeys(stage, hold, letGo) {
  const step = Math.PI / 18;
  const keys = {
    ArrowLeft: () => turn(stage, step, 0), ArrowRight: () => turn(stage, -step, 0),
    ArrowUp: () => turn(stage, 0, step), ArrowDown: () => turn(stage, 0, -step),
    "+": () => zoom(stage, 1.2), "=": () => zoom(stage, 1.2), "-": () => zoom(stage, 1 / 1.2),
    Enter: () => hold(pick(stage, 0.5 * stage.canvas.clientWidth, 0.5 * stage.canvas.clientHeight)),
    Escape: () => { hold(null); letGo(); },
  };
  stage.canvas.addEventListener("keydown", (event) => {
    if (!keys[event.key] || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    keys[event.key]();
  });
}

function svgElement(name, attributes) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const key of Object.keys(attributes)) element.setAttribute(key, attributes[key]);
  return element;
}

// The held place as a small ring, the measured distance as a dashed line.
function drawMarks(stage, probe) {
  const svg = document.getElementById("leaders");
  for (const old of svg.querySelectorAll(".held-mark, .ruler")) old.remove();
  for (const hit of [probe.held, ...probe.ends]) {
    if (!hit) continue;
    const at = onStage(stage, hit.point);
    svg.append(svgElement("circle", { class: "held-mark", cx: at.x, cy: at.y, r: 5 }));
  }
  if (probe.ends.length === 2) {
    const [a, b] = probe.ends.map((hit) => onStage(stage, hit.point));
    svg.append(svgElement("line", { class: "ruler", x1: a.x, y1: a.y, x2: b.x, y2: b.y }));
  }
}
