// Sends an operation as it stands in the form and shows what came back, untouched.

const form = document.querySelector("form[data-send]");
const back = form.querySelector("[data-back]");
const sent = form.querySelector("[data-sent]");

function request() {
  let path = form.dataset.path;
  const query = new URLSearchParams();
  for (const input of form.querySelectorAll("input")) {
    const value = input.value.trim();
    if (input.dataset.in === "path") path = path.replace(`{${input.name}}`, encodeURIComponent(value));
    else if (value !== "") query.set(input.name, value);
  }
  const url = new URL(path, location.origin);
  url.search = query;
  const options = { method: form.dataset.send, headers: { Accept: "application/json" } };
  const body = form.elements.namedItem("body");
  if (body) {
    options.body = body.value;
    options.headers["Content-Type"] = "application/json";
  }
  return [url, options];
}

function pretty(text) {
  try {
    return JSON.stringify(JSON.parse(text), null, 2);
  } catch {
    return text;
  }
}

form.hidden = false;
form.addEventListener("submit", async (event) => {
  event.preventDefault();
  sent.textContent = form.dataset.sending;
  try {
    const [url, options] = request();
    const began = performance.now();
    const response = await fetch(url, options);
    const text = await response.text();
    sent.textContent = `${response.status} ${response.statusText}, ${response.headers.get("Content-Type")}, ${Math.round(performance.now() - began)} ms, ${text.length} ${form.dataset.length}`;
    back.textContent = `${options.method} ${url.pathname}${url.search}\n\n${pretty(text)}`;
    back.hidden = false;
  } catch {
    sent.textContent = form.dataset.silent;
  }
});
