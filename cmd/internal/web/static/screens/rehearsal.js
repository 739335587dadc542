// The program rehearsed: how it stands up to the weather of the record, which rules do
// better, which units are late; a form to play it again, and how far that has come.
import { html, svg, nothing } from "../lit.js";
import { cautions, empty, fault, table } from "../parts.js";
import { axes, chart } from "../charts.js";
import { count, figure, many, percent } from "../words.js";

export async function load(page) {
  const data = await page.ask("rehearsal");
  page.state.wish ??= { rules: new Set(data.rules.filter((r) => r.usual).map((r) => r.name)), own: "", futures: data.usual_futures, years: data.years, seed: 0, second_chance: false, ahead: false, wildfire: 0, lost: {} };
  return data;
}

export function hears(page, event) {
  if (event.kind === "changed" && event.data.reasons?.every((reason) => reason === "rehearse")) {
    page.reload();
    return true;
  }
  if (event.kind !== "rehearsal") return false;
  const state = event.data;
  page.state.run = state.over ? null : state;
  page.state.failed = state.error ?? null;
  if (!state.over) {
    page.redraw();
    return true;
  }
  if (!state.error) page.say(state.futures ? `${many(state.futures, "future")} played.` : "No future was played to the end.");
  page.reload();
  return true;
}

async function begin(page) {
  const w = page.state.wish;
  const rules = [...w.rules, ...w.own.split(/[\s,]+/).filter(Boolean)];
  page.state.failed = null;
  page.state.run = { doing: "rehearsing", done: 0, of: Number(w.futures) };
  page.redraw();
  const lost = Object.fromEntries(Object.entries(w.lost).filter(([, v]) => v).map(([k, v]) => [k, v / 100]));
  try {
    await page.send("rehearsal", { futures: Number(w.futures), years: Number(w.years), seed: Number(w.seed), rules, second_chance: w.second_chance, ahead: w.ahead, wildfire: Number(w.wildfire) / 100, lost_days: lost });
  } catch (error) {
    [page.state.failed, page.state.run] = [error, null];
  }
  page.redraw();
}

const running = (page, run) => html`<div class="sheet" role="status">
  <p><label for="progress">${count(run.done)} of ${many(run.of, "future")} played</label></p>
  <progress id="progress" max=${run.of || 1} value=${run.done}></progress>
  <p class="buttons"><button type="button" class="quiet-button" @click=${() => page.send("rehearsal/stop", {}).catch(() => {})}>Stop, and keep what is played</button></p>
</div>`;

const box = (label, words, isOn, set) => html`<label class="choice"><input type="checkbox" .checked=${isOn} @change=${(e) => set(e.target.checked)} /><span>${label}${words ? html` <small>${words}</small>` : nothing}</span></label>`;

const number = (w, key, label, words, least, most, step = 1) => html`<label>${label}<small>${words}</small><input type="number" name=${key} min=${least} max=${most} step=${step} .value=${String(w[key])} @input=${(e) => (w[key] = e.target.value)} /></label>`;

const form = (page, data) => {
  const w = page.state.wish;
  const flip = (name) => (on) => (on ? w.rules.add(name) : w.rules.delete(name));
  return html`<form
    @submit=${(e) => {
      e.preventDefault();
      begin(page);
    }}
  >
    <fieldset>
      <legend>Rules to compare</legend>
      ${data.rules.map((r) => box(r.name, r.words, w.rules.has(r.name), flip(r.name)))}
      <div class="fields">
        <label class="wide">Other rules<small>the words above joined by +, such as median+second-crew, or a number of burn days; one more after a comma</small><input type="text" name="own" .value=${w.own} @input=${(e) => (w.own = e.target.value)} /></label>
      </div>
    </fieldset>
    <details ?open=${page.state.isOpen} @toggle=${(e) => (page.state.isOpen = e.target.open)}>
      <summary>How it is played</summary>
      <div class="fields">
        ${number(w, "futures", "Futures", "more of them tell smaller differences", 1, 100000)} ${number(w, "years", "Program years", "in each future", 1, 60)}
        ${number(w, "seed", "Seed", "the same seed gives the same futures", 0, 1e9)} ${number(w, "wildfire", "Wildfire, in percent", "chance a year that one burns a unit; no bound is shown with it", 0, 100, "any")}
        ${data.seasons.map((s) => html`<label>Days lost in ${s}, in percent<small>to bans and other causes</small><input type="number" min="0" max="100" step="any" .value=${String(w.lost[s] ?? 0)} @input=${(e) => (w.lost[s] = Number(e.target.value))} /></label>`)}
      </div>
      ${box("A missed unit waits for its next season of the same year", "under every rule", w.second_chance, (on) => (w.second_chance = on))}
      ${box("Days that are left take next year's units", "under every rule", w.ahead, (on) => (w.ahead = on))}
    </details>
    <p class="buttons"><button type="submit">Rehearse plan ${data.plan}</button></p>
  </form>`;
};

const span = (s, most) => {
  const at = (v) => (100 * Math.max(0, v)) / most;
  return svg`<svg class="span" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true"><rect class="track" width="100" height="10"></rect><rect x=${at(s.p10)} width=${Math.max(0.7, at(s.p90) - at(s.p10))} height="10"></rect></svg>`;
};

