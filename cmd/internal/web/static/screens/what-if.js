// What if: burns that were missed, what would fix a unit, other plans nearly as good,
// and plans tried with closures, caps or burn days of their own, side by side. Each
// question is answered by solves; the server tells the answer to every tab.
import { html, nothing, live } from "../lit.js";
import { came, cautions, empty, fault, send, table } from "../parts.js";
import { acres, capital, count } from "../words.js";

const noTry = () => ({ name: "", burn_days: "", close: [""], caps: [""], years: "", from: "", note: "", seconds: "" });

export async function load(page) {
  const s = page.state;
  s.missed ??= { unit: "", seconds: "" };
  s.fix ??= { unit: "", seconds: "" };
  s.alternatives ??= { within: "", count: "", first_years: "", keep: false, seconds: "" };
  s.try ??= noTry();
  s.answers ??= {};
  return page.ask("what-if");
}

export async function hears(page, event) {
  const s = page.state;
  if (event.kind === "changed" && s.own) {
    await page.reload(); // what somebody else changed meanwhile is shown, too
    return true;
  }
  if (event.kind !== "what-if") return false;
  const { what, over, doing, answer, stopped, error } = event.data;
  if (!over) {
    s.running = { what, doing };
    s.isStarting = "";
    page.redraw();
    return true;
  }
  s.running = null;
  s.isStarting = "";
  s.answers[what] = { answer, stopped, error };
  page.say(error ? error.errors.map((e) => e.found).join("; ") : answer.said.map((t) => t.head).join(" ") || "stopped");
  if (what === "try" && answer?.plans.length) s.try = noTry();
  if (answer?.plans.length) await page.reload();
  else page.redraw();
  s.own = false; // the shell knows later news by their data version
  return true;
}

async function ask(page, what) {
  const s = page.state;
  delete s.answers[what];
  s.isStarting = what;
  page.redraw();
  const wish = { ...s[what] };
  for (const list of ["close", "caps"]) if (wish[list]) wish[list] = wish[list].map((t) => t.trim()).filter(Boolean);
  if (what === "try") s.own = true; // the plan that comes of it is told below its form
  if (what === "alternatives") s.own = wish.keep;
  try {
    await page.send(`what-if/${what}`, wish);
  } catch (error) {
    s.answers[what] = { error };
    s.isStarting = "";
    s.own = false;
    page.say(error.message);
  }
  page.redraw();
}

const field = (page, what, key, label, about = "", kind = "short") =>
  html`<label>${label}${about ? html`<small>${about}</small>` : nothing}<input class=${kind} name=${`${what}-${key}`} autocomplete="off" .value=${live(page.state[what][key])} @input=${(e) => (page.state[what][key] = e.target.value)} /></label>`;

const seconds = (page, what) => field(page, what, "seconds", "At most, in seconds", "20 where this is empty");

/** The button of a question, how far its answer has come, and the answer. */
const question = (page, what, label) => {
  const s = page.state;
  const got = s.answers[what];
  const isRunning = s.running?.what === what || s.isStarting === what;
  const isBusy = Boolean(s.running || s.isStarting);
  return html`<p class="buttons">
      <button ?disabled=${isBusy}>${label}</button>
      ${isRunning
        ? html`<span class="wait" role="status">${capital(s.running?.doing ?? "beginning")}…</span>
            <button type="button" class="quiet-button" @click=${() => page.send("what-if/stop", {}).catch(() => {})}>Stop</button>`
        : isBusy
          ? html`<span class="quiet">Another question is being answered.</span>`
          : nothing}
    </p>
    ${got?.error ? fault(got.error) : nothing}
    ${got?.answer
      ? html`<section class="sheet answer" aria-label=${`Answer: ${label}`}>
          ${got.stopped ? html`<p class="quiet">It was stopped; this was found until then.</p>` : nothing}
          ${got.answer.said.map((t) => html`<p>${capital(t.head)}${/[.:?!]$/.test(t.head) ? "" : "."}</p>${t.items.length ? html`<ul>${t.items.map((i) => html`<li>${i}</li>`)}</ul>` : nothing}`)}
        </section>`
      : nothing}`;
};

const form = (page, what, inside, label) => html`<form
  id=${`ask-${what}`}
  @submit=${(e) => {
    e.preventDefault();
    ask(page, what);
  }}
>
  ${inside} ${question(page, what, label)}
</form>`;

const units = (page, what, none, names) => html`<label>Unit<select name=${`${what}-unit`} @change=${(e) => (page.state[what].unit = e.target.value)}>
  <option value="">${none}</option>
  ${names.map((u) => html`<option ?selected=${u === page.state[what].unit}>${u}</option>`)}
</select></label>`;

/** Rows of texts, such as closures; the last one may be empty. */
const rows = (page, key, label, about, more) => {
  const all = page.state.try[key];
  return html`<fieldset class="rows-of">
    <legend class="plain-legend">${label}</legend>
    <p class="quiet">${about}</p>
    ${all.map((text, i) => html`<input name=${`try-${key}-${i}`} aria-label=${`${label}, ${i + 1}`} autocomplete="off" .value=${live(text)} @input=${(e) => (all[i] = e.target.value)} />`)}
    <button type="button" class="plain" @click=${() => {
      all.push("");
      page.redraw();
      document.querySelector(`[name="try-${key}-${all.length - 1}"]`)?.focus();
    }}>${more}</button>
  </fieldset>`;
};

