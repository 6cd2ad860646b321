const chosen = {wear: 0, height: 0, diameter: 2, tool: 0, held: 0, corrected: 0, at: 0};
const el = id => document.getElementById(id);
const last = page.Positions.length - 1;
el("at").max = last;

// What is chosen stands in the tables at this place.
function place() {
  let i = chosen.wear;
  for (const [key, list] of [["height", page.Heights], ["diameter", page.Diameters], ["tool", page.Tools], ["held", page.Held]]) i = i * list.length + chosen[key];
  return i;
}
const errors = () => page.Errors[2 * place() + chosen.corrected];
// The curves that are drawn on one scale: of all wears, before and after correction.
const likes = () => page.Wears.flatMap((_, wear) => { const at = 2 * (place() + (wear - chosen.wear) * page.Moves.length / page.Wears.length); return [page.Errors[at], page.Errors[at + 1]]; });
const small = v => { const s = (v * page.SmallPerTenth).toFixed(page.Decimals); return Number(s) === 0 ? s.replace("-", "") : s; };
const told = v => small(v) + " " + page.Small;
const where = i => String(Math.round(page.Positions[i] * 1000) / 1000) + " " + page.Unit;

function draw(svg, parts) {
  const ns = "http://www.w3.org/2000/svg";
  svg.replaceChildren(...parts.filter(p => p).map(([name, attributes, text]) => {
    const n = document.createElementNS(ns, name);
    for (const k in attributes) n.setAttribute(k, attributes[k]);
    if (text !== undefined) n.textContent = text;
    return n;
  }));
}
const words = (x, y, text, more) => ["text", Object.assign({x, y, "font-size": 15, fill: "#111"}, more), text];
const line = (points, colour, dash, width) => ["polyline", {points: points.map(p => p.map(v => v.toFixed(1)).join(",")).join(" "), fill: "none", stroke: colour, "stroke-width": width || 3, "stroke-dasharray": dash || ""}];
const most = lists => Math.max(1, ...lists.flat().map(Math.abs));
// An exaggeration is told as a round number.
const round = v => { const d = 10 ** Math.floor(Math.log10(v)); return Math.max(1, Math.round(v / d) * d); };

function front(ways, steps) {
  const x = i => 150 + 630 * i / last, deep = 90 / most(page.Ways.flatMap(w => [w.Front, w.Rear])), top = 175;
  const curve = list => list.map((v, i) => [x(i), top + v * deep]);
  const length = (page.Positions[last] - page.Positions[0]) * (page.Unit === "in" ? 25.4 : 1);
  const times = round(deep * 1e4 / (630 / length));
  // The saddle bridges what lies between its two ends, and the tool stands beside its middle.
  const i = chosen.at, perLength = 630 / (page.Positions[last] - page.Positions[0]), long = Math.max(40, page.Bearing * perLength);
  const left = x(i) - page.Beside * perLength - long / 2, rides = steps.Ends.map(e => top + e[i] * deep), tilt = rides[1] - rides[0];
  draw(el("front"), [
    ["rect", {x: 0, y: 60, width: 110, height: 190, fill: "#ccd3da", stroke: "#333"}], words(12, 82, "headstock"),
    ["rect", {x: 110, y: 95, width: 18, height: 40, fill: "#99a", stroke: "#333"}],
    ["line", {x1: 130, y1: top, x2: 795, y2: top, stroke: "#777", "stroke-width": 1}],
    line(curve(ways.Front), "#111"), line(curve(ways.Rear), "#0063a0", "10 6"),
    ["path", {d: `M${left} ${rides[0]} v-20 l${long} ${tilt} v20 l-8 ${-8 * tilt / long} v-8 l${16 - long} ${(16 - long) * tilt / long} v8 z`, fill: "#fff", "fill-opacity": .85, stroke: "#b34700", "stroke-width": 3, "stroke-linejoin": "round", style: "cursor:grab"}],
    ["path", {d: `M${x(i)} ${112 + steps.Down[chosen.diameter][i] * deep} l-7 18 h14 z`, fill: "#b34700"}],
    ["line", {x1: 128, y1: 112, x2: 780, y2: 112, stroke: "#555", "stroke-width": 2, "stroke-dasharray": "3 5"}],
    words(150, 290, "— front way"), words(300, 290, "– – rear way", {fill: "#0063a0"}), words(640, 30, "tailstock →"),
  ]);
  el("front-words").textContent = `The bed from the front, the saddle as it bears on the front way, the tool’s tip as a triangle under the work’s axis. What has sunk is drawn ${times} times as large as the bed. Front way down ${told(ways.Front[i])}, rear way down ${told(ways.Rear[i])}, shift ${told(ways.Shift[i])} toward the operator at ${where(i)}.`;
}

