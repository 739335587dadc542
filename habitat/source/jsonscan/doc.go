// Package jsonscan reads JSON strictly and keeps the place of everything.
//
// A Scanner gives the tokens of a text one by one, for files too large to hold
// as a tree; Parse gives the whole text as a tree of Values; Check gives it as
// a Part, of which the caller takes what it wants without copies. All three
// accept RFC 8259 and nothing else, and leave repeated and unknown keys to the
// caller, who knows what to say of them. Scanner and Parse also ask for UTF-8
// without a byte-order mark. Lines turns the offsets of all three into lines.
//
// The standard decoder is not used since it replaces invalid bytes and halves
// of surrogate pairs without a word, keeps no place for an unknown key, and
// lets the last of two equal keys win. Escapes inside strings are decoded by
// the standard library all the same.
package jsonscan
