// Opens the site in Chromium: axe, reflow, forms with and without scripts, keyboard, and no request leaves the origin.
// usage: node browse.cjs <origin> <chromium>, with NODE_PATH naming a folder that has playwright-core and axe-core.
const { chromium } = require("playwright-core");
const axe = require("axe-core").source;

const [origin, executablePath] = process.argv.slice(2);
const wrong = [];
const check = (ok, what) => ok || wrong.push(what);

// Each template once with every rule; the rules that light, dark and width decide, over all of them again.
const whole = [
  "/", "/docs/calculators/heater-sizing/", "/docs/calculators/plan-audit/", "/docs/gallery/", "/docs/gallery/household-oversized-heater/", "/docs/methods/heat/",
  "/docs/reference/", "/docs/reference/postPlanAudit/", "/docs/embed/", "/docs/calculators/evaporation/?length_mm=1&lid=ajar",
];
const every = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const visual = { type: "rule", values: ["color-contrast", "target-size", "link-in-text-block", "scrollable-region-focusable"] };

const main = [
  "/", "/docs/", "/docs/calculators/", "/docs/calculators/heater-sizing/", "/docs/calculators/plan-audit/", "/docs/gallery/",
  "/docs/gallery/household-oversized-heater/", "/docs/methods/", "/docs/methods/heat/", "/docs/sources/", "/docs/reference/",
  "/docs/reference/postPlanAudit/", "/docs/reference/getEvaporation/", "/docs/reference/schemas/PlanRequest/", "/problems/invalid_request",
  "/docs/problems/", "/docs/embed/", "/docs/calculators/evaporation/?length_mm=1&lid=ajar",
];

async function watched(browser, options) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
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

async function axeOver(browser, paths, rules, colorScheme, viewport) {
  const page = await watched(browser, { colorScheme, viewport });
  for (const path of paths) {
    await page.goto(origin + path);
    await violations(page, `${path} ${colorScheme} ${viewport.width}`, rules);
  }
  await page.context().close();
}

async function reflow(browser) {
  const page = await watched(browser, { viewport: { width: 320, height: 640 } });
  for (const path of main) {
    await page.goto(origin + path);
    const width = await page.evaluate(() => document.documentElement.scrollWidth);
    check(width <= 320, `${path} is ${width} px wide on a screen of 320`);
  }
  await page.context().close();
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
  check((await page.locator(".problem").textContent()).includes("#/display/volume_l"), "a wrong member of a document is not named");
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
    await Promise.all([
      axeOver(browser, whole, every, "light", { width: 1280, height: 900 }),
      axeOver(browser, main, visual, "dark", { width: 390, height: 844 }).then(() => axeOver(browser, ["/", "/docs/calculators/heater-sizing/"], visual, "light", { width: 390, height: 844 })),
      reflow(browser).then(() => withScripts(browser)).then(() => withoutScripts(browser)),
    ]);
  } finally {
    await browser.close();
  }
  for (const w of new Set(wrong)) console.log(w);
  process.exit(wrong.length > 0 ? 1 : 0);
})().catch((e) => {
  console.log(String(e));
  process.exit(2);
});
