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
    button.textContent = finding.label;
    button.title = finding.title;
    button.dataset.mark = finding.mark;
    layer.append(button);
    const center = new THREE.Vector3(...finding.center);
    return { finding, button, center, place: center, normal: new THREE.Vector3(...finding.normal) };
  });
}

// Balloons stand in a column on either side of the part, in the order of the places they name, so that
// none covers another and leaders hardly cross. A place that the part itself hides has none (sight.js).
function placeBalloons(stage, balloons) {
  const svg = document.getElementById("leaders"), width = stage.canvas.clientWidth, height = stage.canvas.clientHeight;
  for (const old of svg.querySelectorAll(".leader, .leader-end")) old.remove();
  const viewer = towardsViewer(stage), sides = [[], []];
  for (const balloon of balloons) {
    const faces = balloon.normal.dot(viewer);
    const seen = balloon.place !== null && !isCutAway(stage, balloon.place) &&
      (balloon.finding.region ? faces > 0.05 : Math.abs(faces) > 0.15);
    balloon.button.hidden = !seen;
    balloon.button.style.display = seen ? "" : "none";
    if (!seen) continue;
    balloon.at = onStage(stage, balloon.place);
    sides[balloon.at.x < 0.5 * width ? 0 : 1].push(balloon);
  }
  sides.forEach((side, index) => {
    side.sort((a, b) => a.at.y - b.at.y);
    const gap = Math.min(32, (height - 40) / Math.max(1, side.length));
    let least = 20;
    side.forEach((balloon, i) => {
      const most = height - 20 - gap * (side.length - 1 - i);
      const y = Math.max(least, Math.min(most, balloon.at.y)), half = 0.5 * balloon.button.offsetWidth;
      least = y + gap;
      const x = index === 0 ? 8 + half : width - 8 - half;
      balloon.button.style.left = x + "px";
      balloon.button.style.top = y + "px";
      const start = index === 0 ? x + half : x - half;
      svg.append(svgElement("line", { class: "leader", x1: start, y1: y, x2: balloon.at.x, y2: balloon.at.y }));
      svg.append(svgElement("circle", { class: "leader-end", cx: balloon.at.x, cy: balloon.at.y, r: 2.5 }));
    });
  });
}