const tries = (page) =>
  form(
    page,
    "try",
    html`<p class="quiet">A plan with what is said here and nothing else changed. It is a draft under its name: nothing rests on it until it is adopted, and the settings stay.</p>
      <div class="fields even">
        ${field(page, "try", "name", "Name of the what-if", "such as “one crew less”", "")}
        ${field(page, "try", "burn_days", "Burn days of each season", "poor, median, mean, settings, or a number", "")}
        ${field(page, "try", "from", "First program year", "the one under way, where this is empty")} ${field(page, "try", "years", "Program years", "those of the settings, where this is empty")}
        <div class="wide two">${rows(page, "close", "Closed", "A season (“dormant”), one of a year (“dormant 2028”), a program year (“2028”) or days (“2028-03-01..2028-03-31”); for one unit after its name and a colon (“Creek Patch: dormant”).", "One more to close")} ${rows(page, "caps", "Caps", "acres=120, burns=6, dollars=9000, a season for its burn days (“dormant=3”); for one year “acres 2028=60”; none lifts a cap (“acres=none”).", "One more cap")}</div>
        ${field(page, "try", "note", "Note, kept with the plan", "", "")} ${seconds(page, "try")}
      </div>`,
    "Try it",
  );

const decide = (page, p) =>
  p.standing.standing !== "draft"
    ? nothing
    : html`<button type="button" class="plain" @click=${() => send(page, "beside", `plans/${p.plan}/adopt`, { because: "" }, { words: () => [`plan ${p.plan} is in force`] })}>Adopt<span class="unseen"> plan ${p.plan}</span></button>
        <button type="button" class="plain" @click=${() => send(page, "beside", `plans/${p.plan}/discard`, { because: "" }, { words: () => [`plan ${p.plan} is discarded`] })}>Discard<span class="unseen"> plan ${p.plan}</span></button>`;

const besides = (page, beside) => html`
  ${table(
    `Program years ${beside.years[0]} to ${beside.years.at(-1)}; the shortfall is that of all years solved`,
    [
      ["plan", "plan", (_, p) => html`${p.plan}${p.name ? html` <small>${p.name}</small>` : nothing}`],
      ["acres_burned", "acres", acres, true],
      ["burns", "burns", count, true],
      ["cost_cents", "cost", (v) => `$${count(v / 100)}`, true],
      ["overdue_units", "units overdue", count, true],
      ["shortfall_text", "shortfall", (v) => v, true],
      ...(beside.plans.length > 1 ? [["difference", `from plan ${beside.plans[0].plan}`, (v) => v, true]] : []),
      ["gap_text", "gap", (v) => v, true],
      ...(beside.plans.length > 1 ? [["plan", "decide", (_, p) => (p === beside.plans[0] ? "" : decide(page, p))]] : []),
    ],
    beside.plans,
    { showCaption: true, class: "stack" },
  )}
  <ul>
    ${beside.plans.filter((p) => p.changed.length || p.changed_since).map((p) => html`<li>Plan ${p.plan}${p.name ? `, ${p.name}` : ""}: ${[...p.changed, p.changed_since].filter(Boolean).join("; ")}</li>`)}
    ${beside.notes.map((t) => html`<li>${t}</li>`)}
  </ul>
  ${came(page, "beside")}
`;

export const view = (page, data) => html`
  <h1 tabindex="-1">What if</h1>
  <p class="lede">Questions that are answered by making plans. Only a plan that is kept stays; nothing else is changed.</p>
  ${data.missing ? empty(data.missing, html`<p><button type="button" @click=${page.makePlan}>Make a plan</button></p>`) : nothing}
  <h2>Try a plan</h2>
  ${tries(page)}
  ${data.beside ? html`<h2>Plans side by side</h2>${besides(page, data.beside)}` : nothing}
  <div class="two">
  <section><h2>What was missed, and what that costs</h2>
  ${form(
    page,
    "missed",
    html`<p class="quiet">Burns that the plans in force had for seasons that are over, and that no record makes good: each with the shortfall as things stand and had it burned.</p>
      <div class="fields even">${units(page, "missed", "every unit", page.head.units)} ${seconds(page, "missed")}</div>`,
    "Look for missed burns",
  )}</section>
  <section><h2>What would fix it</h2>
  ${form(
    page,
    "fix",
    html`<p class="quiet">Single changes after which a unit is overdue in no plan year, or after which locked burns that clash have a plan. Each was solved, none is guessed.</p>
      <div class="fields even">${units(page, "fix", "locks that clash", [...data.overdue, ...page.head.units.filter((u) => !data.overdue.includes(u))])} ${seconds(page, "fix")}</div>
      ${data.overdue.length ? html`<p class="quiet">Overdue in some year: ${data.overdue.slice(0, 12).join(", ")}${data.overdue.length > 12 ? `, and ${count(data.overdue.length - 12)} more` : ""}.</p>` : nothing}`,
    "Look for single changes",
  )}</section>
  </div>
  <h2>Other plans nearly as good</h2>
  ${form(
    page,
    "alternatives",
    html`<p class="quiet">Plans that differ from the one in force in which units burn first.</p>
      <div class="fields even">
        ${field(page, "alternatives", "within", "Shortfall larger by at most this share", "0.05 where this is empty")} ${field(page, "alternatives", "count", "How many", "5 where this is empty")}
        ${field(page, "alternatives", "first_years", "Different within the first years", "2 where this is empty")} ${seconds(page, "alternatives")}
      </div>
      <label class="choice"><input type="checkbox" name="alternatives-keep" .checked=${live(page.state.alternatives.keep)} @change=${(e) => (page.state.alternatives.keep = e.target.checked)} /> Keep what is found, as drafts</label>`,
    "Look for other plans",
  )}
  ${cautions(data.cautions)}
`;
