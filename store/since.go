package store

import (
	"context"
	"encoding/json"
	"strconv"
	"strings"

	"emberquilt/habitat"
)

// Later counts what changed after a change of the file, as far as a plan depends
// on it.
type Later struct {
	// Burns are the records that were added, corrected or withdrawn; one that was
	// added and withdrawn again is none.
	Burns int
	// Treatments are the same of records that were never of a fire.
	Treatments int
	// Units are those that are new, changed or gone, or whose shape or pairs are, but
	// for what a split, a merge or a new name brought along.
	Units int
	// Split, Merged and Renamed are the units that became others.
	Split, Merged, Renamed int
	// Locks are those that were set or taken away.
	Locks int
	// Settings says that the settings changed, Weather that a weather record, a
	// prescription, or how a unit is fired did.
	Settings, Weather bool
}

// IsZero reports whether nothing changed.
func (l Later) IsZero() bool { return l == Later{} }

// Number gives the number of the change that a stamp names.
func (s Stamp) Number() int {
	text, _, _ := strings.Cut(string(s), "-")
	number, _ := strconv.Atoi(text)
	return number
}

// Since counts what changed after a change, but for what was changed together with a
// plan of that number: locks that are kept with it do not make it old.
func (s *Store) Since(ctx context.Context, change, plan int) (l Later, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		l, err = tx.since(change, plan)
		return err
	})
	return l, err
}

func (tx *Tx) since(change, plan int) (l Later, err error) {
	count := func(into *int, query string, args ...any) error {
		return tx.each(query, args, func(scan scanner) error { return scan(into) })
	}
	became, err := tx.becameSince(change, &l)
	if err != nil {
		return l, err
	}
	var settings, weather int
	for _, ask := range []func() error{
		func() error { return tx.recordsSince(change, &l) },
		func() error {
			return count(&l.Units, `SELECT count(*) FROM (WITH since AS (SELECT id FROM change WHERE id > ? AND id NOT IN (SELECT value FROM json_each(?)))
				SELECT unit FROM unit_version WHERE change IN since UNION SELECT unit FROM shape_version WHERE change IN since
				UNION SELECT unit_a FROM pair_version WHERE change IN since UNION SELECT unit_b FROM pair_version WHERE change IN since)`, change, became)
		},
		func() error {
			return count(&l.Locks, "SELECT count(*) FROM (SELECT DISTINCT unit, program_year FROM lock_version WHERE change > ? AND change NOT IN (SELECT change FROM plan WHERE number = ?) AND change NOT IN (SELECT value FROM json_each(?)))", change, plan, became)
		},
		func() error {
			return count(&settings, "SELECT count(*) FROM property_version WHERE change > ? AND change NOT IN (SELECT value FROM json_each(?))", change, became)
		},
		func() error {
			return count(&weather, "SELECT count(*) FROM document AS d JOIN document_version AS v ON v.row = d.row WHERE v.change > ? AND v.change NOT IN (SELECT value FROM json_each(?)) AND d.kind IN (?, ?, ?, ?, ?)",
				change, became, string(Prescription), string(Weather), string(firing), string(everyFiring), string(stationInUse))
		},
	} {
		if err := ask(); err != nil {
			return l, err
		}
	}
	l.Settings, l.Weather = settings > 0, weather > 0
	return l, nil
}

// recordsSince counts the records that changed after a change.
func (tx *Tx) recordsSince(change int, l *Later) error {
	treatments, err := json.Marshal(habitat.TreatmentKinds())
	if err != nil {
		return err
	}
	const query = `SELECT is_treatment, count(*) FROM (SELECT burn, min(change) AS began, max(version) AS newest, min(kind IN (SELECT value FROM json_each(?))) AS is_treatment
			FROM burn_version GROUP BY burn HAVING max(change) > ?) AS b
		WHERE NOT (began > ? AND (SELECT removed FROM burn_version AS v WHERE v.burn = b.burn AND v.version = b.newest)) GROUP BY is_treatment`
	return tx.each(query, []any{string(treatments), change, change}, func(scan scanner) error {
		var isTreatment bool
		var n int
		err := scan(&isTreatment, &n)
		if isTreatment {
			l.Treatments = n
		} else {
			l.Burns = n
		}
		return err
	})
}

// becameSince counts the units that became others after a change, and gives the numbers
// of the changes that did it as a JSON list.
func (tx *Tx) becameSince(change int, l *Later) (changes string, err error) {
	lineage, err := tx.Lineage()
	if err != nil {
		return "", err
	}
	numbers := []int{}
	for i := range lineage {
		c := &lineage[i]
		if c.Change <= change {
			continue
		}
		numbers = append(numbers, c.Change)
		switch c.Kind {
		case habitat.Split:
			l.Split++
		case habitat.Merged:
			l.Merged += len(c.From)
		case habitat.Renamed:
			l.Renamed++
		}
	}
	text, err := json.Marshal(numbers)
	return string(text), err
}
