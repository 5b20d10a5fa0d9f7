// Sends a calculator's form without leaving the page, when it is sent and while it is filled in. The server renders the
// answer, the errors and the labels, with and without this script; here they are only put in their places.

/** What the page says, in its own language. */
const say = JSON.parse(document.documentElement.dataset.words);

/** How long nobody types before the answer is asked for, in milliseconds. */
const pause = 450;

/** Asks the server for the page that answers the form. */
async function fetchAnswer(form, signal) {
  const data = new URLSearchParams(new FormData(form));
  const url = new URL(form.action, location.href);
  if (form.method === "post") {
    return [url, await fetch(url, { method: "POST", body: data, signal })];
  }
  for (const [name, value] of [...data]) {
    if (value === "") data.delete(name, value);
  }
  url.search = data;
  return [url, await fetch(url, { signal })];
}

/** The controls of a form that have a field of their own, wherever they stand. */
function controls(form) {
  return [...form.elements].filter((e) => e.id && e.name);
}

/** Puts each error of the page that came back beside its field, or takes it away. Returns the first wrong field. */
function placeErrors(form, page) {
  let first = null;
  for (const field of controls(form)) {
    const slot = document.getElementById(`${field.id}-error`);
    if (!slot) continue;
    const said = page.querySelector(`[data-error="${CSS.escape(field.name)}"]`)?.textContent ?? "";
    slot.textContent = said;
    slot.hidden = said === "";
    if (said === "") {
      field.removeAttribute("aria-invalid");
      continue;
    }
    field.setAttribute("aria-invalid", "true");
    field.closest("details")?.setAttribute("open", "");
    first ??= field;
  }
  return first;
}

/** Takes labels, hints and assumed values from the page that came back, and with other units the numbers too. */
function relabel(form, page, changed) {
  for (const field of controls(form)) {
    const came = page.getElementById(field.id);
    if (!came) continue;
    for (const selector of [`label[for="${CSS.escape(field.id)}"]`, `#${CSS.escape(field.id)}-hint`]) {
      take(page, selector, document.querySelector(selector));
    }
    if (field.tagName === "SELECT") {
      [...came.options].forEach((option, i) => (field.options[i].textContent = option.textContent));
      continue;
    }
    field.placeholder = came.placeholder;
    if (changed && field.name !== "body" && field !== document.activeElement) field.value = came.value;
  }
  form.querySelector('[name="labelled"]')?.remove();
  const labelled = page.querySelector(`#${CSS.escape(form.id)} [name="labelled"]`);
  if (labelled) form.append(document.adoptNode(labelled));
}

function take(page, selector, into) {
  const came = page.querySelector(selector);
  if (came && into) into.replaceChildren(...came.childNodes);
  return came !== null;
}

/** Links from an error to a field lead to the form on this page, whatever its ids are. */
function relink(answer, form) {
  for (const link of answer.querySelectorAll('.problem a[href^="#"]')) {
    const field = form.elements.namedItem(link.dataset.field);
    if (field?.id) link.hash = field.id;
  }
}

/** A question on the front page shows the gist and leads to the rest. */
function shorten(answer, url) {
  for (const part of [...answer.children]) {
    if (!part.matches(".verdict, .figures:not(.small), .problem")) part.remove();
  }
  const rest = document.createElement("a");
  rest.href = url.pathname + url.search;
  rest.textContent = say.whole_answer;
  answer.append(rest);
}

function enhance(form) {
  const id = CSS.escape(form.dataset.ask);
  const alone = form.dataset.ask === "main";
  const answer = document.querySelector(`[data-answer="${id}"]`);
  const status = document.querySelector(`[data-status="${id}"]`);
  const button = form.querySelector("button");
  let running = null;
  let waiting = 0;
  let units = form.elements.namedItem("units")?.value;
  form.noValidate = true; // the server says it better, all at once and in words

  async function ask(typing) {
    clearTimeout(waiting);
    running?.abort();
    running = new AbortController();
    const mine = running;
    const asked = form.elements.namedItem("units")?.value;
    button.setAttribute("aria-disabled", "true");
    if (!typing) status.textContent = say.calculating;
    try {
      const [url, response] = await fetchAnswer(form, mine.signal);
      const page = new DOMParser().parseFromString(await response.text(), "text/html");
      if (!take(page, '[data-answer="main"]', answer)) {
        answer.replaceChildren();
        status.textContent = page.querySelector("main .lead")?.textContent ?? say.no_answer;
        return;
      }
      if (!alone) shorten(answer, url);
      const wrong = placeErrors(form, page);
      relink(answer, form);
      if (alone) {
        relabel(form, page, asked !== units);
        for (const part of ["#answer-title", "[data-curl]", "[data-whole]"]) take(page, part, document.querySelector(part));
        const whole = document.querySelector("[data-numbers]");
        if (whole) whole.hidden = page.querySelector("[data-numbers]")?.hidden ?? true;
      }
      units = asked;
      document.dispatchEvent(new Event("pagechanged"));
      if ("history" in form.dataset && form.method === "get") history.replaceState(null, "", url);
      if (wrong) {
        status.textContent = page.querySelector(".problem strong")?.textContent ?? say.did_not_work;
        if (!typing) wrong.focus();
      } else {
        status.textContent = response.ok ? say.answered : say.did_not_work;
        if (!typing && answer.getBoundingClientRect().top > innerHeight * 0.8) answer.scrollIntoView({ block: "nearest" });
      }
    } catch (error) {
      if (error.name !== "AbortError") status.textContent = say.no_answer;
    } finally {
      if (running === mine) button.removeAttribute("aria-disabled");
    }
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    ask(false);
  });
  if (form.method !== "get") return;
  document.addEventListener("input", (event) => { // of fields outside the form too
    if (event.target.form !== form) return;
    clearTimeout(waiting);
    running?.abort();
    if ([...form.elements].every((e) => !e.required || e.value.trim() !== "")) waiting = setTimeout(ask, pause, true);
  });
}

for (const form of document.querySelectorAll("form[data-ask]")) enhance(form);
