// This season's units: windows or the reason that there is none, winds, tasks to
// check, whom to call. Made for a phone first.
import { html, nothing, live } from "../lit.js";
import { cautions, empty, fault } from "../parts.js";
import { acres, capital, count, day, figure, many, shortDay, span } from "../words.js";

export const load = (page) => page.ask("season");

const windowLine = (w, near) => html`<li>
  <b>${span(w.first, w.last, near)}</b>
  ${many(w.usable_days, "usable day")}${w.expected_days == null ? nothing : html`, ${figure(Math.round(w.expected_days * 10) / 10)} expected to suit`}
  <small>
    ${w.start_hour ? html`Usual start ${w.start_hour}. ` : nothing}
    ${w.best_week_first && w.best_week_first !== w.first ? html`Best week ${span(w.best_week_first, w.best_week_last, near)}. ` : nothing}
    From ${w.basis}.
  </small>
</li>`;

const windows = (u, near) =>
  u.windows.length
    ? html`<h3>When</h3>
        <ul class="windows">
          ${u.windows.map((w) => windowLine(w, near))}
        </ul>`
    : u.no_window
      ? html`<h3>No window</h3>
          <div class="no-window">
            <p>${capital(u.no_window.cause)}.</p>
            ${u.no_window.would_give?.length
              ? html`<details>
                  <summary>What would give one</summary>
                  <ul>
                    ${u.no_window.would_give.map((t) => html`<li>${t}</li>`)}
                  </ul>
                  <p class="quiet">This informs, and advises nothing.</p>
                </details>`
              : nothing}
          </div>`
      : nothing;

const said = {
  done: (t) => html`done ${day(t.done_on)}`,
  late: (t) => html`<span class="late">late: it was due by ${day(t.by)}</span>`,
  open: (t) => html`by ${day(t.by)}`,
  ahead: (t) => html`from ${day(t.from)}, by ${day(t.by)}`,
  "after burn": (t) => t.when,
};

function task(page, due, u, t) {
  const key = `${u.unit}\n${t.task}`;
  const state = page.state;
  return html`<li class=${t.state}>
    <label>
      <input type="checkbox" .checked=${live(t.state === "done")} ?disabled=${state.sending === key} @change=${(e) => check(page, due, u, t, key, e.target.checked)} />
      <span>${capital(t.task)}<small>${said[t.state]?.(t) ?? nothing}${t.waits_for?.length && t.state !== "done" ? html`; after: ${t.waits_for.join(", ")}` : nothing}</small></span>
    </label>
    ${state.failed?.key === key ? fault(state.failed.error) : nothing}
  </li>`;
}

async function check(page, due, u, t, key, isDone) {
  page.state.sending = key;
  page.state.failed = null;
  page.redraw();
  try {
    await page.send("tasks", { unit: u.unit, year: due.program_year, task: t.task, undo: !isDone });
    page.say(`${t.task}, ${u.unit}: ${isDone ? "done" : "not done"}`);
    page.state.own = true;
    await page.reload();
  } catch (error) {
    page.state.failed = { key, error };
  }
  page.state.sending = null;
  page.redraw();
}

// What follows a burn: to check once it is on record, and to know before.
const after = (page, due, u) =>
  !u.tasks_after?.length
    ? nothing
    : u.tasks_after[0].state === "after burn"
      ? html`<details>
          <summary>After it has burned</summary>
          <ul>
            ${u.tasks_after.map((t) => html`<li>${capital(t.task)}: ${t.when}</li>`)}
          </ul>
        </details>`
      : html`<h3>After the burn</h3>
          <ul class="checks">
            ${u.tasks_after.map((t) => task(page, due, u, t))}
          </ul>`;

const unit = (page, due, u) => html`<article class="patch" aria-labelledby=${`u-${due.units.indexOf(u)}`}>
  <header>
    <h2 id=${`u-${due.units.indexOf(u)}`}>${u.unit}</h2>
    <p>
      ${u.acres_burned > 0 && !u.done ? html`${acres(u.acres_left)} of ` : nothing}${acres(u.acres)} acres${u.cover ? html`, ${u.cover}` : nothing}
      ${u.done ? html`<span class="tag good">burned</span>` : u.overdue_if_rested ? html`<span class="tag alarm">last chance this year</span>` : nothing}
      ${u.locked ? html`<span class="tag soft">locked</span>` : nothing}
    </p>
    ${u.on_record ? html`<p>${capital(u.on_record)}.</p>` : nothing}
  </header>
  ${u.done ? nothing : windows(u, due.first)}
  ${!u.done && u.terms?.winds ? html`<h3>Wind</h3><p>${u.terms.winds}</p>` : nothing}
  ${u.tasks.length
    ? html`<h3>Before</h3>
        ${u.tasks_note ? html`<p class="quiet">${u.tasks_note}</p>` : nothing}
        <ul class="checks">
          ${u.tasks.map((t) => task(page, due, u, t))}
        </ul>`
    : nothing}
  ${after(page, due, u)}
  <details>
    <summary>Why it burns</summary>
    <ul>
      ${u.plain_reasons.map((r) => html`<li>${r}</li>`)}
      ${u.waiting?.words ? html`<li>${u.waiting.words}</li>` : nothing}
    </ul>
  </details>
  ${u.terms?.words?.length
    ? html`<details>
        <summary>What a burn of it is held to</summary>
        <ul>
          ${u.terms.words.map((r) => html`<li>${r}</li>`)}
        </ul>
      </details>`
    : nothing}
</article>`;

