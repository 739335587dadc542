package source

import "testing"

// The examples of canonical equivalence are those of Unicode Standard Annex #15,
// table 1 and figure 3: Å as one sign, as the ångström sign, as A with a ring; Ω and
// the ohm sign.
func TestFoldName(t *testing.T) {
	for _, same := range [][2]string{{"Creek Patch", "CREEK patch"}, {"Ångström", "A\u030angström"}, {"\u212b", "\u00c5"}, {"\u2126", "\u03a9"}, {"Caf\u00e9 Field", "cafe\u0301 field"}, {" North", "north "}} {
		if FoldName(same[0]) != FoldName(same[1]) {
			t.Errorf("%q and %q are told apart", same[0], same[1])
		}
	}
	for _, other := range [][2]string{{"North", "Nörth"}, {"Unit 1", "Unit l"}, {"a b", "ab"}} {
		if FoldName(other[0]) == FoldName(other[1]) {
			t.Errorf("%q and %q are taken for one", other[0], other[1])
		}
	}
	if !SameLetters("Caf\u00e9", "Cafe\u0301") || SameLetters("Caf\u00e9", "caf\u00e9") {
		t.Error("spellings of letters and cases are mixed up")
	}
}
