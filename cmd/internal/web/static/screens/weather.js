// The weather of the record, prescriptions, and two questions to them: a public
// forecast, and the weather of the moment.
import { html, nothing, live } from "../lit.js";
import { came, cautions, drop, empty, send, table, withFiles } from "../parts.js";
import { capital, count, figure } from "../words.js";

export async function load(page) {
  page.state.now ??= { unit: page.head.units[0] ?? "", temp: "", rh: "", wind: "", gust: "", from: "", at: "", dry_days: "" };
  page.state.forecast ??= { unit: page.head.units[0] ?? "", dry_days: "", elsewhere: false, any_age: false };
  return page.ask("weather");
}

export { hearsOthers as hears } from "../parts.js";

/** Asks something that changes nothing; the answer stands under key, and is said. */
async function ask(page, what, body, key, said) {
  const answer = await send(page, what, what, body, { words: () => [], isChange: false });
  if (!answer) return;
  page.state[key] = answer;
  page.say(said(answer));
  page.redraw();
}

const stations = (page, data) => html`
  ${data.stations.length
    ? table(
        "Weather records that are loaded",
        [
          ["station", "station", (v, s) => html`${v}${s.in_use ? html` <span class="tag good">in use</span>` : nothing}`],
          ["formats", "read as"],
          ["hours", "hours", count, true],
          ["warnings", "what is odd", (_, s) => (data.odd[s.station]?.length ? html`<ul class="bare">${data.odd[s.station].map((t) => html`<li>${capital(t)}.</li>`)}</ul>` : "nothing")],
          ["in_use", "choose", (v, s) => (v ? "" : html`<button type="button" class="plain" @click=${() => send(page, "station", "weather/use", { station: s.station })}>Use<span class="unseen"> ${s.station}</span></button>`)],
        ],
        data.stations,
        { class: "stack" },
      )
    : html`<p>No record is loaded: windows come from dates alone.</p>`}
  <div class="fields"><label>What to call the next one<small>its name in the file, where this is empty</small><input name="station" .value=${live(page.state.station ?? "")} @input=${(e) => (page.state.station = e.target.value)} /></label></div>
  ${drop(
    page,
    { key: "weather", name: "weather", label: "Hourly records of one station", about: "EPW, TMY3, TMY2, ISD, ISD-Lite, LCD; what a file is follows from its content" },
    (files) => files.length && send(page, "station", "weather", withFiles({ station: page.state.station ?? "" }, files)),
  )}
  ${came(page, "station")}
`;

const days = (data) =>
  data.days
    ? html`<p class="quiet">${data.days.basis}; usable days as in program year ${data.days.year}.</p>
        ${table(
          "Expected burn days of each season",
          [
            ["season", "season"],
            ["usable_days", "usable days", count, true],
            ["low", "one year in five, at most", (_, d) => figure(d.one_year_in_five_low), true],
            ["median", "half of the years, at most", figure, true],
            ["mean", "mean", figure, true],
            ["rests_on", "rests on"],
          ],
          data.days.levels,
          { class: "stack" },
        )}
        ${data.days.warnings.map((t) => html`<p class="quiet">${capital(t)}.</p>`)}`
    : empty(`${capital(data.missing ?? "No weather record is loaded")}.`);

const prescriptions = (page, data) => html`
  ${data.prescriptions.length
    ? html`<div class="patches">
        ${data.prescriptions.map(
          ([name, ...limits]) => html`<article class="patch"><h3>${capital(name)}</h3><ul>${limits.map((t) => html`<li>${t.trim()}</li>`)}</ul></article>`,
        )}
      </div>`
    : html`<p>None is loaded: every usable day counts.</p>`}
  <p class="buttons">
    <button type="button" class="quiet-button" id="starters" ?disabled=${page.state.isSending} @click=${() => send(page, "prescription", "prescriptions/starters", {})}>Load those that come with the program</button>
  </p>
  <p class="quiet">Starting points, each limit with its source, to be replaced by those of your own written burn plan. The column “prescription” of a list of units says which holds for which.</p>
  ${drop(page, { key: "prescription", name: "prescription", label: "Prescriptions as files", about: "JSON as emberquilt writes it; one of a name that is loaded takes its place" }, (files) => files.length && send(page, "prescription", "prescriptions", withFiles({}, files)))}
  ${came(page, "prescription")}
`;

