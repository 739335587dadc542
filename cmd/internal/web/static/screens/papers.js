// The papers: made on demand, downloaded.
import { html, nothing } from "../lit.js";
import { cautions } from "../parts.js";
import { packets } from "../packets.js";
import { capital, day, many } from "../words.js";

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
  ${page.head.contracts
    ? html`<h2>Cost-share packets</h2>
        <p>One for each of ${many(page.head.contracts, "contract")}, as PDF, workbook and CSV, with a summary.</p>
        ${packets(page, page.path("packets"), "Write all packets")}`
    : nothing}
  ${cautions(data.cautions)}
`;
