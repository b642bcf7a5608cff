// Fault finding in its fold: answers are asked for and brought in where they stand. Without this each answer is a page of its own.

async function bring(address, from, quietly) {
  const answer = await fetch(address);
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = page.getElementById("fault"), old = from.closest("[data-fault]");
  if (!fresh || !old) return location.assign(address);
  old.replaceWith(document.adoptNode(fresh));
  // On a page of its own the address has it, so that it is there again when the page is loaded anew.
  if (new URL(address, location.href).pathname === location.pathname) history.replaceState(null, "", address);
  if (quietly) return;
  // Whoever answers by key or by ear goes on where the answer stands.
  const said = fresh.querySelector(".verdict") ?? fresh.querySelector("select");
  if (said) {
    if (!said.matches("select")) said.tabIndex = -1;
    said.focus();
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  // What a job keeps is posted, and its page comes anew.
  if (!form.closest("[data-fault]") || form.method !== "get" || !form.action.endsWith("/fault")) return;
  event.preventDefault();
  const asked = new URLSearchParams(new FormData(form));
  if (event.submitter?.name) asked.append(event.submitter.name, event.submitter.value);
  const address = `${form.action}?${asked}`;
  bring(address, form).catch(() => location.assign(address));
});

document.addEventListener("click", (event) => {
  const link = event.target.closest("[data-fault] a[data-stays]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  bring(link.href, link).catch(() => location.assign(link.href));
});

// Recordings of a job are heard beside the page. When all were, the search comes anew with what they say, unless somebody is at work in it.
async function hear() {
  for (;;) {
    const told = document.querySelector("[data-hearing]");
    if (!told) return;
    const now = await (await fetch(told.dataset.hearing)).json();
    if (now.state !== "running") {
      const busy = told.closest("[data-fault]").contains(document.activeElement);
      return busy ? undefined : bring(location.href, told, true);
    }
    told.querySelector("progress").value = now.share;
    await new Promise((after) => setTimeout(after, 500));
  }
}

hear().catch(() => {});
