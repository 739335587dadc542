package pdf

import (
	"encoding/binary"
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusans"

	"emberquilt/report/view"
)

// missing stands for a character that the font does not have.
const missing = '\u25A1'

// covered holds the characters of the basic plane that the font can draw.
var covered = sync.OnceValue(func() map[rune]bool { return coverage(dejavusans.TTF) })

// coverage reads the characters from a TrueType font's cmap table, format 4.
//
// Source: OpenType specification, cmap, format 4: segment mapping to delta
// values.
func coverage(font []byte) map[rune]bool {
	all := map[rune]bool{}
	u16 := func(b []byte, at int) int { return int(binary.BigEndian.Uint16(b[at:])) }
	u32 := func(b []byte, at int) int { return int(binary.BigEndian.Uint32(b[at:])) }
	for t := range u16(font, 4) {
		record := font[12+16*t:]
		if string(record[:4]) != "cmap" {
			continue
		}
		cmap := font[u32(record, 8):]
		for e := range u16(cmap, 2) {
			sub := cmap[u32(cmap, 4+8*e+4):]
			if u16(sub, 0) != 4 {
				continue
			}
			segments := u16(sub, 6) / 2
			for s := range segments {
				end, start := u16(sub, 14+2*s), u16(sub, 16+2*segments+2*s)
				delta, offsetAt := u16(sub, 16+4*segments+2*s), 16+6*segments+2*s
				offset := u16(sub, offsetAt)
				for c := start; c <= end && c < 0xFFFF; c++ {
					glyph := (c + delta) & 0xFFFF
					if offset != 0 {
						if glyph = u16(sub, offsetAt+offset+2*(c-start)); glyph != 0 {
							glyph = (glyph + delta) & 0xFFFF
						}
					}
					if glyph != 0 {
						all[rune(c)] = true
					}
				}
			}
		}
	}
	return all
}

// printable prepares a text for the page: control characters and line breaks
// are gone, what the font lacks is a mark, the rest is cut after most
// characters.
func printable(text string, most int) string {
	known := covered()
	text = strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Cf, r), unicode.Is(unicode.Mn, r) && !known[r], r >= 0xFE00 && r <= 0xFE0F:
			return -1
		case unicode.Is(unicode.Co, r), !known[r]:
			return missing
		}
		return r
	}, view.Plain(text))
	return view.Cut(text, most)
}
