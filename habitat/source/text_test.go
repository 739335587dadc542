package source

import (
	"errors"
	"os/exec"
	"strings"
	"testing"
)

func TestTextRefusesWhatIsNoText(t *testing.T) {
	for _, c := range []struct{ name, data, want string }{
		{"empty", "", "f: is empty; accepts text"},
		{"blank", " \r\n\t", "f: is empty; accepts text"},
		{"only a mark", "\ufeff", "f: is empty; accepts text"},
		{"UTF-16 little", "\xff\xfeu\x00n\x00", "f: is UTF-16 text; accepts text\nhint: save it as UTF-8"},
		{"UTF-16 big", "\xfe\xff\x00u\x00n", "f: is UTF-16 text; accepts text\nhint: save it as UTF-8"},
		{"UTF-16 unmarked", "u\x00n\x00i\x00t\x00", "f: is UTF-16 text without a mark; accepts text\nhint: save it as UTF-8"},
		{"binary", "ab\ncd\x00\x01\x02\x03", "f:2: is a binary file; accepts text"},
		{"Latin-1", "unit\nR\xedo", "f:2: holds bytes that are not UTF-8; accepts text\nhint: the file may be in an older Windows or Mac encoding; save it as UTF-8"},
	} {
		_, err := Text("f", []byte(c.data), "text")
		var e *Error
		if !errors.As(err, &e) || err.Error() != c.want {
			t.Errorf("%s:\n got %v\nwant %s", c.name, err, c.want)
		}
	}
	got, err := Text("f", []byte("\ufeffunit,Río"), "text")
	if err != nil || string(got) != "unit,Río" {
		t.Errorf("got %q, %v", got, err)
	}
	if _, err := Text("f", []byte(strings.Repeat("a", MaxTextBytes+1)), "text"); err == nil {
		t.Error("a huge file got through")
	}
}

func TestNearestFindsMisspellings(t *testing.T) {
	words := []string{"acres", "burns", "cost", "burn_days"}
	for word, want := range map[string]string{"acers": "acres", "burn_day": "burn_days", "acre": "acres", "coast": "cost", "xyz": "", "": "", strings.Repeat("a", 65): ""} {
		if got := Nearest(word, words); got != want {
			t.Errorf("%q: got %q, want %q", word, got, want)
		}
	}
}

func TestNear(t *testing.T) {
	units := []string{"North Field", "North Pond", "Creek Patch", "creek bend", "Ridge", "n1", "n2", "n3", "n4"}
	for _, c := range []struct{ word, hint string }{
		{"Nort Field", `did you mean "North Field"?`},
		{"north field", `did you mean "North Field"?`},
		{"creek", `did you mean "Creek Patch" or "creek bend"?`},
		{"Rigde", "did you mean Ridge?"},
		{"n9", "did you mean n1, n2 or n3?"},
		{"Saddle", ""},
		{"", ""},
		{strings.Repeat("n", 65), ""},
	} {
		if got := DidYouMean(c.word, units); got != c.hint {
			t.Errorf("DidYouMean(%q) = %s, want %s", c.word, got, c.hint)
		}
	}
}

// A shell reads back what ShellQuote writes.
func TestShellQuote(t *testing.T) {
	for _, text := range []string{"plain", "Creek Patch", "a'b", `a"b`, "a$b", "back\\slash", "`x`", "", "höhe", "a&b", "tab\tbed", "a;b", "(x)", "a*b", "!!"} {
		out, err := exec.Command("sh", "-c", "printf %s "+ShellQuote(text)).Output()
		if err != nil || string(out) != text {
			t.Errorf("%q was written %s and read back as %q: %v", text, ShellQuote(text), out, err)
		}
	}
	if got := ShellQuote("Creek Patch"); got != `"Creek Patch"` {
		t.Errorf("a name with a blank is written %s", got)
	}
}
