// Package pdf writes the papers as PDF, letter size, readable in gray: the
// this-season sheet, the burn plan draft and the cost-share packet.
//
// Every page bears its number, the date, the property, the version of the data
// and of the program. The same values give the same bytes. A user's text is cut
// with a mark where it is too long, and characters that the font does not have
// are shown as a mark, since they would print as nothing. It is the only package
// that imports fpdf, which holds all pages of a document until it writes it: those
// of a long paper are therefore taken from it one by one and packed (leaf).
package pdf
