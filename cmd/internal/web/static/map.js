// A map as our own drawing: paths of the server, colors of the style sheet.
import { html, svg, nothing } from "./lit.js";
import { count } from "./words.js";

/** Draws parts. unit(i) says how one is shown: {class, title, detail, light}; pick is
 * called with the index of a unit that is pointed at. Who cannot point uses the list
 * or table beside the map. */
export function map(parts, label, unit, pick) {
  const shown = parts.units.map((u, i) => ({ u, i, as: unit(i) })).filter(({ u }) => u.path);
  // A drawing that is shrunk to a phone has larger letters.
  const size = innerWidth < 640 ? 34 : 15;
  // Those that burn are drawn last, so that their edges lie on top.
  const drawn = shown.slice().sort((a, b) => (a.as.top ? 1 : 0) - (b.as.top ? 1 : 0));
  return html`<svg class="map" viewBox=${`0 0 ${parts.width} ${parts.height + 34}`} role="img" aria-label=${label}>
    ${drawn.map(
      ({ u, i, as }) => svg`<path class=${`unit ${as.class ?? ""} ${pick ? "pick" : ""}`} d=${u.path} fill-rule="evenodd" data-unit=${i}
        @click=${pick ? () => pick(i) : nothing} @pointerenter=${pick ? () => pick(i, true) : nothing}><title>${as.title ?? u.unit}</title></path>`,
    )}
    ${parts.standing ? svg`<path class="standing" d=${parts.standing}></path>` : nothing}
    ${parts.places.map((p) => (p.path ? svg`<path class="place-line" d=${p.path}></path>` : nothing))}
    ${shown.map(({ u, as }) => nameOf(u, as, size))}
    ${parts.places.map(
      (p) => svg`<g transform=${`translate(${p.x} ${p.y})`}>
        <path class="place" d=${p.off ? "M0 -8L7 6H-7Z" : "M-6 6V-1L0 -8L6 -1V6Z"}><title>${p.name}${p.kind ? `, ${p.kind}` : ""}</title></path>
        ${p.off ? nothing : svg`<text class="place-name" font-size=${size - 1} x=${p.x > parts.width * 0.75 ? -10 : 10} y="5" text-anchor=${p.x > parts.width * 0.75 ? "end" : "start"}>${p.name}</text>`}
      </g>`,
    )}
    <g class="scale" transform=${`translate(12 ${parts.height + 18})`}>
      <path d=${`M0 -6V0H${parts.scale_pixels}V-6`}></path>
      <text font-size=${size} x=${parts.scale_pixels + 8} y="4">${count(parts.scale_feet)} ft</text>
    </g>
    <g transform=${`translate(${parts.width - 22} ${parts.height + 4})`}><path d="M0 0L6 22L0 17L-6 22Z" fill="currentColor"></path><text font-size=${size} x="-12" y="20" text-anchor="end">N</text></g>
  </svg>`;
}

// A name stands where it fits, in two lines or three where it does not fit in one, and
// the detail below where there is room; the title says both in any case. Bold letters are
// wider.
function nameOf(u, as, size) {
  const fits = (text, width) => text && text.length * size * width < u.across - 4;
  const holds = (lines) => lines === 1 || lines * size * 1.25 < u.high;
  const names = [[u.unit], inTwo(u.unit), u.unit.split(" ")].find((lines) => lines.length <= 3 && holds(lines.length) && lines.every((line) => fits(line, 0.64))) ?? [];
  const lines = names.map((text) => ({ text, weight: 600 }));
  if (holds(names.length + 1) && fits(as.detail ?? "", 0.56)) lines.push({ text: as.detail, weight: 400 });
  const top = u.y + size * 0.35 - (lines.length - 1) * size * 0.6;
  return lines.length === 0
    ? nothing
    : svg`<text class=${as.light ? "light" : ""} text-anchor="middle" font-size=${size}>
    ${lines.map(({ text, weight }, i) => svg`<tspan x=${u.x} y=${top + i * size * 1.2} font-weight=${weight}>${text}</tspan>`)}
  </text>`;
}

// inTwo parts a name at the blank nearest to its middle; one without stays whole.
function inTwo(name) {
  const blanks = [...name.matchAll(/ /g)].map((m) => m.index);
  const at = blanks.sort((a, b) => Math.abs(a - name.length / 2) - Math.abs(b - name.length / 2))[0];
  return at ? [name.slice(0, at), name.slice(at + 1)] : [name];
}
