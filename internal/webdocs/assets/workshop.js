// The workshop without page loads. The server makes every state of the page, with and without this script; here a form
// is sent in the background and its page put in place, a chosen failure can be played, and a click on the drawing
// chooses a part.

let running = null;

const here = () => document.querySelector("[data-workshop]");

/** Sends what a form or button would send and shows the page that comes back. */
async function go(url, init, focus) {
  running?.abort();
  const mine = (running = new AbortController());
  const status = here().querySelector("[data-status]");
  status.textContent = "Calculating…";
  try {
    const response = await fetch(url, { ...init, signal: mine.signal });
    const page = new DOMParser().parseFromString(await response.text(), "text/html");
    const came = page.querySelector("[data-workshop]");
    if (!came) {
      status.textContent = page.querySelector("main .lead, main p")?.textContent ?? `The service answered ${response.status}.`;
      return;
    }
    const open = new Set([...here().querySelectorAll("details[open] > summary")].map((s) => s.firstChild.textContent));
    const y = scrollY;
    here().replaceWith(came);
    for (const s of came.querySelectorAll("details > summary")) if (open.has(s.firstChild.textContent)) s.parentElement.open = true;
    document.title = page.title;
    if (response.url !== location.href && response.ok) history.pushState(null, "", response.url);
    prepare();
    scrollTo(0, y);
    const at = focus && came.querySelector(focus);
    (came.querySelector("[aria-invalid]") ?? at)?.focus({ preventScroll: !came.querySelector("[aria-invalid]") });
    came.querySelector("[data-status]").textContent = came.querySelector(".verdict")?.textContent.trim() ?? "";
    if (at?.matches(".part, .course")) at.scrollIntoView({ block: "nearest" });
  } catch (error) {
    if (error.name !== "AbortError") status.textContent = "The service did not answer. Check the connection and try again.";
  }
}

/** Where the keyboard stands after a page came: where it stood. */
function placeOf(element) {
  if (!element) return null;
  if (element.id) return `#${CSS.escape(element.id)}`;
  if (element.name && element.value) return `[name="${CSS.escape(element.name)}"][value="${CSS.escape(element.value)}"]`;
  return null;
}

function send(form, button) {
  const data = new FormData(form, button);
  const chosen = button?.name === "part" ? "#part" : button?.name === "fault" ? "[data-course]" : null;
  const focus = chosen ?? placeOf(document.activeElement);
  const url = new URL(form.action, location.href);
  if (form.method === "post") return go(url, { method: "POST", body: form.enctype === "multipart/form-data" ? data : new URLSearchParams(data) }, focus);
  url.search = new URLSearchParams(data);
  return go(url, {}, focus);
}

/** Plays the frames of a course: play, pause, step by button, bar or arrow keys. */
function play(course) {
  const list = course.querySelector(".frames");
  const frames = [...list.children];
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  const player = document.createElement("div");
  player.className = "player";
  const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Play" });
  const bar = Object.assign(document.createElement("input"), { type: "range", min: 0, max: frames.length - 1, value: 0 });
  bar.setAttribute("aria-label", "Moment");
  let timer = null;
  const show = () => {
    frames.forEach((f, i) => f.classList.toggle("now", i === Number(bar.value)));
    bar.setAttribute("aria-valuetext", frames[bar.value].querySelector("p").textContent);
  };
  const stop = () => {
    clearInterval(timer);
    timer = null;
    button.textContent = "Play";
    list.classList.remove("playing");
  };
  button.addEventListener("click", () => {
    if (timer) return stop();
    if (Number(bar.value) === frames.length - 1) bar.value = 0;
    button.textContent = "Pause";
    list.classList.add("playing");
    show();
    timer = setInterval(() => {
      bar.value = Number(bar.value) + 1;
      show();
      if (Number(bar.value) === frames.length - 1) stop();
    }, 1500);
  });
  bar.addEventListener("input", show);
  player.append(...(still ? [] : [button]), bar);
  list.before(player);
  show();
}

function prepare() {
  for (const course of here().querySelectorAll("[data-course]")) {
    course.tabIndex = -1;
    play(course);
  }
  const part = document.getElementById("part");
  if (part) part.tabIndex = -1;
}

document.addEventListener("submit", (event) => {
  if (!here()?.contains(event.target)) return;
  event.preventDefault();
  send(event.target, event.submitter);
});
document.addEventListener("change", (event) => {
  const form = event.target.closest?.("form[data-live]");
  if (form && !("new" in form.dataset)) send(form, form.querySelector('button[value="part"]'));
});
document.addEventListener("click", (event) => {
  const id = event.target.closest?.("[data-part]")?.dataset.part;
  if (id) here().querySelector(`[data-at="${CSS.escape(id)}"]`)?.click();
  const link = event.target.closest?.('a[href^="/plan/"]');
  if (link && here()?.contains(link) && !("leave" in link.dataset) && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
    event.preventDefault();
    go(link.href, {}, "h1");
  }
});
addEventListener("keydown", (event) => {
  if (event.key === "z" && (event.ctrlKey || event.metaKey) && !event.target.closest?.("input, textarea, select")) {
    const undo = document.getElementById("undo");
    if (undo) {
      event.preventDefault();
      send(undo);
    }
  }
});
addEventListener("popstate", () => location.reload());
prepare();
