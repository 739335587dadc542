// A landowner in an empty folder, with the network off: answers the first-run questions
// on the page, by keys alone, and comes to the first answer; then a file is dropped, in
// every color scheme, wide and narrow. Fails on a request to anywhere else, an error of
// the console, or a violation that axe-core finds.
//   node first.mjs [--shots FOLDER] EMBERQUILT SHAPES.geojson
import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import assert from "node:assert/strict";
import * as driver from "./driver.mjs";
import { args, option, picture, tabTo } from "./driver.mjs";
const shots = option("--shots");
const [program, shapes] = args;
if (!shapes) throw new Error("name the program and a file with shapes");

const root = mkdtempSync(join(tmpdir(), "emberquilt-first-"));
const folder = join(root, "Larkin farm, naïve");
mkdirSync(folder);
const environment = { ...process.env, EMBERQUILT_TODAY: "2026-11-25", XDG_CACHE_HOME: join(root, "cache") };
const run = (...words) => execFileSync(program, words, { env: environment, cwd: folder, encoding: "utf8" });
const server = await driver.serve(program, [], { env: environment, cwd: folder });
const { origin } = server;
const browser = await driver.launch();
const open = (options = {}) => driver.open(browser, server.address, { reducedMotion: "reduce", ...options });
const look = (page, name) => driver.look(page, name, picture(shots, `first-${name}`));

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

await driver.tell([landowner, dropper], async () => {
  await browser.close();
  await server.end();
  rmSync(root, { recursive: true, force: true });
});
