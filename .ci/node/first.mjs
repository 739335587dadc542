// A landowner in an empty folder, with the network off: answers the first-run questions
// on the page, by keys alone, and comes to the first answer; then a file is dropped, in
// every color scheme, wide and narrow. Fails on a request to anywhere else, an error of
// the console, or a violation that axe-core finds.
//   node first.mjs [--shots FOLDER] EMBERQUILT SHAPES.geojson
import { createRequire } from "node:module";
import { spawn, execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import assert from "node:assert/strict";
const require = createRequire(process.env.EMBERQUILT_NODE + "/");
const { chromium } = require("playwright-core");
const axe = require("axe-core").source;
const args = process.argv.slice(2);
const shots = args[0] === "--shots" ? args.splice(0, 2)[1] : "";
const [program, shapes] = args;
if (!shapes) throw new Error("name the program and a file with shapes");

const root = mkdtempSync(join(tmpdir(), "emberquilt-first-"));
const folder = join(root, "Larkin farm, naïve");
mkdirSync(folder);
const environment = { ...process.env, EMBERQUILT_TODAY: "2026-11-25", XDG_CACHE_HOME: join(root, "cache") };
const run = (...words) => execFileSync(program, words, { env: environment, cwd: folder, encoding: "utf8" });
const server = spawn(program, ["page", "--no-browser", "--json"], { env: environment, cwd: folder });
const address = await new Promise((resolve, reject) => {
  let text = "";
  server.stdout.on("data", (part) => {
    text += part;
    if (text.trim().endsWith("}")) resolve(JSON.parse(text).address);
  });
  server.stderr.on("data", (part) => process.stderr.write(part));
  server.on("exit", (code) => reject(new Error(`the page ended with ${code}`)));
});
const origin = new URL(address).origin;
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
let faults = 0;
const fault = (where, text) => {
  faults++;
  console.error(`${where}: ${text}`);
};

async function open(options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, reducedMotion: "reduce", ...options });
  // The network is off: what goes anywhere but to this machine fails, and is a fault.
  await context.route("**/*", (route) => {
    if (route.request().url().startsWith(origin + "/")) return route.continue();
    fault("the network", `asks for ${route.request().url()}`);
    return route.abort("internetdisconnected");
  });
  const page = await context.newPage();
  page.setDefaultTimeout(20000);
  page.on("console", (m) => ["error", "warning"].includes(m.type()) && !m.text().startsWith("Failed to load resource") && fault(page.url(), `console: ${m.text()}`));
  page.on("pageerror", (e) => fault(page.url(), `error: ${e.message}`));
  await page.goto(address);
  return page;
}
async function look(page, name) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => globalThis.axe.run());
  for (const v of found.violations) fault(`${page.url()}, ${name}`, `${v.id}: ${v.nodes[0].html.slice(0, 200)}: ${v.nodes[0].failureSummary}`);
  const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  if (over > 1) fault(`${page.url()}, ${name}`, `is ${over} pixels too wide`);
  if ((await page.locator(".cautions li").count()) < 3) fault(`${page.url()}, ${name}`, "has no cautions");
  if (shots) await page.screenshot({ path: join(shots, `first-${name.replaceAll(/[ ,]+/g, "-")}.png`), fullPage: true });
}

/** Goes on with Tab until the field of a name has the focus, and types into it. */
async function tabTo(page, wanted, text) {
  for (let i = 0; i < 120; i++) {
    await page.keyboard.press("Tab");
    const [name, outline] = await page.evaluate(() => [document.activeElement.name || document.activeElement.id, getComputedStyle(document.activeElement).outlineStyle]);
    if (name !== wanted) continue;
    assert.notEqual(outline, "none", `the focus on ${wanted} is not to be seen`);
    if (text !== undefined) await page.keyboard.type(text);
    return;
  }
  throw new Error(`Tab does not come to ${wanted}`);
}

