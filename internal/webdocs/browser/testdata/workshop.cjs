// The workshop in Chromium: from the front page to a printed hand-over, by forms without scripts and by keyboard with
// them; axe in its states, light and dark; reflow, layout shifts, sizes. The clicks of each way are counted and printed.
// usage: node workshop.cjs <origin> [languages] <chromium>: the job in English, or its states in German and Spanish; with NODE_PATH naming a folder that has playwright-core and axe-core.
const { chromium } = require("playwright-core");
const { brotliCompressSync } = require("node:zlib");
const axe = require("axe-core").source;

const [origin, ...rest] = process.argv.slice(2);
const executablePath = rest.at(-1);
const wrong = [];
const check = (ok, what) => ok || wrong.push(what);
const every = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
// What a theme or a width decides; the other rules read the same document again.
const visual = { type: "rule", values: ["color-contrast", "target-size", "link-in-text-block", "scrollable-region-focusable"] };
const mostBytes = 60_000;
const mostShift = 0.05;

async function watched(browser, options) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  page.on("request", (r) => check(new URL(r.url()).origin === origin || r.url().startsWith("data:"), `${page.url().slice(0, 80)} asks ${r.url()}`));
  page.on("console", (m) => check(m.type() !== "error" || /status of 4\d\d/.test(m.text()), `${page.url().slice(0, 80)} says ${m.text()}`));
  page.on("pageerror", (e) => check(false, `${page.url().slice(0, 80)} throws ${e}`));
  return page;
}

async function violations(page, what, runOnly = every) {
  await page.evaluate(axe);
  const found = await page.evaluate((rules) => axe.run(document, { resultTypes: ["violations"], runOnly: rules }), runOnly);
  for (const v of found.violations) wrong.push(`${what}: ${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((n) => n.target.join(" ")).join(" | ")}`);
  const { scroll, width } = await page.evaluate(() => ({ scroll: document.documentElement.scrollWidth, width: innerWidth }));
  check(scroll <= width, `${what} is ${scroll} px wide on a screen of ${width}`);
}

/** The whole job by forms alone. Returns the addresses of its states. */
async function withoutScripts(browser) {
  const page = await watched(browser, { javaScriptEnabled: false, viewport: { width: 768, height: 900 } });
  let clicks = 0;
  const states = [];
  const press = async (locator) => {
    clicks++;
    await Promise.all([page.waitForNavigation({ waitUntil: "load" }), locator.click()]);
    states.push(page.url());
  };
  await page.goto(origin + "/");
  await press(page.locator('nav a[href="/plan/"]'));
  await page.fill("#start-size", "4x2x2 ft");
  await page.fill("#start-room", "68F");
  await press(page.getByRole("button", { name: "Design it for me" }));
  check((await page.locator("#start-away-error").textContent()) !== "", "a question without an answer is not asked again");
  check((await page.inputValue("#start-size")) === "4x2x2 ft", "an answer was lost");
  await page.fill("#start-away", "9 days");
  await press(page.getByRole("button", { name: "Design it for me" }));
  check(page.url().includes("/plan/?plan="), `a design has no address: ${page.url().slice(0, 80)}`);
  check((await page.locator(".verdict").first().textContent()).trim().length > 10, "no verdict");
  check((await page.locator("figure.drawing svg").count()) > 0, "no drawing");
  // A part is changed for the worse, by keyboard or mouse the same form.
  await page.locator("summary", { hasText: "Heaters" }).click();
  const heater = page.locator('button[form="go"][name="part"][value="heaters/0"]').last();
  await press(heater);
  await page.fill("#part-power_w", "eight");
  await press(page.getByRole("button", { name: "Take it over" }));
  check((await page.locator('#part-power_w[aria-invalid="true"]').count()) === 1, "a wrong value is not said at its field");
  const planOf = () => new URL(page.url()).searchParams.get("plan");
  await page.fill("#part-power_w", "1500 W");
  await press(page.getByRole("button", { name: "Take it over" }));
  check((await page.locator(".before").count()) === 1, "the verdict before the change is not said");
  const was = new URL(page.url()).searchParams.get("was");
  check(planOf() !== was, "a change changes nothing");
  await press(page.getByRole("button", { name: "Undo" }));
  check(planOf() === was, "undo does not lead back");
  // Parts that a keeper ticks are drawn, and the first one's size is asked.
  await press(page.getByRole("link", { name: "New plan" }));
  await page.fill("#start-size", "90 x 50 x 50 cm");
  await page.fill("#start-room", "21");
  await page.fill("#start-away", "9 days");
  for (const have of ["heater", "control", "top-off", "alarm"]) await page.check(`[name="have"][value="${have}"]`);
  await press(page.getByRole("button", { name: "Draw what I have" }));
  check((await page.locator('.drawing-wide [data-part="heat-control"]').count()) === 1, "what was ticked is not drawn");
  check((await page.inputValue("#part-power_w")) === "250", `the size of the heater is not asked: ${await page.inputValue("#part-power_w")}`);
  // A part of the newer kinds has its form and its place in the drawing.
  await press(page.locator('button[value="power/circuits/+"]'));
  await page.fill("#part-id", "kitchen");
  await press(page.getByRole("button", { name: "Add it" }));
  await press(page.locator('button[value="power/strips/+"]'));
  await page.fill("#part-id", "strip-west");
  await page.selectOption("#part-supply", "kitchen");
  await press(page.getByRole("button", { name: "Add it" }));
  check((await page.locator('.drawing-wide [data-part="strip-west"]').count()) === 1, "a strip is not drawn");
  // An example with one fatal failure: it is shown, cured, and printed.
  await press(page.getByRole("link", { name: "New plan" }));
  await press(page.getByRole("link", { name: "Stairwell reef, shared probe" }));
  await press(page.getByRole("button", { name: /Show how it goes/ }).first());
  const reading = () => page.locator(".drawing-wide .drawing-reading").first().textContent();
  check((await page.locator(".moments > li").count()) >= 3, "the course has no moments");
  check((await page.locator(".moments .drawing-frame").first().isVisible()), "without scripts a course has no pictures");
  const worst = await reading();
  await press(page.locator('.moments button[name="at"]').first());
  check((await reading()) !== worst, "a moment of the list is not drawn");
  await press(page.locator('.causes button', { hasText: "circuit-b" }));
  check((await page.locator(".drawing-wide .drawing-over").count()) > 4, "what goes down with a circuit is not hatched");
  await press(page.getByRole("button", { name: "Follow pairs and count the risk" }));
  check((await page.locator(".pairs li").count()) > 0, "no pairs");
  await press(page.getByRole("button", { name: "Find cures" }));
  await press(page.getByRole("button", { name: "Try it" }).first());
  check((await page.locator(".verdict").first().textContent()).includes("survives"), "the first cure does not cure");
  await press(page.getByRole("link", { name: "Hand-over to pin up" }));
  check((await page.locator(".sheet li").count()) > 5, "the hand-over is empty");
  await page.context().close();
  console.error(`without scripts: ${clicks} clicks for everything`);
  return states;
}

