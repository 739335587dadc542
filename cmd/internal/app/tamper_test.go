package app

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/store"
)

// sealedTables are the tables whose rows seals cover, in the order in which they do.
var sealedTables = []string{"property_version", "unit_version", "shape_version", "pair_version", "lock_version", "burn_version", "document_version", "plan"}

// victim is a property file with attachments in a folder of its own, what its agent
// keeps elsewhere, and files of others to swap it with.
type victim struct {
	folder, file, older, other string
	kept                       KeptSeals
}

// newVictim makes a property with units, outlines, pairs, locks, records that were
// corrected and withdrawn, a contract with modifications, tasks, files and a plan.
func newVictim(t *testing.T) *victim {
	t.Helper()
	ctx := context.Background()
	fail := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	s := property(t, "pennywhistle-place")
	s.By = "A. Baker"
	v := &victim{folder: filepath.Dir(s.Store.Path()), file: s.Store.Path()}
	for _, name := range []string{"letter.txt", "map.txt", "photo.txt"} {
		fail(os.WriteFile(filepath.Join(v.folder, name), []byte("this is "+name), 0o600))
	}
	a, b := s.Units[0].ID, s.Units[1].ID
	fail(s.update(ctx, "contract", func(tx *store.Tx) error {
		return tx.PutContract(habitat.Contract{Name: "Grass", Number: "17", Practices: []habitat.Practice{{Code: "338", Name: "Prescribed Burning", Measure: habitat.InAcres, Burns: true}},
			Items: []habitat.ContractItem{{Unit: a, Practice: "338", FiscalYear: 2026, Planned: 10}, {Unit: b, Practice: "338", FiscalYear: 2027, Planned: 8}}})
	}))
	for i, unit := range []string{a, b, a} {
		_, err := s.RecordBurn(ctx, unit, date.MustDay(2026, 3, 1+2*i), BurnChange{}, true)
		fail(err)
	}
	acres := s.Units[0].Acres / 2
	_, err := s.CorrectBurn(ctx, s.Records[len(s.Records)-1].ID, BurnChange{Acres: &acres}, "measured again")
	fail(err)
	fail(s.WithdrawBurn(ctx, s.Records[len(s.Records)-2].ID, "another farm"))
	_, err = s.ModifyContract(ctx, "Grass", habitat.Modification{Kind: habitat.Amend, Line: 1, Reason: "fence"}, habitat.LineChange{Planned: 9})
	fail(err)
	for _, name := range []string{"letter.txt", "map.txt"} {
		_, err = s.AttachToContract(ctx, "Grass", filepath.Join(v.folder, name), "")
		fail(err)
	}
	photo, err := s.Attach(filepath.Join(v.folder, "photo.txt"))
	fail(err)
	_, err = s.CorrectBurn(ctx, s.Records[len(s.Records)-1].ID, BurnChange{Files: []habitat.Attachment{photo}}, "a photo")
	fail(err)
	_, err = s.MakePlan(ctx, PlanOptions{Solver: quick})
	fail(err)
	v.older = filepath.Join(t.TempDir(), "older.emberquilt")
	fail(s.Store.Backup(ctx, v.older))
	_, err = s.Lock(ctx, habitat.Lock{Unit: a, Year: 2028}, "nesting")
	fail(err)
	v.kept.File = "kept.seals"
	v.kept.List, err = s.Store.Seals(ctx)
	fail(err)
	other := property(t, "pennywhistle-place") // the same demo, as another client's file
	v.other = other.Store.Path()
	fail(s.Close())
	return v
}

