package store

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/pattern"
)

// theProperty names the documents of which a property has one.
const theProperty = "property"

// PutFiring keeps how a unit is burned; a firing that says nothing takes away
// what was kept.
func (tx *Tx) PutFiring(unit string, f habitat.Firing) error { return tx.putFiring(firing, unit, f) }

// PutEveryFiring keeps how the units are burned that say nothing themselves; a
// firing that says nothing takes away what was kept.
func (tx *Tx) PutEveryFiring(f habitat.Firing) error {
	return tx.putFiring(everyFiring, theProperty, f)
}

func (tx *Tx) putFiring(kind DocumentKind, name string, f habitat.Firing) error {
	if err := f.Validate(); err != nil {
		return fmt.Errorf("%s %q: %w", kind, name, err)
	}
	if f.IsEmpty() {
		_, err := documents.remove(tx, string(kind), name)
		return err
	}
	return tx.putJSON(kind, name, f)
}

// PutContacts keeps whom to call, in order.
func (tx *Tx) PutContacts(all []habitat.Contact) error {
	for i := range all {
		if err := all[i].Validate(); err != nil {
			return fmt.Errorf("contact %d: %w", i+1, err)
		}
	}
	return tx.putJSON(contacts, theProperty, all)
}

// UseStation says which weather record counts, by its name. The error is
// ErrUnknown where there is none of that name.
func (tx *Tx) UseStation(name string) error {
	last, err := headsOnly.last(tx, []any{string(Weather), name})
	if err == nil && (last.Number == 0 || last.Removed) {
		err = fmt.Errorf("%s %q: %w", Weather, name, ErrUnknown)
	}
	if err != nil {
		return err
	}
	return tx.putJSON(stationInUse, theProperty, name)
}

// readFiring puts a document into the firings of a snapshot.
func readFiring(into *habitat.Firings, d Document) error {
	var f habitat.Firing
	if err := readBody(d, &f); err != nil {
		return err
	}
	if d.Kind == everyFiring {
		into.Every = f
		return nil
	}
	if into.Of == nil {
		into.Of = map[string]habitat.Firing{}
	}
	into.Of[d.Name] = f
	return nil
}

// storedScenario is a scenario as it lies in the file: schema 1 has the burn days
// in words.
type storedScenario struct {
	habitat.BurnDayScenario
	Words string `json:"burn_days"`
}

// seasonInWords is "14 days in " of "14 days in dormant, 5 days in
// early-growing", as schema 1 has it.
var seasonInWords = pattern.Lazy(`(?:^|, )([0-9]+(?:\.[0-9]+)?) days? in `)

func readScenarios(into *map[int][]habitat.BurnDayScenario, d Document) error {
	plan, err := strconv.Atoi(d.Name)
	if err != nil {
		return fmt.Errorf("%s %q: not the number of a plan", d.Kind, d.Name)
	}
	var stored []storedScenario
	if err := readBody(d, &stored); err != nil {
		return err
	}
	if *into == nil {
		*into = map[int][]habitat.BurnDayScenario{}
	}
	for _, s := range stored {
		starts := seasonInWords().FindAllStringSubmatchIndex(s.Words, -1)
		for i, at := range starts {
			end := len(s.Words)
			if i+1 < len(starts) {
				end = starts[i+1][0]
			}
			days, err := strconv.ParseFloat(s.Words[at[2]:at[3]], 64)
			if err != nil {
				return fmt.Errorf("%s %q: %w", d.Kind, d.Name, err)
			}
			s.Days = append(s.Days, habitat.SeasonCap{Season: strings.TrimSpace(s.Words[at[1]:end]), Days: days})
		}
		(*into)[plan] = append((*into)[plan], s.BurnDayScenario)
	}
	return nil
}

func readBody(d Document, into any) error {
	if err := json.Unmarshal(d.Body, into); err != nil {
		return fmt.Errorf("%s %q: %w", d.Kind, d.Name, err)
	}
	return nil
}

// checkFiring validates how units are burned, whom to call, which station counts
// and what other burn days would cost.
func (s *Snapshot) checkFiring(add func(format string, args ...any)) {
	check := func(err error, format string, args ...any) {
		if err != nil {
			add(format+": %v", append(args, err)...)
		}
	}
	check(s.Firings.Every.Validate(), "firing of every unit")
	for _, u := range s.Units {
		own := s.Firings.Of[u.ID]
		check(own.Validate(), "firing of %q", u.ID)
	}
	for i := range s.Contacts {
		check(s.Contacts[i].Validate(), "contact %d", i+1)
	}
	for _, plan := range s.Plans {
		for i := range s.Scenarios[plan.Number] {
			check(s.Scenarios[plan.Number][i].Validate(), "burn-day scenario of plan %d", plan.Number)
		}
	}
	if s.Station != "" && !slices.ContainsFunc(s.Weather, func(d Document) bool { return d.Name == s.Station }) {
		add("the weather record %q is in use, which is not there", s.Station)
	}
}