/** Both themes, on a phone and a desk, of the page as it stands: a theme changes nothing but its style. */
async function looked(page, what) {
  for (const width of [375, 1280]) {
    await page.setViewportSize({ width, height: 800 });
    for (const [colorScheme, rules] of [["light", every], ["dark", visual]]) {
      await page.emulateMedia({ colorScheme });
      await violations(page, `${what} ${colorScheme} ${width}`, rules);
    }
  }
}

/** The states of the workshop in another language, by mouse; what the script says is said in that language, too. */
async function inLanguage(browser, language, play) {
  const page = await watched(browser, { viewport: { width: 1280, height: 900 } });
  await page.goto(`${origin}/plan/?language=${language}`);
  await looked(page, `${language}: start`);
  const press = (selector) => page.locator(selector).first().click();
  await page.fill("#start-size", "large");
  await press('button[value="draft"]');
  await page.locator("#start-size[aria-invalid]").waitFor({ timeout: 60_000 });
  await looked(page, `${language}: refused start`);
  await page.locator('.links a[href*="plan="]', { hasText: /shared probe|gemeinsamer Fühler|sonda compartida/ }).click();
  await page.locator(".verdict-bar").waitFor({ timeout: 60_000 });
  await page.locator("summary").evaluateAll((all) => all.forEach((s) => (s.parentElement.open = true)));
  await looked(page, `${language}: bench`);
  await press('button[name="fault"]');
  await page.locator(".player").waitFor({ timeout: 60_000 });
  await page.locator(".player button", { hasText: play }).waitFor({ timeout: 30_000 });
  await looked(page, `${language}: course`);
  await press('button[name="cures"]');
  await page.locator(".cure").first().waitFor({ timeout: 90_000 });
  await press('button[name="risk"]');
  await page.locator(".pairs").waitFor({ timeout: 90_000 });
  await looked(page, `${language}: pairs`);
  await press('button[name="part"][value="heaters/0"]');
  await page.locator("#part").waitFor({ timeout: 60_000 });
  await page.fill("#part-power_w", "hot");
  await press('#part button[value="part"]');
  await page.locator("#part-power_w[aria-invalid]").waitFor({ timeout: 60_000 });
  await looked(page, `${language}: refused part`);
  check((await page.evaluate(() => document.documentElement.lang)) === language, `${language} is lost on the way`);
  await press('.paper a[href*="hand-over"]');
  await page.locator(".handover .drawing").waitFor({ timeout: 60_000 });
  check(page.url().includes(`language=${language}`), `the hand-over forgets ${language}`);
  await looked(page, `${language}: hand-over`);
  await page.context().close();
}

