// Depths of the rotor's faces: by slide, or by pulling at the hatched cut itself. Without this the plan and its tables stand still.

const slides = () => [...document.querySelectorAll(".lighten input[type=range]")];
let moved = null, asking = false, held = null;

async function ask() {
  asking = true;
  while (moved) {
    const last = moved;
    moved = null;
    const order = slides().filter((s) => s !== last).concat(last);
    const cuts = order.map((s) => `${s.dataset.zone}:${s.value}`).join(",");
    const machine = last.closest("[data-machine]").dataset.machine;
    const verdict = document.getElementById("lighten-verdict");
    try {
      const answer = await fetch(`/machine/${machine}/lighten?cuts=${cuts}`);
      if (!answer.ok) throw new Error(answer.statusText);
      const got = await answer.json();
      document.getElementById("lighten-drawing").innerHTML = got.drawing;
      document.getElementById("lighten-facts").innerHTML = got.facts;
      verdict.innerHTML = got.verdict;
    } catch (trouble) {
      verdict.textContent = trouble.message;
    }
    await new Promise((painted) => requestAnimationFrame(() => setTimeout(painted)));
  }
  asking = false;
}

function move(slide) {
  moved = slide;
  if (!asking) ask();
}

document.addEventListener("input", (event) => {
  if (event.target.matches(".lighten input[type=range]")) move(event.target);
});

// The drawing carries its scale: millimetres on it to one of the rotor, and which way a cut deepens.
document.addEventListener("pointerdown", (event) => {
  const zone = event.target.closest("#lighten-drawing [data-deepens]");
  const slide = zone && slides().find((s) => zone.id === `rotor-zone-${s.dataset.zone}`);
  if (!slide) return;
  const svg = zone.ownerSVGElement;
  const perMm = (svg.getBoundingClientRect().width / svg.viewBox.baseVal.width) * Number(zone.dataset.scale);
  const [x, y] = { left: [-1, 0], right: [1, 0], up: [0, -1], down: [0, 1] }[zone.dataset.deepens];
  held = { slide, id: event.pointerId, from: Number(slide.value), x: x / perMm, y: y / perMm, at: [event.clientX, event.clientY] };
  event.preventDefault();
});
document.addEventListener("pointermove", (event) => {
  if (!held || event.pointerId !== held.id) return;
  const depth = held.from + (event.clientX - held.at[0]) * held.x + (event.clientY - held.at[1]) * held.y;
  const before = held.slide.value;
  held.slide.value = depth.toFixed(2);
  if (held.slide.value !== before) move(held.slide);
});
for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, () => { held = null; });
