package family

import (
	"testing"

	"emberquilt/schedule/problem/clash"
)

// TestFamilies makes every problem but the largest, twice, and sees that a plan
// exists.
func TestFamilies(t *testing.T) {
	for _, name := range Names {
		all, again := Make(name), Make(name)
		if len(all) == 0 {
			t.Errorf("%s is empty", name)
		}
		for k, one := range all {
			if one.Problem.SHA256 != again[k].Problem.SHA256 {
				t.Errorf("%s %s: two runs differ", name, one.Name)
			}
			if c := clash.Find(one.Problem); len(c) > 0 {
				t.Errorf("%s %s: %s", name, one.Name, c[0].Text)
			}
			if len(one.Problem.Warnings) > 0 {
				t.Errorf("%s %s: %s", name, one.Name, one.Problem.Warnings[0])
			}
		}
	}
	if len(Make("other")) != 0 {
		t.Error("an unknown family has problems")
	}
}
