package app

import (
	"crypto/sha256"
	"slices"
	"sync"

	"emberquilt/schedule/window"
	"emberquilt/store"
)

// ForMany gives the environment of a run over many properties: weather records that are
// the same in several of them, as those of the clients of one county are, are unpacked and
// cut into days once.
func (e Environment) ForMany() Environment {
	e.shelf = &shelf{}
	return e
}

// mostShelved is how many records a run keeps at hand: a county has few stations, and a
// record of ten years takes 5 MB.
const mostShelved = 3

// shelf holds the records used last, the newest first. Nothing that came from it may be
// changed. It may be used by several goroutines.
type shelf struct {
	mu      sync.Mutex
	records []shelved
}

type shelved struct {
	key    [sha256.Size]byte
	series *window.Series
}

// recordKey tells records apart by all that a series is made of.
func recordKey(station string, doc *store.Document) (key [sha256.Size]byte) {
	h := sha256.New()
	for _, part := range [][]byte{[]byte(station), doc.Body, doc.Record} {
		sum := sha256.Sum256(part)
		h.Write(sum[:])
	}
	h.Sum(key[:0])
	return key
}

// find gives a record that lies on the shelf; nil where it does not, or there is none.
func (s *shelf) find(key [sha256.Size]byte) *window.Series {
	if s == nil {
		return nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	at := slices.IndexFunc(s.records, func(one shelved) bool { return one.key == key })
	if at < 0 {
		return nil
	}
	found := s.records[at]
	s.records = slices.Insert(slices.Delete(s.records, at, at+1), 0, found)
	return found.series
}

// put lays a record on the shelf, if there is one.
func (s *shelf) put(key [sha256.Size]byte, series *window.Series) {
	if s == nil {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.records = slices.Insert(s.records, 0, shelved{key, series})
	s.records = s.records[:min(len(s.records), mostShelved)]
}
