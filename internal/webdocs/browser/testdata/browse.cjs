// Opens the site in Chromium, each kind of page once: axe light and dark, reflow at every width of a screen, shifts and
// sizes; then forms with and without scripts, the keyboard, and no request that leaves the origin.
// usage: node browse.cjs <origin> <chromium> [folder for screenshots], with NODE_PATH naming a folder that has
// playwright-core and axe-core.
const { chromium } = require("playwright-core");
const { brotliCompressSync, constants } = require("node:zlib");
const axe = require("axe-core").source;

const [origin, executablePath, pictures] = process.argv.slice(2);
const wrong = [];
const check = (ok, what) => ok || wrong.push(what);

// One page of each kind. The workshop has a test of its own.
const kinds = {
  front: "/",
  developers: "/docs/",
  calculators: "/docs/calculators/",
  "calculator with fields": "/docs/calculators/heater-sizing/",
  "calculator by parts": "/docs/calculators/light-schedule-score/",
  "calculator of a document": "/docs/calculators/plan-audit/",
  "calculator that refuses": "/docs/calculators/evaporation/?length_mm=1&lid=ajar",
  gallery: "/docs/gallery/",
  "plan of the gallery": "/docs/gallery/household-oversized-heater/",
  methods: "/docs/methods/",
  method: "/docs/methods/evaporation/",
  sources: "/docs/sources/",
  texts: "/docs/texts/",
  reference: "/docs/reference/",
  "operation that is posted": "/docs/reference/postPlanAudit/",
  "operation by address": "/docs/reference/getEvaporation/",
  schema: "/docs/reference/schemas/PlanRequest/",
  problems: "/docs/problems/",
  problem: "/problems/invalid_request",
  embedding: "/docs/embed/",
  clients: "/docs/clients/",
  "no such page": "/docs/nothing/",
};
const widths = [1280, 1100, 900, 768, 600, 375, 320];
const mostBytes = 60_000;
const mostShift = 0.05;
const quick = { params: { [constants.BROTLI_PARAM_QUALITY]: 5 } }; // a tenth larger than at its best, in a tenth of the time
const every = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
// What a theme or a width decides; the other rules read the same document again.
const visual = { type: "rule", values: ["color-contrast", "target-size", "link-in-text-block", "scrollable-region-focusable"] };

async function watched(browser, options) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  page.setDefaultTimeout(90_000); // the gallery follows every plan when it is asked for first
  page.on("request", (r) => check(new URL(r.url()).origin === origin || r.url().startsWith("data:"), `${page.url()} asks ${r.url()}`));
  page.on("console", (m) => check(m.type() !== "error" || /status of 4\d\d/.test(m.text()), `${page.url()} says ${m.text()}`));
  page.on("pageerror", (e) => check(false, `${page.url()} throws ${e}`));
  return page;
}

async function violations(page, what, runOnly = every) {
  await page.evaluate(axe); // put in past the page's content policy, which forbids it, as it should
  const found = await page.evaluate((rules) => axe.run(document, { resultTypes: ["violations"], runOnly: rules }), runOnly);
  for (const v of found.violations) wrong.push(`${what}: ${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((n) => n.target.join(" ")).join(" | ")}`);
}

/** Adds up how far the parts of a page jump while it loads. */
function countShifts() {
  globalThis.shift = 0;
  new PerformanceObserver((list) => {
    for (const e of list.getEntries()) globalThis.shift += e.hadRecentInput ? 0 : e.value;
  }).observe({ type: "layout-shift", buffered: true });
}