function end(ways, steps) {
  const i = chosen.at, wide = 200 / page.Span, unit = page.Unit === "in" ? 25.4 : 1;
  // All wears on one scale: the greatest roll is 12 degrees, the greatest drop or shift 45 dots, whichever comes first.
  const every = page.Ways.flatMap(w => w.Steps), perDrop = 1e-4 / unit * wide;
  const scale = Math.min(12 * Math.PI / 180 / (most(every.map(s => s.Roll)) * 1e-7), 45 / (most(every.flatMap(s => [s.Front, s.Shift])) * perDrop));
  const roll = steps.Roll[i] * 1e-7 * scale, degrees = roll * 180 / Math.PI, down = steps.Front[i] * perDrop * scale, aside = steps.Shift[i] * perDrop * scale;
  // Seen from the tailstock with the operator at the left: toward the operator is to the left.
  const turn = `translate(${-aside} ${down}) rotate(${-degrees} 50 213)`;
  const way = (x, sunk) => ["rect", {x, y: 213 + sunk, width: 24, height: 67 - sunk, fill: "#ccd3da", stroke: "#333"}];
  draw(el("end"), [
    way(38, down), way(238, down - 200 * Math.sin(roll)), ["line", {x1: 20, y1: 213, x2: 280, y2: 213, stroke: "#555", "stroke-width": 1, "stroke-dasharray": "4 4"}],
    ["rect", {x: 30, y: 195, width: 240, height: 18, fill: "#fff", stroke: "#b34700", "stroke-width": 3, transform: turn}],
    ["path", {d: page.Post > 0 ? "M86 195 V92 L132 82 L132 88 L104 98 V195 z" : "M214 195 V92 L168 82 L168 88 L196 98 V195 z", fill: "#f3d9c8", stroke: "#b34700", "stroke-width": 2, transform: turn}],
    ["circle", {cx: 150, cy: 84, r: 18, fill: "#dde", stroke: "#333"}], ["circle", {cx: 150, cy: 84, r: 2}],
    words(8, 292, "operator"), words(225, 292, "rear"),
  ]);
  el("end-words").textContent = `The saddle from the tailstock's end, its motion drawn ${round(scale)} times as large; dashed: where it rode when new. Here it has rolled by ${(steps.Roll[i] * 1e-4).toFixed(4)} mrad, the tool ${told(steps.Out[i])} out.`;
}

function part(all) {
  const x = i => 20 + 1060 * i / last, big = 30 / most(likes()), i = chosen.at, edge = s => all.map((v, k) => [x(k), 95 + s * (35 + v * big)]);
  draw(el("part"), [
    ["polygon", {points: edge(-1).concat(edge(1).reverse()).map(p => p.map(v => v.toFixed(1)).join(",")).join(" "), fill: "#dfe6ee", stroke: "#111", "stroke-width": 2}],
    line([[20, 60], [1080, 60]], "#777", "4 5", 1), line([[20, 130], [1080, 130]], "#777", "4 5", 1), line([[10, 95], [1090, 95]], "#777", "14 4 3 4", 1),
    line([[x(i), 5], [x(i), 185]], "#b34700", "", 3),
  ]);
  const times = round(big * 1e4 * page.Thick[chosen.diameter] / 35), least = Math.min(...all), greatest = Math.max(...all);
  el("part-words").textContent = `The part as it comes out, its errors drawn ${times} times as large as the part is thick; dashed: as it should be. Spread at these positions ${told(greatest - least)}, biggest at ${where(all.indexOf(greatest))}, smallest at ${where(all.indexOf(least))}.`;
}

