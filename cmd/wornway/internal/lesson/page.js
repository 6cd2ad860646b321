// The page: what is chosen, and what is said of it.
const keys = ["wear", "height", "diameter", "tool", "held", "dial"];
const usual = {wear: 0, height: 0, diameter: page.Usual, tool: 0, held: 0, dial: 0};
const chosen = {...usual, held: page.First, chapter: 0, at: page.Asked};
const guessed = {}; // by chapter
let drawn = chosen.at, grown = 1;
const calm = () => matchMedia("(prefers-reduced-motion: reduce)").matches;

// Counts of the last digit, as people are told them; the page rounds nothing.
const small = v => (v < 0 ? "−" : "") + (Math.abs(v) / 10 ** page.Digits).toFixed(page.Digits);
const coarse = v => String(Math.abs(v) / 10 ** page.Digits);
const plain = v => small(v).replace("−", "-");
const told = v => plain(v) + " " + page.Small;
const bigger = e => e === 0 ? "as where it was set" : small(Math.abs(e)) + " " + page.Small + (e > 0 ? " bigger" : " smaller");

const place = wear => (((wear * page.Heights.length + chosen.height) * page.Diameters.length + chosen.diameter) * page.Tools.length + chosen.tool) * page.Held.length + chosen.held;
const run = () => chosen.dial ? page.Dials[chosen.dial].Runs[chosen.diameter] : {None: true};
// now is what comes of all that is chosen.
function now() {
  const r = run(), plainly = r.None, set = plainly ? last : page.Dials[chosen.dial].Set;
  const errors = plainly ? page.Errors[page.At[place(chosen.wear)]] : r.Errors;
  const sure = plainly ? (chosen.wear === 0 ? page.Sure && page.Sure[place(0)] : null) : r.Sure;
  return {errors, sure, set, dialled: plainly ? errors.map(() => 0) : r.In, line: plainly ? errors.map((e, i) => ({Z: page.Positions[i], E: e})) : r.Line, stops: plainly ? [] : r.Stops || []};
}
// All that may be compared is drawn on one scale.
function greatest() {
  const lists = page.Wears.map((_, i) => page.Errors[page.At[place(i)]]), sure = page.Sure ? Math.max(...page.Sure[place(0)]) : 0;
  return most([...lists, ...page.Dials.slice(1).map(d => d.Runs[chosen.diameter].Errors || [])]) + Math.min(sure, most(lists));
}
const open = () => guessed[chosen.chapter] !== undefined;

function picture() {
  const n = now(), s = {...n, wear: page.Wears[chosen.wear], height: chosen.height, diameter: chosen.diameter, at: drawn, open: open(), grown, greatest: greatest()};
  return {along: drawAlong(s), end: drawEnd(s)};
}

// move lets what is drawn follow what is told.
let frames = 0;
function follow() {
  if (frames || calm()) { if (calm()) { drawn = chosen.at; grown = 1; picture(); } return; }
  const step = () => {
    const far = chosen.at - drawn;
    drawn = Math.abs(far) < .02 ? chosen.at : drawn + far * .3;
    grown = Math.min(1, grown + .06);
    picture();
    frames = drawn === chosen.at && grown === 1 ? 0 : requestAnimationFrame(step);
  };
  frames = requestAnimationFrame(step);
}

const span = (kind, text) => { const n = document.createElement("span"); n.className = kind; n.textContent = text; return n; };
const paragraph = text => { const n = document.createElement("p"); n.textContent = text; return n; };
const button = (text, kind, act) => { const n = document.createElement("button"); n.type = "button"; n.textContent = text; n.className = kind; n.addEventListener("click", act); return n; };