/** The whole job by keys alone: from the front page to a hand-over that prints. Nothing is clicked or focused by a script. */
async function byKeysAlone(browser) {
  const page = await watched(browser, { viewport: { width: 1280, height: 900 } });
  let keys = 0;
  const key = async (name) => {
    keys++;
    await page.keyboard.press(name);
  };
  const tabTo = async (selector) => {
    for (let i = 0; i < 300; i++) {
      if (await page.evaluate((s) => document.activeElement.matches(s), selector)) return;
      await key("Tab");
    }
    throw new Error(`no key leads to ${selector}`);
  };
  await page.goto(origin + "/");
  await tabTo('.hero a[href="/plan/"]');
  await key("Enter");
  await page.locator("#start-size").waitFor({ timeout: 60_000 });
  for (const [field, text] of [["#start-size", "90x50x50 cm"], ["#start-room", "21"], ["#start-away", "9 days"]]) {
    await tabTo(field);
    await page.keyboard.type(text);
  }
  for (const have of ["heater", "control", "top-off", "alarm"]) {
    await tabTo(`[name="have"][value="${have}"]`);
    await key("Space");
  }
  await tabTo('button[value="bare"]');
  await key("Enter");
  await page.locator("#part-power_w").waitFor({ timeout: 60_000 });
  await tabTo("#part-power_w");
  await key("Control+a");
  await page.keyboard.type("300");
  await key("Tab");
  await page.locator(".before").waitFor({ timeout: 60_000 });
  await tabTo('.failures button[name="fault"]');
  await key("Enter");
  await page.locator(".player").waitFor({ timeout: 60_000 });
  await page.waitForFunction(() => document.activeElement.matches("[data-course]"), null, { timeout: 60_000 });
  await tabTo('.player input[type="range"]');
  await key("End");
  await tabTo('button[name="cures"]');
  await key("Enter");
  await page.locator(".cure").first().waitFor({ timeout: 90_000 });
  await tabTo(".cure button");
  await key("Enter");
  await page.locator(".cure").first().waitFor({ state: "detached", timeout: 60_000 });
  await tabTo('.paper a[href*="hand-over"]');
  await key("Enter");
  await page.locator(".handover").waitFor({ timeout: 60_000 });
  check((await page.pdf({ format: "A4" })).length > 5000, "by keys alone the hand-over prints nothing");
  console.error(`by keys alone: ${keys} keys beside what is typed into fields`);
  await page.context().close();
}

