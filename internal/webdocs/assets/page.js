// What every page has: commands that name this host, and a button beside each that copies it.

/** What the page says, in its own language. */
const say = JSON.parse(document.documentElement.dataset.words);

/** The host that commands name until a script puts the page's own in; absent where the operator named one. */
const written = document.documentElement.dataset.origin;

function ready() {
  for (const code of document.querySelectorAll("[data-copy]")) {
    if (written && written !== location.origin) code.textContent = code.textContent.replaceAll(written, location.origin);
    const box = code.closest("pre");
    if (!navigator.clipboard || box.previousElementSibling?.matches(".copy")) continue;
    const button = document.createElement("button");
    button.type = "button";
    button.className = "copy";
    button.textContent = say.copy;
    button.addEventListener("click", async () => {
      try {
        await navigator.clipboard.writeText(code.textContent);
        button.textContent = say.copied;
      } catch {
        button.textContent = say.not_allowed;
      }
      setTimeout(() => (button.textContent = say.copy), 1500);
    });
    box.before(button);
  }
}

ready();
document.addEventListener("pagechanged", ready);
