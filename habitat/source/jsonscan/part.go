package jsonscan

import (
	"bytes"
	"encoding/json"
	"iter"
)

// Part is one value as it stands in a text that Check has accepted: its bytes,
// which are those of the text and no copy, and the offset at which they begin.
// The zero Part is the value of a key that is not there.
//
// Parts are for files that are too large for a tree and of which most is
// passed over: coordinates, long forecasts. Walking text that Check refuses
// gives nonsense, but ends.
type Part struct {
	Raw    []byte
	Offset int
}

// Member is one key of an object and its value.
type Member struct {
	Key string
	Part
}

// Check makes sure that data is one JSON text and gives it as a Part. It keeps
// nothing but the nesting, and does not ask whether text is UTF-8. The error is
// a *SyntaxError.
func Check(data []byte) (Part, error) {
	s := &Scanner{data: data, skim: true}
	for {
		token, err := s.Next()
		if err != nil {
			return Part{}, err
		}
		if token.Kind == End {
			at := skipSpace(data, 0)
			return Part{Raw: bytes.TrimRight(data[at:], " \t\r\n"), Offset: at}, nil
		}
	}
}

// Members gives the keys of an object in file order, repeated ones included,
// and nil for any other value. It stops after most and one more.
func (p Part) Members(most int) []Member {
	if len(p.Raw) == 0 || p.Raw[0] != '{' {
		return nil
	}
	all := []Member{}
	for key, value := range p.pairs() {
		if all = append(all, Member{text(key), value}); len(all) > most {
			break
		}
	}
	return all
}

// pairs gives the keys of an object as they stand, in quotes, and the values.
func (p Part) pairs() iter.Seq2[[]byte, Part] {
	return func(yield func([]byte, Part) bool) {
		raw := p.Raw
		if len(raw) == 0 || raw[0] != '{' {
			return
		}
		for i := skipSpace(raw, 1); i < len(raw) && raw[i] == '"'; i = skipSpace(raw, i) {
			end := skipValue(raw, i)
			key := raw[i:end]
			i = skipSpace(raw, end)
			if i < len(raw) && raw[i] == ':' {
				i = skipSpace(raw, i+1)
			}
			end = skipValue(raw, i)
			if !yield(key, Part{raw[i:end], p.Offset + i}) {
				return
			}
			if i = skipSpace(raw, end); i < len(raw) && raw[i] == ',' {
				i++
			}
		}
	}
}

// Find gives the value of the first key of that name in an object, and the zero
// Part where there is none.
func (p Part) Find(key string) Part {
	for name, value := range p.pairs() {
		if text(name) == key {
			return value
		}
	}
	return Part{}
}

// Find gives the value of the first member of that name, and the zero Part
// where there is none.
func Find(all []Member, key string) Part {
	for i := range all {
		if all[i].Key == key {
			return all[i].Part
		}
	}
	return Part{}
}

// Items gives the items of a list; those of any other value are none.
func (p Part) Items() iter.Seq[Part] {
	return func(yield func(Part) bool) {
		raw := p.Raw
		if !p.IsList() {
			return
		}
		for i := skipSpace(raw, 1); i < len(raw) && raw[i] != ']'; i = skipSpace(raw, i) {
			end := skipValue(raw, i)
			if !yield(Part{raw[i:end], p.Offset + i}) {
				return
			}
			if i = skipSpace(raw, end); i < len(raw) && raw[i] == ',' {
				i++
			}
		}
	}
}

// IsNull says that the value is null or not there.
func (p Part) IsNull() bool { return len(p.Raw) == 0 || string(p.Raw) == "null" }

// IsList says that the value is a list.
func (p Part) IsList() bool { return len(p.Raw) > 0 && p.Raw[0] == '[' }

// IsText says that the value is text.
func (p Part) IsText() bool { return len(p.Raw) > 0 && p.Raw[0] == '"' }

// Text gives the decoded text of a value that is text, and nothing for any
// other. Half a surrogate pair becomes U+FFFD.
func (p Part) Text() string {
	if !p.IsText() {
		return ""
	}
	return text(p.Raw)
}

// text decodes a string in its quotes.
func text(raw []byte) string {
	if len(raw) >= 2 && bytes.IndexByte(raw, '\\') < 0 {
		return string(raw[1 : len(raw)-1])
	}
	var decoded string
	if json.Unmarshal(raw, &decoded) != nil {
		return ""
	}
	return decoded
}

// skipValue gives the end of the value that begins at i, and at least i+1.
func skipValue(raw []byte, i int) int {
	depth := 0
	for start := i; i < len(raw); i++ {
		switch raw[i] {
		case '"':
			for i++; i < len(raw) && raw[i] != '"'; i++ {
				if raw[i] == '\\' {
					i++
				}
			}
			if depth == 0 {
				return min(i+1, len(raw))
			}
		case '{', '[':
			depth++
		case '}', ']':
			if depth--; depth <= 0 {
				if depth < 0 && i > start {
					return i // the end of what holds a plain value
				}
				return i + 1
			}
		case ',', ':', ' ', '\n', '\t', '\r':
			if depth == 0 && i > start {
				return i
			}
		}
	}
	return len(raw)
}
