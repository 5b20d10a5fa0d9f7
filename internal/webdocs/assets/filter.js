// Shows only the operations and schemas whose line holds what was typed.

const box = document.querySelector("[data-filter]");
const input = document.getElementById("filter");
const found = document.getElementById("filter-found");
const items = [...document.querySelectorAll("[data-item]")];
const groups = [...document.querySelectorAll("[data-group]")];

box.hidden = false;
input.addEventListener("input", () => {
  const parts = input.value.toLowerCase().split(/\s+/).filter(Boolean);
  let shown = 0;
  for (const item of items) {
    const text = item.textContent.toLowerCase();
    item.hidden = !parts.every((part) => text.includes(part));
    if (!item.hidden) shown += 1;
  }
  for (const group of groups) group.hidden = !group.querySelector("[data-item]:not([hidden])");
  found.textContent = parts.length === 0 ? "" : `${shown} ${box.dataset.found} ${items.length}`;
});
