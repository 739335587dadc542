// Who changed what, when and why; and who makes the changes of this page.
import { html, nothing, live } from "../lit.js";
import { cautions, fault } from "../parts.js";
import { send } from "../api.js";
import { count, many } from "../words.js";

export async function load(page) {
  const s = page.state;
  s.of ??= { unit: "", since: "", all: "" };
  s.name ??= page.served().by;
  return page.ask(`changes?${new URLSearchParams(Object.entries(s.of).filter(([, v]) => v))}`);
}

async function keep(page, name) {
  const s = page.state;
  s.failed = null;
  try {
    const { by } = await send("/api/me", { name });
    s.name = by;
    s.kept = by ? `Changes are made by ${by} from now on.` : "Changes are made by nobody named from now on.";
    await page.refresh();
    page.say(s.kept);
  } catch (error) {
    s.failed = error;
  }
  page.redraw();
}

const who = (page) => {
  const s = page.state;
  const { by } = page.served();
  return html`<form class="sheet" @submit=${(e) => (e.preventDefault(), keep(page, s.name.trim()))}>
    <h2>Who makes changes here</h2>
    <p>${by ? html`<b>${by}</b>: the name stands beside every change that is made on this machine from now on.` : "Nobody is named. A name stands beside every change that is made on this machine from then on."} It is what you say, and no proof of who you are: for that, sign the list of seals.</p>
    <div class="fields"><label>Name<input name="me" autocomplete="name" .value=${live(s.name)} @input=${(e) => (s.name = e.target.value)} /></label></div>
    ${fault(s.failed)} ${s.kept ? html`<p class="proof" role="status">${s.kept}</p>` : nothing}
    <p class="buttons">
      <button>Keep this name</button>
      ${by ? html`<button type="button" class="quiet-button" @click=${() => keep(page, "")}>Forget it</button>` : nothing}
    </p>
  </form>`;
};

// How many values of a change are shown before they are asked for.
const most = 6;

const one = (c) => html`<li>
  <b>${c.heading}</b>
  ${c.what.length ? html`<ul>${c.what.slice(0, most).map((t) => html`<li>${t}</li>`)}</ul>` : nothing}
  ${c.what.length > most
    ? html`<details>
        <summary>${count(c.what.length - most)} more</summary>
        <ul>${c.what.slice(most).map((t) => html`<li>${t}</li>`)}</ul>
      </details>`
    : nothing}
</li>`;

export function view(page, data) {
  const s = page.state;
  const choose = (key) => (e) => ((s.of[key] = e.target.value), (s.of.all = ""), page.reload());
  return html`
    <h1 tabindex="-1">Changes</h1>
    <p class="lede">${many(data.count, "change")}${s.of.unit ? html` that speak${data.count === 1 ? "s" : ""} of ${s.of.unit}` : nothing}, the newest first. Nothing in the file is ever overwritten.</p>
    <div class="fields even">
      <label>What they speak of<select name="of-unit" @change=${choose("unit")}><option value="">everything</option>${page.head.units.map((u) => html`<option ?selected=${u === s.of.unit}>${u}</option>`)}</select></label>
      <label>From this day on<input type="date" name="of-since" .value=${live(s.of.since)} @change=${choose("since")} /></label>
    </div>
    <ol class="history journal">
      ${data.changes.map(one)}
    </ol>
    ${data.changes.length < data.count ? html`<p class="buttons"><button type="button" class="quiet-button" @click=${() => ((s.of.all = "1"), page.reload())}>Show all ${count(data.count)}</button></p>` : nothing}
    ${page.served().names ? who(page) : nothing} ${cautions(data.cautions)}
  `;
}