/** A newcomer's way from the front page to the paper, by keyboard, with scripts. */
async function byKeyboard(browser) {
  const page = await watched(browser, { viewport: { width: 1280, height: 900 } });
  await page.goto(origin + "/plan/");
  let loads = 0;
  page.on("load", () => loads++);
  const verdict = async (text) => page.locator("[data-status]", { hasText: text }).waitFor({ timeout: 60_000 });
  await page.focus("#start-size");
  await page.keyboard.type("90 x 50 x 50 cm");
  await page.focus("#start-room");
  await page.keyboard.type("21");
  await page.focus("#start-away");
  await page.keyboard.type("1 week");
  await page.keyboard.press("Enter");
  await page.locator(".verdict-bar .verdict").waitFor({ timeout: 60_000 });
  await verdict(/tank|failure/);
  check(page.url().includes("/plan/?plan="), "the address does not follow");
  // From the list twin to a part's form, and a value changed: the verdict follows without a page load.
  await page.locator(".twin-list > summary").focus();
  await page.keyboard.press("Enter");
  await page.locator('.twin-list [data-at^="heater"]').first().focus();
  await page.keyboard.press("Enter");
  await page.locator("#part").waitFor();
  const before = page.url();
  await page.fill("#part-power_w", "1200");
  await page.keyboard.press("Tab");
  await page.waitForFunction((was) => location.href !== was, before, { timeout: 60_000 });
  await page.locator(".before").waitFor();
  check(loads === 0, `${loads} page loads where the script should have swapped`);
  await violations(page, "bench after a change");
  await page.locator("h1").click();
  await page.keyboard.press("Control+z");
  await page.locator(".before").waitFor({ state: "detached", timeout: 60_000 });
  // A failure is played in the drawing, step by step and by itself.
  await page.locator("summary", { hasText: "Saved by an alarm" }).click();
  await page.locator('.failures button[name="fault"]').last().focus();
  await page.keyboard.press("Enter");
  const player = page.locator(".player");
  await player.waitFor({ timeout: 60_000 });
  await player.getByRole("button", { name: "Pause" }).click();
  const bar = player.locator("input");
  await bar.focus();
  await page.keyboard.press("Home");
  const reading = () => page.locator(".drawing-wide .drawing-reading").first().textContent();
  const begins = await reading();
  check((await bar.getAttribute("aria-valuetext")).includes("You leave"), "the bar does not say what happens");
  await page.keyboard.press("End");
  check((await reading()) !== begins, "the drawing does not follow the bar");
  check((await page.locator(".drawing-wide .drawing-lit").count()) > 2, "an alarm that is raised is not drawn to the person");
  await page.keyboard.press("Home");
  check((await page.locator(".drawing-wide .drawing-lit").count()) === 0, "an alarm is drawn before it is raised");
  await player.getByRole("button", { name: "Later" }).click();
  check((await page.locator(".moments li.now").count()) === 1, "the list does not say which moment it is");
  const at = await bar.inputValue();
  await page.locator('.moments button[name="at"]').last().focus();
  await page.keyboard.press("Enter");
  check((await bar.inputValue()) !== at, "a moment of the list does not move the bar");
  await page.keyboard.press("Tab");
  await player.getByRole("button", { name: "Play" }).click();
  await page.waitForFunction(() => Number(document.querySelector(".player input").value) > 0);
  await player.getByRole("button", { name: "Pause" }).click();
  await violations(page, "bench with a course");
  check(loads === 0, `${loads} page loads while playing`);
  // Pairs are followed with a way to stop; stopped, they can be asked again.
  let release; // what is asked waits until it was stopped
  const stopped = new Promise((done) => (release = done));
  await page.route("**/plan/?*risk=1*", async (route) => {
    await stopped;
    await route.continue().catch(() => {});
  });
  const pairs = page.getByRole("button", { name: "Follow pairs and count the risk" });
  await pairs.focus();
  await page.keyboard.press("Enter");
  await page.locator(".waiting progress").waitFor();
  await violations(page, "bench while it calculates");
  await page.keyboard.press("Enter"); // the keyboard stands on Stop
  await pairs.waitFor({ timeout: 20_000 });
  release();
  await pairs.focus();
  await page.keyboard.press("Enter");
  await page.locator("#pairs + p", { hasText: "tanks" }).waitFor({ timeout: 60_000 });
  await page.unrouteAll({ behavior: "ignoreErrors" });
  // The drawing chooses a part.
  await page.locator('.drawing-wide [data-part="lamp"]').first().click();
  await page.locator("#part", { hasText: "lamp" }).waitFor({ timeout: 60_000 });
  await page.context().close();
  const calm = await watched(browser, { viewport: { width: 1280, height: 900 }, reducedMotion: "reduce" });
  await calm.goto(origin + "/plan/");
  await calm.getByRole("link", { name: "Stairwell reef, shared probe" }).click();
  await calm.getByRole("button", { name: /Show how it goes/ }).first().click();
  await calm.locator(".player").waitFor({ timeout: 60_000 });
  check((await calm.getByRole("button", { name: "Play", exact: true }).count()) === 0, "something plays where motion is not wanted");
  check((await calm.locator(".moments .drawing-frame").first().isVisible()), "no pictures where motion is not wanted");
  await calm.context().close();
}

/**
 * The whole tour of a newcomer with a heater on a control, a top-off and an alarm on the phone, who leaves for nine days:
 * from the front page to the hand-over in the printer's dialogue. Prints clicks, and the time that a person would take:
 * 1.5 s to find and press a button, 0.3 s a letter typed, four words read in a second, and what the machine took.
 */
