// Package svgcard draws a unit's wind card as a rose: for each of sixteen winds
// a wedge toward where it comes from.
//
// A view.WindCard enters; an SVG file or a fragment for a page leaves. The
// length of a wedge is the wind's share of the candidate days, or, without a
// record, the hours to back through the whole unit. A dark wedge suits; a
// hatched one carries smoke to a sensitive place, an empty one is out of the
// prescription: told by pattern and by word, so that it reads in gray. At the
// rim stand the hours from one interior line to the next.
package svgcard
