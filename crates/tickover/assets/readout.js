// Reading values off the charts, with pointer, finger or arrow keys. The drawings carry their data: axes on the plot, points and ± on
// the series, readings on their marks.

const NEAR = 0.02; // of the width: marks and rules this near are read as well

const pairs = (text) => (text ? text.split(" ").map((p) => p.split(",").map(Number)) : []);
const number = (text) => Number(text);

function plotOf(reader) {
  const seen = reader.closest(".seen");
  const svg = [...seen.querySelectorAll("svg")].find((s) => s.getClientRects().length > 0);
  const plot = svg && svg.querySelector("g.chart");
  if (!plot) return null;
  const d = plot.dataset, box = svg.viewBox.baseVal;
  return {
    plot, width: box.width, height: box.height,
    from: number(d.xFrom), to: number(d.xTo), xUnit: d.xUnit, yUnit: d.yUnit,
    left: number(d.left), right: number(d.right), top: number(d.top), bottom: number(d.bottom),
    xPlaces: places(d.xTo - d.xFrom), yPlaces: places(d.yTo - d.yFrom),
  };
}

// Three figures over the whole of an axis are more than an eye reads off.
function places(range) {
  return Math.max(0, Math.min(3, 2 - Math.floor(Math.log10(Math.abs(range) || 1))));
}

function withUnit(value, half, unit, digits) {
  const said = value.toFixed(digits).replace(/^-(?=[0.]*$)/, "").replace("-", "\u2212");
  const doubt = half > 0 ? ` \u00b1\u00a0${half.toFixed(digits)}` : "";
  return `${said}${doubt}${/^[\u00b0]/.test(unit) ? "" : "\u00a0"}${unit}`;
}

// Every value of a line at x, in order; a line may pass x more than once.
function crossings(points, x) {
  const found = [];
  for (let i = 1; i < points.length; i++) {
    const [x1, y1] = points[i - 1], [x2, y2] = points[i];
    if (!(Math.min(x1, x2) <= x && x <= Math.max(x1, x2))) continue;
    const y = x1 === x2 ? y1 : y1 + ((x - x1) / (x2 - x1)) * (y2 - y1);
    if (Number.isFinite(y) && !found.some((f) => Math.abs(f - y) <= 1e-6 * Math.max(1, Math.abs(y)))) found.push(y);
  }
  return found.sort((a, b) => a - b);
}

function read(p, x) {
  const near = NEAR * (p.to - p.from);
  const said = [];
  let name = "";
  for (const series of p.plot.querySelectorAll("g.series")) {
    name = series.dataset.name || name;
    const [half] = crossings(pairs(series.dataset.halves), x);
    for (const y of crossings(pairs(series.dataset.points), x)) said.push(`${name}: ${withUnit(y, half || 0, p.yUnit, p.yPlaces)}`);
    const marks = [...series.querySelectorAll("g.mark")].map((m) => m.dataset);
    const off = (m) => Math.abs(number(m.x) - x);
    const [mark] = marks.filter((m) => off(m) <= near).sort((a, b) => off(a) - off(b));
    if (mark) {
      const at = withUnit(number(mark.x), number(mark.plusMinusX), p.xUnit, p.xPlaces);
      said.push(`${name}, ${at}: ${withUnit(number(mark.y), number(mark.plusMinusY), p.yUnit, p.yPlaces)}`);
    }
  }
  for (const rule of p.plot.querySelectorAll("g.rule")) if (Math.abs(number(rule.dataset.x) - x) <= near / 2) said.push(rule.dataset.name);
  for (const area of p.plot.querySelectorAll("g.area")) {
    if (number(area.dataset.from) <= x && x <= number(area.dataset.to)) said.push(area.dataset.name);
  }
  return [withUnit(x, 0, p.xUnit, p.xPlaces), ...said];
}