async function tour(browser) {
  const page = await watched(browser, { viewport: { width: 1280, height: 900 } });
  let [clicks, letters, words] = [0, 0, 0];
  const press = async (locator) => {
    clicks++;
    await locator.click();
  };
  const type = async (selector, text) => {
    clicks++;
    letters += text.length;
    await page.fill(selector, text);
  };
  const read = async (locator) => (words += (await locator.innerText()).trim().split(/\s+/).length);
  const began = Date.now();
  await page.goto(origin + "/");
  await read(page.locator(".hero"));
  await press(page.locator('.hero a[href="/plan/"]'));
  await page.locator("#start-size").waitFor();
  await read(page.locator(".start .questions"));
  await type("#start-size", "90x50x50 cm");
  await type("#start-room", "21");
  await type("#start-away", "9 days");
  await read(page.locator(".haves"));
  for (const have of ["heater", "control", "top-off", "alarm"]) await press(page.locator(`[name="have"][value="${have}"]`));
  await press(page.getByRole("button", { name: "Draw what I have" }));
  await page.locator(".verdict-bar").waitFor({ timeout: 60_000 });
  await read(page.locator(".verdict-bar .verdict"));
  await type("#part-power_w", "300");
  await page.keyboard.press("Tab");
  await page.locator(".before").waitFor({ timeout: 60_000 });
  await read(page.locator(".failures > ol > li").first());
  await press(page.getByRole("button", { name: /Show how it goes/ }).first());
  await page.locator(".player").waitFor({ timeout: 60_000 });
  await page.getByRole("button", { name: "Play", exact: true }).waitFor({ timeout: 30_000 }); // it has played to its end
  await read(page.locator(".moments"));
  await press(page.getByRole("button", { name: "Find cures" }));
  await page.locator(".cure").first().waitFor({ timeout: 60_000 });
  await read(page.locator(".cure").first());
  await press(page.getByRole("button", { name: "Try it" }).first());
  await page.locator(".cure").first().waitFor({ state: "detached", timeout: 60_000 });
  await read(page.locator(".verdict-bar"));
  await press(page.getByRole("link", { name: "Hand-over to pin up" }));
  await page.locator(".handover").waitFor({ timeout: 60_000 });
  clicks++; // the browser's own printing
  const paper = await page.pdf({ format: "A4" });
  check(paper.length > 5000, "the hand-over prints nothing");
  const machine = (Date.now() - began) / 1000;
  const person = clicks * 1.5 + letters * 0.3 + words / 4;
  console.error(`the whole tour: ${clicks} clicks, ${letters} letters, ${words} words; ${Math.round(person)} s of a person, ${Math.round(machine)} s of the machine, 12 s of them playing`);
  await page.context().close();
}

/** axe, reflow, shifts and sizes over the states that a reader met. */
async function overStates(browser, states) {
  const size = async (page, url) => {
    let bytes = 0;
    const seen = [];
    page.on("response", (r) => seen.push(r));
    await page.goto(url);
    for (const r of seen) bytes += r.status() < 300 ? brotliCompressSync(await r.body()).length : 0;
    return bytes;
  };
  let largest = 0;
  for (const url of states) {
    const page = await watched(browser, { colorScheme: "dark", viewport: { width: 1280, height: 900 } });
    await page.addInitScript(() => {
      globalThis.shift = 0;
      new PerformanceObserver((list) => { for (const e of list.getEntries()) globalThis.shift += e.hadRecentInput ? 0 : e.value; }).observe({ type: "layout-shift", buffered: true });
    });
    const bytes = await size(page, url);
    largest = Math.max(largest, bytes);
    check(bytes <= mostBytes, `${url.slice(0, 60)} weighs ${bytes} bytes with its script`);
    const shift = await page.evaluate(() => globalThis.shift);
    check(shift <= mostShift, `${url.slice(0, 60)} shifts by ${shift}`);
    // The same document in the other theme and on a phone: only its style changes, so it is not calculated again.
    const what = `${new URL(url).pathname} …${url.slice(-60)}`;
    await violations(page, `${what} dark 1280`, visual);
    await page.emulateMedia({ colorScheme: "light" });
    await page.setViewportSize({ width: 375, height: 800 });
    await violations(page, `${what} light 375`);
    await page.context().close();
  }
  console.error(`the largest state weighs ${largest} bytes by brotli, styles and script included`);
}

(async () => {
  const browser = await chromium.launch({ executablePath, args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"] });
  try {
    if (rest[0] === "languages") {
      await inLanguage(browser, "de", "Abspielen");
      await inLanguage(browser, "es", "Reproducir");
      return;
    }
    const states = await withoutScripts(browser);
    await byKeyboard(browser);
    await byKeysAlone(browser);
    await tour(browser);
    const kinds = new Map(states.filter((s) => s.includes("/plan/")).map((s) => [[...new URL(s).searchParams.keys()].join() + new URL(s).pathname, s]));
    await overStates(browser, [...kinds.values()]);
  } catch (error) {
    wrong.push(String(error.stack ?? error));
  } finally {
    await browser.close();
    said();
  }
})();

function said() {
  if (wrong.length > 0) {
    console.log([...new Set(wrong)].join("\n"));
    process.exitCode = 1;
  }
}
