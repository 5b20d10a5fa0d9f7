// Every calculator's form in Chromium, in three languages: one value is spoilt and sent by mouse. What is seen then says
// which value in words and what to write, and never a name or a pointer of the contract.
// usage: node forms.cjs <origin> <chromium>, with NODE_PATH naming a folder that has playwright-core.
const { chromium } = require("playwright-core");

const [origin, executablePath] = process.argv.slice(2);
const wrong = [];
const check = (ok, what) => ok || wrong.push(what);
/** Names of the contract have underscores, pointers begin with #/, operations are camelCase or of words with hyphens. */
const foreign = (operations) => new RegExp(`[a-z]+_[a-z0-9_]+|#/|channels/0|\\b(?:get|post)[A-Z][a-zA-Z]+|\\b(?:${operations.join("|")})\\b`);

(async () => {
  const browser = await chromium.launch({ executablePath, args: ["--no-sandbox"] });
  let forms = 0;
  for (const language of ["en", "de", "es"]) {
    const context = await browser.newContext({ javaScriptEnabled: false, viewport: { width: 1280, height: 900 } });
    const page = await context.newPage();
    await page.goto(`${origin}/docs/calculators/?language=${language}`);
    const links = await page.locator("main .links a").evaluateAll((all) => all.map((a) => a.getAttribute("href")));
    const names = links.map((at) => at.split("/")[3]);
    const never = foreign(names.filter((name) => name.includes("-")));
    check(names.length > 30, `${language}: ${names.length} calculators`);
    for (const name of names) {
      const what = `${language} ${name}`;
      await page.goto(`${origin}/docs/calculators/${name}/?language=${language}`);
      const box = page.locator(`#${name}-body`);
      const typed = "-98765432";
      let label = "";
      if ((await page.locator(`#${name}-form #${name}-body`).count()) > 0) {
        const spoilt = (await box.inputValue()).replace(/(":\s*)-?\d+(\.\d+)?/, `$1${typed}`);
        await box.fill(spoilt);
      } else {
        const field = page.locator(`#${name}-form input[type="text"], input[type="text"][form="${name}-form"]:visible`).first();
        const id = await field.getAttribute("id");
        label = await page.locator(`label[for="${id}"]`).evaluate((l) => l.firstChild.textContent.trim());
        await field.fill(typed);
      }
      await Promise.all([page.waitForLoadState("load"), page.locator(`#${name}-form button[type="submit"]`).first().click()]);
      forms++;
      const problem = page.locator(".problem");
      if (name === "batch") continue; // each calculation of a batch answers by itself
      check((await problem.count()) === 1, `${what}: a bad value is taken`);
      if ((await problem.count()) !== 1) continue;
      const said = await problem.innerText();
      check(said.includes(typed), `${what} does not say what was written: ${said}`);
      check(said.includes(label), `${what} does not say the label ${label}: ${said}`);
      check(/\d/.test(said.replaceAll(typed, "").replace(/\([^)]*\)/g, "")), `${what} names no range: ${said}`);
      const seen = await page.locator(".card.answer, .card:not(.answer)").evaluateAll((all) => all.map((card) => card.innerText).join("\n"));
      const found = never.exec(seen);
      check(!found, `${what} shows ${found && seen.slice(Math.max(0, found.index - 60), found.index + 60)}`);
    }
    await context.close();
  }
  await browser.close();
  if (wrong.length > 0) {
    console.log(wrong.join("\n"));
    process.exit(1);
  }
  console.error(`${forms} forms, each with one bad value`);
})();
