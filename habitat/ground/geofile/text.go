package geofile

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"unicode/utf16"
	"unicode/utf8"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// readAll reads a whole file of at most MaxBytes. size is what the caller
// expects, 0 for not known; it saves copies.
func readAll(r io.Reader, file string, size int64) ([]byte, error) {
	var out bytes.Buffer
	out.Grow(int(max(0, min(size, MaxBytes))) + bytes.MinRead)
	_, err := out.ReadFrom(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", file, err)
	}
	if out.Len() > MaxBytes {
		return nil, tooLarge(file)
	}
	return out.Bytes(), nil
}

var utf8Mark = []byte{0xef, 0xbb, 0xbf}

// plainText gives the content of a text file as UTF-8 without a byte order
// mark, and refuses what is not text.
func plainText(data []byte, file string) ([]byte, error) {
	bad := func(found, hint string) error {
		return &source.Error{Position: source.Position{File: file}, Found: found, Accepts: "a text file in UTF-8", Hint: hint}
	}
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return nil, &source.Error{Position: source.Position{File: file}, Found: "the file is empty", Accepts: "a file with shapes"}
	case bytes.HasPrefix(data, utf8Mark):
		data = data[len(utf8Mark):]
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		return fromUTF16(data[2:], binary.LittleEndian), nil
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return fromUTF16(data[2:], binary.BigEndian), nil
	}
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return nil, bad("the file is not text: it holds a zero byte", "the file may be binary, or UTF-16 without a byte order mark")
	}
	return data, nil
}

func fromUTF16(data []byte, order binary.ByteOrder) []byte {
	out := make([]byte, 0, len(data)/2)
	for len(data) >= 2 {
		r := rune(order.Uint16(data))
		data = data[2:]
		if utf16.IsSurrogate(r) && len(data) >= 2 {
			r = utf16.DecodeRune(r, rune(order.Uint16(data)))
			data = data[2:]
		}
		out = utf8.AppendRune(out, r)
	}
	return out
}

// grouped prints a whole number with commas.
func grouped(n int64) string { return quantity.Group(float64(n), 0) }