// Lays the reader over the plot; the drawing may have been replaced or the window turned since.
function lay(reader) {
  const p = plotOf(reader);
  if (!p) return null;
  const share = (mm, of) => `${(100 * mm) / of}%`;
  reader.style.left = share(p.left, p.width);
  reader.style.width = share(p.right - p.left, p.width);
  reader.style.top = share(p.top, p.height);
  reader.style.height = share(p.bottom - p.top, p.height);
  reader.setAttribute("aria-valuemin", p.from.toFixed(p.xPlaces));
  reader.setAttribute("aria-valuemax", p.to.toFixed(p.xPlaces));
  return p;
}

const stands = new WeakMap(); // where each reader stands

function show(reader, x) {
  const p = lay(reader);
  if (!p) return;
  const at = Math.min(p.to, Math.max(p.from, x));
  stands.set(reader, at);
  const said = read(p, at);
  reader.querySelector(".at").style.left = `${(100 * (at - p.from)) / (p.to - p.from)}%`;
  reader.classList.add("reading");
  reader.setAttribute("aria-valuenow", at.toFixed(p.xPlaces));
  reader.setAttribute("aria-valuetext", said.join("; "));
  const out = reader.closest("div.chart").querySelector(".readout");
  out.replaceChildren(
    ...said.map((text, i) => {
      const part = document.createElement(i === 0 ? "strong" : "span");
      part.textContent = text;
      return part;
    }),
  );
}

function pointed(event) {
  const reader = event.target.closest && event.target.closest(".reader");
  const p = reader && plotOf(reader);
  if (!p) return;
  const box = reader.getBoundingClientRect();
  show(reader, p.from + ((event.clientX - box.left) / box.width) * (p.to - p.from));
}
addEventListener("pointermove", pointed);
addEventListener("pointerdown", pointed);

addEventListener("keydown", (event) => {
  const reader = event.target.closest && event.target.closest(".reader");
  const p = reader && plotOf(reader);
  if (!p) return;
  const now = stands.get(reader) ?? (p.from + p.to) / 2, step = (p.to - p.from) / 100;
  const to = {
    ArrowRight: now + step, ArrowUp: now + step, ArrowLeft: now - step, ArrowDown: now - step,
    PageUp: now + 10 * step, PageDown: now - 10 * step, Home: p.from, End: p.to,
  }[event.key];
  if (to === undefined) return;
  event.preventDefault();
  show(reader, to);
});
addEventListener("focusin", (event) => {
  const reader = event.target.closest && event.target.closest(".reader");
  const p = reader && plotOf(reader);
  if (p) show(reader, stands.get(reader) ?? (p.from + p.to) / 2);
});

// Charts come and are drawn anew while the page stands. One far from the window costs nothing until it comes near: to lay a reader over it
// the browser has to work out where the drawing is.
const close = new Set();
const watch = new IntersectionObserver((charts) => {
  for (const { target, isIntersecting } of charts) {
    if (isIntersecting) equip(target);
    else close.delete(target);
  }
}, { rootMargin: "50%" });

function equip(chart) {
  const reader = chart.querySelector(".reader");
  if (!reader) return;
  close.add(chart);
  if (stands.has(reader)) show(reader, stands.get(reader));
  else lay(reader);
}

function look() {
  for (const chart of close) if (chart.isConnected) equip(chart); else close.delete(chart);
  for (const chart of document.querySelectorAll("div.chart")) {
    // To be come by with the keys, from however far.
    for (const part of chart.querySelectorAll(".reader[hidden], .readout[hidden]")) part.hidden = false;
    watch.observe(chart);
  }
}
look();
addEventListener("resize", look);
let wanted = false;
new MutationObserver((changes) => {
  const drawn = changes.some((c) => !(c.target.closest && c.target.closest(".readout, .reader")));
  if (!drawn || wanted) return;
  // Once a frame, after the hand has been answered.
  wanted = true;
  requestAnimationFrame(() => setTimeout(() => { wanted = false; look(); }));
}).observe(document.querySelector("main"), { childList: true, subtree: true });
