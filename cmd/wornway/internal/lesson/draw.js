// Drawing. What is drawn lies between the positions that the page knows; what is told is of one of them.
const el = id => document.getElementById(id);
const last = page.Positions.length - 1;

// between is a list's value at a place that may lie between two positions.
function between(list, at) {
  const i = Math.min(last, Math.max(0, Math.floor(at))), k = Math.min(last, i + 1);
  return list[i] + (list[k] - list[i]) * (at - i);
}
const most = lists => Math.max(1, ...lists.flat().map(Math.abs));
// An exaggeration and a scale's mark are round numbers.
function round(v) { const d = 10 ** Math.floor(Math.log10(v)); return Math.max(1, Math.round(v / d) * d); }
function mark(v) { const d = 10 ** Math.floor(Math.log10(v)), n = v / d; return d * (n >= 5 ? 5 : n >= 2 ? 2 : 1); }

const colour = name => `var(--${name})`;
const shape = (name, attributes, text) => [name, attributes, text];
const words = (x, y, text, kind, anchor) => shape("text", {x, y, class: kind || "", "text-anchor": anchor || "start"}, text);
const dots = points => points.map(p => p.map(v => v.toFixed(1)).join(",")).join(" ");
const line = (points, name, wide, dash) => shape("polyline", {points: dots(points), fill: "none", stroke: colour(name), "stroke-width": wide || 2, "stroke-dasharray": dash || ""});
const area = (points, fill, stroke, wide) => shape("polygon", {points: dots(points), fill, stroke: stroke ? colour(stroke) : "none", "stroke-width": wide || 1, "stroke-linejoin": "round"});
const block = (x, y, width, height, fill, stroke) => shape("rect", {x, y, width: Math.max(0, width), height: Math.max(0, height), fill: colour(fill), stroke: colour(stroke || "rule")});

function draw(svg, width, height, parts) {
  const make = ([name, attributes, text]) => {
    const n = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const k in attributes) n.setAttribute(k, attributes[k]);
    if (Array.isArray(text)) n.append(...text.filter(p => p).map(make)); else if (text !== undefined) n.textContent = text;
    return n;
  };
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  svg.replaceChildren(...parts.filter(p => p).map(make));
}

// frame is where things lie in the long drawing, for the width that it has on the screen.
function frame() {
  const width = Math.max(300, Math.round(el("along").getBoundingClientRect().width) || 700), narrow = width < 560;
  const left = narrow ? 52 : 84, right = narrow ? 34 : 50, z0 = page.Positions[0], z1 = page.Positions[last];
  const f = {width, narrow, left, right, wide: width - left - right, height: narrow ? 262 : 330};
  f.z = z => left + (z - z0) / (z1 - z0) * f.wide;
  f.x = i => f.z(between(page.Positions, i));
  f.long = f.wide / (z1 - z0); // of a unit of length
  return f;
}

