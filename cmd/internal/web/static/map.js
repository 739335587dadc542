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

// A name stands where it fits; the title says it in any case.
function nameOf(u, as, size) {
  const fits = (text, size) => text && text.length * size * 0.56 < u.across - 6;
  const name = fits(u.unit, size) ? u.unit : "";
  const detail = fits(as.detail ?? "", size) ? as.detail : "";
  if (!name && !detail) return nothing;
  return svg`<text class=${as.light ? "light" : ""} text-anchor="middle" font-size=${size} x=${u.x} y=${u.y + (name && detail ? -3 : 5)}>
    ${name ? svg`<tspan x=${u.x} font-weight="600">${name}</tspan>` : nothing}
    ${detail ? svg`<tspan x=${u.x} dy=${name ? size * 1.2 : 0}>${detail}</tspan>` : nothing}
  </text>`;
}
