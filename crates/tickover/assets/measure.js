// Readings with a thumb: a pad of numbers and units, what an instrument showed last time told before it is kept; and files, which do
// not wait on the device. Everything works without it.

const PAD = "pad"; // whether this device shows it
const GAP = " ";

// As `quantity` takes a reading apart.
const SIGN = /±|\+\/[-−]|\+-/;
const NUMBER = /^[+\-−]?\s*[\d.,\s/¼½¾⅛⅜⅝⅞]*[\d¼½¾⅛⅜⅝⅞](?:[eE][+\-−]?\d+)?/;
// A decimal sign or one between thousands: a ± beside it might settle which, and not as it was meant.
const EITHER = /^[+\-−]?\s*[1-9]\d{0,2}[.,]\d{3}$/;

function piece(text) {
  const found = text.trim().match(NUMBER);
  return found && { number: found[0].trim(), unit: text.trim().slice(found[0].length).trim() };
}

function parts(text) {
  const at = text.search(SIGN);
  const value = piece(at < 0 ? text : text.slice(0, at));
  return value && { value, doubt: at < 0 ? null : piece(text.slice(at).replace(SIGN, "")) ?? { number: "", unit: "" } };
}

const joined = (number, unit) => number + (unit === "" || unit === "°" || unit.startsWith("° ") ? "" : GAP) + unit;

// A reading with the unit and ± that it lacks, or null.
function completed(typed, shown) {
  const has = parts(typed);
  if (!has || !shown || has.doubt?.number === "" || EITHER.test(has.value.number)) return null;
  const hasUnit = has.value.unit !== "" || (has.doubt && !["", "%"].includes(has.doubt.unit));
  const withUnit = hasUnit ? typed : joined(typed, shown.unit);
  const doubt = has.doubt ? null : piece(shown.plus_minus);
  let whole = withUnit;
  if (doubt) whole = doubt.unit === "" ? joined(`${typed} ± ${shown.plus_minus}`, shown.unit) : `${withUnit} ± ${shown.plus_minus}`;
  return whole === typed ? null : whole;
}

function takeReadings(form) {
  const { what, value, instrument, place, condition, offered } = form.elements;
  const instruments = JSON.parse(form.dataset.instruments);
  const habits = JSON.parse(form.dataset.last).map(([name, quantity, where, how]) => ({ name, quantity, where, how }));
  const units = () => what.selectedOptions[0].dataset.units.split("|");
  const name = () => instrument.value.trim();

  function known() {
    const own = instruments.filter((i) => i.name === name());
    const same = own.find((i) => (i.what ?? "") === what.value);
    if (same) return same;
    const fit = own.filter((i) => units().includes(i.unit));
    return fit.every((i) => i.unit === fit[0].unit && i.plus_minus === fit[0].plus_minus) ? fit[0] : null;
  }

  const filled = document.getElementById("filled");
  let asTyped = false;
  const whole = () => (asTyped ? null : completed(value.value.trim(), known()));
  function tell() {
    const now = whole();
    filled.hidden = now === null;
    filled.querySelector("strong").textContent = now ?? "";
    filled.querySelector("span span").textContent = name();
  }
  filled.querySelector("button").addEventListener("click", () => { asTyped = true; tell(); value.focus(); });

  // What was changed by hand is not changed by habit.
  const touched = new Set();
  form.addEventListener("input", (event) => {
    touched.add(event.target);
    if ([what, value, instrument].includes(event.target)) asTyped = false;
    tell();
  });
  instrument.addEventListener("change", () => {
    const own = habits.filter((h) => h.name === name());
    const uses = instruments.filter((i) => i.name === name());
    const used = own[0]?.quantity ?? (uses.length === 1 ? uses[0].what : undefined);
    if (used && !touched.has(what) && value.value === "") what.value = used;
    const habit = own.find((h) => h.quantity === what.value) ?? own[0];
    if (habit && !touched.has(place)) place.value = habit.where;
    if (habit && !touched.has(condition)) condition.value = habit.how;
    chosen();
  });

  // Before any other listener looks at the form.
  form.addEventListener("submit", () => {
    const shown = known() ? name() : "";
    value.value = whole() ?? value.value;
    offered.value = shown;
    filled.hidden = true;
  }, { capture: true });
  form.addEventListener("reset", () => setTimeout(() => { touched.clear(); asTyped = false; chosen(); value.focus(); }));

  const showUnits = startPad(value, units);
  function chosen() {
    value.placeholder = what.selectedOptions[0].dataset.example;
    showUnits();
    tell();
  }
  what.addEventListener("change", chosen);
  value.setSelectionRange(value.value.length, value.value.length);
  chosen();
  if (location.hash === "#value") value.focus();
}

