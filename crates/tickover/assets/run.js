// Plays the run in time, when asked to: each line is uncovered as fast as the engine ran. Without this the picture stands still and whole.

const still = matchMedia("(prefers-reduced-motion: reduce)");
const BUTTON = "button[data-plays]";

// A toggle does not bubble, so it is caught on its way down; what is brought in later is then served as well.
document.addEventListener("toggle", (event) => {
  for (const button of event.target.querySelectorAll(BUTTON)) button.hidden = still.matches;
}, true);

document.addEventListener("click", (event) => {
  const button = event.target.closest(BUTTON);
  if (!button) return;
  for (const series of button.closest("details").querySelectorAll("svg .series")) {
    const [last] = series.dataset.points.trim().split(" ").at(-1).split(",");
    const line = series.querySelector("path");
    line?.getAnimations().forEach((playing) => playing.cancel());
    // A line's box ends with its last turn. Above and below there is room for the line's own width.
    line?.animate([{ clipPath: "inset(-1mm 100% -1mm 0)" }, { clipPath: "inset(-1mm 0 -1mm 0)" }], { duration: 1000 * Number(last) });
  }
});
