// Opens the page of the widgets in Chromium, in every language: the live examples answer, axe finds nothing light and
// dark, nothing shifts, they fit containers of 320 to 600 pixels, German and Spanish hold no English sentence, styles
// stay on their side of the shadow root, the keyboard does all, and without scripts a link stands there.
// usage: node embed.cjs <origin> <chromium> [folder for screenshots], with NODE_PATH naming a folder that has
// playwright-core and axe-core.
const { chromium } = require("playwright-core");
const axe = require("axe-core").source;

const [origin, executablePath, pictures] = process.argv.slice(2);
const wrong = [];
const check = (ok, what) => ok || wrong.push(what);
const tags = ["heater", "top-off", "salinity", "light", "audit"].map((t) => `saltwright-${t}`);
const every = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

async function open(browser, language, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  const page = await context.newPage();
  page.on("request", (r) => check(new URL(r.url()).origin === origin || r.url().startsWith("data:"), `asks ${r.url()}`));
  page.on("console", (m) => check(m.type() !== "error" || /status of 4\d\d|ERR_CONNECTION_REFUSED|ERR_FAILED/.test(m.text()), `says ${m.text()}`));
  page.on("pageerror", (e) => check(false, `throws ${e.message}`));
  await page.addInitScript(() => {
    window.shifted = 0;
    new PerformanceObserver((list) => list.getEntries().forEach((e) => e.hadRecentInput || (window.shifted += e.value))).observe({ type: "layout-shift", buffered: true });
  });
  await page.goto(`${origin}/docs/embed/?language=${language}`);
  return page;
}

const ready = async (page) => {
  for (const t of tags) await page.waitForFunction((t) => customElements.get(t), t);
  await page.waitForFunction(() => document.querySelector("saltwright-audit").plan);
};

async function answered(page) {
  for (const tag of tags) {
    const ok = await page.locator(tag).evaluate((e) => e.ask().then(Boolean));
    check(ok, `${tag}: the example is not answered: ${await page.locator(`${tag} [role=alert]`).textContent()}`);
  }
}

async function violations(page, what) {
  await page.evaluate(axe);
  const found = await page.evaluate((rules) => axe.run(document, { resultTypes: ["violations"], runOnly: rules }), every);
  for (const v of found.violations) wrong.push(`${what}: ${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((n) => n.target.join(" ")).join(" | ")}`);
}

/** Every text of the widgets but a plan's own name, labels for screen readers too. */
const texts = (page) =>
  page.evaluate((tags) => {
    const out = [];
    for (const tag of tags) {
      const walk = document.createTreeWalker(document.querySelector(tag).shadowRoot, NodeFilter.SHOW_ELEMENT | NodeFilter.SHOW_TEXT);
      while (walk.nextNode()) {
        const n = walk.currentNode;
        if (n.nodeType === 3 && !n.parentElement.closest("textarea, [part=plan], [part=model]")) out.push([tag, n.data.trim()]);
        if (n.nodeType === 1 && n.getAttribute("lang")) out.push([tag, `lang=${n.lang}`]);
        if (n.nodeType === 1 && n.hasAttribute("aria-label")) out.push([tag, n.getAttribute("aria-label").trim()]);
      }
    }
    return out;
  }, tags);

/** What is wrong with a question, and what is away, in the widget's own words. */
async function complaints(page) {
  const heater = "saltwright-heater";
  await page.locator(`${heater} #length_mm`).fill("");
  await page.locator(`${heater} #width_mm`).fill("999999");
  await page.locator(`${heater} #room_c`).fill("20 gal");
  await page.locator(`${heater} #ask`).click();
  await page.locator(`${heater} [role=alert] p`).waitFor();
  const out = await texts(page);
  await page.route("**/v1/**", (route) => route.abort("connectionrefused"));
  await page.locator("saltwright-salinity").evaluate((e) => e.ask());
  out.push(...(await texts(page)));
  await page.unroute("**/v1/**");
  return out;
}

async function narrow(page, language) {
  for (const width of [320, 375, 420, 480, 540, 600]) {
    await page.evaluate((width) => document.querySelectorAll(".live").forEach((e) => (e.style.width = `${width}px`)), width);
    await page.waitForTimeout(100);
    const wide = await page.evaluate((tags) => tags.filter((t) => {
      const host = document.querySelector(t);
      const edge = host.getBoundingClientRect().right;
      return host.scrollWidth > host.clientWidth || [...host.shadowRoot.querySelectorAll("*")].some((e) => !e.closest(".wide, svg, [hidden], .corners") && e.getBoundingClientRect().right > edge + 0.5);
    }), tags);
    check(wide.length === 0, `${language}: in a container of ${width} px too wide: ${wide}`);
    if (pictures && (width === 320 || width === 600)) for (const t of tags) await page.locator(t).screenshot({ path: `${pictures}/${t}-${language}-${width}.png` });
  }
  await page.evaluate(() => document.querySelectorAll(".live").forEach((e) => (e.style.width = "")));
}

