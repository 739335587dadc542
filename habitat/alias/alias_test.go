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

func TestEveryOldOptionLeadsToACurrentOne(t *testing.T) {
	for command, all := range options {
		for old, now := range all {
			if Option(command, old) != now || Option(command, now) != now || OldOptions(command)[old] != now {
				t.Errorf("%s --%s is read as --%s, not --%s", command, old, Option(command, old), now)
			}
			if Option("another command", old) != old {
				t.Errorf("--%s of another command is read as --%s", old, Option("another command", old))
			}
		}
	}
	if len(options) == 0 || OldOptions("another command") != nil {
		t.Error("nothing is looked at, or too much")
	}
	OldOptions("card")["keep"] = "changed"
	if Option("card", "keep") != "save" {
		t.Error("the table was changed from outside")
	}
}