function show() {
  const ways = page.Ways[chosen.wear], steps = ways.Steps[chosen.height], all = errors(), i = chosen.at, moves = page.Moves[place()];
  el("what").textContent = `Wear: ${page.Wears[chosen.wear].What}. ` + (moves < 0 ? "The dial of this lathe is not known, or cannot hold what is due: nothing can be dialled." : chosen.corrected ? `With ${moves} settings of the dial along the way.` : "");
  front(ways, steps); end(ways, steps); part(all);
  el("at").value = i;
  el("at").setAttribute("aria-valuetext", where(i));
  const e = all[i], way = Number(small(e)) === 0 ? "as where it was set" : e > 0 ? told(e) + " bigger" : told(-e) + " smaller";
  el("told").textContent = `At ${where(i)} the diameter is ${way}.`;
  const rows = [["position", where(i)], ["front way sunk under the saddle, at the tool", told(steps.Front[i])], ["saddle shifted toward the operator", told(steps.Shift[i])], ["saddle rolled", (steps.Roll[i] * 1e-4).toFixed(4) + " mrad"],
    ["tool out", told(steps.Out[i])], ["tool down", told(steps.Down[chosen.diameter][i])], ["diameter error", told(e)]];
  el("numbers").replaceChildren(...rows.map(([name, value]) => {
    const tr = document.createElement("tr"), th = document.createElement("th"), td = document.createElement("td");
    th.scope = "row"; th.textContent = name; td.textContent = value; td.dataset.name = name;
    tr.append(th, td);
    return tr;
  }));
}

for (const key of ["wear", "height", "diameter", "tool", "held", "corrected"]) el(key).addEventListener("change", () => { chosen[key] = Number(el(key).value); show(); });
el("at").addEventListener("input", () => { chosen.at = Number(el("at").value); show(); });

// The carriage is dragged by mouse or finger.
let dragging = false;
const reach = event => {
  const box = el("front").getBoundingClientRect();
  const share = ((event.clientX - box.left) / box.width * 800 - 150) / 630;
  chosen.at = Math.max(0, Math.min(last, Math.round(share * last)));
  show();
};
el("front").addEventListener("pointerdown", event => { dragging = true; el("front").setPointerCapture(event.pointerId); reach(event); });
el("front").addEventListener("pointermove", event => { if (dragging) reach(event); });
for (const name of ["pointerup", "pointercancel"]) el("front").addEventListener(name, () => { dragging = false; });

// Playing steps along the bed; those who want less motion get one step at a time.
let timer = 0;
el("play").addEventListener("click", () => {
  if (timer) {
    clearInterval(timer); timer = 0;
  } else if (matchMedia("(prefers-reduced-motion: reduce)").matches) {
    chosen.at = chosen.at === last ? 0 : chosen.at + 1; show();
    return;
  } else {
    timer = setInterval(() => { chosen.at = chosen.at === last ? 0 : chosen.at + 1; show(); }, 150);
  }
  // Nobody can listen to seven positions in a second.
  el("told").setAttribute("aria-live", timer ? "off" : "polite");
  el("play").textContent = timer ? "Stop" : "Play";
  el("play").setAttribute("aria-pressed", timer ? "true" : "false");
});

// On paper nothing can be unfolded.
addEventListener("beforeprint", () => { for (const d of document.querySelectorAll("details")) d.open = true; });
show();