// From nothing to this season, by keys alone.
async function landowner() {
  const page = await open();
  await page.waitForSelector("#make");
  await look(page, "empty, 1280");
  await tabTo(page, "name", "Larkin Farm");
  await tabTo(page, "where", "Riley County, Kansa");
  await tabTo(page, "patch-0-name", "North Field");
  await tabTo(page, "patch-0-acres", "eighteen");
  await page.waitForSelector("#wrong-where");
  assert.match(await page.locator("#wrong-where").innerText(), /did you mean Kansas/);
  await page.waitForSelector("#wrong-patch-0");
  assert.match(await page.locator("#wrong-patch-0").innerText(), /eighteen.*is not a number/s);
  await look(page, "wrong, 1280");
  await page.keyboard.press("Control+A");
  await page.keyboard.type("18");
  await tabTo(page, "patch-0-last_burned", "3/28/2023");
  await tabTo(page, "patch-1-name", "Creek Patch");
  await tabTo(page, "patch-1-acres", "9");
  await tabTo(page, "burn days", "2");
  await tabTo(page, "make");
  await page.keyboard.press("Enter"); // the place is still wrong: the focus goes there
  await page.waitForFunction(() => document.activeElement.name === "where");
  await page.keyboard.press("Control+A");
  await page.keyboard.type("Riley County, Kansas");
  await page.waitForFunction(() => /2 patches, 27/.test(document.getElementById("made").innerText));
  assert.equal(readdirSync(folder).length, 0, "something is stored before the last step");
  await page.reload();
  await page.waitForFunction(() => /2 patches, 27/.test(document.getElementById("made")?.innerText));
  assert.equal(await page.inputValue("[name=patch-0-last_burned]"), "3/28/2023", "a reload loses an answer");
  await look(page, "answered, 1280");
  await tabTo(page, "make");
  await page.keyboard.press("Enter");
  await page.waitForURL(/\/p\/larkin-farm\/season$/, { timeout: 60000 });
  await page.waitForSelector(".patch, .empty");
  await look(page, "season, 1280");
  assert.deepEqual(readdirSync(folder), ["larkin-farm.emberquilt"]);
  assert.match(run("due"), /Creek Patch|North Field/);
  assert.match(run("plans"), /first plan/);
  // Papers, on the same way.
  await page.getByRole("link", { name: "Papers" }).click();
  const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Download season-sheet.pdf" }).click()]);
  assert.equal(await download.failure(), null);
  await page.context().close();
}

// A second property with a file of shapes, on a phone; the name that is taken is refused.
async function dropper() {
  const page = await open({ viewport: { width: 390, height: 844 } });
  await page.goto(`${origin}/first`);
  await page.waitForSelector("#make");
  await page.locator("[name=name]").fill("LARKIN farm");
  await page.locator("[name=file-patch]").setInputFiles(shapes);
  await page.locator("[name=file-where]").setInputFiles(shapes);
  await page.locator("[name=season-1]").fill("early-growing");
  await page.getByRole("button", { name: "One more season" }).click();
  await page.locator("[name=season-2]").fill("late-summer");
  await page.waitForFunction(() => /larkin-farm.emberquilt already/.test(document.getElementById("made").innerText));
  await page.locator("[name=name]").fill("</script><script>globalThis.hit=1</script>");
  await page.waitForFunction(() => /script-script-globalthis/.test(document.getElementById("made").innerText));
  await page.waitForSelector("#made .map");
  await page.getByText("or point at it on a grid").click();
  await page.waitForSelector(".grid-map .pin");
  await look(page, "shapes, 390");
  assert.equal(await page.evaluate(() => globalThis.hit), undefined, "a name ran");
  await page.getByRole("button", { name: "Start over" }).click();
  await page.waitForFunction(() => document.querySelector("[name=name]").value === "");
  await page.context().close();
  for (const [name, options] of [["dark", { colorScheme: "dark" }], ["forced", { forcedColors: "active" }]])
    for (const width of [1280, 390]) {
      const other = await open({ ...options, viewport: { width, height: 900 } });
      await other.goto(`${origin}/first`);
      await other.waitForSelector("#make");
      if (name === "dark") await other.locator("[name=where]").fill("nowhere");
      await other.waitForTimeout(700);
      await look(other, `${name}, ${width}`);
      await other.context().close();
    }
}

try {
  for (const story of [landowner, dropper]) {
    const begun = Date.now();
    try {
      await story();
    } catch (error) {
      fault(story.name, error.stack ?? error);
    }
    console.log(`${story.name}: ${Date.now() - begun} ms`);
  }
} finally {
  await browser.close();
  server.removeAllListeners("exit");
  server.kill();
  await new Promise((resolve) => server.once("exit", resolve));
  rmSync(root, { recursive: true, force: true });
}
process.exit(faults ? 1 : 0);
