// The band that is shown: two sliders under the histogram. The verdict stays the plan's.

function startBand(stage) {
  const over = document.getElementById("band-over"), under = document.getElementById("band-under");
  const reset = document.getElementById("band-reset"), plan = stage.facts.bands[0];
  over.disabled = plan.over === 0;
  under.disabled = plan.under === 0;
  const apply = () => showBand(stage, Number(over.value), Number(under.value));
  over.addEventListener("input", apply);
  under.addEventListener("input", apply);
  reset.addEventListener("click", () => {
    over.value = under.value = 1;
    apply();
  });
  document.querySelector(".sliders").hidden = false;
}

// Factors on the plan's limits; a zone's band is stretched by the same.
function showBand(stage, over, under) {
  const { facts } = stage;
  stage.shown.paint.uniforms.factor.value.set(over, under);
  const drawn = facts.legend, band = { over: drawn.over * over, under: drawn.under * under };
  paintLegend(facts, band);
  const own = over === 1 && under === 1, told = document.getElementById("band-told");
  told.hidden = own;
  const shares = sharesInside(stage, over, under);
  document.getElementById("band-words").textContent = "Shown with a band of +" +
    lengthWords(facts, facts.bands[0].over * over) + " / \u2212" + lengthWords(facts, facts.bands[0].under * under) + " mm" + (facts.bands.length > 1 ? " (zones stretched alike)" : "") + ": " +
    shares.inside + " of what was seen lies inside, " + shares.proud + " proud, " + shares.shy +
    " shy. The verdict above is the plan's and does not change.";
  redraw(stage);
}

function sharesInside(stage, over, under) {
  const { surface, facts } = stage;
  let inside = 0, proud = 0, shy = 0;
  for (let c = 0; c < surface.count; ++c) {
    const reading = surface.reading[c], band = facts.bands[surface.band[c]];
    if (isNaN(reading)) continue;
    if (reading > band.over * over) proud += surface.area[c];
    else if (-reading > band.under * under) shy += surface.area[c];
    else inside += surface.area[c];
  }
  const all = inside + proud + shy;
  const words = (part) => (all > 0 ? ((100 * part) / all).toFixed(part > 0 && part < 0.095 * all ? 1 : 0) + " %" : "\u2013");
  return { inside: words(inside), proud: words(proud), shy: words(shy) };
}

function stepOf(facts, value, band) {
  const limit = value > 0 ? band.over : band.under;
  let step = 0;
  while (step < 3 && Math.abs(value) > limit * facts.stepStarts[step]) ++step;
  return value > 0 ? step : -step;
}

// Bars, strip and limits of the legend, moved and coloured for a band.
function paintLegend(facts, band) {
  const colour = (value) => facts.colours[3 + stepOf(facts, value, band)];
  const { low, high } = facts.legend;
  const across = (mm) => (1000 * (Math.min(high, Math.max(low, mm)) - low)) / (high - low);
  for (const bar of document.querySelectorAll("#bars rect")) bar.setAttribute("fill", colour(Number(bar.dataset.mm)));
  const borders = [low, ...[...facts.stepStarts].reverse().map((s) => -s * band.under),
    ...facts.stepStarts.map((s) => s * band.over), high];
  document.querySelectorAll("#strip rect").forEach((part, i) => {
    const from = across(borders[i]), to = across(borders[i + 1]);
    part.setAttribute("x", from);
    part.setAttribute("width", Math.max(0, to - from));
  });
  const limits = { over: band.over, under: -band.under };
  for (const side of Object.keys(limits)) {
    const line = document.getElementById("limit-" + side);
    line.setAttribute("x1", across(limits[side]));
    line.setAttribute("x2", across(limits[side]));
  }
}
