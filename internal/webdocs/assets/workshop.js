// The workshop without page loads. The server makes every state of the page, with and without this script; here a form
// is sent in the background and its page put in place, a chosen failure can be played, and a click on the drawing
// chooses a part.

let running = null;
const words = JSON.parse(document.querySelector("[data-workshop-words]").textContent);

const make = (tag, more, ...inside) => {
  const element = Object.assign(document.createElement(tag), more);
  element.append(...inside);
  return element;
};

const here = () => document.querySelector("[data-workshop]");

/** Says beside a button how long it has been calculating, with a way to stop. Returns what takes that away. */
function waiting(button, stop) {
  const began = performance.now();
  const bar = make("progress", {});
  bar.setAttribute("aria-label", words.calculating);
  const time = make("span", { className: "hint" });
  const end = make("button", { type: "button", className: "second", textContent: words.stop });
  end.addEventListener("click", stop);
  const box = make("span", { className: "waiting" }, bar, time, end);
  const tick = () => (time.textContent = `${Math.round((performance.now() - began) / 1000)} s`);
  const timer = setInterval(tick, 500);
  tick();
  button.hidden = true;
  button.after(box);
  end.focus({ preventScroll: true });
  return () => {
    clearInterval(timer);
    box.remove();
    button.hidden = false;
  };
}

