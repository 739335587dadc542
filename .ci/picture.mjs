// Makes the picture of the README from the demo's program book.
//   EMBERQUILT_NODE=FOLDER node .ci/picture.mjs BOOK.html PICTURE.png FIGURES.json
// See .ci/picture.
//
// What stands in the picture is the book itself: parts are hidden, nothing is
// changed. FIGURES.json takes down the figures that the picture shows; a test of
// cmd/emberquilt holds them against what the demo gives.
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import { resolve } from "node:path";
import { writeFileSync } from "node:fs";
const require = createRequire(process.env.EMBERQUILT_NODE + "/");
const { chromium } = require("playwright-core");
const [book, picture, figures] = process.argv.slice(2);
if (!figures) throw new Error("name the book, the picture and the file of figures");
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
const context = await browser.newContext({ offline: true, viewport: { width: 1180, height: 900 }, deviceScaleFactor: 1 });
const page = await context.newPage();
await page.goto(pathToFileURL(resolve(book)).href);
await page.waitForTimeout(300);
await page.addStyleTag({ content: `
  nav, .stamp, main > .caution, .skip, main > *:not(#glance):not(#grid):not(#acres), #acres figure ~ figure, #grid .under { display: none !important }
  #grid td, #grid tbody th { padding-top: 1px; padding-bottom: 1px }
  header.cover { padding-top: 20px; padding-bottom: 0; margin-bottom: 0 }
  main > section { margin-top: 18px; padding-top: 8px }
` });
await page.waitForTimeout(100);
const shown = await page.evaluate(() => {
  const visible = (e) => e.offsetParent !== null;
  const text = (e) => e.innerText.replace(/\s+/g, " ").trim();
  const cell = (e) => { const c = e.querySelector("[aria-hidden]"); return text(c ?? e); };
  const rows = (table) => [...table.querySelectorAll("tr")].map((r) => [...r.children].map(cell));
  return {
    title: text(document.querySelector("h1")),
    glance: [...document.querySelectorAll("#glance dl > div")].map((d) => text(d)),
    units: rows(document.querySelector("#grid table")),
    years: rows([...document.querySelectorAll("#acres table")].filter(visible)[0]),
  };
});
await page.screenshot({ path: picture, fullPage: true });
await browser.close();
writeFileSync(figures, JSON.stringify(shown, null, 1) + "\n");
