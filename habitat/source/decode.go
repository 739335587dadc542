package source

import (
	"bytes"
	"encoding/binary"
	"unicode/utf16"
	"unicode/utf8"
)

// windows1252 holds the characters of the bytes 0x80 to 0x9f in the older Windows
// encoding of western languages; 0 where a byte has none. The other bytes are
// those of Unicode.
//
// Source: the WHATWG Encoding Standard, index windows-1252 (from memory).
var windows1252 = [32]rune{
	0x20AC, 0, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, 0, 0x017D, 0,
	0, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0, 0x017E, 0x0178,
}

// Decode turns text in UTF-16 with a byte-order mark, or in the older Windows
// encoding of western languages, into UTF-8, and says in note what it was taken
// for. Text in UTF-8, and whatever else it cannot be sure of, comes back as it is
// with an empty note.
func Decode(data []byte) (text []byte, note string) {
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		return decode16(data, binary.LittleEndian)
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return decode16(data, binary.BigEndian)
	case utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0:
		return data, ""
	}
	out := make([]byte, 0, len(data)+len(data)/8)
	for _, b := range data {
		r := rune(b)
		if b >= 0x80 && b < 0xa0 {
			if r = windows1252[b-0x80]; r == 0 {
				return data, ""
			}
		}
		out = utf8.AppendRune(out, r)
	}
	return out, "is not UTF-8: it was read as Windows-1252, the older Windows encoding of western languages; check names with accents"
}

func decode16(data []byte, order binary.ByteOrder) (text []byte, note string) {
	if len(data)%2 != 0 {
		return data, ""
	}
	units := make([]uint16, 0, len(data)/2)
	for i := 2; i < len(data); i += 2 {
		units = append(units, order.Uint16(data[i:]))
	}
	for _, r := range utf16.Decode(units) {
		text = utf8.AppendRune(text, r)
	}
	return text, "was read as UTF-16"
}
