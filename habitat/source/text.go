package source

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// MaxTextBytes is the largest text file that is read: far above what a property
// needs, far below what would fill the memory.
const MaxTextBytes = 64 << 20

// Text checks that a file's bytes are text that can be read: UTF-8, neither
// empty nor binary. It gives them without a byte-order mark. accepts says what
// the file should have been, such as "a CSV file in UTF-8".
func Text(file string, data []byte, accepts string) ([]byte, error) {
	bad := func(line int, found, hint string) error {
		return &Error{Position{File: file, Line: line}, found, accepts, hint}
	}
	switch {
	case len(data) > MaxTextBytes:
		return nil, bad(0, "is larger than 64 MB", "")
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}), bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return nil, bad(0, "is UTF-16 text", "save it as UTF-8")
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if len(bytes.TrimSpace(data)) == 0 {
		return nil, bad(0, "is empty", "")
	}
	if at := bytes.IndexByte(data, 0); at >= 0 {
		if looksUTF16(data) {
			return nil, bad(0, "is UTF-16 text without a mark", "save it as UTF-8")
		}
		return nil, bad(lineOf(data, at), "is a binary file", "")
	}
	if !utf8.Valid(data) {
		return nil, bad(lineOf(data, invalidAt(data)), "holds bytes that are not UTF-8", "the file may be in an older Windows or Mac encoding; save it as UTF-8")
	}
	return data, nil
}

// Clean makes text from a file safe to show: no control characters, no
// invalid bytes, no blanks around it.
func Clean(text string) string {
	text = strings.ToValidUTF8(text, "\uFFFD")
	text = strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			return ' '
		case r < 0x20 || r == 0x7f || (r >= 0x80 && r < 0xa0):
			return -1
		case r&0xfffe == 0xfffe || 0xfdd0 <= r && r <= 0xfdef:
			return -1 // no characters, says Unicode, and XML may not hold them
		}
		return r
	}, text)
	return strings.TrimSpace(text)
}

// looksUTF16 reports whether every second byte of the beginning is zero.
func looksUTF16(data []byte) bool {
	data = data[:min(len(data), 64)&^1]
	even, odd := 0, 0
	for i := 0; i < len(data); i += 2 {
		if data[i] == 0 {
			even++
		}
		if data[i+1] == 0 {
			odd++
		}
	}
	return len(data) >= 4 && (even == len(data)/2 || odd == len(data)/2)
}

func lineOf(data []byte, at int) int { return 1 + bytes.Count(data[:at], []byte{'\n'}) }

func invalidAt(data []byte) int {
	for at := 0; at < len(data); {
		r, size := utf8.DecodeRune(data[at:])
		if r == utf8.RuneError && size == 1 {
			return at
		}
		at += size
	}
	return len(data)
}

// IsHidden reports whether a terminal may obey a character in place of showing it: control
// characters, both sets of them, and those that override the direction of writing. Marks
// of direction, which names in Arabic or Hebrew need, are none.
func IsHidden(r rune) bool {
	return r < ' ' || 0x7f <= r && r < 0xa0 || 0x202a <= r && r <= 0x202e || 0x2066 <= r && r <= 0x2069
}
