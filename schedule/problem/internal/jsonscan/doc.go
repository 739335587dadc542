// Package jsonscan reads JSON strictly and keeps the place of everything.
//
// A Scanner gives the tokens of a text one by one, for files too large to hold
// as a tree; Parse gives the whole text as a tree of Values. Both accept
// RFC 8259 and nothing else, in UTF-8 without a byte-order mark, and both leave
// repeated and unknown keys to the caller, who knows what to say of them.
//
// The standard decoder is not used since it replaces invalid bytes and halves
// of surrogate pairs without a word, keeps no place for an unknown key, and
// lets the last of two equal keys win. Escapes inside strings are decoded by
// the standard library all the same.
package jsonscan
