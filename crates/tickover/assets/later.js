// What is typed while the server does not answer is kept on this device and sent when it does. Each form carries a mark, so what arrives
// twice is kept once.

const SHELF = "to send";
const AGAIN_MS = 5000;
const UNSEEN = ["token", "taken_at", "offered"]; // what the device adds by itself
const place = document.getElementById("later");

const shelf = () => JSON.parse(localStorage.getItem(SHELF) ?? "[]");
const put = (all) => localStorage.setItem(SHELF, JSON.stringify(all));

// 128 random bits: `crypto.randomUUID` is not there on a page without https.
const mark = () => [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, "0")).join("");

function line(words) {
  const item = document.createElement("li");
  item.textContent = words;
  return item;
}

// What waits, and what was refused with the words as typed, so that nothing is lost.
function show() {
  const all = shelf();
  place.hidden = all.length === 0;
  place.replaceChildren();
  if (place.hidden) return;
  const said = document.createElement("p");
  said.textContent = all.some((each) => each.refused) ? place.dataset.refused : place.dataset.kept;
  const list = document.createElement("ul");
  for (const each of all) {
    const item = line([...new URLSearchParams(each.body)].filter(([name, value]) => value && !UNSEEN.includes(name)).map(([, value]) => value).join(" · "));
    if (each.refused) {
      item.append(` – ${each.refused} `);
      const drop = document.createElement("button");
      drop.className = "plain";
      drop.textContent = place.dataset.drop;
      drop.addEventListener("click", () => { put(shelf().filter((other) => other.token !== each.token)); show(); });
      item.append(drop);
    }
    list.append(item);
  }
  place.append(said, list);
}

// Gives what became of it: "sent", "refused" with the answer, or "away".
async function post(each) {
  try {
    const answer = await fetch(each.to, { method: "POST", body: new URLSearchParams(each.body), redirect: "manual" });
    if (answer.type === "opaqueredirect") return { became: "sent" };
    // A server in trouble may be well again later, and a device that was let out may be let in again.
    if (answer.status >= 500 || answer.status === 403) return { became: "away" };
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const why = (page.querySelector(".error:not([hidden]), .missing[role=status]") ?? page.querySelector("main p") ?? page.body).textContent.trim();
    return { became: "refused", why };
  } catch {
    return { became: "away" };
  }
}

let sending = false;
async function sendAll() {
  if (sending) return;
  sending = true;
  let arrived = false;
  for (const each of shelf().filter((each) => !each.refused)) {
    const { became, why } = await post(each);
    if (became === "away") continue;
    arrived ||= became === "sent" && each.to.startsWith(location.pathname);
    put(became === "sent" ? shelf().filter((other) => other.token !== each.token) : shelf().map((other) => (other.token === each.token ? { ...other, refused: why } : other)));
  }
  sending = false;
  show();
  const typing = [...document.querySelectorAll("form[data-later] :is(input:not([type=hidden]), textarea)")].some((field) => field.value !== field.defaultValue);
  if (arrived && !typing) location.reload();
}

async function submitted(event) {
  event.preventDefault();
  const form = event.target;
  const body = new URLSearchParams(new FormData(form));
  body.set("taken_at", Math.floor(Date.now() / 1000));
  const each = { to: new URL(form.action).pathname, body: String(body), token: form.elements.token.value };
  const { became } = await post(each);
  // The usual way: the answer is the page itself, with what is wrong beside its field. Nothing of it was kept.
  if (became === "refused") return form.submit();
  if (became === "sent" && !form.dataset.then) return location.reload();
  if (became === "sent") return location.assign(`${location.pathname}?sent=${encodeURIComponent(each.token)}#${form.dataset.then}`);
  put([...shelf(), each]);
  form.reset();
  form.elements.token.value = mark();
  show();
}

if (place) {
  for (const form of document.querySelectorAll("form[data-later]")) form.addEventListener("submit", submitted);
  addEventListener("online", sendAll);
  setInterval(() => { if (shelf().some((each) => !each.refused)) sendAll(); }, AGAIN_MS);
  show();
  sendAll();
}