/** What does not fit beside a screen: the page itself, what sticks out of it, and tables that must be pushed aside. */
function sticksOut() {
  const root = document.documentElement;
  const name = (e) => `${e.localName}${e.id ? "#" + e.id : ""}${e.className && typeof e.className === "string" ? "." + e.className.split(" ")[0] : ""}`;
  const out = [];
  if (root.scrollWidth > root.clientWidth) out.push(`the page is ${root.scrollWidth} px wide`);
  for (const table of document.querySelectorAll("table")) {
    const room = table.closest(".wide, figure") ?? table.parentElement;
    if (table.checkVisibility() && room.scrollWidth > room.clientWidth + 1) out.push(`the table "${(table.caption ?? table).textContent.trim().slice(0, 30)}" is ${room.scrollWidth} px wide in ${room.clientWidth}`);
  }
  for (const picture of document.querySelectorAll("main svg")) {
    const { width, right } = picture.getBoundingClientRect();
    if (width > 0 && right > root.clientWidth + 1) out.push(`${name(picture)} ends at ${Math.round(right)} px`);
  }
  for (const field of document.querySelectorAll("main input, main select, main textarea, main button, main a")) {
    const { left, right, width } = field.getBoundingClientRect();
    if (width > 0 && !field.closest("pre, .equation, .skip") && (right > root.clientWidth + 1 || left < -1)) out.push(`${name(field)} lies from ${Math.round(left)} to ${Math.round(right)} px`);
  }
  return out;
}

const sizes = [];

/** Looks at a kind of page: at a desk in the light with every rule, then on a phone in the dark, then at every width. */
async function look(browser, [kind, path]) {
  for (const [colorScheme, width, rules] of [["light", 1280, every], ["dark", 375, visual]]) {
    const page = await watched(browser, { colorScheme, viewport: { width, height: 900 } });
    await page.addInitScript(countShifts);
    const answers = [];
    page.on("response", (r) => answers.push(r));
    await page.goto(origin + path, { waitUntil: path.includes("embed") ? "networkidle" : "load" });
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    const shift = await page.evaluate(() => globalThis.shift);
    check(shift <= mostShift, `${kind} shifts by ${shift} at ${width} px`);
    if (rules === every) {
      const bodies = await Promise.all(answers.filter((r) => r.status() !== 304).map((r) => r.body()));
      const weight = (how) => bodies.reduce((sum, body) => sum + brotliCompressSync(body, how).length, 0);
      const roughly = weight(quick);
      const bytes = roughly <= mostBytes ? roughly : weight({}); // the service sends what it keeps at its best
      check(bytes <= mostBytes, `${kind} weighs ${bytes} bytes with its script`);
      sizes.push([kind, bytes, shift]);
    }
    await violations(page, `${kind}, ${colorScheme}, ${width} px`, rules);
    if (rules === every) {
      for (const w of widths) {
        await page.setViewportSize({ width: w, height: 900 });
        for (const what of await page.evaluate(sticksOut)) wrong.push(`${kind} on a screen of ${w} px: ${what}`);
        if (pictures) await page.screenshot({ path: `${pictures}/${kind.replaceAll(" ", "-")}-${w}.png`, fullPage: true });
      }
    }
    await page.context().close();
  }
}

/** Takes one after another from a list, a few at a time. */
async function lookAtAll(browser) {
  const waiting = Object.entries(kinds);
  const worker = async () => {
    for (let kind = waiting.shift(); kind; kind = waiting.shift()) await look(browser, kind);
  };
  await Promise.all([worker(), worker()]);
  for (const [kind, bytes, shift] of sizes) console.error(`${kind}: ${bytes} bytes by brotli, shifts by ${shift.toFixed(3)}`);
}

