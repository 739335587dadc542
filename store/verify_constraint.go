package store

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// checkConstraints looks for rows that the constraints of their tables refuse. SQLite's
// integrity check does so only where the file may be written: it keeps no constraints of
// a file that is opened to be read.
func (tx *Tx) checkConstraints(all map[string][]string, add func(string, ...any)) error {
	for _, table := range slices.Sorted(maps.Keys(all)) {
		query := fmt.Sprintf("SELECT count(*) FROM %s WHERE NOT ((%s))", table, strings.Join(all[table], ") AND ("))
		count := 0
		err := tx.each(query, nil, func(scan scanner) error { return scan(&count) })
		if refusal, is := asRefusal(err); is {
			add("integrity: %s: %s", table, refusal)
			continue
		}
		if err != nil {
			return err
		}
		if count > 0 { // in the words of SQLite's own check
			add("integrity: CHECK constraint failed in %s", table)
		}
	}
	return nil
}

// asRefusal gives what SQLite says where it cannot compute with what a row holds, such as
// text that should be JSON.
func asRefusal(err error) (words string, is bool) {
	var dbErr *sqlite.Error
	if !errors.As(err, &dbErr) || dbErr.Code()&0xff != sqlite3.SQLITE_ERROR {
		return "", false
	}
	return dbErr.Error(), true
}

// constraints are the expressions that hold for the rows of each table, by its name, of
// the statements of tables that this program makes. Those that look into texts, JSON and
// days, take most of the time; they are left out where it is not of all.
func constraints(tables map[string]string, ofAll bool) map[string][]string {
	looksIntoText := func(expression string) bool {
		return strings.Contains(expression, "json_") || strings.Contains(expression, "date(") || strings.Contains(expression, "strftime(")
	}
	all := map[string][]string{}
	for name, text := range tables {
		found := constraintsOf(text)
		if !ofAll {
			found = slices.DeleteFunc(found, looksIntoText)
		}
		if len(found) > 0 {
			all[name] = found
		}
	}
	return all
}

// constraintsOf gives what stands in the brackets after each CHECK of a statement that
// makes a table.
func constraintsOf(text string) (all []string) {
	const word = "CHECK ("
	start, open := 0, 0 // of the expression that is read, and its brackets
	for i := 0; i < len(text); i++ {
		rest := text[i:]
		switch {
		case strings.HasPrefix(rest, "--"):
			i += max(strings.IndexByte(rest, '\n'), 0)
		case rest[0] == '\'' || rest[0] == '"':
			i += 1 + max(strings.IndexByte(rest[1:], rest[0]), 0)
		case open == 0 && strings.HasPrefix(rest, word):
			i += len(word) - 1
			start, open = i+1, 1
		case open > 0 && rest[0] == '(':
			open++
		case open > 0 && rest[0] == ')':
			if open--; open == 0 {
				all = append(all, text[start:i])
			}
		}
	}
	return all
}
