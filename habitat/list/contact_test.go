package list

import (
	"context"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
)

func TestContactsAreReadInOrder(t *testing.T) {
	text := "\ufeffPhone;Role;remark\n555-0101;neighbor to the east;x\n;'=sheriff;\n"
	got, err := ReadContacts(context.Background(), []byte(text), "c.csv")
	want := []habitat.Contact{{Role: "neighbor to the east", Phone: "555-0101"}, {Role: "=sheriff"}}
	if err != nil || cmp.Diff(want, got) != "" {
		t.Errorf("%v %s", err, cmp.Diff(want, got))
	}
}

func TestBadContactsAreRefusedWithTheirPlace(t *testing.T) {
	for text, want := range map[string]string{
		"name,phone\na,b\n":                        "c.csv:1:role: a list of contacts needs this column; accepts the columns role, name, phone, when",
		"role,name\n,somebody\n":                   "c.csv:2:role: is empty; accepts a value",
		"role,when\nchief,\"a\nb\"\n":              `c.csv:2:when: "a\nb" holds a control character; accepts text on one line without control characters`,
		"role\n" + strings.Repeat("x", 201) + "\n": "c.csv:2:role: is longer, or holds a line break; accepts one line of up to 200 characters",
		"role,name\n":                              "c.csv: the list has no rows; accepts one row or more below the header",
		`{"type": "FeatureCollection"}`:            "c.csv: is not a table; accepts a list of contacts as CSV or .xlsx",
		"":                                         "c.csv: is empty; accepts a CSV table in UTF-8 with a header row",
	} {
		if _, err := ReadContacts(context.Background(), []byte(text), "c.csv"); err == nil || err.Error() != want {
			t.Errorf("%q: %v\nwant %s", text, err, want)
		}
	}
}
