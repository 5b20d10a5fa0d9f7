// Sends a calculator's form without leaving the page. The server renders the answer and the errors, with and
// without this script; here they are only put in their places.

const origin = location.origin;

/** Shows this host in the commands that a reader may copy. */
function localise(root) {
  for (const code of root.querySelectorAll("[data-origin]")) {
    code.textContent = code.textContent.replaceAll("http://127.0.0.1:8080", origin);
  }
}

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

/** Puts each error of the page that came back beside its field, or takes it away. Returns the first wrong field. */
function placeErrors(form, page) {
  let first = null;
  for (const slot of form.querySelectorAll("[data-error]")) {
    const name = slot.dataset.error;
    const said = page.querySelector(`form[data-ask="main"] [data-error="${CSS.escape(name)}"]`)?.textContent ?? "";
    const field = form.elements.namedItem(name);
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
    if (!part.matches(".summary, .figures, .caution, .warnings, .problem")) part.remove();
  }
  const rest = document.createElement("a");
  rest.href = url.pathname + url.search;
  rest.textContent = "The whole answer";
  answer.append(rest);
}

function enhance(form) {
  const id = CSS.escape(form.dataset.ask);
  const answer = document.querySelector(`[data-answer="${id}"]`);
  const status = document.querySelector(`[data-status="${id}"]`);
  const button = form.querySelector("button");
  let running = null;
  form.noValidate = true; // the server says it better, all at once and in words
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    running?.abort();
    running = new AbortController();
    const mine = running;
    button.setAttribute("aria-disabled", "true");
    status.textContent = "Calculating…";
    try {
      const [url, response] = await fetchAnswer(form, mine.signal);
      const page = new DOMParser().parseFromString(await response.text(), "text/html");
      if (!take(page, '[data-answer="main"]', answer)) {
        answer.replaceChildren();
        status.textContent = page.querySelector("main .lead")?.textContent ?? `The service answered ${response.status}.`;
        return;
      }
      if (form.dataset.ask !== "main") shorten(answer, url);
      const wrong = placeErrors(form, page);
      relink(answer, form);
      const heading = document.getElementById("answer-title");
      if (form.dataset.ask === "main" && heading) heading.textContent = page.getElementById("answer-title").textContent;
      take(page, "[data-curl]", document.querySelector("[data-curl]"));
      localise(document);
      if ("history" in form.dataset && form.method === "get") history.replaceState(null, "", url);
      if (wrong) {
        status.textContent = page.querySelector(".problem strong")?.textContent ?? "That did not work.";
        wrong.focus();
      } else {
        status.textContent = response.ok ? "Answered." : "That did not work.";
        if (answer.getBoundingClientRect().top > innerHeight * 0.8) answer.scrollIntoView({ block: "nearest" });
      }
    } catch (error) {
      if (error.name !== "AbortError") status.textContent = "The service did not answer. Check the connection and try again.";
    } finally {
      if (running === mine) button.removeAttribute("aria-disabled");
    }
  });
}

localise(document);
for (const form of document.querySelectorAll("form[data-ask]")) enhance(form);
