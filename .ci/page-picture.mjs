// Makes the readme's picture of the page:
//   node page-picture.mjs WHAT-PAGE-PRINTS.json ID-OF-A-PROPERTY FILE.png
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
const require = createRequire(process.env.EMBERQUILT_NODE + "/");
const { chromium } = require("playwright-core");
const [printed, id, file] = process.argv.slice(2);
const { address } = JSON.parse(readFileSync(printed, "utf8"));
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
const page = await (await browser.newContext({ viewport: { width: 1280, height: 800 }, colorScheme: "light" })).newPage();
await page.goto(address);
await page.goto(`${new URL(address).origin}/p/${encodeURIComponent(id)}/plan`);
await page.waitForSelector(".chart canvas");
await page.screenshot({ path: file });
await browser.close();
