package app

import (
	"reflect"
	"sync"
	"testing"

	"emberquilt/habitat/weather/invented"
	"emberquilt/schedule/window"
	"emberquilt/store"
)

// Properties of one run share the records that are the same, and no others: each says
// what it says alone, also where two stations of one name hold different hours.
func TestSharedRecordsSayTheSame(t *testing.T) {
	one, other := invented.Demo(), invented.Demo()
	one.Years, other.Years = 2, 2
	other.Seed += 7
	document := func(w invented.Settings, name string) *store.Document {
		about, hours, err := invented.Record(w).Keep()
		if err != nil {
			t.Fatal(err)
		}
		return &store.Document{Kind: store.Weather, Name: name, Body: about, Record: hours}
	}
	docs := []*store.Document{document(one, "a"), document(other, "a"), document(one, "a"), document(one, "b")}
	s := property(t, "pennywhistle-place")
	series := func(from Environment, doc *store.Document) *window.Series {
		s := *s
		s.Environment = from
		got, err := s.series(doc)
		if err != nil {
			t.Error(err)
		}
		return got
	}
	many := s.Environment.ForMany()
	shared := make([]*window.Series, len(docs))
	for i, doc := range docs {
		shared[i] = series(many, doc)
		if alone := series(s.Environment, doc); !reflect.DeepEqual(shared[i].Record(), alone.Record()) {
			t.Errorf("record %d differs from the one that is read alone", i)
		}
	}
	if shared[0] != shared[2] {
		t.Error("one record was unpacked twice")
	}
	if shared[0] == shared[1] || reflect.DeepEqual(shared[0].Record().Hours, shared[1].Record().Hours) {
		t.Error("two records were taken for one")
	}
	if shared[0] == shared[3] {
		t.Error("records of two names were taken for one: a name may be the station's")
	}
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for _, doc := range docs {
				series(many, doc)
			}
		})
	}
	all.Wait()
	if n := len(many.shelf.records); n == 0 || n > mostShelved {
		t.Errorf("%d records lie on the shelf", n)
	}
	if s.shelf != nil {
		t.Error("a property that stands alone shares")
	}
}

// Sessions that share read a plan once, each as it reads it alone: what one does to its
// copy the next does not see, and a unit that is renamed meanwhile has its new name.
func TestSharedPlansSayTheSame(t *testing.T) {
	s := planned(t, "pennywhistle-place")
	plan := func(from Environment) *StoredPlan {
		t.Helper()
		again, err := Open(t.Context(), s.Store.Path(), ToRead, from)
		if err != nil {
			t.Fatal(err)
		}
		defer again.Close()
		p, err := again.Plan(t.Context(), 1)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	many := s.Environment.ForMany()
	alone := plan(s.Environment)
	for range 2 {
		shared := plan(s.Environment.Sharing(many))
		if !reflect.DeepEqual(shared, alone) {
			t.Fatalf("the plan is\n%+v\nalone it is\n%+v", shared, alone)
		}
		shared.Problem.Units[0].ID, shared.Problem.Units[0].Penalty[0] = "other", 77
		shared.Problem.Caps[0].Acres, shared.Problem.Seasons[0] = 1, "other"
		shared.Answer.Burns[0].Year, shared.Answer.Cost = 1, -1
	}
	if len(many.shelf.plans) != 1 {
		t.Errorf("%d plans are kept of one", len(many.shelf.plans))
	}
	was := alone.Problem.Units[0].ID
	if _, err := s.Rename(t.Context(), was, "Renamed", "a test"); err != nil {
		t.Fatal(err)
	}
	renamed := plan(s.Environment.Sharing(many))
	if !reflect.DeepEqual(renamed, plan(s.Environment)) || renamed.Problem.Units[0].ID != "Renamed" || len(many.shelf.plans) != 1 {
		t.Errorf("%s is %q in the plan, of which %d are kept", was, renamed.Problem.Units[0].ID, len(many.shelf.plans))
	}
}