// along draws the work from above, and the bed and the saddle from the front, on one scale along the bed. s is what is
// to be drawn: the wear, its edge as dots, the ± by position or nothing, stops, the place, what the greatest errors are,
// and whether the answer may be seen.
function drawAlong(s) {
  const f = frame(), n = f.narrow, w = s.wear, post = page.Section.Post;
  const axis = n ? 60 : 76, half = n ? 26 : 34, room = n ? 19 : 26, big = room / s.greatest;
  const x = f.x(s.at), here = s.open ? edgeAt(s.line, between(page.Positions, s.at)) : 0;
  const edge = (side, more) => s.line.map(d => [f.z(d.Z), axis + side * (half + (s.open ? d.E + (more ? more(d) : 0) : 0) * big * s.grown)]);
  const parts = [];
  // The headstock holds the work at the left, and the tailstock stands at the right.
  const nose = f.left - 14, floor = f.height - 34;
  parts.push(block(0, axis - half - 14, nose - 12, 2 * half + 28, "iron"), block(nose - 12, axis - half - 6, 24, 2 * half + 12, "iron"),
    words(3, axis + 4, n ? "head" : "headstock"), area([[f.width - f.right + 4, axis], [f.width - f.right + 18, axis - 9], [f.width, axis - 9], [f.width, axis + 9], [f.width - f.right + 18, axis + 9]], colour("iron"), "rule"));
  // The work, with its ± as a band, and what it should be.
  parts.push(area([...edge(-1), ...edge(1).reverse()], colour("iron"), ""));
  if (s.open && s.sure) for (const side of [-1, 1]) parts.push(area([...edge(side, d => -between(s.sure, indexOf(d.Z))), ...edge(side, d => between(s.sure, indexOf(d.Z))).reverse()], colour("band"), ""));
  for (const side of [-1, 1]) {
    parts.push(line([[f.left, axis + side * half], [f.width - f.right, axis + side * half]], "rule", 1, "4 4"));
    if (s.open) parts.push(line(edge(side), "size", 2.5));
  }
  parts.push(line([[nose, axis], [f.width - f.right + 8, axis]], "rule", 1, "14 4 3 4"), words(f.left - 10, 13, n ? "from above, operator below" : "the work from above, the operator below"));
  if (!s.open) parts.push(words(f.left + f.wide / 2, axis + 5, "bigger? smaller?", "size strong", "middle"));
  // What the edge's way from the dashed line is worth on the diameter, on the side away from the tool.
  const step = mark(s.greatest), side = -post, zero = axis + side * half, sx = f.width - f.right - 2;
  const tick = v => line([[sx, zero + side * v * big], [sx + 7, zero + side * v * big]], "size", 1.5);
  parts.push(line([[sx + 3, zero], [sx + 3, zero + side * step * big]], "size", 1.5), tick(step), tick(0), words(sx + 9, zero + side * step * big + 4, "+" + coarse(step), "size"),
    words(f.width - 6, n && post < 0 ? 2 * axis - 6 : 13, n ? `${page.Small} on Ø` : `bigger by ${page.Small} on the diameter`, "size", "end"));
  // Settings are due where the tool steps.
  s.stops.forEach((d, i) => parts.push(line([[f.z(d.Z), axis - half - 16], [f.z(d.Z), axis + half + 16]], "tool", 1, "2 3"), words(f.z(d.Z) + 3, axis - half - 8, n ? String(i + 1) : `${i + 1}: ${d.Told}`, "tool strong")));
  // The tool stands with its tip on the edge.
  const tip = axis + post * (half + here * big * s.grown), top = n ? 128 : 160, y = n ? 154 : 196;
  parts.push(area([[x, tip], [x - 6, tip + post * 12], [x - 6, tip + post * 24], [x + 6, tip + post * 24], [x + 6, tip + post * 12]], colour("tool"), "tool"));
  // Bed and saddle from the front.
  const deep = (n ? 46 : 62) / most(page.Wears.flatMap(k => [k.Front, k.Rear]));
  const curve = list => list.map((v, i) => [f.x(i), y + v * deep]);
  parts.push(area([...curve(w.Front), [f.width - f.right, floor], [f.left, floor]], colour("iron"), ""), line([[nose, y], [f.width - 4, y]], "rule", 1, "4 4"),
    line(curve(w.Front), "front", 3), line(curve(w.Rear), "rear", 2.5, "9 5"), block(0, y - 6, nose, floor - y + 6, "iron"));
  parts.push(words(f.left + 4, floor - 4, "front way", "front strong"), words(f.left + 76, floor - 4, "rear way – –", "rear strong"), words(f.width - f.right - 4, top - (n ? 0 : 4), n ? "from the front" : "bed and saddle from the front", "", "end"));
  const down = mark(most(page.Wears.flatMap(k => [k.Front, k.Rear]))), bx = f.width - f.right + 8;
  parts.push(line([[bx, y], [bx, y + down * deep]], "front", 2), line([[bx - 3, y + down * deep], [bx + 3, y + down * deep]], "front", 2), line([[bx - 3, y], [bx + 3, y]], "front", 2), words(bx + 5, y + down * deep / 2 + 4, coarse(down), "front"));
  const long = Math.max(28, page.Bearing * f.long), start = x - page.Beside * f.long - long / 2, rides = w.Ends.map(e => y + between(e, s.at) * deep), tilt = rides[1] - rides[0];
  const on = share => rides[0] + tilt * share, body = n ? 16 : 20;
  parts.push(area([[start, on(0)], [start, on(0) - body], [start + long, on(1) - body], [start + long, on(1)], [start + long - 9, on(1 - 9 / long)], [start + long - 9, on(1 - 9 / long) - 6], [start + 9, on(9 / long) - 6], [start + 9, on(9 / long)]], colour("paper"), "saddle", 2.5));
  parts.push(line([[x, tip + post * 24], [x, on((x - start) / long) - body]], "tool", 1.5, "2 4"));
  const word = Math.max(start + 8, 4);
  if (long > 70) parts.push(words(word, on((word - start) / long) - body - 4, "saddle", "saddle strong"));
  // The ruler, from the spindle nose.
  const ruler = floor + 4, gap = page.Positions[1 + (last > 1)] - page.Positions[last > 1 ? 1 : 0];
  const every = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000].find(k => k * f.long >= (n ? 34 : 44) && Math.abs(k / gap - Math.round(k / gap)) < 1e-6) || gap * last;
  parts.push(line([[f.left, ruler], [f.width - f.right, ruler]], "rule", 1));
  page.Positions.forEach((z, i) => {
    const main = Math.abs(z / every - Math.round(z / every)) < 1e-6;
    parts.push(line([[f.x(i), ruler], [f.x(i), ruler + (main ? 8 : 4)]], "rule", 1));
    if (main && Math.abs(f.x(i) - x) > 24 && f.x(i) < f.width - f.right + 4) parts.push(words(f.x(i), ruler + 21, String(Math.round(z * 1000) / 1000), "", "middle"));
  });
  parts.push(area([[x, ruler - 2], [x - 6, ruler + 9], [x + 6, ruler + 9]], colour("saddle"), ""), words(Math.min(x, f.width - 26), ruler + 23, page.Places[Math.round(s.at)], "saddle strong", "middle"));
  draw(el("along"), f.width, f.height, parts);
  const times = v => round(v * 10 ** page.Digits * page.SmallPerUnit / f.long);
  return [times(big), times(deep)];
}