async function keepsStyles(page) {
  const looks = () => page.evaluate((tags) => tags.flatMap((t) => [...document.querySelector(t).shadowRoot.querySelectorAll("button, p, h2, h3, input, li, dt")].map((e) => { const s = getComputedStyle(e); return [s.color, s.backgroundColor, s.fontSize, s.margin, s.borderWidth].join(); })), tags);
  const before = await looks();
  const sheets = await page.evaluate(() => [document.styleSheets.length, document.adoptedStyleSheets.length]);
  check(sheets.join() === "1,0", `the page has other style sheets than its own: ${sheets}`);
  const outside = () => page.evaluate(() => ["h1", "pre", "main p", ".copy"].map((q) => { const s = getComputedStyle(document.querySelector(q)); return [s.color, s.fontSize, s.margin, s.padding].join(); }).join(";"));
  const own = await outside();
  await page.evaluate(() => { const sheet = new CSSStyleSheet(); sheet.replaceSync("button,p,h2,h3,input,li,dt{color:rgb(1,2,3)!important;background:rgb(4,5,6)!important;font-size:40px!important;margin:33px!important;border-width:9px!important}"); document.adoptedStyleSheets = [sheet]; });
  check(before.length > 60 && before.join() === (await looks()).join(), "the page's styles leak into the widgets");
  await page.evaluate(() => { document.adoptedStyleSheets = []; document.querySelectorAll(".live").forEach((e) => e.replaceChildren()); });
  check(own === (await outside()), "the widgets' styles leak into the page");
}

async function byKeyboard(page) {
  const heater = "saltwright-heater";
  await page.locator(`${heater} #units-metric`).focus();
  const seen = [];
  for (let i = 0; i < 20 && seen.at(-1) !== "ask"; i++) {
    await page.keyboard.press("Tab");
    seen.push(await page.evaluate((t) => document.querySelector(t).shadowRoot.activeElement?.id ?? "", heater));
  }
  check(seen.join() === "length_mm,width_mm,water_depth_mm,lid,room_c,coldest_c,warmest_c,setpoint_c,pumps_w,lights_w,ask", `the keyboard goes ${seen}`);
  await page.locator(`${heater} #length_mm`).focus();
  await page.keyboard.press("Control+A");
  await page.keyboard.type("36 in");
  const came = page.evaluate(() => new Promise((resolve) => document.addEventListener("saltwright-answer", (e) => resolve(e.detail.request.length_mm), { once: true })));
  await page.keyboard.press("Enter");
  check((await came) === 914.4, "Enter does not ask for what was typed");
}

(async () => {
  const browser = await chromium.launch({
    executablePath,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
  try {
    const said = {};
    for (const language of ["en", "de", "es"]) {
      for (const colorScheme of ["light", "dark"]) {
        const page = await open(browser, language, { colorScheme });
        await ready(page);
        await page.waitForTimeout(400);
        const shifted = await page.evaluate(() => window.shifted);
        check(shifted < 0.05, `${language}: layout shifts ${shifted.toFixed(3)}`);
        console.error(`${language} ${colorScheme}: CLS ${shifted.toFixed(4)}`);
        await answered(page);
        await violations(page, `answered, ${language}, ${colorScheme}`);
        if (pictures) await page.screenshot({ path: `${pictures}/embed-${language}-${colorScheme}.png`, fullPage: true });
        if (colorScheme === "light") {
          await narrow(page, language);
          said[language] = [...(await texts(page)), ...(await complaints(page))];
          if (language === "en") {
            await page.reload();
            await ready(page);
            await byKeyboard(page);
            await keepsStyles(page);
          }
        } else {
          await complaints(page);
          await violations(page, `refused, ${language}, ${colorScheme}`);
        }
        await page.context().close();
      }
    }
    const english = new Set(said.en.map(([, text]) => text));
    for (const language of ["de", "es"]) {
      check(said[language].length > 250, `${language}: only ${said[language].length} texts`);
      for (const [tag, text] of said[language]) {
        check(!/^lang=/.test(text), `${tag} in ${language}: a part is marked as ${text}`);
        if (text.split(/\s+/).filter((w) => /^\p{L}{2,}/u.test(w)).length > 2) check(!english.has(text), `${tag} in ${language}: English: ${text}`);
      }
    }
    const phone = await open(browser, "de", { viewport: { width: 375, height: 800 } });
    await ready(phone);
    await phone.waitForTimeout(400);
    const shifted = await phone.evaluate(() => window.shifted);
    check(shifted < 0.05, `375 px: layout shifts ${shifted.toFixed(3)}`);
    console.error(`375 px: CLS ${shifted.toFixed(4)}`);
    const bytes = await phone.evaluate(() => [...performance.getEntriesByType("resource"), ...performance.getEntriesByType("navigation")].filter((e) => /embed|assets/.test(e.name)).reduce((n, e) => n + e.encodedBodySize, 0));
    check(bytes > 15000 && bytes <= 60000, `the page with its scripts weighs ${bytes} bytes`);
    console.error(`the page with scripts and styles: ${bytes} bytes`);
    await phone.context().close();
    const plain = await open(browser, "es", { javaScriptEnabled: false });
    for (const tag of tags) check((await plain.locator(tag).textContent()).includes("aquí hay una calculadora"), `${tag}: nothing stands there without scripts`);
    await plain.locator("saltwright-audit a").click();
    check((await plain.locator("h1").count()) > 0 && new URL(plain.url()).pathname === "/plan/", "without scripts the audit's link leads nowhere");
    await plain.context().close();
  } finally {
    await browser.close();
  }
  for (const w of new Set(wrong)) console.log(w);
  process.exit(wrong.length > 0 ? 1 : 0);
})().catch((e) => {
  for (const w of new Set(wrong)) console.log(w);
  console.log(String(e.stack));
  process.exit(2);
});
