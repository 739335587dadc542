package app

import (
	"bytes"
	"crypto/sha256"
	"slices"
	"sync"

	"emberquilt/schedule/problem"
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

// Sharing gives the environment with what another shares with others; see ForMany. It is
// how sessions that follow each other on one property read once what did not change.
func (e Environment) Sharing(other Environment) Environment {
	e.shelf = other.shelf
	return e
}

// mostShelved is how many records a run keeps at hand: a county has few stations, and a
// record of ten years takes 5 MB.
const mostShelved = 3

// mostPlans is how many plans are kept at hand: the one in force and the one that is
// edited. One of 3,000 units and 20 years takes some 5 MB.
const mostPlans = 2

// shelf holds the records and plans used last, the newest first. No record that came from
// it may be changed. It may be used by several goroutines.
type shelf struct {
	mu      sync.Mutex
	records []shelved
	plans   []shelvedPlan
}

// shelvedPlan is what the files of a plan say.
type shelvedPlan struct {
	key     [sha256.Size]byte
	problem *problem.Problem
	answer  *problem.Answer
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

// readPlan reads the files of a plan, or copies what was read of the same files before.
func (s *shelf) readPlan(files PlanFiles, name string) (*problem.Problem, *problem.Answer, error) {
	if s == nil {
		return readPlan(files, name)
	}
	h := sha256.New()
	for _, file := range [][]byte{files.Problem, files.Answer} {
		sum := sha256.Sum256(file)
		h.Write(sum[:])
	}
	var key [sha256.Size]byte
	h.Sum(key[:0])
	s.mu.Lock()
	defer s.mu.Unlock()
	at := slices.IndexFunc(s.plans, func(one shelvedPlan) bool { return one.key == key })
	if at < 0 {
		p, answer, err := readPlan(files, name)
		if err != nil {
			return nil, nil, err
		}
		s.plans = slices.Insert(s.plans, 0, shelvedPlan{key, p, answer})
		s.plans = s.plans[:min(len(s.plans), mostPlans)]
		at = 0
	}
	found := s.plans[at]
	s.plans = slices.Insert(slices.Delete(s.plans, at, at+1), 0, found)
	p := found.problem.Clone()
	p.SHA256 = found.problem.SHA256
	answer := *found.answer
	answer.Burns = slices.Clone(answer.Burns)
	return p, &answer, nil
}

// readPlan reads the problem and the answer of a plan.
func readPlan(files PlanFiles, name string) (*problem.Problem, *problem.Answer, error) {
	p, err := problem.ReadKept(bytes.NewReader(files.Problem), name)
	if err != nil {
		return nil, nil, err
	}
	answer, err := problem.ReadAnswer(bytes.NewReader(files.Answer), name, p)
	return p, answer, err
}