/** Sends what a form or button would send and shows the page that comes back. */
async function go(url, init, focus, button) {
  running?.abort();
  const mine = (running = new AbortController());
  const status = here().querySelector("[data-status]");
  status.textContent = words.calculating;
  const done = button && "long" in button.dataset ? waiting(button, () => mine.abort()) : () => {};
  try {
    const response = await fetch(url, { ...init, signal: mine.signal });
    const page = new DOMParser().parseFromString(await response.text(), "text/html");
    const came = page.querySelector("[data-workshop]");
    if (!came) {
      done();
      status.textContent = page.querySelector("main .lead, main p")?.textContent ?? words.service_answered.replace("{status}", response.status);
      return;
    }
    const open = new Set([...here().querySelectorAll("details[open] > summary")].map((s) => s.firstChild.textContent));
    const y = scrollY;
    here().replaceWith(came);
    for (const s of came.querySelectorAll("details > summary")) if (open.has(s.firstChild.textContent)) s.parentElement.open = true;
    document.title = page.title;
    if (response.url !== location.href && response.ok) history.pushState(null, "", response.url);
    prepare(focus === "[data-course]");
    scrollTo(0, y);
    const at = focus && came.querySelector(focus);
    (came.querySelector("[aria-invalid]") ?? at)?.focus({ preventScroll: !came.querySelector("[aria-invalid]") });
    came.querySelector("[data-status]").textContent = came.querySelector(".verdict")?.textContent.trim() ?? "";
    if (at?.matches(".part, .course, h3")) at.scrollIntoView({ block: "nearest" });
  } catch (error) {
    done();
    if (error.name === "AbortError" && running === mine) status.textContent = words.stopped;
    if (error.name !== "AbortError") status.textContent = words.no_answer;
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
  const chosen = { part: "#part", fault: "[data-course]", cures: "#cures", risk: "#pairs" }[button?.name];
  const focus = chosen ?? placeOf(document.activeElement);
  const url = new URL(form.action, location.href);
  if (form.method === "post") return go(url, { method: "POST", body: form.enctype === "multipart/form-data" ? data : new URLSearchParams(data) }, focus, button);
  url.search = new URLSearchParams(data);
  return go(url, {}, focus, button);
}

const split = (text) => (text ? text.split("|") : []);

/** Shows the tank at a sample in the drawing: water, readings, and how far each alarm has come. */
function showWater(drawn, sample, lit) {
  for (const tank of drawn.querySelectorAll("[data-tank]")) {
    const { tank: name, line, up, down, top, bottom } = tank.dataset;
    const mm = name === "sump" ? sample.sm : sample.dm;
    const y = Math.min(bottom, Math.max(top, line - mm * (mm > 0 ? up : down)));
    const water = tank.querySelector("rect");
    water.setAttribute("y", y);
    water.setAttribute("height", bottom - y);
    const level = tank.querySelector(".drawing-level");
    level.setAttribute("d", level.getAttribute("d").replace(/^(M[\d.-]+ )[\d.-]+/, `$1${y}`));
    tank.querySelector(".drawing-reading").textContent = name === "sump" ? sample.s : sample.d;
    const spill = tank.querySelector(".drawing-spill");
    if (spill) {
      spill.textContent = sample.f;
      spill.classList.toggle("drawing-dry", !sample.f);
    }
  }
  for (const line of drawn.querySelectorAll("[data-from]")) {
    const comes = (ids) => split(ids).some((id) => lit.has(id));
    line.classList.toggle("drawing-lit", comes(line.dataset.from) && comes(line.dataset.to));
  }
  for (const part of drawn.querySelectorAll("[data-part]")) part.querySelector("rect").classList.toggle("drawing-lit", lit.has(part.dataset.part));
}

/** Puts the names of moments beside the bar, in as many lines as keep them apart. */
function placeTicks(ticks, moments, hours) {
  const width = ticks.clientWidth;
  const ends = [];
  ticks.replaceChildren();
  for (const m of moments) {
    const share = m.at / hours;
    const x = 8 + (width - 16) * share;
    const size = 7.5 * m.word.length + 10;
    const from = Math.max(0, Math.min(width - size, x));
    let row = ends.findIndex((end) => end <= from);
    if (row < 0) row = ends.length;
    ends[row] = from + size;
    const tick = make("span", { className: "tick" });
    const name = make("span", { className: "tick-name", textContent: m.word });
    tick.style.left = `${x}px`;
    tick.style.height = `${row * 1.2 + 0.5}rem`;
    name.style.left = `${from}px`;
    name.style.top = `${row * 1.2 + 0.25}rem`;
    ticks.append(tick, name);
  }
  ticks.style.height = `${ends.length * 1.2 + 0.4}rem`;
}

/** Plays a course in the drawing. Returns what shows a moment, by its hour. */
function play(course, begin) {
  const samples = JSON.parse(course.querySelector("[data-samples]").textContent);
  const last = samples.length - 1;
  const hours = samples[last].h;
  const drawn = here().querySelector(".drawing");
  const lines = [...here().querySelectorAll(".moments > li")];
  const moments = lines.map((li) => ({ li, at: Number(li.querySelector("button").value), word: li.dataset.word, lit: split(li.dataset.lit) }));
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  const indexOf = (hour) => samples.reduce((best, s, i) => (Math.abs(s.h - hour) < Math.abs(samples[best].h - hour) ? i : best), 0);
  const bar = make("input", { type: "range", min: 0, max: last, step: 1, value: 0 });
  bar.setAttribute("aria-label", words.time_since_failure);
  const button = make("button", { type: "button", textContent: words.play });
  const step = (text, to) => {
    const b = make("button", { type: "button", className: "second", textContent: text });
    b.addEventListener("click", () => {
      stop();
      const at = Number(bar.value);
      const places = moments.map((m) => indexOf(m.at)).filter((i) => (to > 0 ? i > at : i < at));
      bar.value = to > 0 ? Math.min(last, ...places) : Math.max(0, ...places);
      show(true);
    });
    return b;
  };
  const told = make("p", { className: "now-told" });
  const heard = make("p", { className: "visually-hidden" });
  heard.setAttribute("role", "status");
  const ticks = make("div", { className: "ticks" });
  ticks.setAttribute("aria-hidden", "true");
  let running = 0;
  let before = -1;
  function show(tell) {
    const s = samples[bar.value];
    const come = moments.filter((m) => indexOf(m.at) <= Number(bar.value));
    const at = come.at(-1) ?? moments[0];
    showWater(drawn, s, new Set(come.flatMap((m) => m.lit)));
    for (const m of moments) m.li.classList.toggle("now", m === at);
    const said = come.filter((m) => m.at === at.at).map((m) => m.li.querySelector("p").cloneNode(true));
    for (const e of said.flatMap((p) => [...p.querySelectorAll("button, .value")])) e.remove();
    const water = [s.d, s.s, s.f].filter(Boolean).join(" · ");
    bar.setAttribute("aria-valuetext", `${s.t}: ${water}. ${said.map((p) => p.textContent.trim()).join(" ")}`);
    told.replaceChildren(make("strong", { textContent: `${s.t} · ${water}` }), ...said.flatMap((p) => [...p.childNodes]));
    if (tell && come.length !== before) heard.textContent = told.textContent;
    before = come.length;
  }
  function stop() {
    cancelAnimationFrame(running);
    running = 0;
    button.textContent = words.play;
  }
  function start() {
    if (Number(bar.value) >= last) bar.value = 0;
    button.textContent = words.pause;
    const from = Number(bar.value);
    const began = performance.now();
    const tick = (now) => {
      if (!bar.isConnected) return;
      const to = Math.min(last, from + Math.floor(((now - began) / playSeconds / 1000) * last));
      if (to !== Number(bar.value)) {
        bar.value = to;
        show(true);
      }
      if (to >= last) stop();
      else running = requestAnimationFrame(tick);
    };
    show(true);
    running = requestAnimationFrame(tick);
  }
  button.addEventListener("click", () => (running ? stop() : start()));
  bar.addEventListener("input", () => {
    stop();
    show(false);
  });
  course.append(make("div", { className: "player" }, ...(still ? [] : [button]), step(words.earlier, -1), step(words.later, 1), make("div", { className: "bar" }, bar, ticks)), told, heard);
  here().querySelector(".told").classList.add("scripted");
  new ResizeObserver(() => placeTicks(ticks, moments.filter((m) => m.at <= hours && m.li.dataset.kind !== "comfort_left"), hours)).observe(ticks);
  bar.value = indexOf(Number(here().querySelector(".moments .now button")?.value ?? hours));
  if (begin) bar.value = 0;
  show(false);
  if (begin && !still) start();
  course.goTo = (hour) => {
    stop();
    bar.value = indexOf(hour);
    show(true);
  };
}
const playSeconds = 12;

function prepare(begin) {
  const course = here()?.querySelector("[data-course]");
  if (course) {
    course.tabIndex = -1;
    play(course, begin);
  }
  const part = document.getElementById("part");
  if (part) part.tabIndex = -1;
}

document.addEventListener("submit", (event) => {
  if (!here()?.contains(event.target)) return;
  event.preventDefault();
  if (event.submitter?.name === "at") return here().querySelector("[data-course]").goTo(Number(event.submitter.value));
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
