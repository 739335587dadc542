package store

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
)

// newID makes an id that no other property has.
func newID() string {
	var random [16]byte
	rand.Read(random[:]) // never fails
	return hex.EncodeToString(random[:])
}

// ID tells the property from every other, also from one of its name: it was made
// with the file and never changes. A copy of the file has it too.
func (s *Store) ID(ctx context.Context) (id string, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		id, err = tx.id()
		return err
	})
	return id, err
}

func (tx *Tx) id() (id string, err error) {
	err = tx.each("SELECT id FROM identity", nil, func(scan scanner) error { return scan(&id) })
	if err != nil || id != "" {
		return id, err
	}
	// A file of an older schema: its first change is like no other's.
	err = tx.each("SELECT sha256 FROM change ORDER BY id LIMIT 1", nil, func(scan scanner) error { return scan(&id) })
	return sumOf("property " + id)[:32], err
}

func sumOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// checkIdentity recomputes the checksum over the id, which stands in one row; files of
// older programs have none.
func (tx *Tx) checkIdentity(add func(string, ...any)) error {
	return tx.each("SELECT one, id, sha256 FROM identity", nil, func(scan scanner) error {
		var one int
		var id, sum string
		err := scan(&one, &id, &sum)
		if err == nil && (one != 1 || sumOf(id) != sum) {
			add("what tells this property from others was altered")
		}
		return err
	})
}
