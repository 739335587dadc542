package view

import (
	"strings"
	"unicode"

	"emberquilt/habitat/date"
)

// Plain makes a user's text safe to set anywhere: control characters and line
// breaks become blanks, and the marks that turn the direction of writing, which
// would reorder what stands beside them, are dropped with other invisible ones.
func Plain(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsControl(r), r == '\u2028', r == '\u2029', r == unicode.ReplacementChar:
			return ' '
		case unicode.Is(unicode.Cf, r) && r != '\u200d' && r != '\u200c': // joiners belong to words and emoji
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, "\uFFFD"))
}

// ShortDay gives a day without its year, for lists below a heading that says it: "Mon,
// Jan 25".
func ShortDay(d date.Day) string { return d.Time().Format("Mon, Jan 2") }

// Cut keeps at most a number of characters of a text and marks the cut.
func Cut(text string, most int) string {
	if runes := []rune(text); len(runes) > most && most > 0 {
		return string(runes[:most-1]) + "…"
	}
	return text
}
