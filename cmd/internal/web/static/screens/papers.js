// The papers: made on demand, downloaded.
import { html } from "../lit.js";
import { cautions } from "../parts.js";
import { capital, day } from "../words.js";

export const title = "Papers";

export const load = (page) => page.ask("papers");

export const view = (page, data) => html`
  <h1 tabindex="-1">Papers</h1>
  <p class="lede">Each is made when it is asked for: as of ${day(data.stamp.on)}, from ${data.made_from}.</p>
  <ul class="paper-list">
    ${data.papers.map(
      (p) => html`<li>
        <div>
          <h2>${p.file}</h2>
          <p>${capital(p.about)}.</p>
        </div>
        <a class="button quiet-button" href=${page.path(`papers/${encodeURIComponent(p.file)}`)} download aria-label=${`Download ${p.file}`}>Download</a>
      </li>`,
    )}
  </ul>
  ${cautions(data.cautions)}
`;