const units = (page, of) => html`<label>Unit<select name=${`${of}-unit`} @change=${(e) => (page.state[of].unit = e.target.value)}>${page.head.units.map((u) => html`<option ?selected=${u === page.state[of].unit}>${u}</option>`)}</select></label>`;
const typed = (page, of, key, label, about = "") => html`<label>${label}${about ? html`<small>${about}</small>` : nothing}<input class="short" name=${`${of}-${key}`} autocomplete="off" .value=${live(page.state[of][key])} @input=${(e) => (page.state[of][key] = e.target.value)} /></label>`;
const box = (page, of, key, label) => html`<label class="choice"><input type="checkbox" .checked=${live(page.state[of][key])} @change=${(e) => (page.state[of][key] = e.target.checked)} /> ${label}</label>`;

const forecast = (page) => {
  const f = page.state.forecast;
  const got = page.state.checked;
  return html`<div class="fields even">${units(page, "forecast")} ${typed(page, "forecast", "dry_days", "Days since rain", "where you know them")}</div>
    ${box(page, "forecast", "elsewhere", "Take one for a place over 30 miles off")} ${box(page, "forecast", "any_age", "Take one over 24 hours old")}
    ${drop(page, { key: "forecast", name: "forecast", label: "The forecast as a file", about: "an hourly or gridpoint document of the US national weather service, saved from your browser; this page asks nothing of the network" }, (files) => files.length && ask(page, "forecast", withFiles(f, files), "checked", ({ title }) => title),
    )}
    ${came(page, "forecast")}
    ${got
      ? html`<section class="sheet" id="forecast-result" aria-label="What the forecast says">
          <h3>${got.title}</h3>
          <ul>${got.held_to.map((t) => html`<li>${t}</li>`)}</ul>
          ${table("Days of the forecast", [["day", "day"], ["longest_run_in_every_limit", "hours in a row in every limit", count, true], ["from", "from"], ["needed_hours", "needed", count, true], ["reaches_it", "reaches it"]], got.days, { class: "stack" })}
          <details><summary>Hour by hour</summary>${table("Burn hours of the forecast", [["day", "day"], ["from", "from"], ["all_limits_hold", "all limits hold", (v) => (v === true ? "yes" : v === false ? "no" : v)], ["fails", "fails"], ["not_in_the_document", "not in the document"]], got.hours, { class: "stack" })}</details>
          <ul>${got.compared.map((t) => html`<li>${t}</li>`)}</ul>
          <p><b>${got.caution}</b></p>
        </section>`
      : nothing}`;
};

const moment = (page) => {
  const got = page.state.read;
  return html`<form
    @submit=${(e) => {
      e.preventDefault();
      page.state.read = null;
      ask(page, "now", page.state.now, "read", ({ lines }) => lines[0] ?? "");
    }}
  >
    <div class="fields even">
      ${units(page, "now")} ${typed(page, "now", "temp", "Temperature, °F")} ${typed(page, "now", "rh", "Humidity, %")} ${typed(page, "now", "wind", "Wind, mph", "at the height of the prescription")}
      ${typed(page, "now", "gust", "Gusts, mph", "at the same height, where you read them")} ${typed(page, "now", "from", "Wind from", "NNW, or degrees")} ${typed(page, "now", "at", "At", "the time now, where this is empty")} ${typed(page, "now", "dry_days", "Days since rain")}
    </div>
    ${came(page, "now")}
    <p class="buttons"><button ?disabled=${page.state.isSending}>Hold it against the limits</button></p>
    ${got ? html`<section class="sheet" id="now-result" aria-label="What the reading says"><ul class="bare">${got.lines.filter(Boolean).map((t) => html`<li>${t}</li>`)}</ul></section>` : nothing}
  </form>`;
};

export const view = (page, data) => html`
  <h1 tabindex="-1">Weather</h1>
  <h2>Burn days to count on</h2>
  ${days(data)}
  <h2>The record</h2>
  ${stations(page, data)}
  <h2>Prescriptions</h2>
  ${prescriptions(page, data)}
  ${page.head.units.length
    ? html`<h2>A forecast against the limits of a unit</h2>
        ${forecast(page)}
        <h2>The weather of the moment</h2>
        ${moment(page)}`
    : nothing}
  ${cautions(data.cautions)}
`;