async function withScripts(browser) {
  const page = await watched(browser, { viewport: { width: 1280, height: 900 } });
  await page.goto(origin + "/");
  await page.keyboard.press("Tab");
  check(await page.evaluate(() => document.activeElement.className === "skip"), "the first stop of the keyboard is not the skip link");
  await page.keyboard.press("Enter");
  check(await page.evaluate(() => document.activeElement.id === "main"), "the skip link does not lead to the content");
  const heater = page.locator('form[data-ask="live-heater-sizing"]');
  await heater.locator('[name="room_c"]').fill("19,5");
  await heater.locator('[name="room_c"]').press("Enter");
  await page.locator('[data-status="live-heater-sizing"]', { hasText: "Answered." }).waitFor();
  check((await page.locator('[data-answer="live-heater-sizing"] .verdict').textContent()).includes("Use "), "no answer on the front page");
  check(new URL(page.url()).pathname === "/", "the front page was left");
  await heater.locator('[name="length_mm"]').fill("5");
  await heater.locator("button").click();
  await page.locator('#heater-sizing-length_mm-error:not([hidden])').waitFor();
  check(await page.evaluate(() => document.activeElement.id === "heater-sizing-length_mm" && document.activeElement.getAttribute("aria-invalid") === "true"), "a wrong value on the front page is not shown at its field");
  await violations(page, "front page with an error");
  await heater.locator('[name="length_mm"]').fill("900");
  await heater.locator("button").click();
  await page.locator('#heater-sizing-length_mm-error[hidden]').waitFor({ state: "attached" });
  check(await page.evaluate(() => !document.getElementById("heater-sizing-length_mm").hasAttribute("aria-invalid")), "a mended value stays marked");

  await page.goto(origin + "/docs/calculators/evaporation/");
  await page.locator("#evaporation-room_c").fill("18");
  await page.locator("form[data-ask] button").click();
  await page.locator('[data-status="main"]', { hasText: "Answered." }).waitFor();
  check(page.url().includes("room_c=18") && !page.url().includes("altitude_m"), "the address does not hold the question: " + page.url());
  check((await page.locator("[data-curl] code").first().textContent()).includes(origin + "/v1/evaporation?"), "the command does not name this host");
  check((await page.locator("#answer-title").textContent()) === "Answer", "the heading still speaks of the example");

  await page.goto(origin + "/docs/calculators/plan-audit/");
  await page.locator("textarea").fill('{"display": {"volume_l": 1}}');
  await page.locator("form[data-ask] button").click();
  await page.locator(".problem").waitFor();
  check((await page.locator(".problem").textContent()).includes("(line 1)"), "a wrong place in a document is not named");
  await violations(page, "plan audit with an error");

  await page.goto(origin + "/docs/reference/postEvaporation/");
  await page.locator("form[data-send] button").click();
  await page.locator("[data-back]:not([hidden])").waitFor();
  check((await page.locator("[data-back]").textContent()).includes("expected_l_d"), "the reference did not send");
  await page.goto(origin + "/docs/reference/getProblem/");
  await page.locator("form[data-send] button").click();
  await page.locator("[data-sent]", { hasText: "200" }).waitFor();

  await page.goto(origin + "/docs/reference/");
  await page.locator("#filter").fill("evaporation get");
  check((await page.locator("[data-item]:visible").count()) === 1, "the filter does not filter");
  await page.context().close();
}

async function withoutScripts(browser) {
  const page = await watched(browser, { javaScriptEnabled: false });
  await page.goto(origin + "/");
  await page.locator('form[data-ask="live-salinity-conversion"] button').click();
  await page.waitForURL("**/docs/calculators/salinity-conversion/**");
  check((await page.locator(".verdict").textContent()).includes("salinity is"), "no answer without scripts");
  await page.goto(origin + "/docs/calculators/plan-check/");
  await page.locator("form[data-ask] button").click();
  check((await page.locator('[data-answer="main"]').textContent()).length > 100, "no answer to a document without scripts");
  await page.context().close();
}

(async () => {
  const browser = await chromium.launch({
    executablePath,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
  try {
    await Promise.all([lookAtAll(browser), withScripts(browser).then(() => withoutScripts(browser))]);
  } finally {
    await browser.close();
  }
  for (const w of new Set(wrong)) console.log(w);
  process.exit(wrong.length > 0 ? 1 : 0);
})().catch((e) => {
  console.log(String(e));
  process.exit(2);
});