const share = (v) => svg`<svg class="span" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true"><rect class="track" width="100" height="10"></rect><rect width=${100 * v} height="10"></rect></svg>`;

const middle = (s) => html`${count(s.p50)} <small>${count(s.p10)} to ${count(s.p90)}</small>`;

const years = (r) => Array.from({ length: r.years }, (_, k) => r.first_year + k);

const shown = (r) => {
  const first = r.rules[0];
  const most = Math.max(1, ...r.rules.map((rule) => rule.shortfall.p90));
  const late = r.rules[0].units.filter((u) => u.ever_overdue > 0).sort((a, b) => b.ever_overdue - a.ever_overdue);
  return html`
    <p class="proof">${r.headlines[0]}</p>
    ${r.headlines.slice(1).map((t) => html`<p>${t}</p>`)}
    <h2>Rules side by side</h2>
    ${table(
      `Shortfall in acre-years over ${many(r.years, "year")}; the bar spans eight futures of ten`,
      [
        ["name", "rule", (v, rule) => html`${v}<small> ${rule.words}</small>`],
        ["shortfall", "mean", (s) => figure(s.mean), true],
        ["shortfall", "95% interval", (s) => `${figure(s.low)} to ${figure(s.high)}`, true],
        ["shortfall", "8 of 10 futures", (s) => html`${span(s, most)}<small>${figure(s.p10)} to ${figure(s.p90)}</small>`],
        ["differs", `from ${first.name}`, (v) => v, true],
        ["foresight", "with foresight, at least", (s) => (s ? figure(s.mean) : "–"), true],
        ["futures_none_overdue", "none overdue in", percent, true],
      ],
      r.rules.map((rule, i) => ({ ...rule, differs: r.differences[i] })),
      { showCaption: true },
    )}
    <h2>By year, under rule ${first.name}</h2>
    <div class="charts">
      <figure><figcaption>Acres burned</figcaption><div class="chart" id="chart-fan-burned" role="img" aria-label="Acres burned in each year: the middle future and eight of ten; the table below says the same"></div></figure>
      <figure><figcaption>Acres overdue</figcaption><div class="chart" id="chart-fan-overdue" role="img" aria-label="Acres overdue in each year: the middle future and eight of ten; the table below says the same"></div></figure>
    </div>
    ${table(
      "The middle future, and between one in ten and nine in ten",
      [["year", "year"], ["burned", "acres burned", middle, true], ["overdue", "acres overdue", middle, true], ["units", "units overdue, on average", (s) => figure(s.mean), true]],
      years(r).map((year, k) => ({ year: String(year), burned: first.acres_burned[k], overdue: first.overdue_acres[k], units: first.overdue_units[k] })),
      { showCaption: true },
    )}
    <h2>What happened, on average</h2>
    ${table(
      "Means over the futures, rule by rule",
      [["name", "figure"], ...r.rules.map((rule, i) => ["by_rule", rule.name, (v) => v[i], true])],
      r.what_happened,
    )}
    <h2>Which units are late, and how often</h2>
    ${late.length
      ? table(
          `Chance to end a year overdue, under rule ${first.name}`,
          [["unit", "unit"], ["ever_overdue", "in any year", percent, true], ["ever_overdue", "share of futures", share], ...years(r).map((year, k) => ["overdue", String(year), (v) => percent(v[k]), true]), ["mean_interval", "years between burns", (v) => (v ? figure(v) : "–"), true]],
          late,
        )
      : html`<p>None is in any future.</p>`}
    <details>
      <summary>How it was played</summary>
      <ul>
        ${r.method.map((t) => html`<li>${t}</li>`)}
      </ul>
    </details>
  `;
};

// The middle future as a line in front of the band of eight futures of ten.
const fan = (c, r, all, unit) => ({
  ...axes(c, years(r), unit),
  legend: { show: false },
  tooltip: { show: false },
  aria: { enabled: true },
  series: [
    { type: "line", stack: "band", symbol: "none", lineStyle: { opacity: 0 }, data: all.map((s) => s.p10), silent: true },
    { type: "line", stack: "band", symbol: "none", lineStyle: { opacity: 0 }, areaStyle: { color: c.band, opacity: 1 }, data: all.map((s) => s.p90 - s.p10), silent: true },
    { type: "line", symbol: "circle", symbolSize: 8, lineStyle: { color: c.ink, width: 2 }, itemStyle: { color: c.ink }, data: all.map((s) => Math.round(10 * s.p50) / 10) },
  ],
});

export function drawn(page, { rehearsal: r }) {
  if (!r) return;
  chart(document.getElementById("chart-fan-burned"), r, (c) => fan(c, r, r.rules[0].acres_burned, "acres"));
  chart(document.getElementById("chart-fan-overdue"), r, (c) => fan(c, r, r.rules[0].overdue_acres, "acres"));
}

export const view = (page, data) => html`
  <h1 tabindex="-1">Plan ${data.plan} rehearsed</h1>
  <p class="lede">The coming years, played many times with weather from the record: what burns when springs are bad, and what would help.</p>
  ${data.rehearsal ? shown(data.rehearsal) : empty("This plan has not been rehearsed yet. Choose the rules to compare, and play.")}
  <h2>${data.rehearsal ? "Play again" : "Play"}</h2>
  ${fault(page.state.failed)} ${page.state.run ? running(page, page.state.run) : form(page, data)} ${cautions(data.cautions)}
`;
