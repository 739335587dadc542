// The seven days from today on: open windows, what is to do, what slipped, what is left.
import { html, nothing } from "../lit.js";
import { cautions } from "../parts.js";
import { capital, day, span } from "../words.js";

export const load = (page) => page.ask("week");

const list = (all, none) => (all.length ? html`<ul>${all.map((t) => html`<li>${t}</li>`)}</ul>` : html`<p class="quiet">${none}</p>`);

// One task with all the units that wait for it.
const toDo = (t) => {
  const days = t.by === t.through ? day(t.by) : `${day(t.by)}${t.late ? " and after" : ` to ${day(t.through)}`}`;
  return html`<li>
    <b>${capital(t.task)}</b> ${t.late ? html`<span class="late">late: it was due by ${days}</span>` : html`<span>by ${days}</span>`}
    <div class="quiet">${t.units.join(", ")}</div>
  </li>`;
};

export const view = (page, { week, open, by_task: tasks, none }) => html`
  <h1 tabindex="-1">${span(week.first, week.last, "")}</h1>
  <p class="lede">Seven days, as plan ${week.plan} has them.</p>
  <h2>Windows that are open</h2>
  ${list(open, none.open)} ${[...(week.gone ?? []), ...(week.held ?? [])].map((t) => html`<p>${t}</p>`)}
  ${week.crew?.words?.length ? html`<h2>Who burns</h2>${list(week.crew.words, "")}` : nothing}
  <h2>To do</h2>
  ${tasks.length
    ? html`<ul class="bare week-tasks">${tasks.map(toDo)}</ul>
        <p class="quiet">The screen <a href=${`/p/${encodeURIComponent(page.id)}/season`} @click=${page.follow}>Season</a> has them unit by unit, to be checked.</p>`
    : html`<p class="quiet">${none.tasks}</p>`}
  <h2>What slipped</h2>
  ${list(week.slipped.map((m) => m.words), none.slipped)}
  ${week.part_burned.length ? html`<h2>Burned in part</h2>${list(week.part_burned.map((u) => `${u.unit}: ${u.words}`), "")}` : nothing}
  <h2>What is left of the year</h2>
  ${list(week.budget.words, "")} ${week.weather_warnings.map((t) => html`<p class="quiet">Weather record: ${t}.</p>`)} ${cautions(week.cautions)}
`;
