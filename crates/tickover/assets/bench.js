// Dragging the cut, following long work, and the list of machines. Everything but the dragging works without it.

const card = document.querySelector("[data-machine]");
const base = card && `/machine/${card.dataset.machine}`;
const place = (id) => document.getElementById(id);

// Takes over parts of a freshly rendered page; what is being typed elsewhere stays.
function swap(page, ids) {
  for (const id of ids) {
    const fresh = page.getElementById(id), old = place(id);
    if (!fresh || !old) continue;
    if (old.open) fresh.open = true;
    old.replaceWith(document.adoptNode(fresh));
  }
}

// While the torque surface is computed: show how far it is, then bring in what it gave.
async function follow() {
  for (;;) {
    const bar = place("progress");
    if (!bar) return;
    const now = await (await fetch(`${base}/progress`)).json();
    if (now.state === "running") {
      bar.value = now.share;
      await new Promise((after) => setTimeout(after, 200));
      continue;
    }
    const page = await (await fetch(location.href)).text();
    swap(new DOMParser().parseFromString(page, "text/html"), card.dataset.follows.split(" "));
    startDial();
    return;
  }
}

function startDial() {
  const dial = document.querySelector(".dial[data-most]");
  if (!dial) return;
  const grip = dial.querySelector("[role=slider]");
  const drawing = dial.querySelector(".drawing");
  const field = place("cut-mm");
  const most = Number(dial.dataset.most);
  const STEP = 0.1, LEAP = 1;
  let cut = Number(grip.getAttribute("aria-valuenow"));
  let wanted = null, asking = false, moved = null;

  // Where the drawing stands on the screen and where its trailing end is; the drawing itself carries the numbers.
  function rotor() {
    const svg = drawing.querySelector("svg"), at = svg.querySelector("#rotor-cut-handle").dataset;
    const box = svg.viewBox.baseVal;
    return {
      svg, width: box.width, height: box.height,
      x: Number(at.centreX), y: Number(at.centreY), reach: Number(at.outer) * 1.12,
      sense: Number(at.sense), trailing: Number(at.trailingDeg), perDegree: (Math.PI * Number(at.rimDiameterMm)) / 360,
    };
  }

  function putGrip() {
    const r = rotor();
    const angle = ((r.trailing + (r.sense * cut) / r.perDegree) * Math.PI) / 180;
    grip.style.left = `${(100 * (r.x + r.reach * Math.sin(angle))) / r.width}%`;
    grip.style.top = `${(100 * (r.y - r.reach * Math.cos(angle))) / r.height}%`;
    grip.hidden = false;
  }

  function cutAt(event) {
    const r = rotor(), seen = r.svg.getBoundingClientRect();
    const x = ((event.clientX - seen.left) / seen.width) * r.width - r.x;
    const y = r.y - ((event.clientY - seen.top) / seen.height) * r.height;
    let turn = r.sense * ((Math.atan2(x, y) * 180) / Math.PI - r.trailing);
    turn = ((((turn + 180) % 360) + 360) % 360) - 180;
    return turn * r.perDegree;
  }

  function set(mm, when) {
    const next = Math.round(Math.min(most, Math.max(0, mm)) / STEP) * STEP;
    if (Math.abs(next - cut) < STEP / 2) return;
    cut = next;
    moved = when;
    wanted = cut;
    grip.setAttribute("aria-valuenow", cut.toFixed(1));
    field.value = cut.toFixed(1);
    putGrip();
    if (!asking) ask();
  }

  // One question at a time, and always about the latest place of the handle.
  async function ask() {
    asking = true;
    dial.setAttribute("aria-busy", "true");
    while (wanted !== null) {
      const mm = wanted, since = moved;
      wanted = null;
      const narrow = dial.closest(".alter").querySelector(".chart .wide").offsetParent === null;
      try {
        const answer = await fetch(`${base}/cut?mm=${mm.toFixed(1)}&narrow=${narrow}`);
        if (!answer.ok) throw new Error(await answer.text());
        show(await answer.json(), narrow);
      } catch (trouble) {
        place("cut-verdict").textContent = trouble.message;
      }
      await new Promise((painted) => requestAnimationFrame(() => setTimeout(painted)));
      performance.measure("hand to eye", { start: since, end: performance.now() });
    }
    asking = false;
    dial.setAttribute("aria-busy", "false");
  }

  function show(answer, narrow) {
    drawing.innerHTML = answer.rotor;
    for (const name of ["curve", "rest", "chance"]) {
      const chart = place(`cut-${name}`);
      if (chart) chart.querySelector(narrow ? ".narrow" : ".wide").innerHTML = answer[name];
    }
    place("cut-verdict").innerHTML = answer.verdict;
    place("cut-facts").innerHTML = answer.facts;
    grip.setAttribute("aria-valuetext", answer.spoken);
    putGrip();
  }

  // The dial holds the pointer, because the drawing under it is replaced while the hand moves.
  let held = null;
  grip.addEventListener("pointerdown", (event) => {
    held = event.pointerId;
    grip.setPointerCapture(held);
    grip.focus();
    event.preventDefault();
  });
  grip.addEventListener("pointermove", (event) => {
    if (event.pointerId === held) set(cutAt(event), event.timeStamp);
  });
  for (const end of ["pointerup", "pointercancel"]) grip.addEventListener(end, () => { held = null; });

  grip.addEventListener("keydown", (event) => {
    const to = {
      ArrowRight: cut + STEP, ArrowUp: cut + STEP, ArrowLeft: cut - STEP, ArrowDown: cut - STEP,
      PageUp: cut + LEAP, PageDown: cut - LEAP, Home: 0, End: most,
    }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    set(to, event.timeStamp);
  });
  field.addEventListener("input", (event) => {
    const mm = Number(field.value.replace(",", "."));
    if (field.value !== "" && Number.isFinite(mm)) {
      const typed = field.value;
      set(mm, event.timeStamp);
      field.value = typed;
    }
  });
  field.form.addEventListener("submit", (event) => event.preventDefault());
  addEventListener("resize", putGrip);
  putGrip();
}

// A fold that is jumped to is opened.
function openNamed() {
  const fold = place(location.hash.slice(1));
  if (fold instanceof HTMLDetailsElement) fold.open = true;
}
addEventListener("hashchange", openNamed);
openNamed();
startDial();
if (card) follow();

// The list of machines, for as long as one of them is being worked out. Only words are taken over, so focus stays where it is.
async function followList() {
  const list = place("machines");
  while (list && list.hasAttribute("data-waiting")) {
    await new Promise((after) => setTimeout(after, 700));
    const answer = await fetch("/").catch(() => null);
    if (!answer || !answer.ok) continue;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("machines");
    for (const line of fresh.children) {
      const link = line.querySelector("a").getAttribute("href");
      const here = list.querySelector(`a[href="${link}"]`);
      const words = here && here.closest("li").querySelector("p");
      if (words && words.textContent !== line.querySelector("p").textContent) words.textContent = line.querySelector("p").textContent;
    }
    list.toggleAttribute("data-waiting", fresh.hasAttribute("data-waiting"));
  }
}
followList();