// chain tells the steps from the ways to the diameter, each in its colour.
function chain(n) {
  const w = page.Wears[chosen.wear], i = chosen.at, k = n.set, out = w.Out[chosen.height], axis = w.Axis[chosen.held];
  const parts = [span("front", `front way down ${small(w.FrontMean[i])}`), ", ", span("rear", `rear way ${small(w.RearMean[i])}`), " (under the saddle) → ",
    span("saddle", `saddle leans ${(w.Lean[i] * 1e-4).toFixed(4).replace("-", "−")} in 1,000`), w.Aside[i] ? span("saddle", `, goes ${small(Math.abs(w.Aside[i]))} ${w.Aside[i] > 0 ? "toward" : "away from"} the operator`) : "", " → "];
  if (!open()) return [...parts, "the tool? → the diameter?"];
  const way = v => v < 0 ? "in" : "out", lean = axis[i] - axis[k], turned = n.dialled[i];
  let sum = `2 × (${small(out[i])} − ${small(out[k])}`, value = out[i] - out[k];
  if (lean) { sum += ` ${lean < 0 ? "−" : "+"} ${small(Math.abs(lean))} of the axis`; value += lean; }
  if (turned) { sum += ` ${turned > 0 ? "−" : "+"} ${small(Math.abs(turned))} dialled ${turned > 0 ? "in" : "out"}`; value -= turned; }
  sum = sum.replaceAll("− −", "+ ");
  const rest = n.errors[i] - 2 * value;
  parts.push(span("tool", `tool ${way(out[i])} ${small(Math.abs(out[i]))}`), `, where the dial was set ${small(Math.abs(out[k]))} ${way(out[k])} → `,
    span("size", `diameter ${sum})${rest ? ` ${rest < 0 ? "−" : "+"} ${small(Math.abs(rest))}` : ""} = ${small(n.errors[i])} ${page.Small}`), rest ? ". The last term is what the tool's sinking adds, and rounding." : ".");
  return parts;
}

// belief is a sentence about the ±.
function belief(e, u) {
  const wear = page.Wears[chosen.wear].Name;
  if (chosen.wear) return ` The wear is supposed (${wear}), so that it has no ±.`;
  if (!u) return chosen.at === now().set ? "" : " How sure that is nobody has stated.";
  const low = e - u, high = e + u;
  if (low <= 0 && high >= 0) return ` ± ${small(u)}: 19 times in 20 between ${small(Math.abs(low))} smaller and ${small(high)} bigger, so that nobody can say which.`;
  return ` ± ${small(u)}: 19 times in 20 between ${small(Math.min(Math.abs(low), Math.abs(high)))} and ${small(Math.max(Math.abs(low), Math.abs(high)))}.`;
}

// base says whether all but the diameter is as the lathe is, for which the other uses of the dial are calculated.
const base = () => keys.every(k => k === "dial" || k === "diameter" || chosen[k] === usual[k]);

function show() {
  if (chosen.dial && !base()) chosen.dial = 0;
  const n = now(), w = page.Wears[chosen.wear], i = chosen.at, e = n.errors[i], r = run();
  for (const k of keys) el(k).value = chosen[k];
  el("at").value = i;
  el("at").setAttribute("aria-valuetext", page.Places[i]);
  const scale = picture();
  el("along-words").textContent = `Down is drawn ${scale.along[1]} times, the work’s errors ${scale.along[0]} times as large as along the bed.${n.sure && open() ? " Pale: the ±." : ""} Dashed: as new.`;
  el("end-words").textContent = `From the tailstock’s end; motion ${scale.end} times. Dashed: as new.`;
  const zero = i === n.set && !n.dialled[i];
  el("told").replaceChildren(...(!open() ? [`At ${page.Places[i]} the diameter is … what do you think?`] : zero ? [`At ${page.Places[i]} the dial was set: the error there is zero by definition.`] :
    [`At ${page.Places[i]} the diameter is `, span("size", bigger(e)), ".", belief(e, n.sure && n.sure[i])]));
  el("chain").replaceChildren(...chain(n));
  const why = [`${w.What}.`.replace(/^./, c => c.toUpperCase()), w.Alike];
  why.push(chosen.dial ? r.Told : base() ? "" : "Corrections, and the dial set elsewhere, are shown for the lathe as it is: its own wear and height, the tool on centre, the work in the chuck.");
  el("why").textContent = why.filter(t => t).join(" ");
  el("chosen").textContent = `Shown: wear ${w.Name}; centre height ${page.Heights[chosen.height]}; work of ${page.Diameters[chosen.diameter]}, ${page.Held[chosen.held]}; tool set ${page.Tools[chosen.tool]}; dial ${page.Dials[chosen.dial].Name}${chosen.dial && r.Told ? `. ${r.Told}` : "."}`;
  const rows = [["position", page.Places[i]], ["front way down here", told(w.Front[i])], ["rear way down here", told(w.Rear[i])], ["front way sunk under the saddle, at the tool", told(w.Sunk[i])], ["saddle shifted toward the operator", told(w.Aside[i])],
    ["saddle leans", (w.Lean[i] * 1e-4).toFixed(4) + " mrad"], ["tool out", told(w.Out[chosen.height][i])], ["tool down", told(w.Down[chosen.diameter][i])], ["dialled in", told(n.dialled[i])], ["diameter error", told(e)], ["±", n.sure ? told(n.sure[i]) : "–"]];
  el("numbers").replaceChildren(...rows.map(([name, value], k) => {
    const tr = document.createElement("tr"), th = document.createElement("th"), td = document.createElement("td");
    th.scope = "row"; th.textContent = name; td.textContent = open() || k < 6 ? value : "?"; td.dataset.name = name;
    tr.append(th, td);
    return tr;
  }));
}

