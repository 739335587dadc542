package source

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

func TestErrorForm(t *testing.T) {
	for _, c := range []struct {
		name string
		err  Error
		want string
	}{
		{"all parts", Error{Position{"units.csv", 14, "acres"}, `"38,5" is not a number`, "digits with a decimal point, such as 38.5", ""},
			`units.csv:14:acres: "38,5" is not a number; accepts digits with a decimal point, such as 38.5`},
		{"no line", Error{Position{"oak-hill.emberquilt", 0, ""}, "is not a database", "", ""}, "oak-hill.emberquilt: is not a database"},
		{"a line end in a name", Error{Position{"a\nb.csv", 1, ""}, "no header", "", ""}, `a\nb.csv:1: no header`},
		{"hint", Error{Position{"a.csv", 1, ""}, "no header", "a header row", "the file may be UTF-16"},
			"a.csv:1: no header; accepts a header row\nhint: the file may be UTF-16"},
	} {
		if got := c.err.Error(); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

func TestListStopsShowingAtTwenty(t *testing.T) {
	var l List
	if l.Err() != nil {
		t.Fatal("an empty list is not an error")
	}
	for i := range 25 {
		l.Addf(Position{"f", i + 1, ""}, "", "bad")
	}
	lines := strings.Split(l.Err().Error(), "\n")
	if len(lines) != MaxShown+1 || lines[MaxShown] != "and 5 more errors" {
		t.Errorf("got %d lines ending in %q", len(lines), lines[len(lines)-1])
	}
	if l.Len() != 25 {
		t.Errorf("Len = %d", l.Len())
	}
	var one *Error
	if !errors.As(fmt.Errorf("import: %w", l.Err()), &one) || one.Line != 1 {
		t.Error("errors.As does not find the first error")
	}
	if !Is(fmt.Errorf("wrapped: %w", l.Err())) || Is(errors.New("other")) {
		t.Error("Is does not tell bad input apart")
	}
}

func TestQuoteEscapesAndCuts(t *testing.T) {
	if got := Quote("a\x1b[31m"); strings.ContainsRune(got, 0x1b) {
		t.Errorf("an escape got through: %q", got)
	}
	if got := []rune(Quote(strings.Repeat("x", 500))); len(got) > 70 {
		t.Errorf("not cut: %d", len(got))
	}
}
