// Package pdftest reads a PDF back for tests: its objects, its logical structure, and what
// is drawn on each page inside and outside of it. It knows as much of the format as the
// papers use, and shares no code with what writes them.
package pdftest

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf16"
)

// The values of a PDF: Name, Ref, Dict, []any, string (its bytes), float64, bool and nil.
type (
	// Name is a name without its slash.
	Name string
	// Ref is the number of another object.
	Ref int
	// Dict is a dictionary.
	Dict map[Name]any
	// Operator is a word of a page's contents.
	Operator string
)

// Document is a PDF that was read.
type Document struct {
	// IsNarrow is for a type whose codes are of one byte, as the papers' are not.
	IsNarrow bool

	objects map[int]any
	streams map[int][]byte
	trailer Dict
}

var objectHead = regexp.MustCompile(`^(\d+) 0 obj\n`)

// Read reads a file whose table of objects is a stream.
func Read(data []byte) (*Document, error) {
	d := &Document{objects: map[int]any{}, streams: map[int][]byte{}}
	rest := data
	for len(rest) > 0 {
		head := objectHead.FindSubmatch(rest[:min(len(rest), 20)])
		if head == nil {
			_, after, ok := bytes.Cut(rest, []byte("\n"))
			if !ok {
				break
			}
			rest = after
			continue
		}
		number, err := strconv.Atoi(string(head[1]))
		if err != nil {
			return nil, err
		}
		s := &scanner{data: rest, at: len(head[0])}
		value := s.value()
		d.objects[number] = value
		if s.word("stream\n") {
			dict, _ := value.(Dict)
			length, _ := dict["Length"].(float64)
			if s.at+int(length) > len(rest) {
				return nil, fmt.Errorf("object %d is longer than the file", number)
			}
			body := rest[s.at : s.at+int(length)]
			s.at += int(length)
			if dict["Filter"] == Name("FlateDecode") {
				if body, err = unpacked(body); err != nil {
					return nil, fmt.Errorf("object %d: %w", number, err)
				}
			}
			d.streams[number] = body
			if dict["Type"] == Name("XRef") {
				d.trailer = dict
			}
			s.word("\nendstream")
		}
		if !s.word("\nendobj\n") {
			return nil, fmt.Errorf("object %d does not end: %.40q", number, rest[s.at:])
		}
		rest = rest[s.at:]
	}
	for number, stream := range d.streams {
		dict, _ := d.objects[number].(Dict)
		if dict["Type"] != Name("ObjStm") {
			continue
		}
		first, _ := dict["First"].(float64)
		index := &scanner{data: stream[:int(first)]}
		for range int(dict["N"].(float64)) {
			number, offset := index.value().(float64), index.value().(float64)
			d.objects[int(number)] = (&scanner{data: stream, at: int(first + offset)}).value()
		}
	}
	if d.trailer == nil {
		return nil, fmt.Errorf("no table of objects")
	}
	return d, nil
}