// ask puts a chapter's question, and after a guess its answer.
function ask() {
  const c = page.Chapters[chosen.chapter], g = guessed[chosen.chapter];
  for (const b of document.querySelectorAll("[data-chapter]")) if (Number(b.dataset.chapter) === chosen.chapter) b.setAttribute("aria-current", "step"); else b.removeAttribute("aria-current");
  el("question").textContent = c.Question;
  const guess = k => () => { guessed[chosen.chapter] = k; grown = 0; ask(); show(); follow(); if (el("verdict").textContent) el("chapters").querySelector("[aria-current]").focus({preventScroll: true}); };
  el("guesses").replaceChildren(...(g === undefined ? [...c.Options.map((o, k) => button(o, "guess", guess(k))), button("show me", "later", guess(-1))] : []));
  el("verdict").textContent = g === undefined ? "" : (g < 0 ? "" : g === c.Right ? `You said: ${c.Options[g]}. So it is. ` : `You said: ${c.Options[g]}. It is otherwise: ${c.Options[c.Right]}. `) + c.Answer[0];
  el("answer").hidden = g === undefined;
  const next = chosen.chapter + 1 < page.Chapters.length ? button(`Next: ${page.Chapters[chosen.chapter + 1].Name}`, "next", () => turn(chosen.chapter + 1)) : "";
  const attempt = paragraph(" " + c.Try), strong = document.createElement("strong");
  strong.textContent = "Try:";
  attempt.prepend(strong);
  el("answer").replaceChildren(...c.Answer.slice(1).map(paragraph), attempt, next);
}

// turn goes to a chapter.
function turn(chapter) {
  const c = page.Chapters[chapter];
  Object.assign(chosen, usual, {chapter, wear: c.Wear, dial: c.Dial, at: page.Asked});
  ask(); show(); follow();
  scrollTo({top: 0, behavior: calm() ? "auto" : "smooth"});
}

for (const b of document.querySelectorAll("[data-chapter]")) b.addEventListener("click", () => turn(Number(b.dataset.chapter)));
for (const key of keys) el(key).addEventListener("change", () => {
  chosen[key] = Number(el(key).value);
  if (key === "dial" && chosen.dial) Object.assign(chosen, usual, {diameter: chosen.diameter, dial: chosen.dial});
  show(); follow();
});
const go = i => { chosen.at = Math.max(0, Math.min(last, i)); show(); follow(); };
el("at").addEventListener("input", () => go(Number(el("at").value)));

// The carriage is dragged by mouse or finger. What is told is of the position nearest to it.
let dragging = false;
const reach = event => {
  const box = el("along").getBoundingClientRect(), f = frame(), share = ((event.clientX - box.left) / box.width * f.width - f.left) / f.wide;
  drawn = Math.max(0, Math.min(last, indexOf(page.Positions[0] + Math.max(0, Math.min(1, share)) * (page.Positions[last] - page.Positions[0]))));
  chosen.at = Math.round(drawn);
  if (calm()) drawn = chosen.at;
  show();
};
el("along").addEventListener("pointerdown", event => { dragging = true; el("along").setPointerCapture(event.pointerId); reach(event); });
el("along").addEventListener("pointermove", event => { if (dragging) reach(event); });
for (const name of ["pointerup", "pointercancel"]) el("along").addEventListener(name, () => { dragging = false; follow(); });

// Playing steps along the bed; those who want less motion get one step at a time.
let timer = 0;
el("play").addEventListener("click", () => {
  const step = () => go(chosen.at === last ? 0 : chosen.at + 1);
  if (timer) { clearInterval(timer); timer = 0; } else if (calm()) { step(); return; } else timer = setInterval(step, 150);
  // Nobody can listen to seven positions in a second.
  el("told").setAttribute("aria-live", timer ? "off" : "polite");
  el("play").textContent = timer ? "Stop" : "Play";
  el("play").setAttribute("aria-pressed", timer ? "true" : "false");
});

addEventListener("resize", () => show());
ask();
show();
