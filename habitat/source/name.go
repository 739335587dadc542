package source

import (
	"strings"

	"golang.org/x/text/unicode/norm"
)

// FoldName gives what two names share that differ only in case, or only in how
// Unicode spells their letters, such as é as one sign or as e with an accent.
//
// Source: Unicode Standard Annex #15, normalization form C.
func FoldName(name string) string {
	return norm.NFC.String(strings.ToLower(norm.NFC.String(strings.TrimSpace(name))))
}

// SameLetters reports whether two names differ at most in how Unicode spells their
// letters.
func SameLetters(a, b string) bool { return norm.NFC.String(a) == norm.NFC.String(b) }