const indexOf = z => { const k = page.Positions.findIndex(p => p >= z - 1e-9); if (k <= 0) return Math.max(0, k); const a = page.Positions[k - 1], b = page.Positions[k]; return k - 1 + (z - a) / (b - a); };

// edgeAt is the edge at a position; where the tool steps there, as it leaves.
function edgeAt(edge, z) {
  for (let k = 1; k < edge.length; k++) {
    const a = edge[k - 1], b = edge[k];
    if (z <= b.Z + 1e-9 && b.Z > a.Z) return a.E + (b.E - a.E) * (z - a.Z) / (b.Z - a.Z);
  }
  return edge[edge.length - 1].E;
}

// drawEnd draws the lathe from the tailstock's end, with the operator at the left.
function drawEnd(s) {
  const box = Math.max(150, Math.round(el("end").getBoundingClientRect().width) || 300), high = box < 220 ? 172 : Math.min(330, Math.round(box * .95));
  const c = page.Section, w = s.wear, unit = 10 ** -page.Digits / page.SmallPerUnit;
  const tall = Number.parseFloat(page.Heights[s.height]), g = Math.min((box - 56) / c.Span, (high - (box < 220 ? 100 : 130)) / Math.max(...page.Heights.map(Number.parseFloat)));
  const fx = (box - c.Span * g) / 2, by = high - (box < 220 ? 50 : 78), ax = fx + c.Setback * g, ay = by - tall * g, least = box < 220 ? 16 : 24, r = Math.max(least, Math.min(1.5 * least, page.Thick[s.diameter] / 2 * g));
  // All wears on one scale.
  const out = most(page.Wears.flatMap(k => k.Out[s.height])), roll = most(page.Wears.flatMap(k => k.Lean)) * 1e-7, sunk = most(page.Wears.flatMap(k => [k.Sunk, k.Aside]));
  // The tool never passes the work’s axis.
  const room = .85 * least, times = Math.min(room / (out * unit * g), .2 / roll, room / (sunk * unit * g)), px = unit * g * times;
  const down = between(w.Sunk, s.at) * px, aside = between(w.Aside, s.at) * px, turn = -between(w.Lean, s.at) * 1e-7 * times * 180 / Math.PI, rear = between(w.RearMean, s.at) * px;
  const flat = !c.Outer, spacing = Math.max(c.Spacing * g, box < 220 ? 12 : 18), to = Math.tan(c.Outer * Math.PI / 180), ti = Math.tan(c.Inner * Math.PI / 180);
  const depth = flat ? 0 : spacing / (to + ti), crest = flat ? 0 : spacing / 2 * (ti - to) / (ti + to), rise = flat ? 0 : to * (crest + spacing / 2), foot = spacing * .55;
  // The front way's top, from the operator's side, as far as the bed's body goes down.
  const vee = (dx, dy) => flat ? [[fx - 14 + dx, by + dy], [fx + 14 + dx, by + dy]] : [[fx - spacing / 2 - foot + dx, by + foot * to + dy], [fx + crest + dx, by - rise + dy], [fx + spacing / 2 + foot + dx, by + foot * ti + dy]];
  const body = points => [[points[0][0], high - 15], ...points, [points[points.length - 1][0], high - 15]];
  const rx = fx + c.Span * g, seat = flat ? by : by - rise - 3, thick = box < 220 ? 10 : 14;
  const gate = flat ? [[fx - 20, by], [rx + 16, by]] : [[fx - spacing / 2 - foot - 8, by + foot * to], [fx - spacing / 2 - foot, by + foot * to], [fx + crest, by - rise], [fx + spacing / 2 + foot, by + foot * ti], [fx + spacing / 2 + foot + 6, by], [rx + 16, by]];
  const left = gate[0][0], saddle = [...gate, [rx + 16, seat - thick], [left, seat - thick]];
  const p = c.Post, tipX = ax - p * r, tool = [[tipX, ay], [tipX - p * 16, ay - 4], [tipX - p * 30, ay - 4], [tipX - p * 30, seat - thick], [tipX - p * 20, seat - thick], [tipX - p * 20, ay + 5], [tipX - p * 14, ay + 5]];
  const pose = `translate(${-aside} ${down}) rotate(${turn} ${fx} ${by + depth})`, inward = p * between(s.dialled, s.at) * px;
  const parts = [], bed = [area(body(vee(-aside, down)), colour("iron"), "front", 2), area(body([[rx - 12, by + rear], [rx + 12, by + rear]]), colour("iron"), "rear", 2), line(vee(0, 0), "rule", 1, "3 3"), line([[rx - 12, by], [rx + 12, by]], "rule", 1, "3 3")];
  parts.push(shape("circle", {cx: ax, cy: ay, r, fill: colour("iron"), stroke: colour("rule")}), shape("circle", {cx: ax, cy: ay, r: 1.5, fill: colour("ink")}));
  const ghost = points => shape("polygon", {points: dots(points), fill: "none", stroke: colour("rule"), "stroke-dasharray": "3 3"});
  parts.push(ghost(saddle), ghost(tool));
  if (s.open) {
    parts.push(shape("polygon", {points: dots(saddle), transform: pose, fill: colour("paper"), "fill-opacity": .85, stroke: colour("saddle"), "stroke-width": 2.5, "stroke-linejoin": "round"}),
      shape("polygon", {points: dots(tool), transform: `${pose} translate(${inward} 0)`, fill: colour("paper"), stroke: colour("tool"), "stroke-width": 2, "stroke-linejoin": "round"}));
    // How far out, at the height of the tip, and what it makes of the work on both sides.
    const way = between(w.Out[s.height], s.at) * px - p * inward, cut = Math.max(2, r + way * s.grown), lift = ay - r - 16;
    parts.push(shape("circle", {cx: ax, cy: ay, r: cut, fill: "none", stroke: colour("size"), "stroke-width": 2, "stroke-dasharray": "6 3"}));
    const here = tipX - p * way;
    parts.push(line([[tipX, lift], [tipX, ay]], "rule", 1, "2 3"), line([[here, lift], [here, ay]], "tool", 1), line([[tipX, lift], [here, lift]], "tool", 3));
    if (Math.abs(way) > 3) parts.push(area([[here - Math.sign(way) * p * 5, lift], [here + Math.sign(way) * p * 3, lift - 5], [here + Math.sign(way) * p * 3, lift + 5]], colour("tool"), ""));
    parts.push(words(tipX - p * 2, lift - 7, way >= 0 ? "tool out" : "tool in", "tool strong", p > 0 ? "end" : "start"), words(ax + p * 4, lift - 7, "× 2 on Ø", "size strong", p > 0 ? "start" : "end"));
  } else parts.push(words(ax, ay - r - 12, "?", "tool strong", "middle"));
  parts.push(...bed, words(4, high - 4, "operator"), words(box - 4, high - 4, "rear", "", "end"));
  draw(el("end"), box, high, parts);
  return round(times);
}
