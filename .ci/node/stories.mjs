// A manager and an agent, each in an empty folder, from the first question to printed
// papers, on the page alone; the landowner's story is in first.mjs.
//   node stories.mjs [--shots FOLDER] EMBERQUILT
import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import assert from "node:assert/strict";
import * as driver from "./driver.mjs";
import { args, look, option, picture } from "./driver.mjs";
const shots = option("--shots");
const [program] = args;
if (!program) throw new Error("name the program");

const root = mkdtempSync(join(tmpdir(), "emberquilt-stories-"));
const environment = { ...process.env, EMBERQUILT_TODAY: "2026-11-25", XDG_CACHE_HOME: join(root, "cache") };
const browser = await driver.launch();

/** An empty folder with the page of it; lists are files beside it, as on a user's desk. */
async function begin(name) {
  const folder = join(root, name);
  mkdirSync(folder);
  const server = await driver.serve(program, [], { env: environment, cwd: folder });
  const page = await driver.open(browser, server.address, { reducedMotion: "reduce" });
  return {
    folder,
    page,
    run: (...words) => execFileSync(program, words, { env: environment, cwd: folder, encoding: "utf8" }),
    list: (file, text) => {
      writeFileSync(join(root, file), text);
      return join(root, file);
    },
    to: (screen) => page.getByRole("navigation").getByRole("link", { name: screen, exact: true }).click(),
    end: async () => {
      await page.context().close();
      await server.end();
    },
  };
}

/** Answers the first run for a few patches. */
async function first(page, name, patches) {
  await page.waitForSelector("#make");
  await page.locator("[name=name]").fill(name);
  await page.locator("[name=where]").fill("Riley County, Kansas");
  for (const [i, [patch, acres]] of patches.entries()) {
    await page.locator(`[name=patch-${i}-name]`).fill(patch);
    await page.locator(`[name=patch-${i}-acres]`).fill(acres);
  }
  await page.waitForFunction((n) => document.getElementById("made").innerText.includes(`${n} patches`), patches.length);
  await page.locator("#make").click();
  await page.waitForURL(/\/season$/, { timeout: 90000 });
  await page.waitForSelector(".patch, .empty");
}

/** Imports a list and makes a plan with it. */
async function takeIn(page, file, isPlanned) {
  await page.setInputFiles("#files", file);
  await page.waitForSelector("#take");
  await page.locator("#take").click();
  await page.waitForSelector(".proof");
  if (!isPlanned) return;
  await page.getByRole("button", { name: "Make a plan with it" }).click();
  await page.waitForFunction(() => /Plan \d+ is made/.test(document.body.innerText), null, { timeout: 120000 });
}

/** Downloads a file and gives its first bytes. */
async function download(page, link) {
  const [file] = await Promise.all([page.waitForEvent("download", { timeout: 60000 }), link.click()]);
  assert.equal(await file.failure(), null);
  return readFileSync(await file.path());
}

