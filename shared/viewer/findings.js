// Regions, holes and slots, linked between words, tables and picture.

const kMostBalloons = 12;

function startFindings(stage) {
  const findings = { chosen: "", choose: null };
  const byMark = new Map(stage.facts.findings.map((finding) => [finding.mark, finding]));
  findings.choose = (mark, move) => {
    findings.chosen = mark;
    for (const element of document.querySelectorAll("[data-mark]")) {
      element.classList.toggle("chosen", mark !== "" && element.dataset.mark === mark);
    }
    const finding = byMark.get(mark);
    stage.shown.paint.uniforms.chosen.value = finding ? finding.region : 0;
    if (finding && move) {
      document.getElementById("held").textContent = finding.label + ": " + finding.title + " " + finding.detail;
      turnTo(stage, finding);
    }
    redraw(stage);
  };
  document.addEventListener("click", (event) => {
    const element = event.target.closest("[data-mark]");
    if (!element) return;
    findings.choose(element.dataset.mark, true);
    if (!element.closest(".stage")) stage.canvas.scrollIntoView({ block: "nearest" });
  });
  const balloons = makeBalloons(stage);
  stage.beside = roomForBalloons(balloons);
  lookFrom(stage, towardsViewer(stage));
  stage.listeners.push(() => placeBalloons(stage, balloons));
  watchSight(stage, balloons, () => placeBalloons(stage, balloons));
  return findings;
}

// The first of many ways to look from which the place is seen, those it faces most first.
function turnTo(stage, finding) {
  const center = new THREE.Vector3(...finding.center), normal = new THREE.Vector3(...finding.normal);
  const first = new THREE.Vector3(...stage.facts.views[0].towards);
  if (finding.flaw) {
    lookFrom(stage, normal.addScaledVector(first, normal.lengthSq() > 0 ? 0.6 : 1));
    return;
  }
  if (!finding.region) {
    const way = normal.clone().multiplyScalar(normal.dot(first) < 0 ? -1 : 1);
    lookFrom(stage, way.addScaledVector(first, 0.6));
    return;
  }
  const ways = [normal.clone().addScaledVector(first, 0.6)];
  for (const x of [-1, 0, 1]) for (const y of [-1, 0, 1]) for (const z of [-1, 0, 1]) {
    const way = new THREE.Vector3(x, y, z).normalize();
    if (way.dot(normal) > 0.2) ways.push(way);
  }
  ways.sort((a, b) => score(b, normal, first) - score(a, normal, first));
  for (const way of ways) {
    lookFrom(stage, way);
    stage.camera.updateMatrixWorld();
    const at = onStage(stage, center), hit = pick(stage, at.x, at.y, true);
    if (hit && stage.surface.region[hit.cell] === finding.region) return;
  }
  lookFrom(stage, ways[0]);
}

function score(way, normal, first) {
  return way.clone().normalize().dot(normal.clone().addScaledVector(first, 0.3));
}

function makeBalloons(stage) {
  const layer = document.getElementById("balloons");
  return stage.facts.findings.filter((finding) => !finding.flaw).slice(0, kMostBalloons).map((finding) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "balloon " + finding.tone;
    button.textContent = finding.balloon;
    button.title = finding.title;
    button.dataset.mark = finding.mark;
    layer.append(button);
    const center = new THREE.Vector3(...finding.center);
    return { finding, button, center, place: center, normal: new THREE.Vector3(...finding.normal) };
  });
}

// How far from the border of the picture the part keeps, so that it stands between the columns of balloons.
function roomForBalloons(balloons) {
  return 8 + 12 + balloons.reduce((most, balloon) => Math.max(most, balloon.button.offsetWidth), 26);
}

// What no balloon may cover: the places that are pointed at, and the rims of holes and slots.
function placesPointedAt(stage, seen) {
  const spots = [];
  for (const { at, rim = [] } of seen) {
    spots.push(at);
    for (let i = 0; i < rim.length; i += 36) spots.push(onStage(stage, new THREE.Vector3(rim[i], rim[i + 1], rim[i + 2])));
  }
  return spots;
}

const kBalloonHalf = 13;  // half a balloon's height, in pixels

function covers(balloon, y, spots) {
  const half = 0.5 * balloon.button.offsetWidth + 2;
  return spots.some((spot) => Math.abs(spot.x - balloon.x) < half && Math.abs(spot.y - y) < kBalloonHalf + 2);
}

// The height nearest to the one it has at which it covers nothing, of those that its column leaves, or null.
function freeHeight(balloon, side, spots, height) {
  if (!covers(balloon, balloon.y, spots)) return balloon.y;
  const isFree = (y) => y >= 20 && y <= height - 20 && !covers(balloon, y, spots) &&
    side.every((other) => other === balloon || other.y === null || Math.abs(other.y - y) >= 2 * kBalloonHalf + 2);
  for (let off = 4; off < height; off += 4) {
    for (const y of [balloon.y - off, balloon.y + off]) if (isFree(y)) return y;
  }
  return null;
}

function showBalloon(balloon, isShown) {
  balloon.button.hidden = !isShown;
  balloon.button.style.display = isShown ? "" : "none";
}

// Balloons stand in a column on either side of the part, in the order of the places they name, so that
// none covers another and leaders hardly cross. A place that the part itself hides has none (sight.js), and
// where the part is drawn so large that a balloon would cover what one points at, it moves or goes.
function placeBalloons(stage, balloons) {
  const svg = document.getElementById("leaders"), width = stage.canvas.clientWidth, height = stage.canvas.clientHeight;
  for (const old of svg.querySelectorAll(".leader, .leader-end")) old.remove();
  const viewer = towardsViewer(stage), sides = [[], []];
  for (const balloon of balloons) {
    const faces = balloon.normal.dot(viewer);
    const seen = balloon.place !== null && !isCutAway(stage, balloon.place) &&
      (balloon.finding.region ? faces > 0.05 : Math.abs(faces) > 0.15);
    showBalloon(balloon, seen);
    if (!seen) continue;
    balloon.at = onStage(stage, balloon.place);
    sides[balloon.at.x < 0.5 * width ? 0 : 1].push(balloon);
  }
  const spots = placesPointedAt(stage, sides[0].concat(sides[1]));
  sides.forEach((side, index) => {
    side.sort((a, b) => a.at.y - b.at.y);
    const gap = Math.min(32, (height - 40) / Math.max(1, side.length));
    let least = 20;
    side.forEach((balloon, i) => {
      const most = height - 20 - gap * (side.length - 1 - i), half = 0.5 * balloon.button.offsetWidth;
      balloon.y = Math.max(least, Math.min(most, balloon.at.y));
      balloon.x = index === 0 ? 8 + half : width - 8 - half;
      least = balloon.y + gap;
    });
    for (const balloon of side) {
      balloon.y = freeHeight(balloon, side, spots, height);
      if (balloon.y === null) showBalloon(balloon, false);
      else drawBalloon(svg, balloon, index === 0 ? 1 : -1);
    }
  });
}

function drawBalloon(svg, { button, x, y, at }, towardsPart) {
  const start = x + 0.5 * towardsPart * button.offsetWidth;
  button.style.left = x + "px";
  button.style.top = y + "px";
  svg.append(svgElement("line", { class: "leader", x1: start, y1: y, x2: at.x, y2: at.y }));
  svg.append(svgElement("circle", { class: "leader-end", cx: at.x, cy: at.y, r: 2.5 }));
}
