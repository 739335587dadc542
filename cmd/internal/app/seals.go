package app

import (
	"bytes"
	"context"
	"errors"
	"slices"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
	"emberquilt/store/signature"
)

// SealPurpose is what signatures of lists of seals are made for; OpenSSH calls it a
// namespace.
const SealPurpose = "seals@emberquilt"

// leastSeal is how many digits of a seal a stamp must name to be checked.
const leastSeal = 8

// KeptSeals are what was kept elsewhere of a property file's seals.
type KeptSeals struct {
	// Stamps are stamps of papers, as they print them.
	Stamps []string
	// List is a list of seals under the name File; nil where there is none.
	List *store.Seals
	File string
	// Text is the list as it was read, and Signature what signs it; nil where nothing
	// does. Signers are the keys of which one must have signed it; none accepts any.
	Text, Signature []byte
	Signers         []signature.Key
}

// AddSigners reads public keys, of which one must have signed the list.
func (k *KeptSeals) AddSigners(text []byte, file string) error {
	keys, err := signature.ParseKeys(text)
	if err != nil {
		return &source.Error{Position: source.Position{File: file}, Found: err.Error(), Accepts: "public ssh keys, a line each, as a .pub file holds them"}
	}
	k.Signers = append(k.Signers, keys...)
	return nil
}

// ParseStamps checks that stamps can be checked.
func ParseStamps(stamps []string) error {
	for _, text := range stamps {
		if _, seal, ok := view.ParseStamp(text); !ok || len(seal) < leastSeal {
			return badOption("stamp", `a stamp as papers print it, such as "change 5 (b9dd05c4)"`, "%s is not a stamp with its digits", source.Quote(text))
		}
	}
	return nil
}

// check holds the file against what was kept. The seals of a file that is not intact are
// not those of what it holds.
func (k *KeptSeals) check(ctx context.Context, s *store.Store, isIntact bool) ([]view.SealCheck, error) {
	all := []view.SealCheck{}
	if k.Signature != nil || len(k.Signers) > 0 {
		all = append(all, k.checkSignature())
	}
	if k.List != nil {
		faults, later, err := s.CheckSeals(ctx, k.List)
		if err != nil {
			return nil, err
		}
		all = append(all, ofFile(view.ListCheck(k.File, len(k.List.All), faults, later), isIntact))
	}
	if len(k.Stamps) == 0 {
		return all, nil
	}
	changes, err := s.Changes(ctx)
	if err != nil {
		return nil, err
	}
	for _, text := range k.Stamps {
		all = append(all, ofFile(checkStamp(text, changes), isIntact))
	}
	return all, nil
}

func ofFile(c view.SealCheck, isIntact bool) view.SealCheck {
	if isIntact {
		return c
	}
	return c.OfAlteredFile()
}

// checkStamp holds one stamp against the journal.
func checkStamp(text string, changes []store.Change) view.SealCheck {
	number, seal, _ := view.ParseStamp(text)
	if number > len(changes) {
		return view.StampCheck(number, seal, nil, len(changes))
	}
	c := &changes[number-1]
	return view.StampCheck(number, seal, &view.SealedChange{Stamp: string(c.Stamp()), SHA256: c.SHA256, On: date.DayOf(c.At), By: c.By, Reason: c.Reason}, len(changes))
}

// checkSignature says who signed the list.
func (k *KeptSeals) checkSignature() view.SealCheck {
	one := view.SignatureCheck{File: k.File, Signature: k.File + SignatureEnding, IsMissing: k.Signature == nil, IsAnyones: len(k.Signers) == 0}
	if !one.IsMissing {
		var by signature.Key
		if by, one.Fault = signature.Check(k.Signature, SealPurpose, k.Text); one.Fault == nil {
			one.Key = by.Fingerprint()
			one.IsNamed = slices.ContainsFunc(k.Signers, func(key signature.Key) bool { return key.Is(by) })
		}
	}
	return one.Check()
}

// SignatureEnding is what the name of a signature adds to that of what it signs.
const SignatureEnding = ".sig"

// SealsFile is a list of seals ready to be written.
type SealsFile struct {
	// Text is the list, Signature what signs it; nil without a key.
	Text, Signature []byte
	Stamp           view.Stamp
	// Seal is the newest seal, all of its digits.
	Seal string
}

// ExportSeals gives the list of seals of a property. The file's own seals must hold,
// and so must those of the list before, where there is one: a list is never made to
// say other than it did. key, where it is not nil, is a private ssh key that signs it.
func (s *Session) ExportSeals(ctx context.Context, before *store.Seals, name string, key []byte) (*SealsFile, error) {
	if before != nil {
		faults, _, err := s.Store.CheckSeals(ctx, before)
		if err != nil {
			return nil, err
		}
		if len(faults) > 0 {
			return nil, &source.Error{
				Position: source.Position{File: name},
				Found:    strings.Join(faults, "; "),
				Accepts:  "the list of this property, whose seals hold, or another name",
				Hint:     "keep the list as it is: it says more than the file",
			}
		}
	}
	seals, err := s.Store.Seals(ctx)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := seals.Write(&b); err != nil {
		return nil, err
	}
	f := &SealsFile{Text: b.Bytes(), Stamp: s.Stamp(), Seal: s.Change.SHA256}
	if key == nil {
		return f, nil
	}
	f.Signature, err = signature.Sign(key, SealPurpose, f.Text)
	switch {
	case errors.Is(err, signature.ErrPassphrase):
		return nil, badOption(
			"sign",
			"a key without one, or a signature that ssh-keygen -Y sign -f KEY -n "+SealPurpose+" FILE makes, which asks for it",
			"the key is locked by a passphrase",
		)
	case err != nil:
		return nil, badOption("sign", "a private key as ssh-keygen makes it", "%v", err)
	}
	return f, nil
}
