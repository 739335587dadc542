package view

import (
	"fmt"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// SealCheck says of something that was kept whether it holds.
type SealCheck struct {
	// Kept is the stamp, the list or the signature.
	Kept  string `json:"kept"`
	Holds bool   `json:"holds"`
	Words string `json:"words"`
}

// OfAlteredFile says of what was kept and is in a file that it proves nothing where the
// file is not intact: what its seals were made of is not there anymore.
func (c SealCheck) OfAlteredFile() SealCheck {
	if c.Holds {
		c.Holds, c.Words = false, c.Kept+": the seals are in the file as they were kept, but the file is not intact, and does not fit them"
	}
	return c
}

// ListCheck says whether a list of so many seals holds: where no fault was found, with
// what was changed later.
func ListCheck(file string, seals int, faults []string, later int) SealCheck {
	if len(faults) > 0 {
		return SealCheck{Kept: file, Words: strings.Join(faults, "; ")}
	}
	return SealCheck{Kept: file, Holds: true, Words: fmt.Sprintf("all %d seals of %s hold; %s", seals, file, laterWords(later))}
}

func laterWords(later int) string {
	if later == 0 {
		return "nothing was changed after"
	}
	return quantity.Count(later, "change") + " came after, of which this says nothing"
}

// SealedChange is a change as the journal of a file has it.
type SealedChange struct {
	Stamp, SHA256 string
	On            date.Day
	By, Reason    string
}

// StampCheck holds a stamp of a paper, its number and its digits, against the change of
// that number, which is nil where the file ends before it; last is the file's last.
func StampCheck(number int, digits string, c *SealedChange, last int) SealCheck {
	stamp := fmt.Sprintf("change %d (%s)", number, digits)
	switch {
	case c == nil:
		return SealCheck{
			Kept:  stamp,
			Words: fmt.Sprintf("%s is not in this file, which ends with change %d: its newest changes were cut off, or the paper is of another copy", stamp, last),
		}
	case !strings.HasPrefix(c.SHA256, digits):
		return SealCheck{
			Kept: stamp,
			Words: fmt.Sprintf(
				"%s is not this file's %s: what was recorded up to then was altered and sealed anew, or the paper is of another property or copy",
				stamp,
				ChangeWords(c.Stamp),
			),
		}
	}
	by := ""
	if c.By != "" {
		by = " by " + c.By
	}
	return SealCheck{Kept: stamp, Holds: true, Words: fmt.Sprintf("%s holds: made on %s%s (%s); %s", stamp, c.On.Words(), by, c.Reason, laterWords(last-number))}
}

// SignatureCheck is what is known of the signature of a list.
type SignatureCheck struct {
	// File is the list, Signature the file that signs it.
	File, Signature string
	// IsMissing says that nothing signs the list, Fault why what does, does not.
	IsMissing bool
	Fault     error
	// Key is the key that signed it. IsAnyones says that nobody named whose it must be,
	// IsNamed that it is one of those that were named.
	Key                string
	IsAnyones, IsNamed bool
}

// Check says whether the signature holds.
func (s *SignatureCheck) Check() SealCheck {
	one := SealCheck{Kept: s.Signature, Holds: s.Fault == nil && !s.IsMissing && (s.IsAnyones || s.IsNamed)}
	switch {
	case s.IsMissing:
		one.Words = s.Signature + " is not there: the list is not signed"
	case s.Fault != nil:
		one.Words = fmt.Sprintf("%s does not sign %s: %v", s.Signature, s.File, s.Fault)
	case s.IsAnyones:
		one.Words = fmt.Sprintf("%s is signed by the key %s; whose key that is was not checked", s.File, s.Key)
	case s.IsNamed:
		one.Words = fmt.Sprintf("%s is signed by the key %s", s.File, s.Key)
	default:
		one.Words = fmt.Sprintf("%s is signed by another key, %s", s.File, s.Key)
	}
	return one
}
