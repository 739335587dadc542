package cli

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

func TestVisibleShowsWhatATerminalWouldObey(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"Creek Patch\n\tübung, 18 ac\r\n", "Creek Patch\n\tübung, 18 ac\r\n"},
		{"red \x1b[31m", `red \u001b[31m`},
		{"over\rwritten", `over\u000dwritten`},
		{"right \u202eto left", `right \u202eto left`},
		{"\u2067isolate\u2069", `\u2067isolate\u2069`},
		{"mark \u200f stays", "mark \u200f stays"},
		{"eight bits: \x9b31m", `eight bits: \x9b31m`},
		{"C1 in UTF-8: \u009b", `C1 in UTF-8: \u009b`},
		{"bell\a, delete\x7f", `bell\u0007, delete\u007f`},
	} {
		// However the text is cut, the same comes out.
		for size := 1; size <= len(c.text); size++ {
			var out bytes.Buffer
			v := &visible{to: &out}
			for at := 0; at < len(c.text); at += size {
				part := c.text[at:min(at+size, len(c.text))]
				if n, err := v.Write([]byte(part)); n != len(part) || err != nil {
					t.Fatalf("Write(%q) gives %d, %v", part, n, err)
				}
			}
			v.end()
			if out.String() != c.want {
				t.Fatalf("%q in parts of %d: %q, want %q", c.text, size, out.String(), c.want)
			}
		}
	}
}

func TestVisibleKeepsAJSONDocument(t *testing.T) {
	var out bytes.Buffer
	name := "a\x1b[2J \u202e\u0085 b"
	if err := json.NewEncoder(&visible{to: &out}).Encode(name); err != nil {
		t.Fatal(err)
	}
	var back string
	if err := json.Unmarshal(out.Bytes(), &back); err != nil || back != name {
		t.Errorf("%q comes back as %q, %v", name, back, err)
	}
	if strings.ContainsAny(out.String(), "\x1b\u202e\u0085") {
		t.Errorf("raw characters in %q", out.String())
	}
}
