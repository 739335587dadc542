package store

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"modernc.org/sqlite"
)

// asOfParameter names in the address of a database the last change that its
// connections see.
const asOfParameter = "_emberquilt_as_of"

func init() {
	sqlite.RegisterConnectionHook(func(conn sqlite.ExecQuerierContext, dsn string) error {
		_, query, _ := strings.Cut(dsn, "?")
		values, err := url.ParseQuery(query)
		if err != nil || values.Get(asOfParameter) == "" {
			return nil // a database of somebody else, or one that sees everything
		}
		change, err := strconv.Atoi(values.Get(asOfParameter))
		if err != nil {
			return err
		}
		return hideLater(conn, change)
	})
}

// hideLater makes a connection see the rows of a change and of those before, and no
// others. Views of the connection's own bear the names of the tables, and SQLite looks
// for a name among them first (https://www.sqlite.org/lang_naming.html).
func hideLater(conn sqlite.ExecQuerierContext, change int) error {
	ctx := context.Background()
	views := []string{
		fmt.Sprintf("CREATE TEMP VIEW change AS SELECT * FROM main.change WHERE id <= %d", change),
		fmt.Sprintf("CREATE TEMP VIEW unit AS SELECT * FROM main.unit WHERE name IN (SELECT unit FROM main.unit_version WHERE change <= %d)", change),
	}
	for _, table := range sealed {
		views = append(views, fmt.Sprintf("CREATE TEMP VIEW %s AS SELECT * FROM main.%s WHERE change <= %d", table, table, change))
	}
	// A view of the file reads the tables of the file: it is made again over the views.
	text, err := textOf(ctx, conn, "SELECT sql FROM main.sqlite_schema WHERE type = 'view' AND name = 'document'")
	if err != nil {
		return err
	}
	body, ok := strings.CutPrefix(text, "CREATE VIEW document AS ")
	if !ok {
		return errors.New("store: the view document is not as this program makes it")
	}
	for _, view := range append(views, "CREATE TEMP VIEW document AS "+body) {
		if _, err := conn.ExecContext(ctx, view, nil); err != nil {
			return err
		}
	}
	return nil
}

// textOf gives the one text that a query finds; empty where it finds nothing.
func textOf(ctx context.Context, conn sqlite.ExecQuerierContext, query string) (string, error) {
	rows, err := conn.QueryContext(ctx, query, nil)
	if err != nil {
		return "", err
	}
	defer rows.Close()
	row := make([]driver.Value, len(rows.Columns()))
	if err := rows.Next(row); err != nil {
		return "", nil // there is none
	}
	text, _ := row[0].(string)
	return text, nil
}

// OpenAsOf opens a property file to read what it held after one of its changes. The
// error is ErrUnknown where there is no such change, ErrOlderSchema where the file's
// schema is not up to date.
func OpenAsOf(ctx context.Context, path string, change int) (*Store, error) {
	if err := inspect(path); err != nil {
		return nil, err
	}
	whole, err := open(ctx, path, "ro")
	if err != nil {
		return nil, err
	}
	changes, err := whole.Changes(ctx)
	if err := errors.Join(err, whole.Close()); err != nil {
		return nil, err
	}
	if change < 1 || change > len(changes) {
		return nil, faultOf(ErrUnknown, path, fmt.Sprintf("1 to %d", len(changes)), "", "there is no change %d", change)
	}
	s, err := connectAsOf(path, "ro", change)
	if err != nil {
		return nil, err
	}
	if err := s.ready(ctx, "ro"); err != nil {
		s.db.Close()
		return nil, s.explain(err)
	}
	return s, nil
}