// copied copies the folder of the victim, to be tampered with.
func (v *victim) copied(t *testing.T, to string) {
	t.Helper()
	entries, err := os.ReadDir(v.folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		copyFile(t, filepath.Join(v.folder, e.Name()), filepath.Join(to, e.Name()))
	}
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	data, err := os.ReadFile(from)
	if err == nil {
		err = os.WriteFile(to, data, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// forger does with a file what its owner could not want.
type forger struct {
	t  *testing.T
	r  *rand.Rand
	db *sql.DB
	// triggers are the statements of those that were dropped.
	triggers []string
}

// forge opens a file past the program, with its guards taken down.
func forge(t *testing.T, r *rand.Rand, path string) *forger {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	f := &forger{t: t, r: r, db: db}
	f.run("PRAGMA foreign_keys = OFF")
	f.run("PRAGMA ignore_check_constraints = ON")
	f.triggers = f.texts("SELECT sql FROM sqlite_schema WHERE type = 'trigger' ORDER BY name")
	for _, name := range f.texts("SELECT name FROM sqlite_schema WHERE type = 'trigger'") {
		f.run("DROP TRIGGER " + name)
	}
	return f
}

// close puts the guards back, so that nothing shows but what was forged.
func (f *forger) close() {
	for _, text := range f.triggers {
		f.run(text)
	}
	if err := f.db.Close(); err != nil {
		f.t.Fatal(err)
	}
}

func (f *forger) try(query string, args ...any) error {
	_, err := f.db.Exec(query, args...)
	return err
}

func (f *forger) run(query string, args ...any) {
	f.t.Helper()
	if err := f.try(query, args...); err != nil {
		f.t.Fatal(query, err)
	}
}

func (f *forger) texts(query string, args ...any) []string {
	f.t.Helper()
	rows, err := f.db.Query(query, args...)
	if err != nil {
		f.t.Fatal(err)
	}
	defer rows.Close()
	var all []string
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			f.t.Fatal(err)
		}
		all = append(all, text)
	}
	return all
}

// row gives a random rowid of a table, 0 where it is empty.
func (f *forger) row(table string) int64 {
	var n sql.NullInt64
	if err := f.db.QueryRow("SELECT rowid FROM "+table+" ORDER BY (rowid * ?) % 7919 LIMIT 1", f.r.IntN(7918)+1).Scan(&n); err != nil && err != sql.ErrNoRows {
		f.t.Fatal(err)
	}
	return n.Int64
}

// edit alters one value of one row of some table, whichever it is.
func (f *forger) edit() string {
	for {
		table := pick(f.r, append([]string{"change", "unit", "identity"}, sealedTables...))
		row := f.row(table)
		column := pick(f.r, f.texts("SELECT name FROM pragma_table_info(?)", table))
		if row == 0 {
			continue
		}
		var old any
		if err := f.db.QueryRow(fmt.Sprintf("SELECT %s FROM %s WHERE rowid = ?", column, table), row).Scan(&old); err != nil {
			f.t.Fatal(err)
		}
		var now any
		switch was := old.(type) {
		case nil:
			now = pick(f.r, []any{int64(1), 1.5, "2026-01-01", []byte{1}})
		case int64:
			now = was + int64(pick(f.r, []int{-1, 1, 2, 1000}))
		case float64:
			now = was + pick(f.r, []float64{0.1, -0.05, 1e-9 * max(1, math.Abs(was)), 100})
		case string:
			now = alter(f.r, was)
		case []byte:
			now = []byte(alter(f.r, string(was)))
		}
		if f.r.IntN(8) == 0 && old != nil {
			now = nil
		}
		// What the schema itself refuses is tried elsewhere.
		if err := f.try(fmt.Sprintf("UPDATE %s SET %s = ? WHERE rowid = ?", table, column), now, row); err != nil {
			continue
		}
		return fmt.Sprintf("%s.%s of row %d: %.60v → %.60v", table, column, row, old, now)
	}
}

// alter changes a text at one place.
func alter(r *rand.Rand, text string) string {
	letters := []byte(text)
	switch at := r.IntN(len(letters) + 1); {
	case at == len(letters):
		return text + "1"
	case r.IntN(3) == 0:
		return string(slices.Delete(letters, at, at+1))
	default:
		letters[at] = letters[at]&0x0f | 0x30 ^ 1 // a digit or a sign
		if string(letters) == text {
			letters[at] ^= 2
		}
		return string(letters)
	}
}

// remove deletes a row, add writes a ghost beside one.
func (f *forger) remove() string {
	for {
		table := pick(f.r, append([]string{"change", "unit"}, sealedTables...))
		if row := f.row(table); row > 0 {
			f.run(fmt.Sprintf("DELETE FROM %s WHERE rowid = ?", table), row)
			return fmt.Sprintf("%s: row %d is gone", table, row)
		}
	}
}

func (f *forger) add() string {
	for {
		table := pick(f.r, append([]string{"change", "unit"}, sealedTables...))
		row := f.row(table)
		if row == 0 {
			continue
		}
		columns := f.texts("SELECT name FROM pragma_table_info(?)", table)
		values := slices.Clone(columns)
		for i, c := range columns {
			switch {
			case i == 0: // the row, the number
				values[i] = fmt.Sprintf("(SELECT max(rowid) + 1 FROM %s)", table)
			case c == "version":
				values[i] = c + " + " + strconv.Itoa(1+f.r.IntN(3))
			case table == "unit" && c == "name":
				values[i] = "name || ' ghost'"
			}
		}
		if err := f.try(fmt.Sprintf("INSERT INTO %s (%s) SELECT %s FROM %s WHERE rowid = ?", table, strings.Join(columns, ", "), strings.Join(values, ", "), table), row); err == nil {
			return fmt.Sprintf("%s: a ghost of row %d", table, row)
		}
	}
}

// schema adds, drops or changes a table, view, index or trigger.
func (f *forger) schema() string {
	n := f.r.IntN(1000)
	query := pick(f.r, []string{
		fmt.Sprintf("CREATE TABLE t%d (x)", n), fmt.Sprintf("CREATE VIEW v%d AS SELECT 1", n), fmt.Sprintf("CREATE INDEX i%d ON burn_version (notes)", n),
		fmt.Sprintf("CREATE TRIGGER g%d AFTER INSERT ON change BEGIN UPDATE unit_version SET acres = acres + 1; END", n),
		"DROP INDEX " + pick(f.r, f.texts("SELECT name FROM sqlite_schema WHERE type = 'index' AND sql IS NOT NULL")),
		"DROP VIEW document", "ALTER TABLE unit_version ADD COLUMN paid REAL", "ALTER TABLE lock_version RENAME COLUMN season TO when_", "ANALYZE",
	})
	if f.r.IntN(4) == 0 {
		at := f.r.IntN(len(f.triggers))
		name := strings.Fields(f.triggers[at])[2]
		if query = "-- the trigger " + name + " is dropped"; f.r.IntN(2) == 0 {
			f.triggers[at] = fmt.Sprintf("CREATE TRIGGER %s BEFORE UPDATE ON unit BEGIN SELECT 1; END", name)
			return "the trigger " + name + " does nothing"
		}
		f.triggers = slices.Delete(f.triggers, at, at+1)
		return query
	}
	f.run(query)
	return query
}

// cut takes the newest changes off, with all that they wrote.
func (f *forger) cut() string {
	var last int
	if err := f.db.QueryRow("SELECT max(id) FROM change").Scan(&last); err != nil {
		f.t.Fatal(err)
	}
	left := 3 + f.r.IntN(last-3) // the property, its units and records stay
	for _, table := range sealedTables {
		f.run(fmt.Sprintf("DELETE FROM %s WHERE change > ?", table), left)
	}
	f.run("DELETE FROM change WHERE id > ?", left)
	f.run("DELETE FROM unit WHERE name NOT IN (SELECT unit FROM unit_version)")
	return fmt.Sprintf("changes after %d are cut off", left)
}

// reseal alters what makes sense either way, and seals every change anew, as whoever
// reads the program can.
func (f *forger) reseal() string {
	var row int64
	what := pick(f.r, []string{"acres", "date", "reason", "by", "time", "contract", "notes", "plan"})
	switch what {
	case "acres":
		row = f.row("unit_version")
		f.run("UPDATE unit_version SET acres = acres + ? WHERE row = ?", 0.1+float64(f.r.IntN(50)), row)
	case "date":
		row = f.row("burn_version")
		f.run("UPDATE burn_version SET first_on = '2025-02-01', last_on = date('2025-02-01', ?) WHERE row = ?", fmt.Sprintf("+%d days", f.r.IntN(20)), row)
		f.run("UPDATE burn_version SET first_on = last_on WHERE row = ?", row)
	case "reason":
		row = f.row("change")
		f.run("UPDATE change SET reason = reason || ' (agreed)' WHERE id = ?", row)
	case "by":
		row = f.row("change")
		f.run("UPDATE change SET made_by = 'Somebody Else' WHERE id = ?", row)
	case "time":
		row = f.row("change")
		f.run("UPDATE change SET made_at = strftime('%Y-%m-%dT%H:%M:%SZ', made_at, '-1 hour') WHERE id = ?", row)
	case "contract":
		f.run("UPDATE document_version SET body = replace(body, '\"planned\":8', '\"planned\":7') WHERE kind = 'contract'")
	case "notes":
		row = f.row("burn_version")
		f.run("UPDATE burn_version SET notes = 'all went well' WHERE row = ?", row)
	case "plan":
		f.run("UPDATE plan SET note = 'as agreed'")
	}
	f.sealAll()
	return fmt.Sprintf("%s of row %d, and all seals made anew", what, row)
}

// sealAll computes every seal, written from what the store documents and apart from it:
// SHA-256 over the seal before, number, time, reason and, where somebody is named, "by"
// and the name; then for each sealed table the rows of the change in order, each as the
// table's name and, for every column that is not NULL, its name and its value. A value
// is one letter for its kind, eight bytes of the number, or of the length, and the text.
func (f *forger) sealAll() {
	type change struct {
		number         int64
		at, reason, by string
	}
	var all []change
	rows, err := f.db.Query("SELECT id, made_at, reason, coalesce(made_by, '') FROM change ORDER BY id")
	if err != nil {
		f.t.Fatal(err)
	}
	for rows.Next() {
		var c change
		if err := rows.Scan(&c.number, &c.at, &c.reason, &c.by); err != nil {
			f.t.Fatal(err)
		}
		all = append(all, c)
	}
	rows.Close()
	before := ""
	for _, c := range all {
		h := sha256.New()
		put := func(values ...any) {
			for _, v := range values {
				number, kind, text := uint64(0), byte('s'), []byte(nil)
				switch v := v.(type) {
				case int64:
					kind, number = 'i', uint64(v)
				case float64:
					kind, number = 'f', math.Float64bits(v)
				case string:
					number, text = uint64(len(v)), []byte(v)
				case []byte:
					kind, number, text = 'b', uint64(len(v)), v
				}
				h.Write(binary.BigEndian.AppendUint64([]byte{kind}, number))
				h.Write(text)
			}
		}
		put(before, c.number, c.at, c.reason)
		if c.by != "" {
			put("by", c.by)
		}
		for _, table := range sealedTables {
			rows, err := f.db.Query("SELECT * FROM "+table+" WHERE change = ? ORDER BY 1", c.number)
			if err != nil {
				f.t.Fatal(err)
			}
			columns, _ := rows.Columns()
			for rows.Next() {
				values, dest := make([]any, len(columns)), make([]any, len(columns))
				for i := range values {
					dest[i] = &values[i]
				}
				if err := rows.Scan(dest...); err != nil {
					f.t.Fatal(err)
				}
				put(table)
				for i, v := range values {
					if v != nil {
						put(columns[i], v)
					}
				}
			}
			rows.Close()
		}
		before = hex.EncodeToString(h.Sum(nil))
		f.run("UPDATE change SET sha256 = ? WHERE id = ?", before, c.number)
	}
}

func pick[V any](r *rand.Rand, of []V) V { return of[r.IntN(len(of))] }

// TestTamperings tampers with copies of a property: every tampering is found by verify
// with the seals that were kept elsewhere, and without them exactly those that the help
// of verify says can be found. EMBERQUILT_TAMPERINGS says how many.
func TestTamperings(t *testing.T) {
	ctx, count := context.Background(), 33
	if testing.Short() {
		count = 11
	}
	if text := os.Getenv("EMBERQUILT_TAMPERINGS"); text != "" {
		var err error
		if count, err = strconv.Atoi(text); err != nil {
			t.Fatal(err)
		}
	}
	v := newVictim(t)
	clean, err := Verify(ctx, v.file, v.kept)
	if err != nil || !clean.IsIntact() || len(clean.Files) != 3 || len(clean.Seals) != 1 {
		t.Fatalf("before: %v %+v", err, clean)
	}
	// The seals made anew over what was not altered are those that the store made.
	same := t.TempDir()
	v.copied(t, same)
	f := forge(t, nil, filepath.Join(same, filepath.Base(v.file)))
	f.sealAll()
	f.close()
	if again, err := Verify(ctx, filepath.Join(same, filepath.Base(v.file)), v.kept); err != nil || !again.IsIntact() {
		t.Fatalf("sealed anew without an edit: %v %+v", err, again)
	}
	classes := []struct {
		name string
		// alone says that it is found without the kept seals.
		alone bool
		do    func(r *rand.Rand, folder, file string) string
	}{
		{"one value edited", true, func(r *rand.Rand, _, file string) string { f := forge(t, r, file); defer f.close(); return f.edit() }},
		{"a row deleted", true, func(r *rand.Rand, _, file string) string { f := forge(t, r, file); defer f.close(); return f.remove() }},
		{"a row added", true, func(r *rand.Rand, _, file string) string { f := forge(t, r, file); defer f.close(); return f.add() }},
		{"schema", true, func(r *rand.Rand, _, file string) string { f := forge(t, r, file); defer f.close(); return f.schema() }},
		{"newest changes cut off", false, func(r *rand.Rand, _, file string) string { f := forge(t, r, file); defer f.close(); return f.cut() }},
		{"edited and sealed anew", false, func(r *rand.Rand, _, file string) string { f := forge(t, r, file); defer f.close(); return f.reseal() }},
		{"an older copy put back", false, func(_ *rand.Rand, _, file string) string { copyFile(t, v.older, file); return "older" }},
		{"another property's file", false, func(_ *rand.Rand, _, file string) string { copyFile(t, v.other, file); return "other" }},
		{"an attachment altered", true, func(r *rand.Rand, folder, _ string) string {
			name := pick(r, []string{"letter.txt", "map.txt", "photo.txt"})
			if err := os.WriteFile(filepath.Join(folder, name), []byte(alter(r, "this is "+name)), 0o600); err != nil {
				t.Fatal(err)
			}
			return name
		}},
		{"an attachment gone", true, func(r *rand.Rand, folder, _ string) string {
			name := pick(r, []string{"letter.txt", "map.txt", "photo.txt"})
			if err := os.Remove(filepath.Join(folder, name)); err != nil {
				t.Fatal(err)
			}
			return name
		}},
		{"attachments swapped", true, func(_ *rand.Rand, folder, _ string) string {
			copyFile(t, filepath.Join(folder, "letter.txt"), filepath.Join(folder, "map.txt"))
			return "letter.txt in place of map.txt"
		}},
	}
	found := map[string][3]int{}
	for i := range count {
		// Half of them are single edits.
		class := classes[0]
		if i%2 == 1 {
			class = classes[1+i/2%(len(classes)-1)]
		}
		r := rand.New(rand.NewPCG(16, uint64(i)))
		folder := t.TempDir()
		v.copied(t, folder)
		file := filepath.Join(folder, filepath.Base(v.file))
		what := class.do(r, folder, file)
		isFound := func(kept KeptSeals) bool {
			got, err := Verify(ctx, file, kept)
			if err == nil && len(got.Faults) > 0 && slices.ContainsFunc(got.Seals, func(c view.SealCheck) bool { return c.Holds }) {
				t.Errorf("tampering %d, %s (%s): the file is not intact, and yet what was kept holds: %+v", i, class.name, what, got.Seals)
			}
			return err != nil || !got.IsIntact()
		}
		alone, with := isFound(KeptSeals{}), isFound(v.kept)
		n := found[class.name]
		n[0]++
		if alone {
			n[1]++
		}
		if with {
			n[2]++
		}
		found[class.name] = n
		if alone != class.alone || !with {
			t.Errorf("tampering %d, %s (%s): found %t without the kept seals, want %t; found %t with them", i, class.name, what, alone, class.alone, with)
		}
		if err := os.RemoveAll(folder); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(found)) {
		t.Logf("%-26s %4d: found %4d without, %4d with the kept seals", name, found[name][0], found[name][1], found[name][2])
	}
}

// TestStampsFromPaper holds a file against stamps, right and wrong, and says how many
// changes came after.
func TestStampsFromPaper(t *testing.T) {
	ctx := context.Background()
	v := newVictim(t)
	last := v.kept.List.All[len(v.kept.List.All)-1]
	second := v.kept.List.All[1]
	for _, test := range []struct {
		stamp string
		holds bool
		want  string
	}{
		{fmt.Sprintf("change %d (%s)", last.Change, last.SHA256[:8]), true, "nothing was changed after"},
		{string(second.Stamp()), true, fmt.Sprintf("%d changes came after", last.Change-2)},
		{fmt.Sprintf("Change 2 ( %s )", strings.ToUpper(second.SHA256)), true, "changes came after"},
		{"2-" + last.SHA256[:8], false, "is not this file's change 2"},
		{"99-" + last.SHA256[:8], false, "its newest changes were cut off"},
	} {
		got, err := Verify(ctx, v.file, KeptSeals{Stamps: []string{test.stamp}})
		if err != nil || len(got.Seals) != 1 || got.Seals[0].Holds != test.holds || got.IsIntact() != test.holds || !strings.Contains(got.Seals[0].Words, test.want) {
			t.Errorf("%s: %v %+v", test.stamp, err, got)
		}
	}
	for _, bad := range []string{"", "change", "change 5", "5-abc", "x-12345678", "0-12345678", "5-1234567g"} {
		if ParseStamps([]string{bad}) == nil {
			t.Errorf("%q is a stamp", bad)
		}
	}
}
