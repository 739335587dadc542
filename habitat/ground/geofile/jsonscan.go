package geofile

import (
	"bytes"
	"encoding/json"
	"strings"
)

// The functions of this file walk over JSON whose syntax has been checked. They
// give parts of the text itself, without copies, and where each part begins:
// encoding/json would hold a large file three times.

// member is one key of an object, with its value and where the value begins.
type member struct {
	key   string
	value []byte
	at    int
}

// members gives the keys of the object that is raw, which begins at offset at.
// It gives nil when raw is not an object, and stops after maxAttributes.
func members(raw []byte, at int) []member {
	i := skipBlank(raw, 0)
	if i == len(raw) || raw[i] != '{' {
		return nil
	}
	all := []member{}
	for i = skipBlank(raw, i+1); i < len(raw) && raw[i] == '"'; i = skipBlank(raw, i) {
		end := skipValue(raw, i)
		key := stringText(raw[i:end])
		i = skipBlank(raw, end)
		if i < len(raw) && raw[i] == ':' {
			i = skipBlank(raw, i+1)
		}
		end = skipValue(raw, i)
		if all = append(all, member{key, raw[i:end], at + i}); len(all) > maxAttributes {
			return all
		}
		if i = skipBlank(raw, end); i < len(raw) && raw[i] == ',' {
			i++
		}
	}
	return all
}

// elements calls visit with each value of the array that is raw, and where it
// begins, until visit returns false.
func elements(raw []byte, at int, visit func(value []byte, at int) bool) {
	i := skipBlank(raw, 0)
	if i == len(raw) || raw[i] != '[' {
		return
	}
	for i = skipBlank(raw, i+1); i < len(raw) && raw[i] != ']'; i = skipBlank(raw, i) {
		end := skipValue(raw, i)
		if !visit(raw[i:end], at+i) {
			return
		}
		if i = skipBlank(raw, end); i < len(raw) && raw[i] == ',' {
			i++
		}
	}
}

func skipBlank(raw []byte, i int) int {
	for i < len(raw) && (raw[i] == ' ' || raw[i] == '\n' || raw[i] == '\t' || raw[i] == '\r') {
		i++
	}
	return i
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

func find(all []member, key string) *member {
	for i := range all {
		if all[i].key == key {
			return &all[i]
		}
	}
	return nil
}

// text gives the member's value when it is a string.
func (m *member) text() string {
	if m == nil || len(m.value) == 0 || m.value[0] != '"' {
		return ""
	}
	return stringText(m.value)
}

// stringText gives the text of a JSON string in its quotes.
func stringText(raw []byte) string {
	if len(raw) >= 2 && bytes.IndexByte(raw, '\\') < 0 {
		return string(raw[1 : len(raw)-1])
	}
	var s string
	if json.Unmarshal(raw, &s) != nil {
		return ""
	}
	return s
}

func (m *member) isNull() bool { return m == nil || string(m.value) == "null" }

func isArray(raw []byte) bool { return len(raw) > 0 && strings.IndexByte("[", raw[0]) == 0 }
