// Opens HTML files in Chromium with the network off and fails on a request, a
// console error, an uncaught error, a dialog, or a chart that was not drawn.
//   node pages.mjs [--shots FOLDER] FILE…
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import { basename, join, resolve } from "node:path";
const require = createRequire(process.env.EMBERQUILT_NODE + "/");
const { chromium } = require("playwright-core");
const args = process.argv.slice(2);
const shots = args[0] === "--shots" ? args.splice(0, 2)[1] : "";
if (args.length === 0) throw new Error("name the pages to open");
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
let faults = 0;
const fault = (file, text) => { faults++; console.error(`${file}: ${text}`); };
for (const file of args) {
  const context = await browser.newContext({ offline: true, viewport: { width: 1100, height: 900 } });
  const page = await context.newPage();
  const own = pathToFileURL(resolve(file)).href;
  page.on("request", (r) => { if (r.url() !== own && !r.url().startsWith("data:")) fault(file, `asks for ${r.url()}`); });
  page.on("console", (m) => { if (m.type() === "error" || m.type() === "warning") fault(file, `console: ${m.text()}`); });
  page.on("pageerror", (e) => fault(file, `error: ${e.message}`));
  page.on("dialog", (d) => { fault(file, `dialog: ${d.message()}`); d.dismiss(); });
  await page.goto(own);
  await page.waitForTimeout(300);
  const seen = await page.evaluate(() => ({
    title: document.title,
    text: document.body.innerText.length,
    charts: [...document.querySelectorAll("[_echarts_instance_]")].map((c) => c.querySelectorAll("svg path").length),
    wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
  }));
  if (!seen.title) fault(file, "has no title");
  if (seen.text < 200) fault(file, `shows only ${seen.text} characters`);
  seen.charts.forEach((paths, i) => { if (paths < 3) fault(file, `chart ${i + 1} is not drawn (${paths} paths)`); });
  for (const [name, width] of [["wide", 1100], ["narrow", 390]]) {
    await page.setViewportSize({ width, height: 900 });
    await page.waitForTimeout(50);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    if (over > 1) fault(file, `is ${over} pixels too wide for a ${name} window`);
    if (shots) await page.screenshot({ path: join(shots, `${basename(file)}.${name}.png`), fullPage: true });
  }
  console.log(`${file}: ${seen.charts.length} charts, ${seen.text} characters`);
  await context.close();
}
await browser.close();
process.exit(faults ? 1 : 0);
