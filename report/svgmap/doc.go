// Package svgmap draws maps of a property as SVG: which units burn in a program
// year and which rest, their age by tone, with names, a scale bar in feet and
// miles, a north arrow, a legend, sensitive places and breaks.
//
// A Sheet holds one map or several small ones side by side, a plan year each.
// It draws a view.Map and computes nothing that a table says: states, seasons
// and classes come in as the view has them. Seasons differ by the pattern of
// their hatching as well as by color, and age classes by how dark they are, so
// that a print in gray says the same.
//
// The drawing is a standalone file and a fragment of a page alike: no script, no
// style sheet, no font, no image, no request. All text goes through
// html/template.
package svgmap