// Patches by a list, a cap in the settings, a plan moved by hand and kept, the book.
async function manager() {
  const { page, run, list, to, end, folder } = await begin("Stone Run, Prärie");
  await first(page, "Stone Run", [["Home Field", "20"], ["Old Lane", "14"]]);
  await to("Import");
  const rows = ["unit,acres,every,last burned"];
  for (let i = 1; i <= 10; i++) rows.push(`Reach ${i},${12 + 3 * i},${i % 2 ? "2-3" : "3-4"},${2021 + (i % 4)}`);
  await takeIn(page, list("reaches.csv", `${rows.join("\n")}\n`), false);
  await to("Settings");
  await page.waitForSelector("#settings-text");
  const text = await page.inputValue("#settings-text");
  await page.fill("#settings-text", text.replace(/^(# )?acres = .*$/m, "acres = 160"));
  await page.locator("#look").click();
  await page.waitForSelector(".proof");
  await page.locator("#change").click();
  await page.waitForFunction(() => /Changed: cap of acres/.test(document.querySelector(".proof")?.innerText));
  const before = run("plans", "--csv").trim().split("\n").length;
  await page.locator("#make-plan").click();
  await page.waitForFunction(() => /Plan \d+ is made/.test(document.body.innerText), null, { timeout: 120000 });
  await to("Plan");
  await page.waitForFunction(() => document.querySelectorAll('[role=row] [role=rowheader]').length >= 12);
  // The first burn that the solver chose rests instead; what follows is listed; it is kept.
  await page.locator("[data-burn]").first().click();
  await page.keyboard.press("r");
  await page.waitForSelector(".cell.own");
  await page.waitForSelector(".change-list li");
  await page.locator('input[name="note"]').fill("after the walk-over");
  await page.getByRole("button", { name: "Keep as a new plan" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".cell.own").length === 0);
  await page.waitForFunction(() => /^Plan \d+,/.test(document.querySelector("h1")?.textContent ?? ""));
  const plans = run("plans", "--csv");
  assert.ok(plans.trim().split("\n").length > before + 1 && /after the walk-over/.test(plans), plans);
  await look(page, "the manager's plan", picture(shots, "story-plan"));
  await to("Papers");
  const book = await download(page, page.getByRole("link", { name: "Download program-book.html" }));
  assert.match(book.toString(), /Reach 10/);
  assert.match((await download(page, page.getByRole("link", { name: "Download season-sheet.pdf" }))).subarray(0, 5).toString(), /%PDF-/);
  assert.deepEqual(readdirSync(folder), ["stone-run.emberquilt"]);
  assert.match(run("verify"), /intact/);
  await end();
}

// Two clients, one with a contract that plans hold to; who is behind; all packets.
async function agent() {
  const { page, run, list, end } = await begin("clients");
  await first(page, "Larkin Farm", [["North Field", "18"], ["Creek Patch", "9"]]);
  await page.goto(new URL("/first", page.url()).href);
  await first(page, "Vesper Flat", [["East", "30"], ["West", "26"]]);
  const at = (id, screen) => new URL(`/p/${id}/${screen}`, page.url()).href;
  await page.goto(at("larkin-farm", "import"));
  await page.waitForSelector("#files");
  const contract = list("contract.csv", "contract,practice_code,practice_name,standard_date,unit,fiscal_year,acres\nLarkin habitat,338,Prescribed Burning,2020-09,North Field,2027,18\n");
  await takeIn(page, contract, false);
  await page.goto(at("larkin-farm", "contracts"));
  await page.getByLabel("Plans, for every line of Larkin habitat").selectOption("lock");
  await page.waitForFunction(() => /is a lock/.test([...document.querySelectorAll(".proof")].map((e) => e.innerText).join()));
  await look(page, "contract lines");
  await page.goto(at("larkin-farm", "plan"));
  await page.waitForSelector('[data-at="0 0"]');
  await page.locator("#make-plan").click();
  await page.waitForFunction(() => /Plan \d+ is made/.test(document.body.innerText), null, { timeout: 120000 });
  assert.match(run("show", "--property", "larkin-farm"), /Larkin habitat|contract/i);
  await page.getByRole("link", { name: "All clients" }).click();
  await page.waitForSelector("#write-packets");
  assert.match(await page.locator("main").innerText(), /Larkin Farm[\s\S]*fiscal year 2027[\s\S]*Vesper Flat/);
  await page.locator("#write-packets").click();
  await page.waitForSelector(".written a");
  await look(page, "the agent's clients", picture(shots, "story-clients"));
  assert.match((await download(page, page.locator(".written a", { hasText: ".pdf" }).first())).subarray(0, 5).toString(), /%PDF-/);
  assert.ok(readdirSync(join(root, "clients", "packets")).some((f) => f.endsWith(".xlsx")));
  await end();
}

await driver.tell([manager, agent], async () => {
  await browser.close();
  rmSync(root, { recursive: true, force: true });
});
