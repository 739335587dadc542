package alias

import (
	"slices"
	"testing"
)

func TestEveryOldSpellingLeadsToACurrentWord(t *testing.T) {
	for old, now := range current {
		if Current(old) != now {
			t.Errorf("%s is read as %s, not %s", old, Current(old), now)
		}
		if Current(now) != now {
			t.Errorf("%s leads to %s, which is old itself", old, now)
		}
		if !slices.Contains(Old(now), old) {
			t.Errorf("the old spellings of %s are %v, without %s", now, Old(now), old)
		}
	}
	if Current("overdue") != "overdue" || Old("overdue") != nil {
		t.Error("a word without an old spelling changed")
	}
}
