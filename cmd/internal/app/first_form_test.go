package app

import "testing"

func TestFirstFile(t *testing.T) {
	for name, want := range map[string]string{
		"Larkin Farm": "larkin-farm", "Müller's <Farm>": "müller-s-farm", "../../etc": "etc", "": "property", "???": "property", "CON": "con-property",
		"Ферма 2": "ферма-2", "a  --  b": "a-b",
	} {
		if got := FirstFile(name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
	long := ""
	for range 100 {
		long += "é"
	}
	if got := FirstFile(long); len(got) > 60 || got == "" {
		t.Errorf("a long name: %d bytes", len(got))
	}
}