// How many units, or units that wait, are shown before they are asked for.
const most = 24;

const rest = (page, what, all, one) =>
  all.length > most && !page.state[what]
    ? html`<p class="buttons"><button type="button" class="quiet-button" @click=${() => ((page.state[what] = true), page.redraw())}>Show all ${many(all.length, one)}</button></p>`
    : nothing;

// Units that burned, that burned in part, or that burn in another season.
const others = (page, what, title, all, words) =>
  all?.length
    ? html`<h2>${title}</h2>
        <ul>
          ${(page.state[what] ? all : all.slice(0, most)).map((u) => html`<li>${u.unit}${words(u)}</li>`)}
        </ul>
        ${rest(page, what, all, "unit")}`
    : nothing;

export function view(page, { due, contacts }) {
  const shown = (what, all) => (page.state[what] ? all : all.slice(0, most));
  const open = due.units.filter((u) => !u.done);
  return html`
    <h1 tabindex="-1">${capital(due.season)}, ${due.burn_year}</h1>
    <p class="lede">
      ${day(due.first)} to ${day(due.last)}:
      ${due.units.length
        ? html`${open.length ? html`${many(open.length, "unit")}, ${acres(due.acres)} acres` : "every unit of this season has burned"}${due.burn_days_allowed == null || !open.length
            ? html`.`
            : html`, ${figure(due.burn_days)} of ${many(due.burn_days_allowed, "burn day")}.`}`
        : due.gone
          ? nothing
          : html`plan ${due.plan} burns nothing.`}
    </p>
    ${(due.gone ?? []).map((t) => html`<p>${t}</p>`)}
    ${due.units.length
      ? html`<p class="buttons"><button type="button" class="quiet-button" @click=${() => print()}>Print</button></p>
          <div class="patches">${shown("allUnits", due.units).map((u) => unit(page, due, u))}</div>
          ${rest(page, "allUnits", due.units, "unit")}`
      : empty(`${due.nothing} The plan screen shows when each unit burns.`)}
    ${due.units.some((u) => !u.done) ? (due.crew?.words ?? []).map((t) => html`<p>${t}</p>`) : nothing}
    ${due.waiting?.length
      ? html`<h2>Why not the others</h2>
          ${shown("allWaiting", due.waiting).map(
            (w) => html`<details>
              <summary>${w.unit}, ${acres(w.acres)} acres${w.next_burn ? html`: burns next in ${w.next_burn}` : nothing}</summary>
              <ul>
                ${(w.obstacles ?? []).map((o) => html`<li>${o.words}</li>`)}
              </ul>
            </details>`,
          )}
          ${rest(page, "allWaiting", due.waiting, "unit")}`
      : nothing}
    ${others(page, "allBurned", "Burned this year", due.burned, (u) => html`, ${acres(u.acres)} acres: ${u.words}`)}
    ${others(page, "allParts", "Burned in part this year", due.part_burned, (u) => html`: ${u.words}`)}
    ${others(page, "allElsewhere", "In other seasons of the year", due.other_seasons, (u) => html`, ${acres(u.acres)} acres, ${u.season}`)}
    <h2>Whom to call</h2>
    <ol>
      ${contacts.map((c) => html`<li><b>${c.role}</b>${c.name ? html`, ${c.name}` : nothing}${c.phone ? html`, <a href=${`tel:${c.phone.replace(/[^0-9+]/g, "")}`}>${c.phone}</a>` : nothing}${c.when ? html` <small>${c.when}</small>` : nothing}</li>`)}
    </ol>
    ${(due.stamp?.contract_lines_at_risk?.split("\n") ?? []).map((t) => html`<p><strong>${t}</strong></p>`)}
    ${(due.weather_warnings ?? due.warnings ?? []).map((w) => html`<p class="quiet">Weather record: ${w}.</p>`)} ${cautions(due.cautions)}
  `;
}

export { hearsOthers as hears } from "../parts.js";