function startPad(value, units) {
  const pad = document.getElementById("pad"), change = document.getElementById("pad-switch");
  const heard = document.querySelector("output[for=value]");
  const decimal = (1.1).toLocaleString().includes(",") ? "," : ".";
  pad.querySelector("[data-key=decimal]").textContent = decimal;

  function put(text) {
    value.setRangeText(text, value.selectionStart, value.selectionEnd, "end");
  }
  function remove() {
    const { selectionStart: from, selectionEnd: to } = value;
    const before = value.value.slice(0, from);
    const back = before.endsWith(" ± ") ? 3 : 1;
    value.setRangeText("", from === to ? Math.max(0, from - back) : from, to, "end");
  }
  // At the end, in the place of one that stands there.
  function unit(symbol) {
    const there = [...units()].sort((a, b) => b.length - a.length).find((u) => value.value.trimEnd().endsWith(u));
    const bare = there ? value.value.trimEnd().slice(0, -there.length) : value.value;
    value.value = joined(bare.trimEnd(), symbol);
    value.setSelectionRange(value.value.length, value.value.length);
  }
  function press(key) {
    if (key.dataset.unit) unit(key.dataset.unit);
    else if (key.dataset.key === "delete") remove();
    else if (key.dataset.key === "±") put(value.value.slice(0, value.selectionStart).endsWith(GAP) ? "± " : " ± ");
    // Whoever has begun with one sign goes on with it.
    else if (key.dataset.key === "decimal") put(value.value.match(/[.,]/)?.[0] ?? decimal);
    else put(key.dataset.key);
    heard.textContent = value.value;
    value.dispatchEvent(new Event("input", { bubbles: true }));
  }
  pad.addEventListener("click", (event) => { if (event.target.closest("button")) press(event.target.closest("button")); });
  // The field keeps the focus, and with it the place where one writes.
  pad.addEventListener("pointerdown", (event) => event.preventDefault());

  function show(on) {
    pad.hidden = !on;
    change.hidden = false;
    change.textContent = on ? change.dataset.hide : change.dataset.show;
    change.setAttribute("aria-expanded", String(on));
    if (on) value.inputMode = "none";
    else value.removeAttribute("inputmode");
  }
  change.addEventListener("click", () => {
    const on = pad.hidden;
    localStorage.setItem(PAD, on ? "on" : "off");
    show(on);
    value.focus();
  });
  const wanted = localStorage.getItem(PAD);
  show(wanted ? wanted === "on" : matchMedia("(pointer: coarse)").matches);

  return () => {
    for (const old of pad.querySelectorAll("[data-unit]")) old.remove();
    for (const symbol of units()) {
      const key = document.createElement("button");
      key.type = "button";
      key.className = "plain";
      key.dataset.unit = symbol;
      key.textContent = symbol;
      pad.append(key);
    }
  };
}

function sendFiles(form) {
  const said = form.querySelector("[role=alert]"), button = form.querySelector("button");
  const chosen = [...form.querySelectorAll("input[type=file]")];
  const say = (words) => { said.hidden = !words; said.textContent = words; };
  for (const one of chosen) {
    one.addEventListener("change", () => {
      if (one.files.length) for (const other of chosen) if (other !== one) other.value = "";
      say(one.files[0]?.size > Number(form.dataset.most) ? form.dataset.tooLarge : "");
    });
  }
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const [file] = chosen.flatMap((one) => [...one.files]);
    if (!file) return say(form.dataset.none);
    if (file.size > Number(form.dataset.most)) return say(form.dataset.tooLarge);
    say(form.dataset.sending);
    button.disabled = true;
    try {
      const answer = await fetch(form.action, { method: "POST", body: new FormData(form), redirect: "manual" });
      if (answer.type === "opaqueredirect") {
        location.assign(`${location.pathname}?sent=${encodeURIComponent(form.elements.token.value)}#attachments`);
        return;
      }
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      say([...page.querySelectorAll("main p"), page.body].find((e) => e.textContent.trim()).textContent.trim());
    } catch {
      say(form.dataset.away);
    }
    button.disabled = false;
  });
}

const reading = document.querySelector("form.reading"), upload = document.querySelector("form.upload");
if (reading) takeReadings(reading);
if (upload) sendFiles(upload);
