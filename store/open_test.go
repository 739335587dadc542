package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/habitat/source"
)

func TestNamesThatMeanSomethingToURLs(t *testing.T) {
	for _, name := range []string{"a#b.emberquilt", "a?b=c.emberquilt", "100%.emberquilt", "%41.emberquilt", "two words.emberquilt", "Río Häuser 草.emberquilt", "a&b;c.emberquilt", "-rf.emberquilt", "a'b\"c.emberquilt", "file:x.emberquilt", "a+b.emberquilt"} {
		dir := t.TempDir()
		path := filepath.Join(dir, name)
		s, err := Create(context.Background(), path, Making{}, oakHill(), noon)
		if err != nil {
			t.Fatalf("%q: %v", name, err)
		}
		update(t, s, func(tx *Tx) error { return tx.PutUnit(n1()) })
		if err := s.Backup(context.Background(), path+" copy"); err != nil {
			t.Errorf("%q: %v", name, err)
		}
		s.Close()
		entries, err := os.ReadDir(dir)
		if err != nil || len(entries) != 2 || entries[0].Name() != name || entries[1].Name() != name+" copy" {
			t.Errorf("%q made %v %v", name, entries, err)
		}
		again, err := Open(context.Background(), path)
		if err != nil {
			t.Fatalf("%q: %v", name, err)
		}
		if len(snapshot(t, again).Units) != 1 {
			t.Errorf("%q: another file was opened", name)
		}
		again.Close()
	}
}

// TestForeignFilesAreRefusedAndNotTouched opens what is not a property file.
func TestForeignFilesAreRefusedAndNotTouched(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	write := func(name, content string) string {
		if err := os.WriteFile(at(name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
		return at(name)
	}
	sqlite := func(name string, queries ...string) string {
		db := raw(t, at(name))
		for _, q := range queries {
			execute(t, db, q)
		}
		db.Close()
		return at(name)
	}
	whole := func(name string) string {
		s, err := Create(context.Background(), at(name), Making{}, oakHill(), noon)
		if err != nil {
			t.Fatal(err)
		}
		s.Close()
		return at(name)
	}
	cut := whole("cut")
	data, err := os.ReadFile(cut)
	if err != nil {
		t.Fatal(err)
	}
	write("cut", string(data[:len(data)/2]))
	newer := whole("newer")
	db := raw(t, newer)
	execute(t, db, "PRAGMA user_version = 9")
	db.Close()
	if err := os.Mkdir(at("folder"), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path string
		why  error
		want string
	}{
		{at("none"), ErrMissing, "does not exist; accepts a property file, made by emberquilt new"},
		{at("none/deeper"), ErrMissing, "does not exist; accepts a property file, made by emberquilt new"},
		{at("folder"), ErrNotProperty, "is a folder; accepts a property file, made by emberquilt new"},
		{write("empty", ""), ErrNotProperty, "is empty; accepts a property file, made by emberquilt new"},
		{write("text", "unit,acres\n"), ErrNotProperty, "is not a property file; accepts a property file, made by emberquilt new"},
		{write("zeros", strings.Repeat("\x00", 5000)), ErrNotProperty, "is not a property file; accepts a property file, made by emberquilt new"},
		{sqlite("foreign", "CREATE TABLE t (a)"), ErrNotProperty, "is a database of another program; accepts a property file, made by emberquilt new"},
		{sqlite("foreign wal", "PRAGMA journal_mode = wal", "CREATE TABLE t (a)"), ErrNotProperty, "is a database of another program; accepts a property file, made by emberquilt new"},
		{sqlite("other id", "PRAGMA application_id = 7", "CREATE TABLE t (a)"), ErrNotProperty, "is a database of another program; accepts a property file, made by emberquilt new"},
		{newer, ErrNewerSchema, fmt.Sprintf("schema 9 is newer than this program, which knows up to %d; accepts a copy saved by this version, or a newer emberquilt", len(migrations))},
		{cut, ErrDamaged, "is damaged; accepts a whole property file\nhint: use the last backup"},
	} {
		before, _ := os.ReadFile(c.path)
		for _, open := range []func(context.Context, string) (*Store, error){Open, OpenToRead} {
			s, err := open(context.Background(), c.path)
			if err == nil {
				s.Close()
				t.Errorf("%s was opened", c.path)
				continue
			}
			var e *source.Error
			if !errors.Is(err, c.why) || !errors.As(err, &e) || err.Error() != c.path+": "+c.want {
				t.Errorf("\n got %v\nwant %s: %s", err, c.path, c.want)
			}
		}
		if after, _ := os.ReadFile(c.path); string(after) != string(before) {
			t.Errorf("%s was touched", c.path)
		}
	}
}

func TestCreateLeavesWhatIsThereAlone(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.emberquilt")
	if err := os.WriteFile(path, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Create(context.Background(), path, Making{}, oakHill(), noon); !errors.Is(err, ErrExists) {
		t.Errorf("%v", err)
	}
	if _, err := Create(context.Background(), filepath.Join(dir, "none", "b.emberquilt"), Making{}, oakHill(), noon); !errors.Is(err, ErrReadOnly) {
		t.Errorf("%v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Create(ctx, filepath.Join(dir, "c.emberquilt"), Making{}, oakHill(), noon); err == nil {
		t.Error("made in spite of being canceled")
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 1 {
		t.Errorf("left behind: %v", entries)
	}
	if data, _ := os.ReadFile(path); string(data) != "mine" {
		t.Error("replaced")
	}
}

func TestPragmasAreReadBack(t *testing.T) {
	s := create(t)
	if err := s.checkPragmas(context.Background()); err != nil {
		t.Error(err)
	}
	// The control: a connection without them is noticed.
	other := &Store{db: raw(t, s.Path()), path: s.Path()}
	if err := other.checkPragmas(context.Background()); err == nil {
		t.Error("a connection without our pragmas passed")
	}
}

// TestLibcIsSQLitesOwn holds the version of libc against the one that sqlite's
// own go.mod names: with another the translated code may misbehave.
func TestLibcIsSQLitesOwn(t *testing.T) {
	module := func(name string) (m struct{ Version, GoMod string }) {
		out, err := exec.Command("go", "list", "-m", "-json", name).Output()
		if err != nil {
			t.Skipf("go list does not run here: %v", err)
		}
		if err := json.Unmarshal(out, &m); err != nil {
			t.Fatal(err)
		}
		return m
	}
	text, err := os.ReadFile(module("modernc.org/sqlite").GoMod)
	if err != nil {
		t.Fatal(err)
	}
	ours := module("modernc.org/libc").Version
	if ours == "" || !strings.Contains(string(text), "modernc.org/libc "+ours+"\n") {
		t.Errorf("libc %s is not the version that sqlite asks for", ours)
	}
}
