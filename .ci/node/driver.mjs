// What the scripts that drive the page have in common: a server of the program, a
// browser for which the network is off, and what is a fault: an error of the console, a
// request to anywhere else, a violation that axe-core finds, a story that does not come
// out.
import { createRequire } from "node:module";
import { spawn } from "node:child_process";
import { join } from "node:path";
import assert from "node:assert/strict";
export const require = createRequire(process.env.EMBERQUILT_NODE + "/");
const { chromium } = require("playwright-core");
const axe = require("axe-core").source;

/** The arguments; option takes one with its value out of them. */
export const args = process.argv.slice(2);
export const option = (name, otherwise = "") => (args.includes(name) ? args.splice(args.indexOf(name), 2)[1] : otherwise);

let faults = 0;
export const fault = (where, text) => {
  faults++;
  console.error(`${where}: ${text}`);
};
/** Says what holds, or that it does not. */
export const check = (isGood, text) => {
  if (!isGood) faults++;
  console.log(`${isGood ? "ok  " : "FAIL"} ${text}`);
};
export const status = () => (faults ? 1 : 0);

/** Starts the page with words and gives {child, address, origin, end()}; hears is given
 * what the program says on its error output. */
export async function serve(program, words = [], { hears = (part) => process.stderr.write(part), ...options } = {}) {
  const child = spawn(program, ["page", ...words, "--no-browser", "--json"], { stdio: ["ignore", "pipe", "pipe"], ...options });
  const kill = () => child.kill("SIGKILL");
  process.once("exit", kill);
  child.once("exit", () => process.removeListener("exit", kill));
  const address = await new Promise((done, fail) => {
    let text = "";
    let wrong = "";
    child.stdout.on("data", (part) => {
      text += part;
      if (text.trim().endsWith("}")) done(JSON.parse(text).address);
    });
    child.stderr.on("data", (part) => ((wrong = (wrong + part).slice(-4000)), hears(part)));
    child.on("exit", (code) => fail(new Error(`the page ended with ${code}: ${wrong}`)));
  });
  const gone = new Promise((done) => child.on("exit", done));
  return { child, address, origin: new URL(address).origin, gone, end: () => (child.kill("SIGINT"), gone) };
}

export const launch = (...more) => chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu", ...more] });

/** Opens an address in a context of its own. What is asked of anywhere but here, the
 * beginning of addresses that are the program's, fails and is a fault. */
export async function open(browser, address, { here = new URL(address).origin + "/", timeout = 20000, isLossy = false, ...options } = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  await context.route("**/*", (route) => {
    if (route.request().url().startsWith(here)) return route.continue();
    fault("the network", `asks for ${route.request().url()}`);
    return route.abort("internetdisconnected");
  });
  context.on("page", (page) => {
    page.setDefaultTimeout(timeout);
    page.on("console", (m) => {
      // An answer with a status above 399 is told by the browser; the stories mean some.
      // Where the server is killed (isLossy), so are connections that it held.
      const isMeant = m.text().startsWith("Failed to load resource") || (isLossy && m.text().includes("ERR_"));
      if (["error", "warning"].includes(m.type()) && !isMeant) fault(page.url(), `console: ${m.text()}`);
    });
    page.on("pageerror", (e) => fault(page.url(), `error: ${e.message}`));
    page.on("dialog", (d) => {
      fault(page.url(), `dialog: ${d.message()}`);
      d.dismiss();
    });
  });
  const page = await context.newPage();
  await page.goto(address);
  assert.ok(!page.url().includes("token"), "the token stays in the address bar");
  return page;
}

/** Looks at a screen: axe-core, its width, its cautions; a picture where a file is named. */
export async function look(page, name, picture = "") {
  await page.evaluate(axe);
  const found = await page.evaluate(() => globalThis.axe.run());
  for (const v of found.violations) fault(`${page.url()}, ${name}`, `${v.id}: ${v.nodes[0].html.slice(0, 200)}: ${v.nodes[0].failureSummary}`);
  const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  if (over > 1) fault(`${page.url()}, ${name}`, `is ${over} pixels too wide`);
  const cautions = await page.locator(".cautions li").count();
  if (cautions < 3) fault(`${page.url()}, ${name}`, "has no cautions");
  if (picture) await page.screenshot({ path: picture, fullPage: true });
}

/** A picture's file in a folder, or none where there is no folder. */
export const picture = (folder, name) => (folder ? join(folder, `${name.replaceAll(/[ ,]+/g, "-")}.png`) : "");

/** Goes on with Tab until the field of a name has the focus, and types into it. */
export async function tabTo(page, wanted, text) {
  for (let i = 0; i < 160; i++) {
    await page.keyboard.press("Tab");
    const [name, outline] = await page.evaluate(() => [document.activeElement.name || document.activeElement.id, getComputedStyle(document.activeElement).outlineStyle]);
    if (name !== wanted) continue;
    assert.notEqual(outline, "none", `the focus on ${wanted} is not to be seen`);
    if (text !== undefined) await page.keyboard.type(text);
    return;
  }
  throw new Error(`Tab does not come to ${wanted}`);
}

/** Tells the stories one after the other, then ends with end, and the process with its
 * status. */
export async function tell(stories, end) {
  try {
    for (const story of stories) {
      const begun = Date.now();
      try {
        await story();
      } catch (error) {
        fault(story.name, error.stack ?? error);
      }
      console.log(`${story.name}: ${Date.now() - begun} ms`);
    }
  } finally {
    await end();
  }
  process.exit(status());
}
