package settings

import (
	"fmt"
	"strings"
	"testing"
)

// Heads of tables count as keys do: 30,000 of them took the parser minutes.
func TestTooManyTablesAreRefused(t *testing.T) {
	var text strings.Builder
	for i := range 30_000 {
		fmt.Fprintf(&text, "[t%d]\n", i)
	}
	_, err := ReadText(strings.NewReader(text.String()), "many.toml", "a list")
	if err == nil || !strings.Contains(err.Error(), "many.toml: has 29,999 keys; accepts a list of at most 20,000 keys") {
		t.Errorf("%v", err)
	}
}