func unpacked(data []byte) ([]byte, error) {
	r, err := zlib.NewReader(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

// get follows a reference.
func (d *Document) get(v any) any {
	if ref, ok := v.(Ref); ok {
		return d.objects[int(ref)]
	}
	return v
}

func (d *Document) dict(v any) Dict {
	dict, _ := d.get(v).(Dict)
	return dict
}

// list gives a list, or the one value that stands in place of it.
func list(v any) []any {
	switch v := v.(type) {
	case nil:
		return nil
	case []any:
		return v
	default:
		return []any{v}
	}
}

// Text decodes a text string.
func Text(v any) string {
	s, _ := v.(string)
	if s, ok := strings.CutPrefix(s, "\xfe\xff"); ok {
		return wide(s)
	}
	return s
}

// wide decodes UTF-16, the higher byte first: the codes of the papers' type too.
func wide(s string) string {
	units := make([]uint16, len(s)/2)
	for i := range units {
		units[i] = uint16(s[2*i])<<8 | uint16(s[2*i+1])
	}
	return string(utf16.Decode(units))
}

// scanner reads values.
type scanner struct {
	data []byte
	at   int
}

func (s *scanner) space() {
	for s.at < len(s.data) && strings.IndexByte(" \n\r\t\x00", s.data[s.at]) >= 0 {
		s.at++
	}
}

func (s *scanner) word(w string) bool {
	trimmed := strings.TrimLeft(w, "\n")
	s.space()
	if bytes.HasPrefix(s.data[s.at:], []byte(trimmed)) {
		s.at += len(trimmed)
		return true
	}
	return false
}

const delimiters = " \n\r\t()<>[]/"

// value reads one value or operator; nil at the end.
func (s *scanner) value() any {
	s.space()
	if s.at >= len(s.data) {
		return nil
	}
	switch c := s.data[s.at]; {
	case c == '/':
		s.at++
		return Name(s.token())
	case c == '(':
		return s.text()
	case c == '[':
		s.at++
		list := []any{}
		for !s.word("]") && s.at < len(s.data) {
			list = s.add(list)
		}
		return list
	case bytes.HasPrefix(s.data[s.at:], []byte("<<")):
		s.at += 2
		var flat []any
		for !s.word(">>") && s.at < len(s.data) {
			flat = s.add(flat)
		}
		dict := Dict{}
		for i := 0; i+1 < len(flat); i += 2 {
			name, _ := flat[i].(Name)
			dict[name] = flat[i+1]
		}
		return dict
	case c == '<':
		digits, _, _ := bytes.Cut(s.data[s.at+1:], []byte(">"))
		s.at += len(digits) + 2
		var out []byte
		for i := 0; i+1 < len(digits); i += 2 {
			n, _ := strconv.ParseUint(string(digits[i:i+2]), 16, 8)
			out = append(out, byte(n))
		}
		return string(out)
	}
	token := s.token()
	if token == "" {
		s.at++
		return nil
	}
	switch token {
	case "true":
		return true
	case "false":
		return false
	case "null":
		return nil
	}
	if n, err := strconv.ParseFloat(token, 64); err == nil {
		return n
	}
	return Operator(token)
}

// add appends the next value of a list; "12 0 R" is one.
func (s *scanner) add(list []any) []any {
	v := s.value()
	if v == Operator("R") && len(list) >= 2 {
		number, _ := list[len(list)-2].(float64)
		return append(list[:len(list)-2], Ref(number))
	}
	return append(list, v)
}

func (s *scanner) token() string {
	from := s.at
	for s.at < len(s.data) && strings.IndexByte(delimiters, s.data[s.at]) < 0 {
		s.at++
	}
	return string(s.data[from:s.at])
}

func (s *scanner) text() string {
	var out []byte
	depth := 0
	for ; s.at < len(s.data); s.at++ {
		switch c := s.data[s.at]; c {
		case '\\':
			s.at++
			switch c := s.data[s.at]; c {
			case 'n':
				out = append(out, '\n')
			case 'r':
				out = append(out, '\r')
			default:
				out = append(out, c)
			}
		case '(':
			if depth++; depth > 1 {
				out = append(out, c)
			}
		case ')':
			if depth--; depth == 0 {
				s.at++
				return string(out)
			}
			out = append(out, c)
		default:
			out = append(out, c)
		}
	}
	return string(out)
}

// Names gives all names that its objects hold, as keys and as values; packed data hold any
// bytes by chance.
func (d *Document) Names() map[Name]bool {
	all := map[Name]bool{}
	var read func(v any)
	read = func(v any) {
		switch v := v.(type) {
		case Name:
			all[v] = true
		case []any:
			for _, one := range v {
				read(one)
			}
		case Dict:
			for name, one := range v {
				all[name] = true
				read(one)
			}
		}
	}
	for _, object := range d.objects {
		read(object)
	}
	return all
}
