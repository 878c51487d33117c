// Starts the picture. Whatever is missing for it, the rest of the page stands.

function startViews(stage) {
  const group = document.getElementById("views");
  for (const view of stage.facts.views) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = view.title;
    button.addEventListener("click", () => lookFrom(stage, new THREE.Vector3(...view.towards)));
    group.append(button);
  }
}

function hasWebGl() {
  try {
    return Boolean(document.createElement("canvas").getContext("webgl"));
  } catch (error) {
    return false;
  }
}

function start() {
  if (!hasWebGl()) return;
  const facts = readFacts();
  const canvas = document.getElementById("picture");
  canvas.hidden = false;
  const stage = makeStage(facts, readSurface(facts), readScan(facts));
  const findings = startFindings(stage);
  startProbe(stage, findings);
  startCut(stage);
  startBand(stage);
  startShow(stage);
  startViews(stage);
  document.getElementById("still").remove();
  document.getElementById("no-3d").remove();
  document.body.classList.add("has-3d");
  draw(stage);
  // For a console and for tests: what is read where.
  window.trammel = {
    ready: true,
    cells: stage.surface.count,
    reading: (cell) => stage.surface.reading[cell],
    samples: stage.scan.count,
    sample: (i) => ({ reading: stage.scan.reading[i], place: Array.from(stage.scan.place.slice(3 * i, 3 * i + 3)) }),
    pick: (x, y) => pick(stage, x, y),
    place: (mm) => onStage(stage, new THREE.Vector3(...mm)),
    look: (towards) => lookFrom(stage, new THREE.Vector3(...towards)),
    chosen: () => findings.chosen,
    finding: (mark) => facts.findings.find((finding) => finding.mark === mark),
  };
}

start();
